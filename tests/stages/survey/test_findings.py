"""Findings of the survey: each names its thing, what is wrong, and the likely slip."""

import pytest

from seatfield.model import Furniture, LengthUnit, Severity
from seatfield.pipeline.planning import plan as pipeline_plan
from seatfield.stages import survey
from seatfield.stages.survey.ranges import slips


def only(found, code):
    (finding,) = (f for f in found.findings if f.code == code)
    return finding


def piece(name, left, low, right, high, top=0.8, *, base=0.0):
    return (
        f'[[furniture]]\nname = "{name}"\nkind = "{name}"\nheight = {top}\nbase = {base}\n'
        f"outline = [[{left},{low}],[{right},{low}],[{right},{high}],[{left},{high}]]\n"
    )


DOOR = (
    '[[opening]]\nkind = "door"\nwall = 0\nstart = 0.3\nwidth = 0.85\nsill = 0\nheight = 2.0\nopens = "{}"\n'
)
MODEL = '[[model]]\nname = "box"\nkind = "loudspeaker"\n'


def speaker(channel, at, mount="stand"):
    return f'[[loudspeaker]]\nchannel = "{channel}"\nmodel = "box"\nat = {at}\nmount = "{mount}"\n'


@pytest.mark.parametrize(
    ("value", "low", "high", "units", "likely"),
    [
        (8.0, 1.8, 6.0, LengthUnit.METRE, "feet typed as metres (meant: 2.44 m)"),
        (240.0, 1.8, 6.0, LengthUnit.METRE, "centimetres typed as metres (meant: 2.40 m)"),
        (2400.0, 1.8, 6.0, LengthUnit.METRE, "millimetres typed as metres (meant: 2.40 m)"),
        (2.4 * 0.3048, 1.8, 6.0, LengthUnit.FOOT, "metres typed as feet (meant: 7' 10 1/2\")"),
        (24.0, 1.8, 6.0, LengthUnit.METRE, "a decimal point that slipped (meant: 2.40 m)"),
        (-2.4, 1.8, 6.0, LengthUnit.METRE, "a minus sign too many (meant: 2.40 m)"),
    ],
)
def test_the_likely_slip_of_a_ceiling_height_is_named(value, low, high, units, likely):
    assert slips(value, low, high, units)[0] == likely


def test_a_ceiling_of_24_m_is_told_with_its_slip(plain_room):
    finding = only(survey.plan(plain_room(change=[("ceiling = 2.5", "ceiling = 24")])), "survey.out-of-range")
    assert finding.subject == "ceiling"
    assert "24.00 m" in finding.message
    assert "meant: 2.40 m" in finding.message


def test_an_opening_past_the_end_of_its_wall_says_by_how_much(plain_room):
    more = '[[opening]]\nkind = "window"\nwall = 1\nstart = 3.5\nwidth = 1.2\nsill = 0.9\nheight = 1.2\n'
    finding = only(survey.plan(plain_room(more)), "survey.outside-wall")
    assert "0.70 m past the end of wall B–C" in finding.message
    assert finding.measured == pytest.approx(4.7)
    assert finding.limit == pytest.approx(4.0)


def test_openings_that_share_a_stretch_are_told_and_one_above_the_other_are_not(plain_room):
    low = '[[opening]]\nkind = "window"\nwall = 1\nstart = 1\nwidth = 1\nsill = 0.9\nheight = 0.6\n'
    beside = low.replace("start = 1", "start = 1.6")
    above = low.replace("sill = 0.9", "sill = 1.6")
    assert only(survey.plan(plain_room(low + beside)), "survey.openings-overlap").measured == pytest.approx(
        0.4
    )
    assert survey.plan(plain_room(low + above)).findings == ()


def test_furniture_through_a_wall_says_how_far(plain_room):
    finding = only(survey.plan(plain_room(piece("bookcase", 4.5, 1, 5.2, 2, 1.9))), "survey.outside-room")
    assert finding.measured == pytest.approx(0.2)


def test_furniture_round_an_inner_corner_is_outside_though_its_own_corners_are_not(plain_room):
    inner = [("[[0,0],[5,0],[5,4],[0,4]]", "[[0,0],[5,0],[5,2],[4,2],[4,4],[0,4]]")]
    outline = (
        '[[furniture]]\nname = "desk"\nheight = 0.7\noutline = [[3.5,3.5],[3.5,1.5],[4.8,1.5],[4.8,1.9]]\n'
    )
    finding = only(survey.plan(plain_room(outline, change=inner)), "survey.outside-room")
    assert finding.subject == "desk"


def test_pieces_in_one_another_are_told_and_one_on_the_other_is_not(plain_room):
    table, lamp = piece("table", 0.2, 0.2, 1.2, 0.8, 0.5), piece("lamp", 0.4, 0.3, 0.7, 0.6, 0.4, base=0.5)
    assert survey.plan(plain_room(table + lamp)).findings == ()
    finding = only(
        survey.plan(plain_room(table + piece("chest", 1.0, 0.2, 1.9, 0.8))), "survey.furniture-overlaps"
    )
    assert "table" in finding.message.lower()


def test_touching_and_tape_deep_overlaps_are_no_trouble(plain_room):
    pair = piece("table", 0.2, 0.2, 1.2, 0.8) + piece("chest", 1.17, 0.2, 1.9, 0.8)
    assert survey.plan(plain_room(pair)).findings == ()


def test_a_seat_on_the_sofa_is_fine_and_a_seat_in_the_cupboard_is_not(plain_room):
    assert survey.plan(plain_room(piece("sofa", 1.5, 2.6, 3.5, 3.5))).findings == ()
    finding = only(
        survey.plan(plain_room(piece("cupboard", 1.5, 2.6, 3.5, 3.5, 1.9))), "survey.seat-in-furniture"
    )
    assert "head" in finding.message


def test_a_loudspeaker_on_furniture_is_fine_and_one_inside_it_is_not(plain_room):
    chest = piece("chest", 0.2, 0.2, 1.2, 0.8) + MODEL
    assert survey.plan(plain_room(chest + speaker("M+030", "[0.7, 0.5, 0.95]"))).findings == ()
    assert survey.plan(plain_room(chest + speaker("M+030", "[0.7, 0.5, 0.5]", "shelf"))).findings == ()
    finding = only(
        survey.plan(plain_room(chest + speaker("M+030", "[0.7, 0.5, 0.5]"))), "survey.kit-in-furniture"
    )
    assert "0.30 m below its top" in finding.message


def test_loudspeakers_outside_the_room_above_the_ceiling_or_at_one_place_are_told(plain_room):
    found = survey.plan(plain_room(MODEL + speaker("M+030", "[5.5, 1, 1]") + speaker("M-030", "[1, 1, 2.7]")))
    assert only(found, "survey.outside-room").measured == pytest.approx(0.5)
    assert only(found, "survey.above-ceiling").limit == pytest.approx(2.5)
    together = survey.plan(plain_room(MODEL + speaker("M+030", "[1, 1, 1]") + speaker("M-030", "[1, 1, 1]")))
    assert only(together, "survey.kit-together").measured == 0


@pytest.mark.parametrize(("opens", "clashes"), [("inward", True), ("outward", False)])
def test_only_a_door_that_swings_in_hits_what_stands_before_it(plain_room, opens, clashes):
    found = survey.plan(plain_room(DOOR.format(opens) + piece("chest", 0.4, 0.5, 0.9, 0.9)))
    assert [f.code for f in found.findings] == (["survey.door-swing"] if clashes else [])


def test_a_swing_that_the_file_does_not_tell_is_said_to_be_assumed(plain_room):
    told = 'hinge = "start"\n'
    chest = piece("chest", 0.4, 0.5, 0.9, 0.9)
    assumed, known = (
        only(survey.plan(plain_room(DOOR.format("inward") + more + chest)), "survey.door-swing")
        for more in ("", told)
    )
    assert "is taken to hang at its end towards corner A and to open into the room" in assumed.message
    assert "Write `hinge` and `opens`" in assumed.advice
    assert "taken" not in known.message


def test_the_hinge_decides_which_quarter_circle_a_door_sweeps(plain_room):
    corner = piece("shelf", 0.35, 0.72, 0.5, 0.84)  # near the hinge at the start, 0.85 m from the other
    assert survey.plan(plain_room(DOOR.format("inward") + corner)).findings[0].code == "survey.door-swing"
    other = DOOR.format("inward") + 'hinge = "end"\n' + corner
    assert survey.plan(plain_room(other)).findings == ()


def test_a_loudspeaker_in_a_door_swing_is_told_and_one_above_the_door_is_not(plain_room):
    door = DOOR.format("inward") + MODEL
    finding = only(survey.plan(plain_room(door + speaker("M+030", "[0.6, 0.4, 1]"))), "survey.door-swing")
    assert finding.subject == "M+030"
    assert survey.plan(plain_room(door + speaker("U+030", "[0.6, 0.4, 2.3]", "ceiling"))).findings == ()


def test_a_main_seat_at_the_screen_stops_the_job(plain_room):
    found = survey.plan(plain_room(change=[("at = [2.5, 3.0]", "at = [2.5, 0.1]")]))
    assert not found.sound
    assert only(found, "survey.main-seat").severity == "stop"


def test_a_head_does_not_fit_under_the_low_end_of_a_slope(plain_room):
    slope = [("ceiling = 2.5", "ceiling = [[[0,0,3.2],[5,0,3.2],[0,4,0.4]]]")]
    assert only(survey.plan(plain_room(change=slope)), "survey.no-headroom").subject == "middle"


def test_two_seats_need_more_room_than_one(plain_room):
    more = '[[seat]]\nname = "left"\nat = [2.4, 3.0]\near = 1.1\n'
    assert only(survey.plan(plain_room(more)), "survey.seats-together").measured == pytest.approx(0.1)


@pytest.mark.parametrize(
    "more",
    [
        '[[seat]]\nname = "far"\nat = [2.5, 7.0]\near = 1.1\n',
        MODEL + speaker("M+030", "[5.5, 1, 1]"),
        MODEL + speaker("M+030", "[1, 1, 2.9]"),
        '[[amplifier]]\nname = "receiver"\nat = [-3, 1, 0.5]\n',
        '[[model]]\nname = "deep"\nkind = "subwoofer"\n[[subwoofer]]\nname = "sub"\nmodel = "deep"\nat = [2, 9, 0.2]\n',
        '[[opening]]\nkind = "door"\nwall = 0\nstart = 1\nwidth = 80\nheight = 2\n',
    ],
)
def test_what_stands_outside_the_room_stops_the_job_and_the_other_stages_still_run(plain_room, more):
    """Nothing that is planned from such a place can be carried out; later stages stay whole all the same."""
    project = plain_room(more)
    planned = pipeline_plan(project)
    stops = [f for f in planned.survey.findings if f.severity is Severity.STOP]
    assert len(stops) == 1
    assert planned.survey.sound
    assert planned.layout is not None
    assert planned.cable is not None
    assert planned.level is not None


def test_furniture_and_radiators_past_a_wall_do_not_stop_the_job(plain_room):
    more = piece("bookcase", 4.5, 1, 5.2, 2, 1.9) + "[[radiator]]\nwall = 1\nfrom = 3\nto = 5\n"
    assert {f.severity for f in survey.plan(plain_room(more)).findings} == {Severity.FIX}


FLOOR = "[[0,0],[5,0],[5,4],[0,4]]"
NOOK = "[[0,0],[{},0],[5.2,3.1],[4.3,4],[2,4],[2,4.8],[0,4.8]]"


@pytest.mark.parametrize(
    ("typed", "slip"),
    [
        ("17.1", "feet typed as metres (meant: 5.21 m)"),  # 17.1 ft is 5.212 m (1 ft = 0.3048 m, NIST SP 811)
        ("15.2", "a digit too many (meant: 5.20 m)"),
        ("52", "a decimal point that slipped (meant: 5.20 m)"),
    ],
)
def test_a_corner_far_beyond_the_others_is_named_with_its_likely_slip(plain_room, typed, slip):
    finding = only(survey.plan(plain_room(change=[(FLOOR, NOOK.format(typed))])), "survey.corner-far")
    assert (finding.subject, finding.key, finding.severity) == ("corner B", "room.floor[1][0]", Severity.FIX)
    assert slip in finding.message


@pytest.mark.parametrize(
    "floor", [FLOOR, NOOK.format("5.2"), "[[0,0],[9,0],[9,2],[3,2],[3,4],[0,4]]", "[[0,0],[8,0],[0,3]]"]
)
def test_an_ordinary_room_has_no_corner_too_far(plain_room, floor):
    found = survey.plan(plain_room(change=[(FLOOR, floor)]))
    assert "survey.corner-far" not in [f.code for f in found.findings]


@pytest.mark.parametrize(
    ("kind", "name", "seats"),
    [
        ("sofa", "the grey one", True),
        ("furniture", "media bench", False),
        ("bench", "media bench", False),
        ("TV bench", "low thing", False),
        ("bench", "by the window", True),
        ("shelf", "Matt's shelf", False),
        ("furniture", "Matt's shelf", False),
        ("furniture", "bedside table", False),
        ("bedside table", "bed", False),
        ("furniture", "sofa bed", True),
        ("furniture", "chairs at the table", True),
        ("furniture", "shrugged thing", False),
        ("rug", "wool", True),
        ("cabinet", "window seat", False),
        ("thing", "armchair", True),
    ],
)
def test_whole_words_of_the_kind_before_the_name_tell_what_people_sit_on(kind, name, seats):
    assert survey.is_seating(Furniture(name, kind, (), 0.0, 0.5)) is seats


def test_whole_inches_of_a_screen_are_asked_about_with_the_width_of_that_diagonal(plain_room):
    """A 55 in picture of 16:9 is 47.9 in wide: 55 · 16 / √(16² + 9²), by Pythagoras."""
    asked = survey.plan(plain_room(change=[("width = 1.3", 'width = "55 in"')]))
    finding = only(asked, "survey.screen-diagonal")
    assert finding.severity is Severity.NOTE
    assert finding.limit == pytest.approx(47.94 * 0.0254, abs=1e-3)
    assert "47.9 in (1.22 m) wide" in finding.message
    for width in ('"47.9 in"', '"40 in"', '"140 cm"', "1.397"):
        found = survey.plan(plain_room(change=[("width = 1.3", f"width = {width}")]))
        assert "survey.screen-diagonal" not in [f.code for f in found.findings]


def test_a_bare_55_as_width_is_guessed_to_be_a_diagonal_or_centimetres(plain_room):
    finding = only(survey.plan(plain_room(change=[("width = 1.3", "width = 55")])), "survey.out-of-range")
    assert "the diagonal in inches (a 55 in picture of 16:9 is 1.22 m wide) or centimetres" in finding.message


OPENING = """
[[opening]]
kind = "{kind}"
wall = 1
start = 1.0
width = {width}
sill = {sill}
height = {height}
id = "balcony door"
"""


@pytest.mark.parametrize(
    ("kind", "width", "sill", "height", "asked"),
    [
        ("window", 1.8, 0.0, 2.1, True),
        ("window", 0.8, 0.15, 2.0, True),
        ("window", 1.8, 0.9, 1.2, False),
        ("window", 0.4, 0.0, 2.1, False),
        ("window", 1.8, 0.0, 1.2, False),
        ("door", 0.85, 0.0, 2.0, False),
    ],
)
def test_a_window_that_people_may_walk_through_is_asked_about(plain_room, kind, width, sill, height, asked):
    text = OPENING.format(kind=kind, width=width, sill=sill, height=height)
    found = [one for one in survey.plan(plain_room(text)).findings if one.code == "survey.window-or-door"]
    assert [one.subject for one in found] == ["balcony door"] * asked
