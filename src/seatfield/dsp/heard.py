"""What one response says: arrival, polarity, levels, decays, reflections."""

from dataclasses import dataclass, field

import numpy as np

from seatfield.dsp.arrival import Arrival, arrival, band_arrival
from seatfield.dsp.bands import Band, bands
from seatfield.dsp.decay import Decay, decay
from seatfield.dsp.distortion import Distortion
from seatfield.dsp.impulse import ImpulseResponse
from seatfield.dsp.level import BandLevel, band_levels
from seatfield.dsp.polarity import Polarity, polarity
from seatfield.dsp.rattle import Rattle
from seatfield.dsp.reflections import Reflection, early_reflections

BASS, REST = Band(60.0, 30.0, 120.0), Band(950.0, 300.0, 3000.0)
BASS_ONLY_DB = 18.0


@dataclass(frozen=True, slots=True)
class Wanted:
    """What to read from a response.

    Attributes
    ----------
    level_bands, decay_bands, distortion_bands : tuple of Band
        Bands of each reading.
    rattles : bool
        Whether to look for buzzing things.
    """

    level_bands: tuple[Band, ...] = field(default_factory=lambda: bands(20.0, 16000.0, 3))
    decay_bands: tuple[Band, ...] = field(default_factory=lambda: bands(63.0, 8000.0))
    distortion_bands: tuple[Band, ...] = field(default_factory=lambda: bands(40.0, 4000.0, 3))
    rattles: bool = True


@dataclass(frozen=True, slots=True)
class Heard:
    """The response of a recording and what it says.

    Attributes
    ----------
    response : ImpulseResponse
        Linear response; its origin is the chirp's moment, of the loopback where there is one.
    arrival : Arrival
        First sound above 200 Hz; refused where there is only bass.
    polarity : Polarity
        Of the woofer; unknown where there is only bass.
    levels : tuple of BandLevel
        Mean gain in bands.
    decays : tuple of Decay
        Decay times in bands.
    reflections : tuple of Reflection
        Early reflections; none where the arrival is refused.
    bass_only : bool
        Whether the bass lies 18 dB or more above what is left from 300 Hz to 3 kHz, as of a subwoofer.
    bass_arrival : Arrival or None
        Arrival in the octave around the crossover, where one was named.
    distortion : tuple of Distortion
        Harmonic distortion in bands.
    rattles : tuple of Rattle
        Buzzing things.
    """

    response: ImpulseResponse
    arrival: Arrival
    polarity: Polarity
    levels: tuple[BandLevel, ...]
    decays: tuple[Decay, ...]
    reflections: tuple[Reflection, ...]
    bass_only: bool = False
    bass_arrival: Arrival | None = None
    distortion: tuple[Distortion, ...] = ()
    rattles: tuple[Rattle, ...] = ()

    @property
    def moment_s(self) -> float | None:
        """Arrival that holds: in the bass where a crossover was named, else the first sound [s]."""
        return self.arrival.time_s if self.bass_arrival is None else self.bass_arrival.time_s

    @property
    def refused(self) -> Arrival | None:
        """The arrival that holds, where it is refused."""
        one = self.arrival if self.bass_arrival is None else self.bass_arrival
        return one if one.time_s is None else None


def listen(
    response: ImpulseResponse, wanted: Wanted, *, edge_hz: float = 22000.0, crossover_hz: float | None = None
) -> Heard:
    """Return what a response says.

    Parameters
    ----------
    response : ImpulseResponse
        Linear response whose last quarter holds only noise.
    wanted : Wanted
        Bands to read.
    edge_hz : float
        Highest frequency that was played. [Hz]
    crossover_hz : float, optional
        Crossover of a subwoofer, in whose octave its arrival is defined. [Hz]

    Returns
    -------
    Heard
        Without distortion and rattles, which need the recording.
    """
    first = arrival(response, edge_hz)
    bass_only = _bass_only(response, first)
    in_bass = (
        None if crossover_hz is None else band_arrival(response, crossover_hz / 2**0.5, crossover_hz * 2**0.5)
    )
    if bass_only:
        near_s = (in_bass or band_arrival(response, BASS.low_hz, BASS.high_hz)).near_s
        first = Arrival(None, _ONLY_BASS, first.headroom_db, near_s)
    return Heard(
        response,
        first,
        Polarity("unknown", 0.5, _NO_SIGN) if bass_only else polarity(response, first),
        band_levels(response, wanted.level_bands, first.near_s),
        tuple(decay(response, part, first.near_s) for part in wanted.decay_bands),
        () if first.time_s is None else early_reflections(response, first.near_s),
        bass_only,
        in_bass,
    )


_ONLY_BASS = (
    "There is only bass, whose beginning cannot be told from a first sound. Name the crossover: a subwoofer's "
    "arrival is defined in its band there."
)
_NO_SIGN = (
    "there is only bass, whose first movement the crossover's filters turn about: judge its polarity against the other "
    "loudspeakers at the crossover"
)


def _bass_only(response: ImpulseResponse, first: Arrival) -> bool:
    """Tell whether there is only bass, from a window that does not cut into its rise, which would look like treble."""
    begins_s = first.near_s
    if first.time_s is None:
        begins_s = min(begins_s, band_arrival(response, BASS.low_hz, BASS.high_hz).near_s)
    bass, rest = band_levels(response, (BASS, REST), begins_s)
    if bass.level_db is None:
        return False
    ceiling_db = rest.noise_db if rest.level_db is None else rest.level_db
    return bool(np.isfinite(ceiling_db) and bass.level_db > ceiling_db + BASS_ONLY_DB)
