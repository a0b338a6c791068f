"""Conductors and cables as the trade writes them: 16 AWG, 14/2, 2 x 2.5 mm²."""

import re
from dataclasses import dataclass

from seatfield.units.errors import AmbiguousQuantityError, UnreadableQuantityError
from seatfield.units.spelling import number_of, plain_spelling

CONDUCTOR_WANTED = "a conductor such as 16 AWG, 14/2, 2.5 mm2 or 2x2.5 mm2"

_AREAS = r"\d+(?:[.,]\d+)?"
_AWG = re.compile(r"(?:awg ?)?(?:#|no\.? ?)?(\d+(?:/0)?) ?(?:awg|ga|gauge|g)\.?", re.IGNORECASE)
_AWG_FIRST = re.compile(r"awg ?(\d+(?:/0)?)", re.IGNORECASE)
_AWG_CORES = re.compile(
    r"(\d+) ?(?:awg ?)?[/-] ?(\d+)(?: ?(?:awg|c|core|cores|conductor|conductors))?", re.IGNORECASE
)
_CORES_AWG = re.compile(r"(\d+) ?x ?(\d+) ?awg", re.IGNORECASE)
_CORES_AREA = re.compile(rf"(\d+) ?x ?({_AREAS}) ?(mm2)?", re.IGNORECASE)
_AREA = re.compile(rf"({_AREAS}) ?mm2", re.IGNORECASE)
_STRANDS = re.compile(r"\d+ ?(?:strands?|str\.?)", re.IGNORECASE)
_JACKET = re.compile(rf"({_AREAS}) ?mm", re.IGNORECASE)
_LIGHTEST_AWG, _CORES_MOST, _AREA_MOST_MM2 = 40, 16, 120.0
_GAUGE_FROM = 8  # a whole number from here on, after a times sign and without a unit, is as likely a gauge


@dataclass(frozen=True, slots=True)
class Conductor:
    """What a cable's marking says; exactly one of `awg` and `area_mm2` is given.

    Parameters
    ----------
    awg
        American wire gauge; 0, -1, -2, -3 stand for 1/0, 2/0, 3/0, 4/0.
    area_mm2
        Nominal cross-section of one conductor [mm²].
    cores
        Conductors in one cable, where the marking says.
    """

    awg: int | None
    area_mm2: float | None
    cores: int | None = None

    def __str__(self) -> str:
        size = f"{self.awg} AWG" if self.area_mm2 is None else f"{self.area_mm2:g} mm2"
        if self.awg is not None and self.awg < 0:
            size = f"{1 - self.awg}/0 AWG"
        return size


def parse_conductor(text: str) -> Conductor:
    """Read a conductor as the trade marks it.

    Parameters
    ----------
    text : str
        Such as ``16 AWG``, ``14/2``, ``16-4``, ``2x2.5``, ``2 x 2.5 mm2`` or ``1.5²``.

    Returns
    -------
    Conductor
        Gauge or cross-section [mm²], and the number of cores where the marking says.

    Raises
    ------
    AmbiguousQuantityError
        If a bare number may be a gauge or a cross-section.
    UnreadableQuantityError
        If the text is no conductor, or is a count of strands or a diameter, which do not tell the cross-section.

    Notes
    -----
    Two numbers with a slash or dash are gauge and cores; with a times sign they are cores and square millimetres
    (common practice of the trade in America and elsewhere; no standard).

    Examples
    --------
    >>> parse_conductor("14/2")
    Conductor(awg=14, area_mm2=None, cores=2)
    """
    spelt = _square_spelt(text)
    if match := re.fullmatch(r"([1-4])/0(?: ?awg)?", spelt, re.IGNORECASE):
        return Conductor(1 - int(match[1]), None)
    for pattern, build in _READERS:
        if match := pattern.fullmatch(spelt):
            return _within(build(match, text), text)
    _explain(spelt, text)
    raise UnreadableQuantityError(text, CONDUCTOR_WANTED)


def _square_spelt(text: str) -> str:
    # "mm²", "sq mm" and the bare "²" of some countries' markings become "mm2" before the superscript is lost.
    squared = re.sub(r"\s*(?:mm)?\s*²", " mm2", text)
    return re.sub(r"\b(?:sq\.? ?mm|qmm|mm\^2|mm sq)\b", "mm2", plain_spelling(squared), flags=re.IGNORECASE)


def _gauge(match: re.Match[str], _given: str) -> Conductor:
    if match[1].endswith("/0"):
        return Conductor(1 - int(match[1][0]), None)
    return Conductor(int(match[1]), None)


def _gauge_cores(match: re.Match[str], _given: str) -> Conductor:
    return Conductor(int(match[1]), None, int(match[2]))


def _cores_gauge(match: re.Match[str], _given: str) -> Conductor:
    return Conductor(int(match[2]), None, int(match[1]))


def _cores_area(match: re.Match[str], given: str) -> Conductor:
    cores, size, square = match.groups()
    if square is None and size.isdecimal() and int(size) >= _GAUGE_FROM:
        raise AmbiguousQuantityError(given, (f"{cores}x{size} AWG", f"{cores}x{size} mm2"))
    return Conductor(None, number_of(match[2], given), int(match[1]))


def _area(match: re.Match[str], given: str) -> Conductor:
    return Conductor(None, number_of(match[1], given))


_READERS = (
    (_AWG, _gauge),
    (_AWG_FIRST, _gauge),
    (_AWG_CORES, _gauge_cores),
    (_CORES_AWG, _cores_gauge),
    (_CORES_AREA, _cores_area),
    (_AREA, _area),
)


def _within(conductor: Conductor, given: str) -> Conductor:
    if conductor.awg is not None and conductor.awg > _LIGHTEST_AWG:
        raise UnreadableQuantityError(given, f"a gauge of at most {_LIGHTEST_AWG} AWG")
    if conductor.area_mm2 is not None and not 0 < conductor.area_mm2 <= _AREA_MOST_MM2:
        raise UnreadableQuantityError(given, f"a cross-section above 0 and up to {_AREA_MOST_MM2:g} mm2")
    if conductor.cores is not None and not 1 <= conductor.cores <= _CORES_MOST:
        raise UnreadableQuantityError(given, f"from 1 to {_CORES_MOST} cores")
    return conductor


def _explain(spelt: str, given: str) -> None:
    if _STRANDS.fullmatch(spelt):
        raise UnreadableQuantityError(
            given, "the conductor's cross-section; a count of strands alone does not tell it"
        )
    if _JACKET.fullmatch(spelt):
        wanted = (
            "the conductor's cross-section in mm2 or its gauge; millimetres look like the cable's outside"
        )
        raise UnreadableQuantityError(given, wanted)
    if match := re.fullmatch(_AREAS, spelt):
        if re.search(r"[.,]", match[0]):
            raise AmbiguousQuantityError(given, (f"{match[0].replace(',', '.')} mm2",))
        raise AmbiguousQuantityError(given, (f"{match[0]} AWG", f"{match[0]} mm2"))


__all__ = ["CONDUCTOR_WANTED", "Conductor", "parse_conductor"]
