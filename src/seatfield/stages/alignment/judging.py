"""Values that another calibration arrived at, judged line by line: normal, suspicious, wrong."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import dist
from statistics import median

from seatfield.model import AmplifierSettings, LengthUnit, LoudspeakerModel, Project
from seatfield.stages.alignment.choosing import CORNER_MARGIN, HIGHEST_HZ
from seatfield.stages.alignment.result import Alignment
from seatfield.stages.layout import Layout
from seatfield.stages.survey import tell
from seatfield.stages.takes import known_of

NORMAL, SUSPICIOUS, WRONG = "normal", "suspicious", "wrong"
LEAVE = "Leave it."
DISTANCE_M = (0.15, 0.40)
TRIM_DB = (1.5, 3.0)
SUB_TRIM_DB = (4.0, 8.0)
SUB_EXTRA_M, SUB_FAR_M = 4.5, 9.0
"""How far from ours a value may lie to be normal, and to be no more than suspicious: common practice, no source. The
filters of a subwoofer and its crossover delay it by up to some 13 ms, which reads as 4.5 m."""


@dataclass(frozen=True, slots=True)
class Typed:
    """What stands in the amplifier for one run; None where it is not known.

    Parameters
    ----------
    crossover_hz
        0 for full range.
    """

    run: str
    distance_m: float | None = None
    trim_db: float | None = None
    crossover_hz: float | None = None


@dataclass(frozen=True, slots=True)
class Judged:
    """One value, judged.

    Parameters
    ----------
    what
        ``distance``, ``trim`` or ``crossover``.
    expected
        What these takes, or the plan where there are none, would make of it, moved by what all channels share.
    unit
        Of both.
    """

    run: str
    what: str
    typed: float
    expected: float | None
    unit: str
    verdict: str
    message: str


def judge(
    project: Project, layout: Layout, alignment: Alignment | None, typed: Sequence[Typed]
) -> tuple[Judged, ...]:
    """Judge typed values line by line.

    Parameters
    ----------
    project, layout
        The plan: tape distances, models.
    alignment
        From takes; without it only the plan speaks.
    typed
        What stands in the amplifier.

    Returns
    -------
    tuple of Judged
        Most are normal, and the usual advice is to leave them. Only differences between channels count: a common shift
        of all distances or trims changes nothing.
    """
    found: list[Judged] = []
    found += _distances(project, layout, alignment, typed)
    found += _trims(project, alignment, typed)
    found += _crossovers(project, layout, typed)
    return tuple(found)


def _tape_m(project: Project, layout: Layout) -> dict[str, float]:
    """Return what a tape reads from the main seat's head, by the ceiling where the sound goes so [m]."""
    known, head = known_of(project, layout), project.main_seat.head
    return {run: dist(at, head) + known.detour_m.get(run, 0.0) for run, at in known.places.items()}


def _lows(project: Project) -> frozenset[str]:
    return frozenset(sub.id for sub in project.subwoofers)


def _distances(
    project: Project, layout: Layout, alignment: Alignment | None, typed: Sequence[Typed]
) -> Iterator[Judged]:
    tape = _tape_m(project, layout)
    ours = {one.run: one.distance_m for one in alignment.channels} if alignment else tape
    lows = _lows(project)
    given = {one.run: one.distance_m for one in typed if one.distance_m is not None}
    shift = _shift({run: value for run, value in given.items() if run not in lows}, ours)
    for run, value in given.items():
        expected = ours[run] + shift if run in ours else None
        if run in lows:
            yield _sub_distance(run, value, expected if alignment else None, tape.get(run), project.units)
        elif expected is not None:
            yield _distance(run, value, expected, project.units, measured=alignment is not None)


def _shift(given: Mapping[str, float], ours: Mapping[str, float]) -> float:
    """Return what all channels share; one channel alone shares nothing."""
    offs = [value - ours[run] for run, value in given.items() if run in ours]
    return median(offs) if len(offs) > 1 else 0.0


def _distance(run: str, value: float, expected: float, units: LengthUnit, *, measured: bool) -> Judged:
    off = value - expected
    source = "the takes" if measured else "the tape"
    near, far = DISTANCE_M
    allowed = max(near, 0.04 * expected)
    if abs(off) <= allowed:
        return Judged(run, "distance", value, expected, "m", NORMAL, f"It agrees with {source}. {LEAVE}")
    late = "farther" if off > 0 else "nearer"
    reason = "It may have heard a reflection first." if off > 0 else "It may have heard a noise first."
    read = f"It reads {tell(abs(off), units)} {late} than {source} let expect. {reason}"
    if abs(off) <= far:
        told = f"{read} Measure again before you change it."
        return Judged(run, "distance", value, expected, "m", SUSPICIOUS, told)
    told = f"{read} Type {tell(expected, units)}."
    return Judged(run, "distance", value, expected, "m", WRONG, told)


def _sub_distance(
    run: str, value: float, expected: float | None, tape: float | None, units: LengthUnit
) -> Judged:
    shown = expected if expected is not None else tape
    if expected is not None and abs(value - expected) <= 0.8:
        return Judged(run, "distance", value, shown, "m", NORMAL, f"It agrees with the takes. {LEAVE}")
    if tape is None:
        return Judged(
            run,
            "distance",
            value,
            shown,
            "m",
            SUSPICIOUS,
            "The plan does not say where it stands: nothing to judge by.",
        )
    if 0.9 * tape <= value <= tape + SUB_EXTRA_M:
        told = (
            f"A tape reads {tell(tape, units)}. It may well read up to {tell(tape + SUB_EXTRA_M, units)}: the filters "
            f"of subwoofer and crossover delay it, and its distance makes up for that. {LEAVE}"
        )
        return Judged(run, "distance", value, shown, "m", NORMAL, told)
    if value > tape + SUB_FAR_M:
        late_ms = (value - tape) / 0.343
        told = f"No usual filter delays a subwoofer by {late_ms:.0f} ms. Measure again, and compare its polarity."
        return Judged(run, "distance", value, shown, "m", WRONG, told)
    short = "shorter than a tape reads" if value < tape else "longer than filters alone explain"
    told = f"It is {short} ({tell(tape, units)}). A radio link or a fixed delay may be why. Compare by ear or take it."
    return Judged(run, "distance", value, shown, "m", SUSPICIOUS, told)


def _trims(project: Project, alignment: Alignment | None, typed: Sequence[Typed]) -> Iterator[Judged]:
    menu = _menu(project)
    ours = {one.run: one.trim_db for one in alignment.channels} if alignment else {}
    lows = _lows(project)
    given = {one.run: one.trim_db for one in typed if one.trim_db is not None}
    mains = {run: value for run, value in given.items() if run not in lows and run in ours}
    shift = _shift(mains, ours)
    for run, value in given.items():
        if value in menu.trim_range_db:
            told = "It stands at the end of the menu: more was wanted. Turn the loudspeaker's own level knob first."
            yield Judged(run, "trim", value, None, "dB", SUSPICIOUS, told)
        elif len(mains) == 1 and run in mains:
            told = (
                "Alone it says nothing: only differences between channels count. Give the others' trims too."
            )
            yield Judged(run, "trim", value, None, "dB", NORMAL, told)
        elif run in ours:
            yield _trim(run, value, ours[run] + shift, SUB_TRIM_DB if run in lows else TRIM_DB)
        elif abs(value) <= 6.0:
            yield Judged(run, "trim", value, None, "dB", NORMAL, f"Usual, though no take says so. {LEAVE}")
        else:
            told = "It is large, and no take says why. Take the main seat."
            yield Judged(run, "trim", value, None, "dB", SUSPICIOUS, told)


def _menu(project: Project) -> AmplifierSettings:
    processors = [one for one in project.amplifiers if one.processed] or list(project.amplifiers)
    return processors[0].settings if processors else AmplifierSettings()


def _trim(run: str, value: float, expected: float, limits: tuple[float, float]) -> Judged:
    off = value - expected
    if abs(off) <= limits[0]:
        return Judged(run, "trim", value, expected, "dB", NORMAL, f"It agrees with the takes. {LEAVE}")
    loud = "louder" if off > 0 else "quieter"
    if abs(off) <= limits[1]:
        told = f"It is {abs(off):.1f} dB {loud} than the takes let expect: taste, or another place of the microphone."
        return Judged(run, "trim", value, expected, "dB", SUSPICIOUS, told)
    told = (
        f"It is {abs(off):.1f} dB {loud} than the takes let expect. Type {expected:.1f} dB, or take it again."
    )
    return Judged(run, "trim", value, expected, "dB", WRONG, told)


def _crossovers(project: Project, layout: Layout, typed: Sequence[Typed]) -> Iterator[Judged]:
    models = {model.name: model for model in project.models}
    model_of = {one.id: models.get(one.model) for one in layout.loudspeakers}
    for one in typed:
        if one.crossover_hz is not None and one.run in model_of:
            yield _crossover(one.run, one.crossover_hz, model_of[one.run], has_sub=bool(project.subwoofers))


def _crossover(run: str, value: float, model: LoudspeakerModel | None, *, has_sub: bool) -> Judged:
    corner = model.low_corner_hz if model else None
    wanted = None if corner is None else CORNER_MARGIN * corner
    verdict, message = _full_range(corner, has_sub=has_sub) if value == 0.0 else _handed_over(value, corner)
    return Judged(run, "crossover", value, wanted, "Hz", verdict, message)


def _full_range(corner: float | None, *, has_sub: bool) -> tuple[str, str]:
    if not has_sub:
        return NORMAL, f"Full range is right without a subwoofer. {LEAVE}"
    if corner is not None and corner <= 40.0:
        return NORMAL, f"It reaches {corner:.0f} Hz itself. {LEAVE} 80 Hz would spare it."
    return WRONG, "Full range, beside a subwoofer that it could hand its bass to: set it to small, 80 Hz."


def _handed_over(value: float, corner: float | None) -> tuple[str, str]:
    if corner is not None and value < corner:
        return (
            WRONG,
            f"Under its own corner of {corner:.0f} Hz: a hole. Choose {CORNER_MARGIN * corner:.0f} Hz or more.",
        )
    if value > HIGHEST_HZ:
        return SUSPICIOUS, f"Over {HIGHEST_HZ:.0f} Hz the subwoofer gives away where it stands."
    if corner is not None and value < CORNER_MARGIN * corner:
        return (
            SUSPICIOUS,
            f"Close to its corner of {corner:.0f} Hz; {CORNER_MARGIN * corner:.0f} Hz or more is safer.",
        )
    return NORMAL, LEAVE
