"""Values as files: those of an alignment written for whatever can take them, those of another calibration read."""

import csv
import io
import json
import zipfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from seatfield.model import Project
from seatfield.pipeline.encoding import encode
from seatfield.pipeline.printing import write_whole
from seatfield.pipeline.waves import wave_bytes
from seatfield.stages.alignment import Alignment, ChannelAligned, Typed
from seatfield.stages.takes import file_stem
from seatfield.units import QuantityError, parse_length

FIR_TAPS = 16384
RATE_HZ = 48000
COLUMNS = ("run", "channel", "distance_m", "delay_ms", "trim_db", "crossover_hz", "polarity")
LARGEST_M, LARGEST_DB = 60.0, 40.0
CROSSOVERS_HZ = (20.0, 400.0)
"""Beyond these no amplifier has a value to show: common practice, no source."""
FULL_RANGE = ("full range", "full", "large", "off")


@dataclass(frozen=True, slots=True)
class ValueRefused:
    """A typed value that cannot be understood.

    Parameters
    ----------
    line
        Of the table, its head being 1.
    run
        As typed.
    what
        ``run``, ``distance``, ``trim`` or ``crossover``.
    message
        What was found and what would be right.
    """

    line: int
    run: str
    what: str
    message: str

    def __str__(self) -> str:
        return f"Line {self.line} ({self.run}), {self.what}: {self.message}"


class ValuesRefusedError(ValueError):
    """Typed values that cannot be understood; the message says which lines and what would be right."""


class NoSuchValuesError(LookupError):
    """A file of an alignment was asked for that it does not give."""

    def __init__(self, name: str, names: Sequence[str]) -> None:
        there = f"there are {', '.join(names)}" if names else "there is nothing to type, so there are none"
        super().__init__(f"No file of values is named {name[:80]!r}; {there}.")


def value_files(alignment: Alignment) -> dict[str, Callable[[], bytes]]:
    """Return the files that an alignment gives, by their names, each to be made when it is wanted.

    Parameters
    ----------
    alignment
        What to write.

    Returns
    -------
    dict
        ``values.csv``, ``values.json``, and where there are filters ``coefficients.csv`` and a WAV file for each run.
    """
    files: dict[str, Callable[[], bytes]] = {
        "values.csv": partial(_values_csv, alignment),
        "values.json": partial(_values_json, alignment),
    }
    equalised = [one for one in alignment.channels if one.filters]
    if equalised:
        files["coefficients.csv"] = partial(_coefficients_csv, equalised)
        files |= {f"{file_stem(one.run)} 48 kHz.wav": partial(_fir, one.filters) for one in equalised}
    return files


def write_values(out: Path, alignment: Alignment) -> tuple[Path, ...]:
    """Write the values as CSV and JSON, and each channel's filters as coefficients and as a FIR WAV file.

    Parameters
    ----------
    out
        Folder.
    alignment
        What to write.

    Returns
    -------
    tuple of Path
        See `value_files`.
    """
    files = {out / name: make() for name, make in value_files(alignment).items()}
    for target, content in files.items():
        write_whole(target, content)
    return tuple(files)


def zipped(files: Mapping[str, Callable[[], bytes]]) -> bytes:
    """Put files into one archive; the same files give the same bytes."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, make in files.items():
            archive.writestr(zipfile.ZipInfo(name), make(), zipfile.ZIP_DEFLATED)
    return held.getvalue()


def _values_csv(alignment: Alignment) -> bytes:
    return _table(COLUMNS, [_value_row(one) for one in alignment.channels])


def _value_row(one: ChannelAligned) -> tuple[str, ...]:
    return (
        one.run,
        one.channel,
        f"{one.distance_m:.3f}",
        f"{one.delay_ms:.3f}",
        f"{one.trim_db:.1f}",
        "" if one.crossover_hz is None else f"{one.crossover_hz:g}",
        "inverted" if one.inverted else "normal",
    )


def _values_json(alignment: Alignment) -> bytes:
    return (json.dumps(encode(alignment.channels), indent=1, ensure_ascii=False) + "\n").encode()


def _coefficients_csv(channels: Sequence[ChannelAligned]) -> bytes:
    from seatfield.dsp.biquad import Filter, biquad

    rows = []
    for one in channels:
        for eq in one.filters:
            made = biquad(Filter("peak", eq.freq_hz, eq.q, eq.gain_db), float(RATE_HZ))
            numbers = (repr(value) for value in (made.b0, made.b1, made.b2, made.a1, made.a2))
            rows.append((one.run, eq.freq_hz, eq.q, eq.gain_db, RATE_HZ, *numbers))
    return _table(("run", "freq_hz", "q", "gain_db", "rate_hz", "b0", "b1", "b2", "a1", "a2"), rows)


def _table(head: Sequence[str], rows: Sequence[Sequence[Any]]) -> bytes:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows([head, *rows])
    return text.getvalue().encode()


def _fir(filters: Sequence[Any]) -> bytes:
    from seatfield.dsp.biquad import Filter, biquad
    from seatfield.dsp.fir import sections_fir

    sections = tuple(biquad(Filter("peak", eq.freq_hz, eq.q, eq.gain_db), float(RATE_HZ)) for eq in filters)
    return wave_bytes(sections_fir(sections, FIR_TAPS), RATE_HZ)


def read_values(text: str, project: Project) -> tuple[Typed, ...]:
    """Read values that another calibration arrived at; see `values_of`.

    Raises
    ------
    ValuesRefusedError
        If any value cannot be understood; the message names them all.
    """
    typed, refused = values_of(text, project)
    if refused:
        raise ValuesRefusedError("\n".join(map(str, refused)))
    return typed


def values_of(text: str, project: Project) -> tuple[tuple[Typed, ...], tuple[ValueRefused, ...]]:
    """Read values that another calibration arrived at, and say which cannot be understood.

    Parameters
    ----------
    text
        A table with commas: a head with ``run`` and some of ``distance``, ``trim`` and ``crossover`` (as
        `write_values` writes them, or without units in the names), then a line for each run. Empty cells are unknown.
    project
        Its runs, and the unit of plain lengths.

    Returns
    -------
    typed : tuple of Typed
        One for each line whose run is known, without what was refused.
    refused : tuple of ValueRefused
        The rest.

    Raises
    ------
    ValuesRefusedError
        If the first line does not name the columns.
    """
    rows = list(csv.reader(text.splitlines()))
    if not rows or "run" not in (head := [cell.strip().lower() for cell in rows[0]]):
        raise ValuesRefusedError(
            "The first line of the values must name the columns: run, distance, trim, crossover."
        )
    typed: dict[str, Typed] = {}
    refused: list[ValueRefused] = []
    for line, row in enumerate(rows[1:], 2):
        if any(cell.strip() for cell in row):
            cells = _Cells(line, dict(zip(head, row, strict=False)), project)
            refused += cells.unfit(typed) or cells.read(typed)
    return tuple(typed.values()), tuple(refused)


@dataclass(frozen=True, slots=True)
class _Cells:
    """One line of the table."""

    line: int
    cells: Mapping[str, str]
    project: Project

    def cell(self, *names: str) -> str:
        return next((self.cells[name].strip() for name in names if self.cells.get(name, "").strip()), "")

    @property
    def run(self) -> str:
        return self.cell("run")

    def unfit(self, typed: Mapping[str, Typed]) -> list[ValueRefused]:
        """Refuse a line whose run is unknown or was there before."""
        known = (
            *(one.id for one in self.project.loudspeakers),
            *(sub.id for sub in self.project.subwoofers),
        )
        if self.run not in known:
            return [self._no("run", f"{self.run!r} is no run; the runs are {', '.join(known)}.")]
        if self.run in typed:
            return [self._no("run", "It has a line already. Keep one of the two.")]
        return []

    def read(self, typed: dict[str, Typed]) -> list[ValueRefused]:
        """Add what can be read to `typed`, and return what cannot."""
        found: dict[str, float | None] = {}
        refused = []
        for what, read in (
            ("distance", self._distance),
            ("trim", self._trim),
            ("crossover", self._crossover),
        ):
            try:
                found[what] = read()
            except (QuantityError, ValueError) as reason:
                refused.append(self._no(what, str(reason)))
        typed[self.run] = Typed(self.run, found.get("distance"), found.get("trim"), found.get("crossover"))
        return refused

    def _no(self, what: str, message: str) -> ValueRefused:
        return ValueRefused(self.line, self.run, what, message)

    def _distance(self) -> float | None:
        in_metres, plain = self.cell("distance_m"), self.cell("distance")
        if not in_metres and not plain:
            return None
        length_m = (
            parse_length(in_metres, "m") if in_metres else parse_length(plain, self.project.units.value)
        )
        if not 0.0 <= length_m <= LARGEST_M:
            raise ValueError(
                f"{in_metres or plain!r} is given; a distance from 0 to {LARGEST_M:g} m is wanted."
            )
        return length_m

    def _trim(self) -> float | None:
        text = self.cell("trim_db", "trim")
        return _number(text, "dB", (-LARGEST_DB, LARGEST_DB), "such as -2.5") if text else None

    def _crossover(self) -> float | None:
        text = self.cell("crossover_hz", "crossover")
        if text.lower() in FULL_RANGE:
            return 0.0
        return _number(text, "Hz", CROSSOVERS_HZ, "such as 80, or the words full range") if text else None


def _number(text: str, unit: str, limits: tuple[float, float], such_as: str) -> float:
    """Read a plain number that may carry its unit.

    Raises
    ------
    ValueError
        If it is none, or lies outside the limits; says what is wanted.
    """
    bare = text.lower().removesuffix(unit.lower()).strip().replace("\N{MINUS SIGN}", "-").replace(",", ".")
    low, high = limits
    try:
        number = float(bare)
    except ValueError:
        number = float("nan")
    if not low <= number <= high:
        raise ValueError(
            f"{text!r} is given; a number of {unit} from {low:g} to {high:g} is wanted, {such_as}."
        )
    return number
