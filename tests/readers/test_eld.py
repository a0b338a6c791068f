"""ELD text of four sinks (authorities/eld); the masks are those of the Linux kernel, the codes those of CTA-861."""

import random

import pytest

from seatfield.readers.eld import read_eld
from seatfield.readers.hardware import read_sink


def test_the_mask_wins_over_the_printed_rates(eld):
    found = read_eld(eld("old_kernel_wrong_words"))
    assert found.formats[0].rates_khz == (32.0, 44.1, 48.0)
    assert any("contradict their mask" in sentence for sentence in found.warnings)


def test_a_receiver_lists_lossless_formats_and_seven_loudspeakers(eld):
    found = read_eld(eld("receiver_seven_2013"))
    assert [f.code for f in found.formats] == [1, 1, 2, 7, 9, 10, 11, 12]
    assert [f.channels for f in found.formats] == [2, 8, 8, 8, 6, 8, 8, 8]
    assert found.formats[7].rates_khz == (48.0, 96.0, 192.0)
    assert found.formats[2].max_kbps == 640
    assert found.formats[1].bits == (16, 20, 24)
    assert found.speakers == ("FL/FR", "LFE1", "FC", "BL/BR", "RLC/RRC")


def test_objects_of_e_ac_3_are_unknown_because_eld_leaves_that_byte_out(eld):
    by_code = {f.code: f for f in read_eld(eld("receiver_seven_2012")).formats}
    assert by_code[10].objects is None
    assert by_code[1].objects is False


def test_a_television_that_claims_every_loudspeaker_still_takes_two_channels(eld):
    found = read_eld(eld("television_all_loudspeakers"))
    assert max(f.channels for f in found.formats if f.code == 1) == 2
    assert any("neither alone tells the layout" in sentence for sentence in found.warnings)


def test_printed_rates_that_agree_bring_no_warning(eld):
    assert not any("mask" in sentence for sentence in read_eld(eld("receiver_seven_2012")).warnings)


def test_a_socket_without_a_sink_is_told():
    assert "nothing is plugged in" in " ".join(read_eld("monitor_present\t0\neld_valid\t0\n").warnings)


def test_the_delay_is_in_steps_of_two_milliseconds():
    assert read_eld("audio_sync_delay\t45\n").sync_delay_s == pytest.approx(0.090)


def test_two_entries_in_one_text_are_told_and_the_first_is_read(eld):
    found = read_eld(eld("old_kernel_wrong_words") + eld("receiver_seven_2013"))
    assert len(found.formats) == 1
    assert any("only the first is read" in sentence for sentence in found.warnings)


def test_the_text_is_known_by_its_keys(eld):
    text = eld("receiver_seven_2013")
    assert read_sink(text.encode()) == read_eld(text)


def test_damaged_text_raises_nothing(eld):
    pick = random.Random(7)
    lines = "".join(eld(name) for name in ("receiver_seven_2012", "television_all_loudspeakers"))
    for _ in range(2_000):
        text = list(lines[: pick.randrange(len(lines))])
        for _ in range(pick.randrange(12)):
            text[pick.randrange(len(text)) if text else 0 :][:1] = []
            text.insert(pick.randrange(len(text) + 1), chr(pick.randrange(32, 1200)))
        assert read_eld("".join(text)).kind == "eld"


@pytest.mark.parametrize("blob", [b"", b"hello", b"\x00\x01", "naïve".encode("latin-1")])
def test_a_file_of_another_kind_is_unknown_and_says_so(blob):
    found = read_sink(blob)
    assert found.kind == "unknown"
    assert "neither an EDID" in found.warnings[0]
