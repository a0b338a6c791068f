"""Given places that something bars or hides, and the trace of every number that survey and layout print."""

import pytest

from seatfield.stages import layout, survey
from seatfield.stages.layout.placing import WEIGHTS
from seatfield.stages.layout.placing.weights import weights_table

MODEL = '[[model]]\nname = "box"\nkind = "loudspeaker"\n'


def speaker(channel, at, mount="stand"):
    return f'[[loudspeaker]]\nchannel = "{channel}"\nmodel = "box"\nat = {list(at)}\nmount = "{mount}"\n'


def planned(project):
    return layout.plan(project, survey.plan(project))


def barred(found):
    return [f.message for f in found.findings if f.code == "layout.place-barred"]


def test_a_wall_mount_is_barred_where_no_holes_are_allowed_and_fine_where_they_are(plain_room):
    hung = MODEL + speaker("M+110", (4.8, 3.6, 1.3), "wall")
    assert "no holes are allowed in walls" in barred(planned(plain_room(hung)))[0]
    assert barred(planned(plain_room('[limits]\nholes = "walls"\n' + hung))) == []


def test_a_stand_in_a_walkway_or_before_a_radiator_is_told(plain_room):
    walk = "[limits]\nwalkways = [[[4.0,4.0],[4.0,0.0]]]\n"
    assert "walkway" in barred(planned(plain_room(walk + MODEL + speaker("M+030", (4.1, 0.5, 1.1)))))[0]
    hot = "[[radiator]]\nwall = 1\nfrom = 0.2\nto = 1.2\n"
    assert "radiator" in barred(planned(plain_room(hot + MODEL + speaker("M+030", (4.85, 0.5, 1.1)))))[0]


def test_a_centre_before_the_picture_is_told_and_one_below_it_is_not(plain_room):
    assert "picture" in barred(planned(plain_room(MODEL + speaker("M+000", (2.5, 0.4, 1.0)))))[0]
    assert barred(planned(plain_room(MODEL + speaker("M+000", (2.5, 0.4, 0.4))))) == []


def test_a_centre_over_the_picture_hangs_on_the_wall_because_a_stand_would_cross_it(plain_room):
    """The picture ends at 1.37 m: the box is over it, and the pole of its stand before it."""
    for mount, hides in (("stand", True), ("wall", False)):
        over = '[limits]\nholes = "walls"\n' + MODEL + speaker("M+000", (2.5, 0.2, 1.7), mount)
        assert any("picture" in message for message in barred(planned(plain_room(over)))) is hides


def test_a_centre_a_little_under_the_picture_is_worth_a_note_and_a_low_one_a_mend(plain_room):
    """Head at (2.5, 3.0, 1.1); 2.6 m away 0.55 m lower is 12° down and 0.8 m lower 17°."""
    for height, severity in ((0.55, "note"), (0.3, "fix")):
        found = planned(plain_room(MODEL + speaker("M+000", (2.5, 0.4, height))))
        (finding,) = (f for f in found.findings if f.code == "layout.elevation-outside")
        assert finding.severity.value == severity
        assert ("common practice" in finding.message) == (severity == "note")


def test_raising_the_centre_into_the_picture_is_not_advised_without_saying_so(plain_room):
    found = planned(plain_room(MODEL + speaker("M+000", (2.5, 0.4, 0.4))))
    (finding,) = (f for f in found.findings if f.code == "layout.elevation-outside")
    assert "hides the picture" in finding.advice


def test_a_loudspeaker_behind_a_cupboard_is_out_of_sight_and_one_above_it_is_not(plain_room):
    cupboard = '[[furniture]]\nname = "cupboard"\nheight = 1.4\noutline = [[3.4,1],[4,1],[4,1.6],[3.4,1.6]]\n'
    low, high = (MODEL + speaker("M+030", (4.2, 0.4, z)) for z in (1.1, 2.2))
    codes = [[f.code for f in planned(plain_room(cupboard + one)).findings] for one in (low, high)]
    assert "layout.out-of-sight" in codes[0]
    assert "layout.out-of-sight" not in codes[1]


def test_an_upward_loudspeaker_is_heard_from_its_image_and_told_where_a_lamp_spoils_it(plain_room):
    up = MODEL + speaker("U+030", (4.0, 0.5, 1.0), "upward")
    flat = planned(plain_room(up, "2+5+0")).loudspeakers[0]
    # Image at 5 − 1 = 4 m; 2.9 m above the ears, √(1.5² + 2.5²) = 2.915 m away: 44.8° by hand.
    assert flat.elevation_deg == pytest.approx(44.8, abs=0.05)
    assert flat.bounce[2] == pytest.approx(2.5)
    # It lands 1.5 / 2.9 of the way along: at (3.22, 1.79), where a lamp spoils it.
    lamp = '[[lamp]]\nname = "lamp"\ndrop = 0.3\noutline = [[3.1,1.6],[3.4,1.6],[3.4,1.9],[3.1,1.9]]\n'
    assert "does not throw" in barred(planned(plain_room(lamp + up, "2+5+0")))[0]


@pytest.mark.parametrize("layout_name", ["2+5+0", "best that fits"])
def test_every_number_of_survey_and_layout_can_be_traced(random_room, layout_name):
    project = random_room(41, layout_name)
    found = survey.plan(project)
    for finding in (*found.findings, *layout.plan(project, found).findings):
        if finding.measured is not None:
            assert finding.trace is not None, finding.code
            assert finding.trace.formula
            assert finding.source


def test_the_published_table_of_weights_is_the_one_in_use():
    from pathlib import Path

    page = (Path(__file__).parents[3] / "docs" / "placing.md").read_text()
    rows = [line.split("|") for line in page.splitlines() if line.startswith("| `")]
    published = {row[1].strip().strip("`"): float(row[2]) for row in rows}
    assert published == dict(weights_table())
    assert published["outside"] == WEIGHTS.outside
