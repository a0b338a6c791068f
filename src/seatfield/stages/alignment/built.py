"""Where the loudspeakers really are, from arrivals at several positions, against the plan."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from seatfield.dsp.locate import NEEDED, Located, Search, locate
from seatfield.model import Finding, Point3, Project, Severity, TakeState
from seatfield.stages.survey import Survey
from seatfield.stages.takes import Known, Spot

TOLD_M = 0.25


@dataclass(frozen=True, slots=True)
class Built:
    """Where one loudspeaker was found.

    Parameters
    ----------
    position, planned
        Found and planned [m].
    off_m, off_deg
        Distance between both, and the angle between them as the main seat sees it [m], [deg].
    half_axes_m
        Of the ellipsoid that holds it at 95 %, the longest first [m].
    axes
        Their directions, unit vectors, in the same order.
    other
        A second place that explains the arrivals nearly as well; None where there is none [m].
    """

    run: str
    position: Point3
    planned: Point3 | None
    off_m: float | None
    off_deg: float | None
    half_axes_m: Point3
    axes: tuple[Point3, Point3, Point3]
    residual_m: float
    other: Point3 | None


def as_built(
    project: Project, survey: Survey, known: Known, spots: Sequence[Spot]
) -> tuple[tuple[Built, ...], tuple[Finding, ...]]:
    """Locate the loudspeakers.

    Parameters
    ----------
    project, survey
        Main seat; outline, inside which loudspeakers stand.
    known
        Planned places and the speed of sound.
    spots
        Positions; those with the amplifier bare count.

    Returns
    -------
    built : tuple of Built
        Empty where there are too few positions: four with a loopback, six with chirps.
    findings : tuple of Finding
        Loudspeakers that stand off the plan by more than their uncertainty.

    Notes
    -----
    Microphones at one height leave the height of a loudspeaker undecided: differ by 40 cm or more.
    """
    bare = [spot for spot in spots if spot.state is TakeState.BARE]
    if not bare or any(spot.reference != bare[0].reference for spot in bare):
        return (), ()
    latency = "each" if bare[0].reference else "known"
    if len(bare) < NEEDED[latency]:
        return (), ()
    runs, times = _times(bare)
    if len(runs) < 2:
        return (), ()
    search = Search(
        speed_m_s=known.speed_of_sound_m_s,
        latency="each" if bare[0].reference else "known",
        box_m=_box(survey),
        latency_limit_s=0.05,
    )
    located = locate(np.array([spot.position for spot in bare]), times, search)
    built = tuple(
        _built(run, located, place, known, project.main_seat.head) for place, run in enumerate(runs)
    )
    return built, tuple(finding for one in built if (finding := _finding(one)) is not None)


def _times(bare: Sequence[Spot]) -> tuple[list[str], np.ndarray]:
    """Return the mains heard at most positions, and their arrivals; not a number where refused [s]."""
    runs = dict.fromkeys(one.run for spot in bare for one in spot.heard if not one.low)
    rows = {}
    for run in runs:
        heard = [spot.of(run) for spot in bare]
        row = [np.nan if one is None or one.arrival.time_s is None else one.arrival.time_s for one in heard]
        if np.sum(np.isfinite(row)) >= 4:
            rows[run] = row
    return list(rows), np.array(list(rows.values()))


def _box(survey: Survey) -> tuple[Point3, Point3]:
    xs, ys = zip(*survey.room.floor, strict=True)
    return (min(xs), min(ys), 0.0), (max(xs), max(ys), max(survey.corner_heights_m))


def _point(values: np.ndarray) -> Point3:
    x, y, z = (float(value) for value in values)
    return x, y, z


def _built(run: str, located: Located, place: int, known: Known, ear: Point3) -> Built:
    found = located.places[place]
    lengths = np.linalg.norm(found.axes_m, axis=1)
    units = found.axes_m / np.maximum(lengths, 1e-9)[:, None]
    planned = known.places.get(run)
    off_m = off_deg = None
    if planned is not None:
        off_m = float(np.linalg.norm(found.position_m - planned))
        off_deg = _angle_deg(found.position_m - np.array(ear), np.subtract(planned, ear))
    return Built(
        run,
        _point(found.position_m),
        planned,
        off_m,
        off_deg,
        _point(lengths),
        (_point(units[0]), _point(units[1]), _point(units[2])),
        found.residual_m,
        None if found.other_m is None else _point(found.other_m),
    )


def _angle_deg(one: np.ndarray, other: np.ndarray) -> float:
    cosine = float(one @ other / max(np.linalg.norm(one) * np.linalg.norm(other), 1e-9))
    return float(np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))))


def _finding(one: Built) -> Finding | None:
    if one.planned is None or one.off_m is None or one.off_m < TOLD_M or _inside(one):
        return None
    return Finding(
        "alignment.off-plan",
        Severity.NOTE,
        one.run,
        f"{one.run} sounds {one.off_m:.2f} m from its planned place, {one.off_deg:.0f}° as the main seat sees it.",
        measured=one.off_m,
        limit=TOLD_M,
        unit="m",
        source="arrivals at several positions, least squares",
        advice="Measure its place with a tape, and correct the plan or the loudspeaker.",
        at=one.position,
    )


def _inside(one: Built) -> bool:
    """Whether the planned place lies inside the ellipsoid."""
    assert one.planned is not None
    away = np.subtract(one.planned, one.position)
    parts = np.array(one.axes) @ away / np.maximum(np.array(one.half_axes_m), 1e-6)
    return bool(np.sum(parts**2) <= 1.0)
