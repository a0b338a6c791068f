"""What each amplifier channel has to drive, held against its lowest allowed load."""

from dataclasses import dataclass

from seatfield.electrical import lowest_impedance_ohm, parallel_ohm
from seatfield.model import Amplifier, LoudspeakerModel, Project
from seatfield.stages.layout.result import Layout, Placed
from seatfield.stages.terminals import TerminalUse

CAUTIOUS_IMPEDANCE_OHM = 4.0
"""Taken for the load where the file gives no impedance: the low end of what is sold, common practice [ohm]."""

WARM_SHARE = 0.75
"""A load below this share of the impedance that the amplifier's power is told for warms it: common practice, no
source; 6 ohm on an 8 ohm rating is usual [-]."""

IEC_60268_5 = "IEC 60268-5: the impedance stays above 80 % of its rating (from memory)"


@dataclass(frozen=True, slots=True)
class Driven:
    """A loudspeaker of the layout with its model's figures."""

    placed: Placed
    model: LoudspeakerModel


@dataclass(frozen=True, slots=True)
class Load:
    """The loudspeakers on one amplifier channel, in parallel where there are several.

    Parameters
    ----------
    terminal
        In the words of the amplifier's back panel.
    amplifier
        None where the file has none, or none of its channels is left for this one.
    left_out
        True where there are amplifiers, but no channel for this one.
    rated_ohm
        What the load counts as against the amplifier's rating [ohm].
    nominal_ohm
        Nominal impedances in parallel, the cautious one where the file gives none [ohm].
    """

    channel: str
    terminal: str
    loudspeakers: tuple[Driven, ...]
    amplifier: Amplifier | None
    left_out: bool
    rated_ohm: float
    nominal_ohm: float

    @property
    def allowed(self) -> bool:
        """False where the load is below what the amplifier allows."""
        lowest = self.amplifier.lowest_load_ohm if self.amplifier else None
        return lowest is None or self.rated_ohm >= lowest - 1e-9

    @property
    def refused(self) -> bool:
        """True where several loudspeakers in parallel are below what the amplifier allows: they are not joined."""
        return len(self.loudspeakers) > 1 and not self.allowed

    @property
    def verdict(self) -> str:
        """``fine``, ``warm``, ``refused`` or ``unknown``."""
        if self.amplifier is None or self.amplifier.lowest_load_ohm is None:
            return "unknown"
        if not self.allowed:
            return "refused"
        return "warm" if self.rated_ohm < WARM_SHARE * self.amplifier.into_ohm - 1e-9 else "fine"


def rated_ohm(model: LoudspeakerModel) -> float:
    """Return what a loudspeaker counts as against an amplifier's rating.

    Parameters
    ----------
    model
        The loudspeaker's figures.

    Returns
    -------
    float
        Nominal impedance, or less where its lowest impedance is under 80 % of it [ohm].

    References
    ----------
    IEC 60268-5, clause 16.1 (from memory).
    """
    nominal = model.impedance_ohm or (None if model.lowest_impedance_ohm else CAUTIOUS_IMPEDANCE_OHM)
    honest = model.lowest_impedance_ohm / lowest_impedance_ohm(1.0) if model.lowest_impedance_ohm else None
    return max(min(value for value in (nominal, honest) if value is not None), 0.01)


def loads(project: Project, layout: Layout, uses: tuple[TerminalUse, ...]) -> tuple[Load, ...]:
    """Return the load on each amplifier channel.

    Parameters
    ----------
    project
        Everything that the person wrote.
    layout
        The loudspeakers; those that the program merely suggests have no model and no load.
    uses
        Which loudspeaker goes on which terminal.

    Returns
    -------
    tuple
        One load per amplifier channel. Loudspeakers of one channel hang on the receiver's one output for it, in
        parallel; on an external amplifier each has a channel of its own.
    """
    models = {model.name: model for model in project.models}
    by_run = {use.run: use for use in uses}
    groups: dict[tuple[str, str], list[Driven]] = {}
    for one in layout.loudspeakers:
        if one.model in models and not one.channel.startswith("LFE"):
            groups.setdefault(_output(by_run.get(one.id), one), []).append(Driven(one, models[one.model]))
    return tuple(_load(project, by_run, together) for together in groups.values())


def _output(use: TerminalUse | None, one: Placed) -> tuple[str, str]:
    """Return what tells amplifier channels apart: the amplifier, and the channel or the external one's terminal."""
    if use is None:
        return "", one.channel
    return use.amplifier, f"{use.terminal} of its own for {one.id}" if use.pre_out else one.channel


def _load(project: Project, by_run: dict[str, TerminalUse], together: list[Driven]) -> Load:
    first = together[0].placed
    use = by_run.get(first.id)
    name = use.amplifier if use else ""
    amplifier = next((one for one in project.amplifiers if name and one.name == name), None)
    nominal = (one.model.impedance_ohm or rated_ohm(one.model) for one in together)
    return Load(
        first.channel,
        use.terminal if use else "",
        tuple(together),
        amplifier,
        bool(project.amplifiers) and amplifier is None,
        parallel_ohm(*(rated_ohm(one.model) for one in together)),
        parallel_ohm(*(max(value, 0.01) for value in nominal)),
    )
