"""The bass of the rehearsal's room: its modes in place of image sources, faded into each other about 120 Hz."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seatfield.dsp.arrays import Vector, bin_frequencies
from seatfield.model import Point3
from seatfield.stages.bass.shell import shell_of
from seatfield.stages.bass.space import Space, Span, solve
from seatfield.stages.survey import Survey
from seatfield.stages.takes.rehearsal.rooms import LENGTH_S, Room

LOWEST_HZ, MODES_HZ, IMAGES_HZ = 12.0, 95.0, 150.0
SOLVED_HZ = 190.0


def with_modes(
    room: Room, survey: Survey, sources: Sequence[Point3], speed_of_sound_m_s: float, rate_hz: int
) -> Room:
    """Return a room whose bass comes from its modes.

    Parameters
    ----------
    room
        For everything above.
    survey
        Outline, ceiling and finishes.
    sources
        Where loudspeakers and subwoofers stand [m]; others keep the bass of `room`.
    speed_of_sound_m_s
        Speed of sound [m/s].
    rate_hz
        Sample rate [Hz].

    Returns
    -------
    callable
        The room as given where its modes cannot be found.

    Notes
    -----
    Modes up to 95 Hz, images from 150 Hz, a raised-cosine flank between. Below 12 Hz the images' bass stays. The modes'
    losses are the bass stage's own, which hold the furniture that stands in the plan; what `SCATTERED` takes from the
    images is not taken from them again.
    """
    count = round(LENGTH_S * rate_hz)
    freq_hz = bin_frequencies(count, rate_hz)
    inside = (freq_hz >= LOWEST_HZ) & (freq_hz <= IMAGES_HZ)
    try:
        space = solve(
            shell_of(survey),
            (),
            tuple(sources),
            speed_of_sound_m_s,
            Span(to_hz=SOLVED_HZ, freq_hz=freq_hz[inside]),
        )
    except ValueError:  # an outline without modes that can be found
        return room
    return _Faded(room, space, tuple(sources), Mix(_share(freq_hz), inside))


def _share(freq_hz: Vector) -> Vector:
    """Return the share of the modes at each frequency [1]."""
    place = np.clip((np.log2(np.maximum(freq_hz, 1e-3) / MODES_HZ)) / np.log2(IMAGES_HZ / MODES_HZ), 0.0, 1.0)
    low = np.clip((freq_hz - LOWEST_HZ) / 4.0, 0.0, 1.0)
    share: Vector = (0.5 + 0.5 * np.cos(np.pi * place)) * low
    return share


@dataclass(frozen=True, slots=True)
class Mix:
    """The share of the modes at each frequency [1], and which frequencies have any."""

    share: Vector
    inside: NDArray[np.bool_]


class _Faded:
    """The room with modes and images faded into each other; what one microphone hears of all sources is kept."""

    def __init__(self, room: Room, space: Space, sources: tuple[Point3, ...], mix: Mix) -> None:
        self.room, self.space, self.sources, self.mix = room, space, sources, mix
        self._kept: tuple[Point3, NDArray[np.complex128]] | None = None

    def __call__(self, source: Point3, microphone: Point3) -> Vector:
        from scipy.fft import irfft, rfft

        response = self.room(source, microphone)
        if source not in self.sources:
            return response
        count = 2 * (len(self.mix.share) - 1)
        spectrum = rfft(response[:count], count)
        modes = np.zeros(len(self.mix.share), dtype=np.complex128)
        modes[self.mix.inside] = self._heard(microphone)[self.sources.index(source)]
        mixed: Vector = irfft(self.mix.share * modes + (1.0 - self.mix.share) * spectrum, count)
        return mixed * _ending(count)

    def _heard(self, microphone: Point3) -> NDArray[np.complex128]:
        if self._kept is None or self._kept[0] != microphone:
            heard = self.space.hear(np.array(self.sources), np.array([microphone]))[:, 0]
            self._kept = (microphone, heard)
        return self._kept[1]


def _ending(count: int) -> Vector:
    """Return a window that lets the last tenth die away."""
    place = np.clip((np.arange(count) / count - 0.9) / 0.1, 0.0, 1.0)
    return 0.5 + 0.5 * np.cos(np.pi * place)
