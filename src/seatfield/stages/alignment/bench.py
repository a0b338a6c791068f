"""The measured responses as complex numbers on one axis: every run at every position, amplifier bare."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from seatfield.dsp.level import log_axis, transfer_at
from seatfield.model import AmplifierSettings, ChannelSetting, Project
from seatfield.stages.takes import Heard, Spot
from seatfield.stages.takes.filters import high_pass, lfe_limit, low_pass, setting_response
from seatfield.stages.takes.telling import deviation_db

Complex = NDArray[np.complex128]
Array = NDArray[np.float64]

AXIS_HZ = (20.0, 320.0)
PER_OCTAVE = 24
FROM_S, TO_S = -0.03, 0.7


@dataclass(frozen=True, slots=True)
class Wishes:
    """What a person may choose.

    Parameters
    ----------
    all_seats
        Whether delays and trims are fair to all seats; else they are right at the main seat.
    slope_db_per_octave
        Of the target; negative falls towards the treble.
    bass_db
        By how much the bass under the crossover should lie over the rest, at its lowest octave.
    lfe_limit_hz
        Corner of the amplifier's limit of the low-frequency channel [Hz]; None where it has none.
    filters
        Bands of the equaliser; as many as the amplifier has where left out.
    """

    all_seats: bool = False
    slope_db_per_octave: float = -0.5
    bass_db: float = 0.0
    lfe_limit_hz: float | None = 120.0
    filters: int | None = None


class Bench:
    """Responses of the mains, and of the groups of subwoofers that share an output."""

    def __init__(
        self, project: Project, spots: Sequence[Spot], outputs: dict[str, str], wishes: Wishes
    ) -> None:
        """Hold the spots; `outputs` names the output of each subwoofer."""
        self.project, self.spots, self.wishes = project, tuple(spots), wishes
        self.outputs = outputs
        self.freq_hz: Array = log_axis(*AXIS_HZ, PER_OCTAVE)

    @cached_property
    def amplifier(self) -> AmplifierSettings:
        """Menus of the processor."""
        processors = [one for one in self.project.amplifiers if one.processed] or list(
            self.project.amplifiers
        )
        return processors[0].settings if processors else AmplifierSettings()

    @cached_property
    def mains(self) -> tuple[str, ...]:
        """Runs that were heard at every position, without the low-frequency channels."""
        return tuple(run for run in self._runs(low=False) if all(spot.of(run) for spot in self.spots))

    @cached_property
    def subs(self) -> tuple[str, ...]:
        """Subwoofers that were heard at every position."""
        return tuple(run for run in self._runs(low=True) if all(spot.of(run) for spot in self.spots))

    def _runs(self, *, low: bool) -> list[str]:
        return list(dict.fromkeys(one.run for spot in self.spots for one in spot.heard if one.low is low))

    def heard(self, spot: Spot, run: str) -> Heard:
        """Return the response of a run at a position where it was heard."""
        one = spot.of(run)
        assert one is not None
        return one

    @cached_property
    def responses(self) -> dict[str, Complex]:
        """Each run's response, shape (positions, frequencies); a subwoofer's without the channel's gain and limit."""
        limit = lfe_limit(self.freq_hz, self.wishes.lfe_limit_hz)
        return {
            run: self._response(run) / (limit if run in self.subs else 1.0)
            for run in (*self.mains, *self.subs)
        }

    def _response(self, run: str) -> Complex:
        rows = []
        for spot in self.spots:
            one = self.heard(spot, run)
            off_db = deviation_db(one.compensation, self.freq_hz)
            rows.append(transfer_at(one.response, self.freq_hz, FROM_S, TO_S) * 10.0 ** (-off_db / 20.0))
        return np.array(rows)

    @cached_property
    def groups(self) -> dict[str, tuple[str, ...]]:
        """Subwoofers by the output that they share."""
        found: dict[str, list[str]] = {}
        for run in self.subs:
            found.setdefault(self.outputs.get(run) or run, []).append(run)
        return {output: tuple(runs) for output, runs in found.items()}

    def group_response(self, output: str) -> Complex:
        """Return what the subwoofers of one output do together."""
        return np.asarray(np.sum([self.responses[run] for run in self.groups[output]], axis=0))

    def through_high(self, run: str, setting: ChannelSetting) -> Complex:
        """Return a main's response through its part of the crossover and its settings."""
        part = self.responses[run] * setting_response(setting, self.freq_hz)
        if setting.crossover_hz is None:
            return np.asarray(part)
        return np.asarray(part * high_pass(self.amplifier, setting.crossover_hz, self.freq_hz))

    def through_low(self, output: str, crossover_hz: float, setting: ChannelSetting) -> Complex:
        """Return an output's subwoofers through the low part of a main's crossover and their own settings."""
        part = self.group_response(output) * setting_response(setting, self.freq_hz)
        return np.asarray(part * low_pass(self.amplifier, crossover_hz, self.freq_hz))

    def whole(self, run: str, settings: Mapping[str, ChannelSetting]) -> Complex:
        """Return a main channel with its bass from the subwoofers, shape (positions, frequencies)."""
        own = settings[run]
        total: Complex = self.through_high(run, own)
        if own.crossover_hz is None:
            return total
        for output, runs in self.groups.items():
            if runs[0] not in settings:
                continue
            total = total + self.through_low(output, own.crossover_hz, settings[runs[0]])
        return np.asarray(total)
