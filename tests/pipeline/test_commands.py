"""Commands of the hand become edits of the file that do what they say, and nothing else."""

import math
import pathlib
import shutil
import tomllib
from dataclasses import replace

import pytest

from seatfield.catalogue.systems import system
from seatfield.model import Severity
from seatfield.pipeline.adding import SORTS
from seatfield.pipeline.commands import (
    Add,
    AddChannels,
    Append,
    Move,
    Put,
    Remove,
    Settle,
    SlideWall,
    SplitWall,
    Turn,
    WallLength,
    Write,
    change_of,
)
from seatfield.pipeline.places_in_file import CommandRefusedError
from seatfield.pipeline.session import Session
from seatfield.pipeline.things import things
from seatfield.stages import layout, survey
from seatfield.units import FOOT_M

EXAMPLES = pathlib.Path(__file__).parents[2] / "examples"


@pytest.fixture
def session(folder):
    return Session(folder)


@pytest.fixture
def in_feet(tmp_path):
    """The open plan, whose file is written in feet."""
    return Session(shutil.copytree(EXAMPLES / "open-plan", tmp_path / "open"))


def do(session, *commands):
    return session.change(change_of(commands)).project


def floor(project):
    return [tuple(round(value, 3) for value in corner) for corner in project.room.floor]


def handles(project):
    return {thing.key: thing for thing in things(project, survey.plan(project))}


def test_every_thing_off_the_walls_can_be_moved_by_its_handle(session):
    """A hand that moves a thing by 20 cm finds it 20 cm farther, whatever it is."""
    moved = []
    for thing in handles(session.now.project).values():
        if thing.kind in {"wall", "corner", "opening", "socket", "radiator"}:
            continue
        to = (thing.at[0] + 0.2, thing.at[1] - 0.1)
        found = handles(do(session, Move(thing.key, to, snap=False)))[thing.key]
        assert found.at == pytest.approx(to, abs=0.002), thing.key
        moved.append(thing.kind)
    assert {"loudspeaker", "subwoofer", "amplifier", "seat", "screen", "furniture", "cover"} == set(moved)


def test_a_door_moves_along_its_wall_and_onto_the_next(session):
    along = do(session, Move("opening[0]", (4.6, 2.5))).room.openings[0]
    assert (along.wall, round(along.start_m, 3)) == (1, 2.08)
    across = do(session, Move("opening[0]", (1.0, 3.55))).room.openings[0]
    assert across.wall == 2
    assert across.start_m == pytest.approx(4.6 - 1.0 - 0.85 / 2, abs=0.006)


def test_a_door_never_leaves_its_wall(session):
    door = do(session, Move("opening[0]", (4.6, 9.0))).room.openings[0]
    assert door.start_m + door.width_m <= 3.6 + 1e-9


def test_a_sofa_springs_to_the_wall_that_is_near(session):
    sofa = do(session, Move("furniture[0]", (2.3, 3.09))).room.furniture[0]
    assert max(y for _, y in sofa.outline) == pytest.approx(3.6)


def test_a_hand_that_does_not_want_springing_is_obeyed(session):
    sofa = do(session, Move("furniture[0]", (2.3, 3.08), snap=False)).room.furniture[0]
    assert max(y for _, y in sofa.outline) == pytest.approx(3.55)


def test_pulling_a_corner_of_a_rectangle_keeps_it_one(session):
    sofa = do(session, Move("furniture[0].outline[2]", (3.6, 3.5))).room.furniture[0]
    assert [pytest.approx(corner) for corner in sofa.outline] == [
        (1.3, 2.62),
        (3.6, 2.62),
        (3.6, 3.5),
        (1.3, 3.5),
    ]


def test_turning_a_rectangle_by_a_quarter_swaps_its_sides_about_its_middle(session):
    before = session.now.project.room.furniture[0].outline
    after = do(session, Turn("furniture[0]")).room.furniture[0].outline
    wide = [max(p[axis] for p in before) - min(p[axis] for p in before) for axis in (0, 1)]
    turned = [max(p[axis] for p in after) - min(p[axis] for p in after) for axis in (0, 1)]
    assert turned == pytest.approx(wide[::-1])


def test_a_thing_is_as_wide_and_deep_as_typed_about_its_middle(session):
    sofa = do(session, Put("furniture[0]", width="2.2 m", y="3.0")).room.furniture[0]
    assert [pytest.approx(corner) for corner in sofa.outline] == [
        (1.2, 2.53),
        (3.4, 2.53),
        (3.4, 3.47),
        (1.2, 3.47),
    ]


def test_a_length_typed_for_a_wall_moves_what_stands_square_at_its_end(session):
    assert floor(do(session, WallLength(0, "5.00 m"))) == [(0, 0), (5, 0), (5, 3.6), (0, 3.6)]


def test_a_length_is_read_as_people_write_it(in_feet):
    project = do(in_feet, WallLength(0, "23 ft 6 in"))
    assert math.dist(project.room.floor[0], project.room.floor[1]) == pytest.approx(23.5 * FOOT_M, abs=1e-4)


def test_a_wall_slides_square_to_itself(session):
    assert floor(do(session, SlideWall(2, (1.0, 4.0)))) == [(0, 0), (4.6, 0), (4.6, 4), (0, 4)]


def test_splitting_a_wall_leaves_everything_where_it_was(session):
    """Doors and windows beyond the new corner are counted from it; on the plan nothing moves."""
    before = handles(session.now.project)
    project = do(session, SplitWall(1, (4.6, 0.6)))
    after = handles(project)
    assert len(project.room.floor) == 5
    for key in ("opening[0]", "opening[1]", "socket[0]", "socket[1]", "radiator[0]"):
        assert after[key].at == pytest.approx(before[key].at), key


def test_a_corner_is_not_put_where_a_door_stands(session):
    with pytest.raises(CommandRefusedError, match="opening on wall B–C stands across that place"):
        do(session, SplitWall(1, (4.6, 1.8)))


def test_a_corner_that_was_put_in_can_be_taken_away_again(session):
    before = floor(session.now.project)
    do(session, SplitWall(2, (2.0, 3.6)))
    assert floor(do(session, Remove("room.floor[3]"))) == before


def test_a_corner_beside_which_something_stands_stays(session):
    with pytest.raises(CommandRefusedError, match=r"there is something \(opening\); move or remove it first"):
        do(session, Remove("room.floor[2]"))


def test_an_outline_by_tape_asks_to_be_settled_before_a_corner_is_dragged(session):
    text = session.file.read_text("utf-8")
    taped = "walls = [4.6, 3.6, 4.6, 3.6]\ndiagonals = [{ between = [0, 2], length = 5.841 }]"
    line = next(line for line in text.splitlines() if line.startswith("floor = [["))
    session.file.write_text(text.replace(line, taped), "utf-8")
    session.look()
    with pytest.raises(CommandRefusedError, match="read by tape"):
        do(session, Move("room.floor[1]", (4.7, 0)))
    settled = do(session, Settle())
    assert settled.room.tape is None
    assert settled.room.floor[2] == pytest.approx((4.6, 3.6), abs=0.01)


@pytest.mark.parametrize("sort", SORTS)
def test_every_sort_can_be_added_and_the_file_stays_sound(folder, sort):
    text = (folder / "project.toml").read_text("utf-8")
    (folder / "project.toml").write_text(text.replace('layout = "2+5+0"', 'layout = "7.1.4"'), "utf-8")
    session = Session(folder)
    before = set(handles(session.now.project))
    assert set(handles(do(session, Add(sort, (2.0, 1.5))))) - before
    do(session, Add(sort, (2.2, 1.6)))


def test_things_added_without_a_place_lie_apart(session):
    """So that a hand can take each: none within 60 cm of another's middle."""
    for sort in ("bookcase", "cabinet", "low table", "beam", "rug", "subwoofer", "amplifier", "seat"):
        before = {
            key: one.at
            for key, one in handles(session.now.project).items()
            if one.kind not in {"corner", "wall"}
        }
        after = handles(do(session, Add(sort)))
        (new,) = (
            set(after) - set(before) - {key for key, one in after.items() if one.kind in {"corner", "wall"}}
        )
        assert min(math.dist(after[new].at, at) for at in before.values()) >= 0.5, sort


def test_one_missing_channel_is_added_alone(session):
    before = do(session, Remove("loudspeaker[2]"), Remove("loudspeaker[1]"))
    after = do(session, AddChannels("M+000"))
    assert [one.channel for one in after.loudspeakers] == [
        *(one.channel for one in before.loudspeakers),
        "M+000",
    ]
    with pytest.raises(CommandRefusedError, match=r"No loudspeaker is missing for a channel M\+000"):
        do(session, AddChannels("M+000"))


@pytest.mark.parametrize("holes", ["none", "walls"])
def test_adding_channels_puts_every_loudspeaker_where_the_plan_shows_it(session, holes):
    """Nothing gets worse by taking what is shown, whatever may be drilled; directions are those of ITU-R BS.2051."""
    do(session, *(Remove(f"loudspeaker[{number}]") for number in reversed(range(7))))
    before = do(session, Write("seat[0].at", [2.3, 1.8]), Write("limits.holes", holes))
    shown = layout.plan(before, survey.plan(before))
    project = do(session, AddChannels())
    placed = layout.plan(project, survey.plan(project))
    wanted = {one.label for one in system("2+5+0").channels if not one.low_frequency}
    assert {one.channel for one in placed.loudspeakers} == wanted
    places = {one.channel: one for one in shown.loudspeakers}
    for one in placed.loudspeakers:
        assert one.at == pytest.approx(places[one.channel].at, abs=0.01), one.channel
        assert one.mount is places[one.channel].mount
        assert one.verdict is places[one.channel].verdict
    assert sum(one.severity is Severity.FIX for one in placed.findings) <= sum(
        one.severity is Severity.FIX for one in shown.findings
    )


def test_a_channel_that_the_plan_has_no_place_for_starts_in_its_nominal_direction(session, monkeypatch):
    """From the middle of an empty room the azimuth is that of ITU-R BS.2051, to the step of the hand."""
    do(session, *(Remove(f"loudspeaker[{number}]") for number in reversed(range(7))))
    do(session, Write("seat[0].at", [2.3, 1.8]))
    plain = layout.plan

    def placeless(*job):
        made = plain(*job)
        return replace(made, loudspeakers=tuple(replace(one, at=None) for one in made.loudspeakers))

    with monkeypatch.context() as patched:
        patched.setattr(layout, "plan", placeless)
        project = do(session, AddChannels())
    nominal = {one.label: one.azimuth_deg for one in system("2+5+0").channels if not one.low_frequency}
    for one in layout.plan(project, survey.plan(project)).loudspeakers:
        assert one.azimuth_deg == pytest.approx(nominal[one.channel], abs=1.0), one.channel


def test_plain_numbers_are_written_in_the_files_own_unit_and_read_back_alike(in_feet):
    project = do(in_feet, Move("seat[0]", (2.7, 3.0), snap=False))
    typed = tomllib.loads(in_feet.file.read_text("utf-8"))["seat"][0]["at"]
    assert typed == pytest.approx([2.7 / FOOT_M, 3.0 / FOOT_M], abs=6e-4)
    assert project.seats[0].at == pytest.approx((2.7, 3.0), abs=2e-4)


def test_decimal_feet_that_look_like_inches_are_not_written(in_feet):
    """5.10 ft and 5.11 ft can be read two ways, so the door asks; the hand must not write them."""
    project = do(in_feet, Move("seat[0]", (5.11 * FOOT_M, 9.10 * FOOT_M), snap=False))
    assert project.seats[0].at == pytest.approx((5.11 * FOOT_M, 9.10 * FOOT_M), abs=4e-4)


@pytest.mark.parametrize(
    ("command", "sentence"),
    [
        (Move("sofa]", (1, 1)), "is no place in a project file"),
        (Move("limits", (1, 1)), "nothing at limits that can be moved"),
        (Move("seat[0]", (math.nan, 1)), "out of reach"),
        (Move("seat[0]", (1e9, 1)), "out of reach"),
        (Move("room.floor[9]", (1, 1)), "no corner 9 here"),
        (SlideWall(9, (1, 1)), "no wall 9; the room's walls are 0 to 3"),
        (WallLength(0, "a lot"), "a length such as"),
        (WallLength(0, "0 m"), "between 5 cm and 100 m"),
        (SplitWall(0, (0.01, 0)), "5 cm of wall on both sides"),
        (Settle(), "has corners already"),
        (Turn("seat[0]"), "can be turned"),
        (Put("seat[0]", width="1 m"), "has a width and a depth"),
        (Put("furniture[0]", width="0 m"), "above nothing"),
        (Put("furniture[0]", width="wide"), "a length such as"),
        (Add("spaceship"), "no sort 'spaceship'"),
        (AddChannels(), "has its loudspeaker"),
        (Append("device", math.inf), "finite"),
        (Write("", 1), "A place in the file is missing"),
        (Remove("seat[9]"), r"no seat\[9\] in the file"),
        (Remove("room.floor[0]"), "counted from the first corner"),
    ],
)
def test_what_makes_no_sense_is_refused_in_a_sentence(session, command, sentence):
    with pytest.raises(CommandRefusedError, match=sentence):
        do(session, command)
