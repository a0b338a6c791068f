"""A microphone's compensation file: how far its reading is off at each frequency."""

import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

COMMENT = ("*", "#", ";", "//", '"', "'", "!", "%")
_NUMBER = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d{1,3})?", re.ASCII)
_SENSITIVITY = re.compile(r"sens[a-z ]*[=:]?\s*([+-]?\d+(?:[.,]\d+)?)\s*db", re.IGNORECASE | re.ASCII)
HIGHEST_HZ = 200_000.0
LARGEST_DB = 60.0
LONGEST_LINE = 200  # characters; three columns need no more


@dataclass(frozen=True, slots=True)
class Compensation:
    """What to subtract from a microphone's reading.

    Parameters
    ----------
    freq_hz
        Frequencies, strictly ascending. [Hz] shape (n,)
    level_db
        Deviation of the microphone there; positive where it reads too high. [dB] shape (n,)
    phase_deg
        Its phase where the file has a third column; else None. [deg] shape (n,)
    sensitivity_db
        Sensitivity stated in the file's head, as printed there; None without one. [dB]
    warnings
        Sentences about lines that could not be read or do not make sense.
    """

    freq_hz: NDArray[np.float64]
    level_db: NDArray[np.float64]
    phase_deg: NDArray[np.float64] | None = None
    sensitivity_db: float | None = None
    warnings: tuple[str, ...] = ()


def read_compensation(data: bytes) -> Compensation:
    """Read the text that comes with a measuring microphone.

    Parameters
    ----------
    data
        Bytes of the file: one line per frequency with frequency [Hz], level [dB] and, if known, phase [deg],
        set apart by blanks, tabs, semicolons or commas. Lines that begin with a sign of comment or without a
        number are passed over.

    Returns
    -------
    Compensation
        Sorted by frequency; without points and with a warning where nothing could be read. No bytes raise.

    Notes
    -----
    The form is common practice, no source. A decimal comma is understood where blanks, tabs or semicolons
    part the columns.
    """
    warnings: list[str] = []
    lines = _decode(data, warnings).splitlines()
    rows = [row for number, line in enumerate(lines, 1) if (row := _row(number, line, warnings))]
    rows = _ordered(rows, warnings)
    if not rows:
        warnings.append(
            "No line of the file holds a frequency and a level, so there is nothing to compensate."
        )
    phased = [len(row) > 2 for row in rows]
    if any(phased) and not all(phased):
        warnings.append("Only some lines hold a phase, so the phase is left out.")
    return Compensation(
        freq_hz=_column(rows, 0),
        level_db=_column(rows, 1),
        phase_deg=_column(rows, 2) if rows and all(phased) else None,
        sensitivity_db=_sensitivity(lines),
        warnings=tuple(warnings),
    )


def _decode(data: bytes, warnings: list[str]) -> str:
    for coding in ("utf-16", "utf-8-sig") if data[:2] in {b"\xff\xfe", b"\xfe\xff"} else ("utf-8-sig",):
        try:
            return data.decode(coding)
        except UnicodeDecodeError:
            continue
    if b"\0" in data:
        warnings.append("The file is not text.")
        return ""
    return data.decode("latin-1")


def _row(number: int, line: str, warnings: list[str]) -> tuple[float, ...] | None:
    """Return two or three numbers, or None for what is no data line."""
    bare = line.strip()
    if not bare or bare.startswith(COMMENT) or not (bare[0].isdigit() or bare[0] in "+-.,"):
        return None
    found = _numbers(bare[:LONGEST_LINE])
    if len(found) < 2:
        warnings.append(f"Line {number} holds no frequency and level: {bare[:40]!r}.")
        return None
    freq_hz, level_db = found[:2]
    if not 0 < freq_hz <= HIGHEST_HZ:
        warnings.append(
            f"Line {number} has the frequency {freq_hz:g} Hz; between 0 and {HIGHEST_HZ:g} Hz is expected."
        )
        return None
    if abs(level_db) > LARGEST_DB:
        warnings.append(
            f"Line {number} has the level {level_db:g} dB; at most ±{LARGEST_DB:g} dB is expected."
        )
        return None
    return found[:3]


def _numbers(line: str) -> tuple[float, ...]:
    """Return the numbers at the beginning of a line, up to the first word that is none."""
    words = re.split(r"\s*;\s*|\s*,\s+|\s+", line)
    if len(words) == 1:
        words = line.split(",")
    found: list[float] = []
    for word in words:
        parts = word.split(",") if word.count(",") > 1 or ("." in word and "," in word) else [word]
        for part in parts:
            if not _NUMBER.fullmatch(part):
                return tuple(found)
            found.append(float(part.replace(",", ".")))
    return tuple(found)


def _ordered(rows: list[tuple[float, ...]], warnings: list[str]) -> list[tuple[float, ...]]:
    ordered = sorted(rows, key=lambda row: row[0])
    if ordered != rows:
        warnings.append("The frequencies do not ascend; they are sorted.")
    unique = [row for k, row in enumerate(ordered) if k == 0 or row[0] != ordered[k - 1][0]]
    if len(unique) < len(ordered):
        warnings.append(f"{len(ordered) - len(unique)} lines repeat a frequency; the first of each is kept.")
    return unique


def _column(rows: list[tuple[float, ...]], place: int) -> NDArray[np.float64]:
    column = np.array([row[place] for row in rows], dtype=np.float64)
    column.flags.writeable = False
    return column


def _sensitivity(lines: list[str]) -> float | None:
    match = next((found for line in lines[:10] if (found := _SENSITIVITY.search(line[:200]))), None)
    return float(match[1].replace(",", ".")) if match else None
