"""Terminal maps worked by hand: counts, exclusions, pre-outs, and what cannot be done."""

from dataclasses import replace
from itertools import product

import pytest

from seatfield.model import Amplifier, Project, Subwoofer, Terminal
from seatfield.stages import terminals
from seatfield.stages.layout.result import Layout, Placed, Verdict
from seatfield.stages.terminals.uses import same_use, units, use_of

SEVEN_FOUR = (
    "M+030",
    "M-030",
    "M+000",
    "M+090",
    "M-090",
    "M+135",
    "M-135",
    "U+045",
    "U-045",
    "U+135",
    "U-135",
)
FIVE_TWO = ("M+030", "M-030", "M+000", "M+110", "M-110", "U+030", "U-030")


def layout_of(labels):
    placed = tuple(
        Placed(
            label,
            label,
            label,
            "box",
            (1.0, 1.0, 1.0),
            None,
            0,
            0,
            2,
            0,
            Verdict.GOOD,
            placed=False,
            limit="",
            source="",
        )
        for label in labels
    )
    return Layout("x", "x", standard=True, loudspeakers=placed, marks=(), findings=())


@pytest.fixture
def mapped(plain_room):
    """Map the loudspeakers of a layout onto amplifiers."""

    def mapping(labels, *amplifiers, subwoofers=()):
        project: Project = replace(plain_room(), amplifiers=amplifiers, subwoofers=subwoofers)
        return terminals.plan(project, layout_of(labels))

    return mapping


def of(uses, run):
    return next(use for use in uses if use.run == run)


def test_a_receiver_with_enough_channels_drives_everything_itself(mapped):
    found = mapped(FIVE_TWO, Amplifier("receiver", channels=7, processed=9, pre_outs=2))
    assert {use.amplifier for use in found.uses} == {"receiver"}
    assert not found.cannot
    assert not found.findings


def test_two_short_channels_go_to_an_external_amplifier_over_pre_outs_and_the_front_pair_goes_first(mapped):
    found = mapped(
        SEVEN_FOUR,
        Amplifier("receiver", channels=9, processed=11, pre_outs=2),
        Amplifier("power", channels=2),
    )
    outside = [use.run for use in found.uses if use.amplifier == "power"]
    assert outside == ["M+030", "M-030"]
    assert of(found.uses, "M+030").pre_out == "front left pre-out"
    assert not found.cannot


def test_uses_that_shut_each_other_out_are_not_driven_together(mapped):
    receiver = Amplifier("receiver", channels=11, processed=11, pre_outs=2, excludes=(("back", "height"),))
    found = mapped(SEVEN_FOUR[:9], receiver, Amplifier("power", channels=2))
    own = {use.run for use in found.uses if use.amplifier == "receiver"}
    assert not ({"M+135"} <= own and {"U+045"} <= own)
    assert not found.cannot


def test_an_exclusion_of_uses_that_nobody_wants_changes_nothing(mapped):
    receiver = Amplifier(
        "receiver", channels=7, processed=9, excludes=(("zone two", "height"), ("bi-amp", "back"))
    )
    assert not mapped(FIVE_TWO, receiver).cannot


def test_what_cannot_be_driven_is_told_with_three_ways_out(mapped):
    found = mapped(SEVEN_FOUR[:7], Amplifier("receiver", channels=5, processed=7, pre_outs=2))
    (cannot,) = found.cannot
    assert cannot.runs == ("M+135", "M-135")
    assert "amplifies 5 channels" in cannot.why
    assert len(set(cannot.ways_out)) == 3
    assert "external amplifier with 2 channels" in cannot.ways_out[1]
    assert [f.code for f in found.findings] == ["terminals.cannot-do"]


def test_an_exclusion_is_named_as_the_reason(mapped):
    found = mapped(
        SEVEN_FOUR[:9], Amplifier("receiver", channels=11, processed=11, excludes=(("back", "height"),))
    )
    (cannot,) = found.cannot
    assert cannot.why == "receiver cannot drive back and height channels at once."


def test_upper_terminals_take_channels_that_are_left_and_go_before_any_loudspeaker(mapped):
    wish = {"processed": 9, "bi_amp": ("M+030", "M-030")}
    wide = mapped(FIVE_TWO, Amplifier("receiver", channels=9, **wish))
    assert [(use.run, use.channel, use.loudspeaker) for use in wide.uses[-2:]] == [
        ("M+030 hi", "M+030", "M+030"),
        ("M-030 hi", "M-030", "M-030"),
    ]
    assert len({use.terminal for use in wide.uses}) == 9
    assert not wide.cannot
    (cannot,) = mapped(FIVE_TWO, Amplifier("receiver", channels=7, **wish)).cannot
    assert cannot.runs == ("M+030 hi", "M-030 hi")
    assert "leave the links between its upper and lower terminals in" in cannot.ways_out[0]
    assert len(set(cannot.ways_out)) == 3


def test_a_second_zone_shuts_out_what_the_file_says_and_is_told(mapped):
    receiver = Amplifier(
        "receiver", channels=9, processed=9, second_zone=2, excludes=(("zone two", "height"),)
    )
    (cannot,) = mapped(FIVE_TWO, receiver).cannot
    assert cannot.runs == ("second zone left", "second zone right")
    assert cannot.why == "receiver cannot drive second-zone and height channels at once."
    assert "amplifier of its own with 2 channels" in cannot.ways_out[1]
    alone = mapped(FIVE_TWO[:5], receiver)
    assert [use.terminal for use in alone.uses[-2:]] == ["second zone left", "second zone right"]
    assert not alone.cannot


def test_a_further_use_goes_only_on_a_terminal_that_carries_it(mapped):
    listed = [Terminal(label, (label,)) for label in FIVE_TWO[:5]]
    listed += [
        Terminal(f"Extra {side}", ("second zone", f"U{sign}030")) for side, sign in (("L", "+"), ("R", "-"))
    ]
    receiver = Amplifier("receiver", channels=9, processed=9, second_zone=2, terminals=tuple(listed))
    on = {use.terminal: use.run for use in mapped(FIVE_TWO[:5], receiver).uses}
    assert {on["Extra L"], on["Extra R"]} == {"second zone left", "second zone right"}
    (cannot,) = mapped(FIVE_TWO, receiver).cannot
    assert cannot.runs == ("second zone left", "second zone right")
    assert "can carry zone two" in cannot.why


def test_a_terminal_is_used_once_and_only_for_what_it_carries(mapped):
    # "Assign" can carry the back or the height pair; "Height" only the heights: a greedy map would strand the backs.
    names = (
        ("Front L", "M+030"),
        ("Front R", "M-030"),
        ("Center", "M+000"),
        ("Side L", "M+090"),
        ("Side R", "M-090"),
    )
    listed = [Terminal(name, (label,)) for name, label in names]
    listed += [Terminal(f"Assign {s}", (f"U{d}045", f"M{d}135")) for s, d in (("L", "+"), ("R", "-"))]
    listed += [Terminal(f"Height {s}", (f"U{d}045",)) for s, d in (("L", "+"), ("R", "-"))]
    found = mapped(SEVEN_FOUR[:9], Amplifier("receiver", channels=9, processed=9, terminals=tuple(listed)))
    by_run = {use.run: use.terminal for use in found.uses}
    assert by_run["M+135"] == "Assign L"
    assert by_run["U-045"] == "Height R"
    assert len(set(by_run.values())) == 9
    assert not found.spare


def test_free_terminals_are_told(mapped):
    listed = tuple(Terminal(label, (label,)) for label in SEVEN_FOUR)
    found = mapped(("M+030", "M-030"), Amplifier("receiver", channels=11, processed=11, terminals=listed))
    assert ("receiver", "M+000") in found.spare
    assert len(found.spare) == 9


def test_more_loudspeakers_than_rendered_channels_is_a_finding(mapped):
    found = mapped(SEVEN_FOUR, Amplifier("receiver", channels=11, processed=9))
    assert "terminals.not-rendered" in {f.code for f in found.findings}


@pytest.mark.parametrize(("outputs", "severity"), [(1, "note"), (0, "fix")])
def test_subwoofers_that_share_or_lack_an_output_are_told(mapped, outputs, severity):
    subs = (Subwoofer("left sub", "ten"), Subwoofer("right sub", "ten"))
    found = mapped(
        ("M+030", "M-030"),
        Amplifier("receiver", channels=2, processed=2, sub_outputs=outputs),
        subwoofers=subs,
    )
    (finding,) = found.findings
    assert finding.code == "terminals.subwoofer-outputs"
    assert finding.severity == severity


def test_without_an_amplifier_there_is_no_map(mapped):
    found = mapped(FIVE_TWO)
    assert found.uses == ()


def test_the_map_leaves_out_as_few_as_trying_every_way_by_hand(mapped):
    # Exhaustive search over pairs, written apart: which pairs may the receiver and the external amplifier drive?
    grouped = units(layout_of(SEVEN_FOUR).loudspeakers)
    for channels, pre_outs, outside in product((2, 5, 7, 9), (0, 2, 4), (0, 2, 3)):
        found = mapped(
            SEVEN_FOUR,
            Amplifier(
                "receiver", channels=channels, processed=11, pre_outs=pre_outs, excludes=(("back", "height"),)
            ),
            Amplifier("power", channels=outside),
        )
        left_out = sum(len(cannot.runs) for cannot in found.cannot)
        assert left_out == _fewest_left_out(grouped, channels, min(pre_outs, outside))


def _fewest_left_out(grouped, own, outside):
    fewest = 99
    for choice in product(("own", "out", "no"), repeat=len(grouped)):
        count = {
            way: sum(len(u.members) for u, c in zip(grouped, choice, strict=True) if c == way)
            for way in ("own", "out", "no")
        }
        uses = {u.use for u, c in zip(grouped, choice, strict=True) if c == "own"}
        if count["own"] <= own and count["out"] <= outside and not {"back", "height"} <= uses:
            fewest = min(fewest, count["no"])
    return fewest


def test_back_loudspeakers_are_such_only_beside_a_side_pair():
    assert use_of("M+135", {"M+090", "M-090", "M+135"}) == "back"
    assert use_of("M+135", {"M+030", "M+135"}) == "surround"


@pytest.mark.parametrize(
    ("word", "use"), [("Height", "height"), ("surround back", "back"), ("second zone", "zone two")]
)
def test_the_trades_words_for_uses_are_understood(word, use):
    assert same_use(word, use)


def test_a_loudspeaker_that_the_system_lacks_takes_no_terminal_and_lacks_none(plain_room):
    """0+5+0 of ITU-R BS.2051 has no heights: nothing comes from one, so nothing drives it."""
    surplus = replace(layout_of((*FIVE_TWO, "U+110")), system="0+5+0")
    amplifier = Amplifier("receiver", channels=5, processed=5)
    made = terminals.plan(replace(plain_room(), amplifiers=(amplifier,)), surplus)
    assert {use.channel for use in made.uses} == {"M+030", "M-030", "M+000", "M+110", "M-110"}
    assert made.findings == ()
