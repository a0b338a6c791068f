"""Sound systems against the reference renderer's independent copy of the BS.2051 tables (authorities/bs2051)."""

import json
import pathlib

import pytest

from seatfield.catalogue.systems import SYSTEMS, all_labels, nearest_system, plain_name, system

AUTHORITY = json.loads(
    (pathlib.Path(__file__).parents[2] / "authorities/bs2051/loudspeakers.json").read_text(encoding="utf-8")
)
LOUDSPEAKERS = [(name, entry) for name, entries in AUTHORITY.items() for entry in entries]


@pytest.mark.parametrize("name", AUTHORITY)
def test_every_system_has_exactly_the_labels_of_the_standard(name):
    assert {c.label for c in system(name).channels} == {entry["label"] for entry in AUTHORITY[name]}


@pytest.mark.parametrize(
    ("name", "entry"), LOUDSPEAKERS, ids=lambda value: value if isinstance(value, str) else value["label"]
)
def test_every_window_equals_the_standards(name, entry):
    channel = system(name).channel(entry["label"])
    if entry["is_lfe"] and entry["azimuth_range_deg"] == [-180.0, 180.0]:
        assert channel.azimuth_window is None, "the renderer's ±180° is a placeholder for 'free'"
        return
    assert (channel.azimuth_deg, channel.elevation_deg) == (entry["azimuth_deg"], entry["elevation_deg"])
    assert channel.elevation_window == (tuple(entry["elevation_range_deg"]),)
    ends = [channel.azimuth_window[0][0], channel.azimuth_window[-1][1]]
    assert ends == entry["azimuth_range_deg"]


def test_the_screen_edge_pair_leaves_out_the_gap_that_the_renderers_code_leaves_out():
    edge = system("4+9+0")
    assert edge.channel("M+SC").azimuth_window == ((5, 25), (35, 60))
    assert edge.channel("M-SC").azimuth_window == ((-60, -35), (-25, -5))


@pytest.mark.parametrize(
    ("letter", "count"), list(zip("ABCDEFGHIJ", (2, 6, 8, 10, 11, 12, 14, 24, 8, 12), strict=True))
)
def test_channel_counts_equal_the_standards_including_low_frequency(letter, count):
    entry = next(s for s in SYSTEMS if s.letter == letter)
    assert len(entry.channels) == count


def test_bs_775_surrounds_stand_between_100_and_120_degrees_and_up_to_15_high():
    surround = system("3/2").channel("M+110")
    assert (surround.azimuth_window, surround.elevation_window) == (((100, 120),), ((0, 15),))


@pytest.mark.parametrize(
    ("shorthand", "name"), [("5.1", "0+5+0"), ("5.1.4", "4+5+0"), ("7.1.4", "4+7+0"), ("22.2", "9+10+3")]
)
def test_the_trades_shorthand_finds_the_standard_system(shorthand, name):
    assert system(shorthand).name == name


@pytest.mark.parametrize("name", ["7.1.2", "9.1.6"])
def test_layouts_without_a_standard_say_so(name):
    assert not system(name).standard
    assert "common practice" in system(name).source


def test_channels_of_the_shorthand_layouts_add_up():
    for entry in SYSTEMS:
        if not entry.standard:
            assert len(entry.channels) == sum(int(part) for part in entry.shorthand.split("."))


def test_right_hand_names_mirror_left_hand_names():
    assert plain_name("M-110") == "surround right"
    assert all(plain_name(label) != label for label in all_labels())


def test_an_unknown_system_names_its_neighbour():
    assert system("4+7+1") is None
    assert nearest_system("4+7+1") == "4+7+0"
