"""What the plan tells the reading of takes: where loudspeakers should be, how fast sound is, where bass hands over."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import dist, sqrt

from seatfield.model import Point3, Project
from seatfield.stages.layout import Layout

USUAL_CROSSOVER_HZ = 80.0


@dataclass(frozen=True, slots=True)
class Known:
    """What is known before a take is read.

    Parameters
    ----------
    places
        Where each loudspeaker and subwoofer should stand [m].
    speed_of_sound_m_s
        Of the room's air [m/s].
    crossover_hz
        Where the bass hands over [Hz]; a subwoofer's arrival is read round it.
    seats
        Where the heads are [m].
    detour_m
        By how much the sound that counts travels farther than straight from the box, where it goes by the ceiling [m].
    """

    places: Mapping[str, Point3]
    speed_of_sound_m_s: float
    crossover_hz: float = USUAL_CROSSOVER_HZ
    seats: Mapping[str, Point3] = field(default_factory=dict)
    detour_m: Mapping[str, float] = field(default_factory=dict)


def known_of(project: Project, layout: Layout) -> Known:
    """Collect what the plan tells the reading of takes.

    Parameters
    ----------
    project
        Subwoofers, temperature, the amplifier's crossovers.
    layout
        The loudspeakers.

    Returns
    -------
    Known
        With the amplifier's crossover nearest to 80 Hz, or 80 Hz.
    """
    head = project.main_seat.head
    everyone = (*layout.loudspeakers, *layout.subwoofers)
    places = {sub.id: sub.at for sub in project.subwoofers if sub.at is not None}
    places |= {one.id: one.at for one in everyone if one.at is not None}
    return Known(
        places,
        speed_of_sound_m_s(project.room.temperature_c),
        usual_crossover_hz(project),
        {seat.name: seat.head for seat in project.seats},
        {
            one.id: one.way_m(head) - dist(one.at, head)
            for one in layout.loudspeakers
            if one.at is not None and one.bounce is not None
        },
    )


def speed_of_sound_m_s(temperature_c: float) -> float:
    """Return the speed of sound in air, 343.2 √(T / 293.15 K) (ISO 9613-1:1993, clause 5) [m/s]."""
    return 343.2 * sqrt((temperature_c + 273.15) / 293.15)


def usual_crossover_hz(project: Project) -> float:
    """Return the crossover of the amplifier's menu that lies nearest to 80 Hz [Hz]."""
    processors = [one for one in project.amplifiers if one.processed] or list(project.amplifiers)
    offered = processors[0].settings.crossovers_hz if processors else ()
    return min(offered, key=lambda hz: abs(hz - USUAL_CROSSOVER_HZ), default=USUAL_CROSSOVER_HZ)
