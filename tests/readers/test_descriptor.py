"""Short audio descriptors: worked from the bit layout of CTA-861 (format codes, rates, sizes, object bits)."""

import pytest

from seatfield.readers.descriptor import read_descriptor, speakers
from seatfield.readers.sink import speaker_count


def test_eight_channel_lpcm_with_all_rates_is_0f_7f_07():
    found = read_descriptor(bytes.fromhex("0f7f07"))
    assert (found.code, found.channels, found.bits) == (1, 8, (16, 20, 24))
    assert found.rates_khz == (32.0, 44.1, 48.0, 88.2, 96.0, 176.4, 192.0)


def test_six_channel_ac3_at_640_kbps_is_15_07_50():
    found = read_descriptor(bytes.fromhex("150750"))
    assert (found.format, found.channels, found.max_kbps, found.bits) == ("AC-3", 6, 640, ())
    assert found.rates_khz == (32.0, 44.1, 48.0)


@pytest.mark.parametrize(
    ("triple", "objects"), [("570601", True), ("570600", False), ("670601", True), ("670600", False)]
)
def test_bit_zero_of_the_third_byte_tells_objects_of_e_ac_3_and_mlp(triple, objects):
    assert read_descriptor(bytes.fromhex(triple)).objects is objects


def test_dts_extensions_have_no_published_object_bit_so_objects_are_unknown():
    assert read_descriptor(bytes.fromhex("5f7e03")).objects is None


def test_code_zero_is_reserved_and_no_format():
    assert read_descriptor(bytes.fromhex("000707")) is None


def test_lpcm_3d_spreads_its_channel_count_over_two_bytes():
    # channels - 1 = b1 bit 7 (16), b0 bit 7 (8), b0 bits 2..0
    assert read_descriptor(bytes([0xFD, 0x84, 13 << 3 | 7])).channels == 16 + 8 + 5 + 1


def test_mpeg_h_states_a_level_and_no_channel_count():
    found = read_descriptor(bytes([0x7B, 4, 11 << 3 | 1]))
    assert (found.extended_code, found.level, found.channels, found.objects) == (11, 3, None, True)


@pytest.mark.parametrize(("mask", "count"), [(0x0F, 6), (0x4F, 8), (0x01, 2), (0x1FFFFF, 34)])
def test_masks_of_5_1_and_7_1_name_as_many_loudspeakers(mask, count):
    assert speaker_count(speakers(mask)) == count


def test_bit_twenty_is_the_surround_direct_pair():
    assert speakers(1 << 20) == ("LSd/RSd",)
