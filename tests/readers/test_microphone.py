"""Compensation files of microphones; numpy's own text reader is the outside check of the numbers."""

import io
import random

import numpy as np
import pytest

from seatfield.readers.microphone import read_compensation

PLAIN = "* measured in open air\n20 -1.5 3\n1000 0 0\n20000\t2.25\t-40.5\n"


def test_columns_read_as_numpy_reads_them():
    found = read_compensation(PLAIN.encode())
    expected = np.loadtxt(io.StringIO(PLAIN), comments="*")
    np.testing.assert_array_equal(np.column_stack([found.freq_hz, found.level_db, found.phase_deg]), expected)
    assert found.warnings == ()


@pytest.mark.parametrize(
    "text",
    [
        "20,-1.5\n1000,0\n",
        "20;-1.5\n1000;0\n",
        "20,0;-1,5\n1000,0;0,0\n",
        "20,0 -1,5\n1000 0\n",
        "20, -1.5\n1000, 0\n",
    ],
)
def test_every_usual_way_to_part_columns_gives_the_same(text):
    found = read_compensation(text.encode())
    assert found.freq_hz.tolist() == [20, 1000]
    assert found.level_db.tolist() == [-1.5, 0]
    assert found.phase_deg is None


def test_a_stated_sensitivity_is_kept():
    found = read_compensation(b'"Sens Factor =-0.65dB, number 0"\n20 1\n30 1\n')
    assert found.sensitivity_db == -0.65
    assert len(found.freq_hz) == 2


@pytest.mark.parametrize("coding", ["utf-8", "utf-8-sig", "utf-16", "latin-1"])
def test_codings_of_text_make_no_difference(coding):
    assert read_compensation("# Gerät\n20 1\n30 2\n".encode(coding)).level_db.tolist() == [1, 2]


def test_frequencies_are_sorted_and_repeats_told():
    found = read_compensation(b"100 1\n50 2\n100 3\n")
    assert found.freq_hz.tolist() == [50, 100]
    assert found.level_db.tolist() == [2, 1]
    assert [sentence.split()[0] for sentence in found.warnings] == ["The", "1"]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("20", "Line 2 holds no frequency"),
        ("-5 1", "-5 Hz"),
        ("20 400", "400 dB"),
        ("20 x", "Line 2 holds no frequency"),
    ],
)
def test_a_line_that_makes_no_sense_is_told_with_its_number_and_left_out(line, words):
    found = read_compensation(f"10 0\n{line}\n30 1\n".encode())
    assert found.freq_hz.tolist() == [10, 30]
    assert words in found.warnings[0]


def test_a_phase_on_some_lines_only_is_left_out_and_told():
    found = read_compensation(b"10 0 5\n20 1\n")
    assert found.phase_deg is None
    assert "phase is left out" in found.warnings[0]


def test_arrays_are_read_only():
    with pytest.raises(ValueError, match="read-only"):
        read_compensation(b"10 0\n").level_db[0] = 1


def test_random_bytes_raise_nothing_and_say_that_nothing_is_there():
    pick = random.Random(3)
    for _ in range(500):
        assert read_compensation(pick.randbytes(pick.randrange(300))).warnings
