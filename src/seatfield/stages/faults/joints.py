"""Bad joints: a loss that follows the loudspeaker's impedance, weighed against rooms, tolerances and trims."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import exp

import numpy as np
from numpy.typing import NDArray

from seatfield.model import LoudspeakerModel
from seatfield.stages.faults.known import Plan
from seatfield.stages.faults.treble import THIRDS, Colour, model_run
from seatfield.stages.takes.rehearsal.boxes import box_of, joint_response

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

USED_HZ = (240.0, 10500.0)
OHMS = np.geomspace(1.5, 16.0, 15)
SPREAD_HZ, SPREAD_DB = (1000.0, 2000.0, 4000.0), (3.0, 1.8, 1.1)
ALIKE_OCTAVES = 0.5
LEVEL_DB, HIDDEN_DB = 1.5, 30.0
MORE_SPOTS = 0.85
"""How far first sounds of sound loudspeakers of one model lie apart, by frequency, over how many octaves that is alike,
in level as a whole, and by how much less so where three positions or more are averaged. From simulated rooms of two
kinds with loudspeakers off their symmetry; the level also holds what one example of a model differs from the next:
common practice, no source."""
CLEAR, NO_TRIM, ASK = 1.6, -1.0, 0.8
QUIET_DB, LEAST_DB, APART_DB = 3.0, 1.5, 2.5


@dataclass(frozen=True, slots=True)
class Loss:
    """How much quieter a run is than its peers, and what speaks for a joint.

    Parameters
    ----------
    low_db
        Mean loss from 250 Hz to 10 kHz [dB].
    ohm
        Series resistance that explains it best [ohm].
    for_joint
        By how much the log-likelihood of that resistance exceeds that of a sound run [-].
    for_trim
        The same for a change of level by whatever amount [-].
    """

    low_db: float
    ohm: float
    for_joint: float
    for_trim: float
    peers: tuple[str, ...]
    spots: int

    @property
    def clear(self) -> bool:
        """Whether a joint explains it better than a sound run by far, and no worse than a trim."""
        return self.for_joint > CLEAR and self.for_joint - self.for_trim > NO_TRIM and self.low_db > LEAST_DB

    @property
    def chance(self) -> float:
        """Chance of a joint against a sound run and against a trim, which a bare amplifier makes the less likely."""
        joint, trim = exp(min(self.for_joint, 50.0)), exp(min(self.for_trim + NO_TRIM, 50.0))
        return joint / (1.0 + joint + trim)

    @property
    def worth_a_look(self) -> bool:
        """Whether it may be a joint, or is quieter than sound loudspeakers are."""
        return self.low_db > QUIET_DB or (self.for_joint > ASK and self.low_db > LEAST_DB)


def losses(plan: Plan, found: Mapping[str, Colour], sounds: Mapping[str, str]) -> dict[str, Loss]:
    """Return how much quieter each run is than the other runs of its model.

    Parameters
    ----------
    plan
        Models with their impedances.
    found
        Colours of the first sounds.
    sounds
        For a channel that sounds at another's place, whose loudspeaker it is.

    Returns
    -------
    dict of str to Loss
        Without the runs that have no peer of their model.

    Notes
    -----
    The peer is the loudspeaker on the other side where it is of the same model and not itself far quieter than the
    rest, for its room is the most alike; else the median of all of that model at the same height, for floor and ceiling
    colour the others otherwise. A resistance
    R costs 20 lg |1 + R/Z| where the impedance is Z; Z is drawn as two-way loudspeakers have it, low from 250 to 500 Hz
    and high below the crossover, from the model's figures. In two hundred simulated installs three of 1,400
    sound runs were called a joint, and all but one of the joints that cost 4 dB and more were named; where the
    amplifier was not bare after all, of trims of 3 to 5 dB one in four would be.
    """
    result = {}
    for run, colour in found.items():
        one = model_run(plan, run, sounds)
        peers = _peers(plan, found, run, sounds)
        if one.model is not None and peers:
            usual = _usual([found[other].level_db for other in peers])
            hidden = colour.hidden | np.any([found[other].hidden for other in peers], axis=0)
            result[run] = _weighed(
                one.model, usual - colour.level_db, hidden, peers=peers, spots=colour.spots
            )
    return result


def _usual(levels: list[Array]) -> Array:
    """Return the median of the peers; of two that lie far apart the louder, for faults take away and never add."""
    if len(levels) == 2 and abs(float(np.mean(levels[0] - levels[1]))) > APART_DB:
        return max(levels, key=lambda level: float(np.mean(level)))
    return np.asarray(np.median(levels, axis=0), dtype=np.float64)


def _peers(plan: Plan, found: Mapping[str, Colour], run: str, sounds: Mapping[str, str]) -> tuple[str, ...]:
    """Return the loudspeaker on the other side, else all of the same model and layer.

    Where the others are far louder than the one on the other side, that one may have the same fault: then the others.
    """
    own = model_run(plan, run, sounds)
    known = {other: model_run(plan, other, sounds) for other in found if other != run}
    alike = [
        other for other, one in known.items() if one.model == own.model and one.channel[:1] == own.channel[:1]
    ]
    mirrored = [other for other in alike if known[other].channel == _mirrored(own.channel)]
    rest = [other for other in alike if other not in mirrored]
    if mirrored and rest:
        louder = _usual([found[other].level_db for other in rest]) - found[mirrored[0]].level_db
        return tuple(rest if float(np.mean(louder)) > APART_DB else mirrored)
    return tuple(alike)


def _mirrored(channel: str) -> str:
    """Return the label of the channel on the other side."""
    return channel.translate(str.maketrans("+-", "-+"))


def _weighed(
    model: LoudspeakerModel, lost_db: Array, hidden: Flags, *, peers: tuple[str, ...], spots: int
) -> Loss:
    """Return the loss with its likelihoods; a band that noise hides counts next to nothing."""
    middle_hz = np.array([one.mid_hz for one in THIRDS])
    used = (middle_hz > USED_HZ[0]) & (middle_hz < USED_HZ[1])
    lost, freq_hz = lost_db[used], middle_hz[used]
    own = _covariance(freq_hz, hidden[used], spots)
    weight = np.asarray(np.linalg.inv(own + LEVEL_DB**2), dtype=np.float64)
    box = box_of(model)
    curves = [-20.0 * np.log10(np.abs(joint_response(box, ohm, freq_hz))) for ohm in OHMS]
    sound = _misfit(lost, weight)
    misfits = [_misfit(lost - curve, weight) for curve in curves]
    best = int(np.argmin(misfits))
    plain = np.asarray(np.linalg.inv(own), dtype=np.float64)
    level = float(np.sum(plain @ lost) / np.sum(plain))
    return Loss(
        float(np.mean(lost)),
        float(OHMS[best]),
        sound - misfits[best],
        sound - _misfit(lost - level, weight),
        peers,
        spots,
    )


def _covariance(freq_hz: Array, hidden: Flags, spots: int) -> Array:
    octave = np.log2(freq_hz)
    spread = np.interp(octave, np.log2(SPREAD_HZ), SPREAD_DB) * (MORE_SPOTS if spots >= 3 else 1.0)
    apart = np.abs(octave[:, None] - octave[None, :])
    alike = np.outer(spread, spread) * np.exp(-apart / ALIKE_OCTAVES)
    return np.asarray(alike + np.diag(np.where(hidden, HIDDEN_DB**2, 0.0)))


def _misfit(off: Array, weight: Array) -> float:
    """Return half the deviance of what is left over."""
    return float(0.5 * off @ weight @ off)
