"""What the stage reports around the best path: settings, mends, ways of wiring, delays, proof and findings."""

from dataclasses import replace

import pytest

from seatfield.model import Setting
from seatfield.stages.chain import plan

OBJECTS = ("LPCM 2", "AC-3", "E-AC-3", "E-AC-3 with objects")
GATE = Setting("audio output", ("decoded", "untouched"), (("untouched", ("E-AC-3 with objects",)),))
FILM = ("film service", ("player",), ("E-AC-3 with objects", "E-AC-3 5.1"))


def codes(found):
    return [finding.code for finding in found.findings]


def straight(build, player, service=FILM, kind="hdmi", **more):
    return build.house([player], [build.link("player.out", "receiver.in 1", kind)], [service], **more)


def test_a_setting_that_lets_objects_out_is_named_with_what_comes_otherwise(build):
    player = build.device("player", OBJECTS, settings=(GATE,))
    (found,) = plan(straight(build, player)).services
    (need,) = found.settings
    assert (need.device, need.setting, need.value, need.otherwise) == (
        "player",
        "audio output",
        "untouched",
        "E-AC-3 5.1",
    )
    assert found.objects


def test_two_services_that_want_a_menu_to_stand_differently_clash(build):
    gate = Setting("sound", ("coded", "lpcm"), (("coded", ("E-AC-3",)), ("lpcm", ("LPCM 8",))))
    console = build.device("console", ("LPCM 8", "E-AC-3"), settings=(gate,))
    services = [("game", ("console",), ("LPCM 8",)), ("film", ("console",), ("E-AC-3 5.1",))]
    found = plan(build.house([console], [build.link("console.out", "receiver.in 1")], services))
    assert "chain.settings-clash" in codes(found)
    assert [entry.settings[0].value for entry in found.services] == ["lpcm", "coded"]


def test_a_service_of_the_amplifier_itself_needs_no_link(build):
    (found,) = plan(build.house([], [], [("radio", ("receiver",), ("LPCM 2",))])).services
    assert (found.path, found.format, found.channels, found.losses) == (("receiver",), "LPCM", 2, ())


def test_a_source_without_a_link_is_silent_and_a_cable_mends_it(build):
    found = plan(build.house([build.device("player", OBJECTS)], [], [FILM]))
    (entry,) = found.services
    assert (entry.format, entry.channels, entry.path) == ("", 0, ("player",))
    assert entry.losses[0].where == "player"
    assert "No link leads from player" in entry.losses[0].why
    assert (entry.mends[0].effort, entry.mends[0].whole) == ("one cable", True)
    assert [finding.severity for finding in found.findings if finding.code == "chain.silent"] == ["stop"]


def test_a_link_that_carries_nothing_of_an_offer_is_the_cause_of_silence(build):
    player = build.device("player", ("E-AC-3",))
    (entry,) = plan(straight(build, player, ("film", ("player",), ("E-AC-3",)), "optical")).services
    assert entry.format == ""
    assert (entry.losses[0].kind, entry.losses[0].takes) == ("link", ("sound",))


def test_an_amplifier_that_does_not_decode_objects_is_the_cause(build):
    old = build.receiver(decodes=("LPCM 8", "AC-3", "E-AC-3"))
    (entry,) = plan(straight(build, build.device("player", OBJECTS), amplifiers=[old])).services
    assert (entry.format, entry.objects) == ("E-AC-3", False)
    assert (entry.losses[0].where, entry.losses[0].kind) == ("receiver", "amplifier")
    assert entry.mends[-1].effort == "another amplifier"


def test_an_e_ac_3_decoder_decodes_ac_3_and_an_object_decoder_decodes_both(build):
    # ETSI TS 102 366 annex E; ETSI TS 103 420: the object data are an extension of E-AC-3
    modern = build.receiver(decodes=("LPCM 8", "E-AC-3 with objects"))
    for offer in ("AC-3 5.1", "E-AC-3 5.1", "E-AC-3 with objects"):
        (entry,) = plan(
            straight(
                build, build.device("player", OBJECTS), ("film", ("player",), (offer,)), amplifiers=[modern]
            )
        ).services
        assert not entry.losses


def test_the_core_of_a_lossless_extension_goes_where_the_extension_does_not(build):
    # ETSI TS 102 114: every extension stream holds a core that any decoder understands
    player = build.device("player", ("DTS lossless",))
    (entry,) = plan(straight(build, player, ("disc", ("player",), ("DTS lossless 7.1",)), "coaxial")).services
    assert (entry.format, entry.channels, entry.lossless) == ("DTS", 6, False)
    assert entry.losses[0].kind == "link"


def test_a_lossless_disc_decoded_in_the_player_stays_lossless(build):
    player = build.device("player", (), ("LPCM 8", "MLP"))
    (entry,) = plan(straight(build, player, ("disc", ("player",), ("MLP 7.1",)))).services
    assert (entry.format, entry.channels, entry.lossless, entry.losses) == ("LPCM", 8, True, ())


def test_a_splitter_that_knows_two_channels_spoils_what_comes_after(build):
    devices = [build.device("player", OBJECTS), build.device("splitter", kind="splitter")]
    links = [build.link("player.out", "splitter.in"), build.link("splitter.out 1", "receiver.in 1")]
    service = ("film", ("player",), ("E-AC-3 with objects", "LPCM 2"))
    found = plan(build.house(devices, links, [service]))
    assert found.services[0].losses[0].where == "splitter"
    assert found.services[0].channels == 2
    assert "chain.kind-assumed" in codes(found)


def test_a_radio_link_is_not_lossless_and_its_delay_is_unknown(build):
    player = build.device("player", ("LPCM 2",))
    found = plan(straight(build, player, ("music", ("player",), ("LPCM 2",)), "radio"))
    assert not found.services[0].lossless
    assert "chain.radio-delay" in codes(found)


def test_a_return_channel_named_from_the_amplifier_is_turned_round(build):
    display = build.device("display", OBJECTS, kind="display")
    links = [build.link("receiver.out", "display.return", "return", 192_000.0)]
    (entry,) = plan(build.house([display], links, [("film", ("display",), ("E-AC-3",))])).services
    assert entry.path == ("display", "receiver")


def test_sources_into_the_amplifier_are_compared_with_sources_into_the_display(build):
    devices = [build.device("player", (*OBJECTS, "MLP")), build.device("display", OBJECTS, kind="display")]
    links = [
        build.link("player.out", "display.in"),
        build.link("display.return", "receiver.out", "return", 192_000.0),
    ]
    services = [("disc", ("player",), ("MLP", "AC-3")), ("film", ("display",), ("E-AC-3 with objects",))]
    found = plan(build.house(devices, links, services))
    assert found.better_topology == "sources into the amplifier"
    assert [way.whole for way in found.topologies] == [2, 1]
    assert [way.services[0].format for way in found.topologies] == ["MLP", "AC-3"]


def test_ways_of_wiring_that_give_the_same_have_no_clear_winner(build):
    devices = [build.device("player", OBJECTS), build.device("display", OBJECTS, kind="display")]
    links = [
        build.link("player.out", "receiver.in"),
        build.link("display.return", "receiver.out", "enhanced return"),
    ]
    assert plan(build.house(devices, links, [FILM])).better_topology == "no clear winner"


def test_a_slow_display_makes_the_sound_early_and_the_amplifier_can_hold_it_back(build):
    devices = [
        build.device("player", OBJECTS),
        build.device("display", OBJECTS, kind="display", delay_s=0.12),
    ]
    links = [
        build.link("player.out", "receiver.in"),
        build.link("display.return", "receiver.out", "return", 192_000.0),
    ]
    found = plan(build.house(devices, links, [FILM]))
    assert found.lip_sync[0].early_s == pytest.approx(0.12)
    assert "set its sound delay to 120 ms" in found.lip_sync[0].who
    (apart,) = [finding for finding in found.findings if finding.code == "chain.lip-sync"]
    # ITU-R BT.1359-1: sound 45 ms early is noticed
    assert (apart.measured, apart.limit) == (pytest.approx(0.12), 0.045)


def test_sound_that_runs_through_the_display_is_kept_with_its_picture(build):
    display = build.device("display", OBJECTS, kind="display", delay_s=0.12)
    links = [build.link("display.return", "receiver.out", "return", 192_000.0)]
    found = plan(build.house([display], links, [("film", ("display",), ("E-AC-3",))]))
    assert found.lip_sync[0].early_s == 0
    assert "runs through display" in found.lip_sync[0].who


def test_late_sound_cannot_be_mended_after_the_source(build):
    devices = [build.device("player", OBJECTS), build.device("extractor", OBJECTS, delay_s=0.2)]
    links = [build.link("player.out", "extractor.in"), build.link("extractor.out", "receiver.in")]
    found = plan(build.house(devices, links, [FILM]))
    assert found.lip_sync[0].early_s == pytest.approx(-0.2)
    assert "Nothing after the source" in found.lip_sync[0].who
    assert "chain.lip-sync" in codes(found)


@pytest.mark.parametrize(
    ("shows", "text"),
    [
        ((("E-AC-3 with objects", "OBJ"),), "OBJ"),
        ((("E-AC-3", "plain"),), ""),
        ((("E-AC-3 with objects", ""),), ""),
        ((("e-ac-3 with objects 5.1", "exact"), ("E-AC-3 with objects", "OBJ")), "exact"),
    ],
)
def test_the_display_line_is_what_the_user_typed_for_that_format(build, shows, text):
    receiver = build.receiver(shows=shows)
    found = plan(
        straight(build, build.device("player", OBJECTS, checked="2026-03-01"), amplifiers=[receiver])
    )
    assert found.services[0].display_shows == text
    assert found.proof[0].display_shows == text


def test_the_proof_line_holds_what_to_expect_what_to_set_and_the_age_of_the_facts(build):
    player = build.device("player", OBJECTS, settings=(GATE,), checked="2026-03-01")
    (line,) = plan(straight(build, player)).proof
    assert (line.expected, line.channels, line.objects) == ("E-AC-3 with objects", 6, True)
    assert line.settings == ("player: audio output = untouched",)
    assert line.facts == (("player", "2026-03-01"),)
    assert "must name objects" in line.tell_apart


@pytest.mark.parametrize(
    ("offer", "words"),
    [("LPCM 2", "is an upmix"), ("AC-3 5.1", "must list 6 channels"), ("IAMF", "Nothing arrives")],
)
def test_the_proof_line_says_how_to_tell_it_from_an_upmix(build, offer, words):
    (line,) = plan(straight(build, build.device("player", OBJECTS), ("film", ("player",), (offer,)))).proof
    assert words in line.tell_apart


def test_a_format_that_is_not_understood_is_told_with_the_nearest_and_counts_for_nothing(build):
    found = plan(
        straight(build, build.device("player", OBJECTS), ("film", ("player",), ("E-AC3 5.1", "AC-3")))
    )
    (unread,) = [finding for finding in found.findings if finding.code == "chain.unknown-format"]
    assert "E-AC-3 5.1" in unread.advice
    assert found.services[0].format == "AC-3"


def test_a_device_of_which_nothing_is_said_counts_for_two_channels(build):
    found = plan(straight(build, build.device("player", kind="plyer"), ("film", ("player",), ("LPCM 8",))))
    assert found.services[0].channels == 2
    (unknown,) = [finding for finding in found.findings if finding.code == "chain.device-unknown"]
    assert "'player'" in unknown.advice


def test_an_amplifier_that_lists_no_decoders_is_taken_to_decode_everything_and_that_is_told(build):
    found = plan(straight(build, build.device("player", OBJECTS), amplifiers=[build.receiver(decodes=())]))
    assert found.services[0].objects
    assert "chain.decoders-unknown" in codes(found)


def test_an_assumed_frame_rate_of_a_return_channel_is_told(build):
    display = build.device("display", OBJECTS, kind="display")
    services = [("film", ("display",), ("E-AC-3",))]
    stated = plan(
        build.house([display], [build.link("display.r", "receiver.out", "return", 192_000.0)], services)
    )
    assumed = plan(build.house([display], [build.link("display.r", "receiver.out", "return")], services))
    assert "chain.rate-assumed" not in codes(stated)
    assert "chain.rate-assumed" in codes(assumed)


def test_more_channels_than_loudspeakers_are_told(build):
    from seatfield.model import Loudspeaker

    pair = tuple(Loudspeaker(channel, channel, "small") for channel in ("M+030", "M-030"))
    found = plan(
        straight(
            build, build.device("player", ("LPCM 8",)), ("game", ("player",), ("LPCM 8",)), loudspeakers=pair
        )
    )
    assert (found.services[0].channels, found.services[0].rendered) == (8, 2)
    assert "chain.folded" in codes(found)


def test_a_loss_is_a_finding_with_its_first_cause_and_the_cheapest_mend(build):
    found = plan(
        straight(
            build,
            build.device("player", OBJECTS),
            ("film", ("player",), ("E-AC-3 with objects", "AC-3")),
            "optical",
        )
    )
    (loss,) = [finding for finding in found.findings if finding.code == "chain.loss"]
    assert "The first cause is player.out to receiver.in 1" in loss.message
    assert loss.advice == found.services[0].mends[0].what


def test_a_project_without_a_chain_has_an_empty_one(build):
    found = plan(build.house([], [], []))
    assert (found.services, found.topologies, found.proof, found.findings) == ((), (), (), ())


def test_a_service_on_an_external_amplifier_is_not_where_sound_ends(build):
    from seatfield.model import Amplifier

    external = Amplifier("power amplifier", channels=2)
    player = build.device("player", OBJECTS)
    links = [
        build.link("player.out", "receiver.in 1"),
        build.link("player.two", "power amplifier.in", "analogue"),
    ]
    (entry,) = plan(build.house([player], links, [FILM], [external, build.receiver()])).services
    assert entry.path == ("player", "receiver")


def test_the_same_project_gives_the_same_result(build):
    project = straight(build, build.device("player", OBJECTS, settings=(GATE,)))
    assert plan(project) == plan(replace(project))
