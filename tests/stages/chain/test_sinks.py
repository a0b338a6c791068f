"""From a sink's own description to the words of the project file, on real descriptions (authorities)."""

import json
import pathlib

import pytest

from seatfield.catalogue.formats import parse_ability
from seatfield.readers.edid import read_edid
from seatfield.readers.eld import read_eld
from seatfield.stages.chain import formats_of, plan

AUTHORITIES = pathlib.Path(__file__).parents[3] / "authorities"


def test_a_receivers_description_becomes_its_decoders():
    text = (AUTHORITIES / "eld" / "receiver_seven_2013.txt").read_text()
    assert formats_of(read_eld(text)) == (
        "LPCM 8 192/24",
        "AC-3 5.1",
        "DTS 6.1",
        "E-AC-3 7.1",
        "DTS lossless 7.1",
        "MLP 7.1",
    )


def test_objects_are_claimed_where_the_description_says_so():
    cases = json.loads((AUTHORITIES / "edid" / "displays.json").read_text())
    sinks = [read_edid(bytes.fromhex(case["hex"])) for case in cases]
    claiming = [sink for sink in sinks if any(f.objects and f.code == 10 for f in sink.formats)]
    assert claiming
    for sink in claiming:
        assert "E-AC-3 with objects" in formats_of(sink)


def test_every_line_reads_back_as_a_format():
    for case in json.loads((AUTHORITIES / "edid" / "displays.json").read_text()):
        for text in formats_of(read_edid(bytes.fromhex(case["hex"]))):
            assert parse_ability(text).format


@pytest.mark.parametrize(("offer", "format_"), [("MLP", "MLP"), ("AC-3", "AC-3"), ("LPCM 8", "LPCM")])
def test_a_sink_that_was_read_works_as_an_amplifier(build, offer, format_):
    text = (AUTHORITIES / "eld" / "receiver_seven_2013.txt").read_text()
    receiver = build.receiver(decodes=formats_of(read_eld(text)))
    player = build.device("player", ("LPCM 8", "AC-3", "MLP"))
    project = build.house(
        [player], [build.link("player.out", "receiver.in")], [("disc", ("player",), (offer,))], [receiver]
    )
    (entry,) = plan(project).services
    assert entry.format == format_
    assert not entry.losses
