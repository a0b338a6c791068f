"""Chains worked by hand from IEC 60958 frame rates and IEC 61937 repetition periods: the first cause must be right.

AC-3 needs frames of 48 kHz, E-AC-3 of 192 kHz, MLP of 768 kHz; a single digital link carries two channels of LPCM.
"""

from seatfield.stages.chain import plan

OBJECTS = ("LPCM 2", "AC-3", "E-AC-3", "E-AC-3 with objects")


def first(found):
    return found.losses[0]


def test_an_optical_link_in_the_way_is_the_first_cause(build):
    television = build.device(
        "television", OBJECTS, ("LPCM 2", "AC-3", "E-AC-3"), converts=(("E-AC-3", "AC-3"),)
    )
    links = [build.link("television.optical", "receiver.optical 1", "optical")]
    services = [("film service", ("television",), ("E-AC-3 with objects", "E-AC-3 5.1"))]
    (found,) = plan(build.house([television], links, services)).services
    assert (found.format, found.channels, found.objects, found.lossless) == ("AC-3", 6, False, False)
    assert first(found).where == "television.optical to receiver.optical 1"
    assert first(found).kind == "link"
    assert "frames of at most 96 kHz" in first(found).why
    assert "needs frames of 192 kHz" in first(found).why
    assert first(found).takes == ("objects", "bit rate")
    assert found.mends[0].effort == "one cable and sockets for it"
    assert (found.mends[0].format, found.mends[0].objects) == ("E-AC-3 with objects", True)


def test_a_display_that_passes_two_channels_is_the_first_cause(build):
    devices = [
        build.device("player", (*OBJECTS, "LPCM 8"), ("LPCM 8",)),
        build.device("display", ("LPCM 2",), kind="display"),
    ]
    links = [
        build.link("player.out", "display.in 1"),
        build.link("display.return", "receiver.out", "enhanced return"),
    ]
    services = [("disc", ("player",), ("E-AC-3 with objects", "LPCM 6"))]
    (found,) = plan(build.house(devices, links, services)).services
    assert (found.format, found.channels, found.objects) == ("LPCM", 2, False)
    assert found.path == ("player", "display", "receiver")
    assert (first(found).where, first(found).kind) == ("display", "device")
    assert {"objects", "channels"} <= set(first(found).takes)
    assert found.mends[0].effort == "one cable"
    assert found.mends[0].what.startswith("Join player to receiver by an HDMI link")
    assert found.mends[0].whole


def test_a_return_channel_too_narrow_for_lossless_is_the_first_cause(build):
    every = (*OBJECTS, "MLP with objects")
    devices = [build.device("player", every), build.device("display", every, kind="display")]
    links = [
        build.link("player.out", "display.in 1"),
        build.link("display.return", "receiver.out", "return", 192_000.0),
    ]
    services = [("disc", ("player",), ("MLP with objects", "E-AC-3 5.1"))]
    (found,) = plan(build.house(devices, links, services)).services
    assert (found.format, found.channels, found.lossless) == ("E-AC-3", 6, False)
    assert (first(found).where, first(found).kind) == ("display.return to receiver.out", "link")
    assert "needs frames of 768 kHz" in first(found).why
    assert "lossless" in first(found).takes
    kinds = {mend.effort for mend in found.mends}
    assert kinds == {"one cable"}  # a cable straight into the amplifier is the cheapest and brings everything


def test_the_same_return_channel_at_48_khz_frames_does_not_even_carry_e_ac_3(build):
    display = build.device("display", OBJECTS, ("E-AC-3",), kind="display")
    links = [build.link("display.return", "receiver.out", "return", 48_000.0)]
    services = [("film service", ("display",), ("E-AC-3 5.1", "AC-3 5.1"))]
    (found,) = plan(build.house([display], links, services)).services
    assert (found.format, found.channels) == ("AC-3", 6)
    assert first(found).where == "display.return to receiver.out"


def test_an_app_that_has_objects_on_one_device_only_is_told_and_mended_for_nothing(build):
    devices = [build.device("box", OBJECTS), build.device("console", ("LPCM 2", "AC-3", "E-AC-3"))]
    links = [build.link("box.out", "receiver.in 1"), build.link("console.out", "receiver.in 2")]
    services = [("film service", ("console", "box"), ("E-AC-3 with objects", "E-AC-3 5.1"))]
    console, box = plan(build.house(devices, links, services)).services
    assert box.objects
    assert not box.losses
    assert (console.format, console.objects) == ("E-AC-3", False)
    assert (first(console).where, first(console).kind, first(console).takes) == (
        "console",
        "device",
        ("objects",),
    )
    assert (console.mends[0].effort, console.mends[0].objects) == ("nothing to buy", True)
    assert "Play it on box" in console.mends[0].what


def test_multichannel_lpcm_from_a_console_stays_whole_over_hdmi_and_loses_channels_over_a_plain_return(build):
    console = build.device("console", ("LPCM 8",), ("LPCM 8",))
    display = build.device("display", ("LPCM 8",), kind="display")
    services = [("game", ("console",), ("LPCM 8",))]
    straight = plan(build.house([console], [build.link("console.out", "receiver.in 1")], services)).services[
        0
    ]
    assert (straight.format, straight.channels, straight.lossless, straight.losses) == ("LPCM", 8, True, ())
    links = [
        build.link("console.out", "display.in"),
        build.link("display.return", "receiver.out", "return", 192_000.0),
    ]
    round_about = plan(build.house([console, display], links, services)).services[0]
    assert (round_about.format, round_about.channels, round_about.lossless) == ("LPCM", 2, False)
    assert first(round_about).where == "display.return to receiver.out"
    assert "2 channels of LPCM" in first(round_about).why
    enhanced = [links[0], build.link("display.return", "receiver.out", "enhanced return")]
    assert plan(build.house([console, display], enhanced, services)).services[0].channels == 8
