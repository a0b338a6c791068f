"""EDID against Debian's edid-decode (authorities/edid), the layout of CTA-861, and ten thousand damaged files."""

import random

import pytest

from seatfield.readers.edid import read_edid
from seatfield.readers.hardware import read_sink

HDMI = bytes.fromhex("030c00")


def sealed(block):
    return bytes(block[:127]) + bytes([-sum(block[:127]) % 256])


def base(extensions=1):
    block = bytearray(128)
    block[:8], block[126] = bytes([0, 255, 255, 255, 255, 255, 255, 0]), extensions
    return sealed(block)


def data_block(tag, body):
    return bytes([tag << 5 | len(body)]) + body


def cta(*blocks, flags=0x40, revision=3, end=None):
    area = b"".join(blocks)
    block = bytearray(128)
    block[:4] = bytes([2, revision, 4 + len(area) if end is None else end, flags])
    block[4 : 4 + len(area)] = area
    return sealed(block)


def displayid(section):
    block = bytearray(128)
    block[:5] = bytes([0x70, 0x13, 121, 0, 0])
    block[5 : 5 + len(section)] = section
    block[126] = -sum(block[1:126]) % 256
    return sealed(block)


LPCM = data_block(1, bytes.fromhex("0f7f07"))
AC3 = data_block(1, bytes.fromhex("150750"))
SEVEN = data_block(4, bytes.fromhex("4f0000"))
FRONT = data_block(4, bytes.fromhex("010000"))
LPCM_2 = data_block(1, bytes.fromhex("090701"))


def told(found, words):
    return any(words in sentence for sentence in found.warnings)


def as_printed(found):
    return {
        "code": found.code,
        "extended_code": found.extended_code,
        "channels": found.channels,
        "rates_khz": list(found.rates_khz),
        "bits": list(found.bits),
        "max_kbps": found.max_kbps,
        "objects": bool(found.objects) and found.code in {10, 12},
        "level": found.level,
    }


def test_well_formed_descriptions_read_as_the_decoder_prints_them(displays):
    sound = [case for case in displays if case["well_formed"]]
    assert len(sound) > 20
    for case in sound:
        found = read_edid(bytes.fromhex(case["hex"]))
        assert [as_printed(f) for f in found.formats] == case["printed"]["formats"], case["name"]
        assert sorted(found.speakers) == case["printed"]["speakers"], case["name"]


def test_damaged_descriptions_are_told(displays):
    for case in displays:
        if not case["well_formed"]:
            assert read_edid(bytes.fromhex(case["hex"])).warnings, case["name"]


def test_the_collection_covers_the_odd_block_types(displays):
    tags = {
        bytes.fromhex(case["hex"])[k] for case in displays for k in range(128, len(case["hex"]) // 2, 128)
    }
    assert {0x02, 0x70, 0xF0} <= tags


def test_ten_thousand_damaged_files_raise_nothing_and_warn_in_sentences(displays):
    pick = random.Random(20_000)
    blobs = [bytes.fromhex(case["hex"]) for case in displays]
    for _ in range(10_000):
        blob = bytearray(pick.choice(blobs))
        for _ in range(pick.choice((1, 1, 3, 20))):
            where = pick.randrange(len(blob))
            if pick.random() < 0.5 and len(blob) > 140:
                where = 128 + pick.randrange(12)  # the headers decide most
            blob[where] = pick.randrange(256)
        if pick.random() < 0.2:
            del blob[pick.randrange(len(blob)) :]
        if pick.random() < 0.1:
            blob += pick.randbytes(pick.randrange(200))
        for found in (read_edid(bytes(blob)), read_sink(bytes(blob))):
            assert all(sentence[0].isupper() or sentence[0].isdigit() for sentence in found.warnings)
            assert all(sentence.endswith(".") for sentence in found.warnings)


@pytest.mark.parametrize("blob", [b"", b"\0", b"\2", b"\0" * 127, b"\xff" * 4096, bytes(range(256)) * 3])
def test_no_bytes_at_all_raise(blob):
    assert read_edid(blob).warnings


def test_audio_without_loudspeakers_assumes_a_front_pair_and_says_so():
    found = read_edid(base() + cta(LPCM))
    assert (found.speakers, found.assumed_speakers) == ((), ("FL/FR",))
    assert told(found, "a front pair is assumed")


def test_a_lone_basic_audio_flag_is_two_channel_lpcm():
    # CTA-861: basic audio is two-channel LPCM at 32, 44.1 and 48 kHz with 16 bits
    found = read_edid(base() + cta())
    assert found.formats == ()
    assert [(f.code, f.channels, f.rates_khz, f.bits) for f in found.abilities] == [
        (1, 2, (32.0, 44.1, 48.0), (16,))
    ]
    assert told(found, "basic audio flag")


def test_revision_two_has_no_data_blocks():
    found = read_edid(base() + cta(LPCM, revision=2))
    assert found.formats == ()
    assert told(found, "revision 2")


def test_fewer_blocks_than_declared_are_read_with_a_warning():
    found = read_edid(base(3) + cta(LPCM, SEVEN))
    assert len(found.formats) == 1
    assert found.warnings == ("3 extension blocks are declared but 1 are there; those are read.",)


def test_a_sound_matching_pair_of_blocks_brings_no_warning():
    assert read_edid(base() + cta(LPCM, SEVEN)).warnings == ()


@pytest.mark.parametrize(("loudspeakers", "lpcm"), [(SEVEN, LPCM_2), (FRONT, LPCM)])
def test_loudspeakers_and_lpcm_channels_that_differ_are_told(loudspeakers, lpcm):
    assert told(read_edid(base() + cta(loudspeakers, lpcm)), "neither alone tells the layout")


def test_cta_blocks_wrapped_in_displayid_are_read():
    wrapped = LPCM + SEVEN
    found = read_edid(base() + displayid(bytes([0x20, 0, 2, 9, 9, 0x81, 0, len(wrapped)]) + wrapped))
    assert [f.code for f in found.formats] == [1]
    assert len(found.speakers) == 5


def test_a_data_block_over_the_boundary_is_cut_there_and_the_rest_kept():
    found = read_edid(base() + cta(AC3, SEVEN, bytes([1 << 5 | 9]) + bytes.fromhex("0f7f07")))
    assert [f.code for f in found.formats] == [2, 1]
    assert told(found, "claims 9 bytes where 3 are left")


def test_loudspeakers_without_formats_claim_no_format():
    found = read_edid(base() + cta(SEVEN, flags=0))
    assert found.abilities == ()
    assert told(found, "claim no format")


def test_the_reserved_code_is_skipped():
    found = read_edid(base() + cta(data_block(1, bytes.fromhex("0007070f7f07")), SEVEN))
    assert [f.code for f in found.formats] == [1]
    assert told(found, "reserved format code 0")


def test_no_lpcm_descriptor_is_told_and_basic_audio_supplies_it():
    found = read_edid(base() + cta(AC3, SEVEN))
    assert [f.code for f in found.abilities] == [2, 1]
    assert told(read_edid(base() + cta(AC3, SEVEN, flags=0)), "No LPCM format is declared")


def test_a_wrong_checksum_in_an_extension_is_told_and_the_block_read():
    blob = bytearray(base() + cta(LPCM, SEVEN))
    blob[-1] ^= 1
    found = read_edid(bytes(blob))
    assert len(found.formats) == 1
    assert found.warnings == ("Block 1 has a wrong checksum; it is read all the same.",)


def test_a_block_map_is_passed_over():
    blocks = sealed(bytes([0xF0, 2, 2]) + bytes(125)), cta(LPCM, SEVEN), cta(AC3, flags=0)
    found = read_edid(base(3) + b"".join(blocks))
    assert [f.code for f in found.formats] == [1, 2]
    assert found.warnings == ()


@pytest.mark.parametrize(("override", "words"), [(2, None), (0, "only 1 to 3"), (9, "only 1 to 3")])
def test_the_count_override_of_hdmi_is_honoured_from_one_to_three(override, words):
    found = read_edid(base(1) + cta(data_block(7, bytes([0x78, override])), LPCM, SEVEN) + cta(AC3, flags=0))
    assert [f.code for f in found.formats] == [1, 2]
    assert not found.warnings if words is None else told(found, words)


@pytest.mark.parametrize(
    ("body", "words"), [(b"", "is empty"), (bytes.fromhex("0f7f0715"), "not a multiple of three")]
)
def test_an_empty_or_broken_audio_block_is_told_and_whole_descriptors_kept(body, words):
    found = read_edid(base() + cta(data_block(1, body), SEVEN))
    assert len(found.formats) == len(body) // 3
    assert told(found, words)


def test_a_description_stored_twice_is_read_once():
    blob = base() + cta(LPCM, SEVEN)
    found = read_edid(blob + blob)
    assert len(found.formats) == 1
    assert told(found, "twice")


@pytest.mark.parametrize(
    ("latencies", "video_s", "audio_s"), [("2e2e", 0.090, 0.090), ("5b29", 0.180, 0.080), ("0001", None, 0.0)]
)
def test_latency_byte_v_means_twice_v_minus_one_milliseconds(latencies, video_s, audio_s):
    # HDMI 1.4, vendor block: value = latency / 2 ms + 1; 0 unknown
    body = HDMI + bytes.fromhex("1200b83c80" + latencies)
    found = read_edid(base() + cta(data_block(3, body), LPCM, SEVEN))
    assert found.physical_address == "1.2.0.0"
    assert (found.latency.video_s, found.latency.audio_s) == (video_s, audio_s)
    assert found.sync_delay_s == (None if video_s is None else pytest.approx(video_s - audio_s))


def test_interlaced_latencies_follow_the_progressive_ones():
    body = HDMI + bytes.fromhex("1000003c" + "c0" + "0b0515ff")
    found = read_edid(base() + cta(data_block(3, body), LPCM, SEVEN))
    assert (found.latency.interlaced_video_s, found.latency.interlaced_audio_s) == (0.040, None)
    assert told(found, "not supported")


def test_the_room_block_names_loudspeakers_where_there_is_no_allocation():
    found = read_edid(base() + cta(LPCM, data_block(7, bytes([19, 0x07, 0x4F, 0, 0]))))
    assert found.speakers == ("FL/FR", "LFE1", "FC", "BL/BR", "RLC/RRC")


@pytest.mark.parametrize("form", ["plain", "offset", "columns", "program"])
def test_hexadecimal_text_reads_as_the_binary_does(form):
    blob = base() + cta(LPCM, SEVEN)
    rows = [blob[k : k + 16] for k in range(0, len(blob), 16)]
    text = {
        "plain": "\n".join(row.hex() for row in rows),
        "offset": "\n".join(
            f"{16 * k:08x}: {row.hex(' ', 2)}  ................" for k, row in enumerate(rows)
        ),
        "columns": "\n".join(
            f"{16 * k:08x}  {row[:8].hex(' ')}  {row[8:].hex(' ')}  |...|" for k, row in enumerate(rows)
        ),
        "program": "\n".join("".join(f"0x{byte:02x}, " for byte in row) for row in rows),
    }[form]
    assert read_sink(f"edid (hex):\n\n{text}\n".encode()) == read_edid(blob)


def test_only_the_last_hexadecimal_section_counts():
    one, two = base() + cta(AC3, SEVEN), base() + cta(LPCM, SEVEN)
    assert read_sink(f"{one.hex(' ', 1)}\n\n{two.hex(' ', 1)}\n".encode()) == read_edid(two)
