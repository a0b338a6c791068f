"""WAV files as a general library reads them, and their header as the standard's fields say."""

import io
import struct

import numpy as np
import pytest
import soundfile

from seatfield.pipeline.waves import TooLongError, wave_bytes, wave_header, whole_24, write_wave
from seatfield.readers.recording import read_recording


def samples(frames=1001, columns=6):
    return np.random.default_rng(1).uniform(-0.9, 0.9, (frames, columns))


def test_a_general_library_reads_back_every_sample_to_half_a_step_of_24_bits(tmp_path):
    """libsndfile, through its Python package."""
    held = samples()
    write_wave(tmp_path / "a.wav", (held[:400], held[400:]), len(held), 48000, 0x60F)
    read, rate_hz = soundfile.read(tmp_path / "a.wav", dtype="float64")
    assert rate_hz == 48000
    assert soundfile.info(tmp_path / "a.wav").subtype == "PCM_24"
    assert np.max(np.abs(read - held)) <= 0.5 / 2**23 * 1.0001


def test_the_header_s_fields_stand_where_the_standard_puts_them(tmp_path):
    """WAVEFORMATEXTENSIBLE: tag, channels, rates, block, bits, then size, valid bits, mask and type."""
    head = wave_header(10, 8, 48000, 0x63F)
    tag, channels, rate_hz, byte_rate, align, bits, extra, valid, mask, kind = struct.unpack_from(
        "<HHIIHHHHIH", head, 20
    )
    assert (tag, channels, rate_hz, align, bits, extra, valid, mask, kind) == (
        0xFFFE, 8, 48000, 24, 24, 22, 24, 0x63F, 1,
    )  # fmt: skip
    assert byte_rate == 48000 * 24
    assert struct.unpack_from("<I", head, 4)[0] + 8 == len(head) + 10 * 24


def test_the_own_reader_finds_the_mask_again(tmp_path):
    write_wave(tmp_path / "a.wav", (samples(),), 1001, 48000, 0x60F)
    assert read_recording(tmp_path / "a.wav").channel_mask == 0x60F
    assert read_recording(tmp_path / "a.wav").warnings == ()


def test_an_odd_number_of_bytes_is_padded_so_that_the_next_chunk_could_follow(tmp_path):
    write_wave(tmp_path / "a.wav", (samples(3, 1),), 3, 44100)
    size = (tmp_path / "a.wav").stat().st_size
    assert size % 2 == 0
    assert struct.unpack_from("<I", (tmp_path / "a.wav").read_bytes(), 4)[0] == size - 8


def test_samples_beyond_full_scale_are_held_there_and_never_wrap():
    assert whole_24(np.array([[2.0], [-2.0]])) == b"\xff\xff\x7f\x00\x00\x80"


def test_the_same_samples_make_the_same_bytes(tmp_path):
    for name in ("a.wav", "b.wav"):
        write_wave(tmp_path / name, (samples(),), 1001, 48000, 0x60F)
    assert (tmp_path / "a.wav").read_bytes() == (tmp_path / "b.wav").read_bytes()
    assert wave_bytes([0.5, -0.25], 48000) == wave_bytes([0.5, -0.25], 48000)


def test_filters_are_kept_in_single_precision():
    read, _ = soundfile.read(io.BytesIO(wave_bytes([1.5, -0.25, 1e-7], 48000)), dtype="float32")
    assert read.tolist() == [1.5, -0.25, np.float32(1e-7)]


def test_more_than_a_wav_file_holds_is_refused_with_a_way_out():
    with pytest.raises(TooLongError, match="Write one file for each channel"):
        wave_header(2**28, 8, 48000, 0x63F)
