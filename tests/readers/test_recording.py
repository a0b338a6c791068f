"""Recordings against files that the standard library's wave module and libsndfile wrote."""

import io
import random
import struct
import wave

import numpy as np
import pytest
import soundfile

from seatfield.readers.recording import read_recording

RATE_HZ = 48_000
STEPS = np.stack([np.arange(-500, 500), np.arange(500, -500, -1)], axis=1).astype("<i2")


@pytest.fixture
def plain():
    """A two-channel file of 16 bits written by the standard library."""
    buffer = io.BytesIO()
    with wave.open(buffer, "wb") as file:
        file.setnchannels(2)
        file.setsampwidth(2)
        file.setframerate(RATE_HZ)
        file.writeframes(STEPS.tobytes())
    return buffer.getvalue()


def written(kind, subtype, samples=STEPS / 32768):
    buffer = io.BytesIO()
    soundfile.write(buffer, samples, RATE_HZ, format=kind, subtype=subtype)
    return buffer.getvalue()


def test_samples_are_the_integers_over_two_to_the_fifteenth(plain):
    found = read_recording(plain)
    np.testing.assert_array_equal(found.samples, STEPS / 32768)
    assert (found.rate_hz, found.channel_mask, found.warnings) == (RATE_HZ, None, ())


def test_a_path_reads_as_its_bytes_do(plain, tmp_path):
    (tmp_path / "take.wav").write_bytes(plain)
    np.testing.assert_array_equal(
        read_recording(tmp_path / "take.wav").samples, read_recording(plain).samples
    )


@pytest.mark.parametrize(
    ("kind", "subtype"), [("FLAC", "PCM_24"), ("WAV", "FLOAT"), ("WAV", "PCM_24"), ("RF64", "PCM_16")]
)
def test_other_kinds_hold_the_same_samples(kind, subtype):
    found = read_recording(written(kind, subtype))
    np.testing.assert_allclose(found.samples, STEPS / 32768, atol=2**-23)
    assert found.warnings == ()


def test_the_channel_mask_of_an_extensible_header_is_told():
    # extensible WAV header: 5.1 with side pair is FL FR FC LFE SL SR = 0x60f
    header = struct.pack(
        "<HHIIHHHHIH14s",
        0xFFFE,
        6,
        RATE_HZ,
        RATE_HZ * 12,
        12,
        16,
        22,
        16,
        0x60F,
        1,
        bytes.fromhex("000000001000800000aa00389b71"),
    )
    body = bytes(12 * 10)
    riff = (
        b"WAVEfmt " + struct.pack("<I", len(header)) + header + b"data" + struct.pack("<I", len(body)) + body
    )
    found = read_recording(b"RIFF" + struct.pack("<I", len(riff)) + riff)
    assert found.channel_mask == 0x60F
    assert found.samples.shape == (10, 6)


def test_a_file_cut_short_keeps_what_is_there_and_says_how_much_is_missing(plain):
    found = read_recording(plain[:-400])
    assert found.samples.shape == (900, 2)
    assert "400 bytes of the sound that it announces are missing" in found.warnings[0]


def test_a_flac_file_cut_short_is_told():
    noise = np.random.default_rng(1).uniform(-0.5, 0.5, (200_000, 1))
    whole = written("FLAC", "PCM_16", noise)
    found = read_recording(whole[: len(whole) // 2])
    assert 0 < len(found.samples) < 200_000
    assert "cut short" in found.warnings[0]


def test_a_header_without_samples_has_length_zero():
    found = read_recording(written("WAV", "PCM_16", np.zeros((0, 1))))
    assert found.samples.shape == (0, 1)
    assert "length is zero" in found.warnings[0]


@pytest.mark.parametrize(
    ("data", "words"), [(b"", "empty"), (b"no sound at all", "not sound"), (b"RIFF\0\0\0\0WAVE", "not sound")]
)
def test_what_is_no_sound_says_so_and_holds_no_samples(data, words):
    found = read_recording(data)
    assert len(found.samples) == 0
    assert words in found.warnings[0]


def test_a_missing_file_is_told_in_words(tmp_path):
    assert "cannot be opened" in read_recording(tmp_path / "none.wav").warnings[0]


def test_values_that_are_no_numbers_are_told():
    found = read_recording(written("WAV", "FLOAT", np.array([[0.0], [np.nan]])))
    assert "not numbers" in found.warnings[0]


def test_damaged_files_raise_nothing(plain):
    pick = random.Random(11)
    for blob in (plain, written("FLAC", "PCM_16")):
        for _ in range(300):
            damaged = bytearray(blob)
            for _ in range(4):
                damaged[pick.randrange(min(len(blob), 120))] = pick.randrange(256)
            assert read_recording(bytes(damaged)).samples.ndim == 2
