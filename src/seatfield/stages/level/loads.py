"""What each amplifier channel has to drive, held against its lowest allowed load."""

from collections.abc import Iterator
from dataclasses import dataclass

from seatfield.electrical import lowest_impedance_ohm, parallel_ohm
from seatfield.model import Amplifier, Finding, Input, Loudspeaker, LoudspeakerModel, Project, Severity, Trace

CAUTIOUS_IMPEDANCE_OHM = 4.0
"""Taken for the load where the file gives no impedance: the low end of what is sold, common practice [ohm]."""

IEC_60268_5 = "IEC 60268-5: the impedance stays above 80 % of its rating (from memory)"


@dataclass(frozen=True, slots=True)
class Load:
    """The loudspeakers on one amplifier channel, in parallel where there are several.

    Parameters
    ----------
    rated_ohm
        What the load counts as against the amplifier's rating [ohm].
    allowed
        False where it is below the amplifier's lowest allowed load.
    """

    channel: str
    loudspeakers: tuple[Loudspeaker, ...]
    amplifier: Amplifier | None
    rated_ohm: float
    allowed: bool


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


def amplifier_of(project: Project, channel: str) -> Amplifier | None:
    """Return the amplifier whose terminals carry a channel, else the first that amplifies anything.

    Parameters
    ----------
    project
        Everything that the person wrote.
    channel
        The channel's label.

    Returns
    -------
    Amplifier or None
        None where there is no amplifier.
    """
    for amplifier in project.amplifiers:
        if any(channel in terminal.carries for terminal in amplifier.terminals):
            return amplifier
    able = [amplifier for amplifier in project.amplifiers if amplifier.channels > 0]
    return next(iter(able or project.amplifiers), None)


def loads(project: Project) -> tuple[Load, ...]:
    """Return the load on each amplifier channel.

    Parameters
    ----------
    project
        Everything that the person wrote.

    Returns
    -------
    tuple
        One load per channel that has a loudspeaker; several loudspeakers of one channel are in parallel.
    """
    channels = dict.fromkeys(one.channel for one in project.loudspeakers)
    return tuple(_load(project, channel) for channel in channels)


def _load(project: Project, channel: str) -> Load:
    together = tuple(one for one in project.loudspeakers if one.channel == channel)
    ohm = parallel_ohm(*(rated_ohm(project.model_of(one)) for one in together))
    amplifier = amplifier_of(project, channel)
    lowest = amplifier.lowest_load_ohm if amplifier else None
    return Load(channel, together, amplifier, ohm, lowest is None or ohm >= lowest - 1e-9)


def load_findings(project: Project, every: tuple[Load, ...]) -> Iterator[Finding]:
    """Find loads below the amplifier's rating, and impedances that the file does not give.

    Parameters
    ----------
    project
        Everything that the person wrote.
    every
        The loads.

    Yields
    ------
    Finding
        One per load or model.
    """
    for load in every:
        if not load.allowed and load.amplifier is not None and load.amplifier.lowest_load_ohm is not None:
            yield _too_low(project, load, load.amplifier, load.amplifier.lowest_load_ohm)
    used = dict.fromkeys(one.model for load in every for one in load.loudspeakers)
    for model in project.models:
        if model.name in used and model.impedance_ohm is None and model.lowest_impedance_ohm is None:
            yield Finding(
                "level.impedance-unknown",
                Severity.NOTE,
                model.name,
                f"The file does not say the impedance of {model.name}; {CAUTIOUS_IMPEDANCE_OHM:g} ohm is taken for "
                "the load on the amplifier.",
                measured=CAUTIOUS_IMPEDANCE_OHM,
                unit="ohm",
                source="common practice, no source",
                advice="Read the rating on its back, such as 6 ohm or 8 ohm.",
                key=f"{model.key}.impedance",
            )


def _too_low(project: Project, load: Load, amplifier: Amplifier, lowest_ohm: float) -> Finding:
    names = " and ".join(one.id for one in load.loudspeakers)
    several = len(load.loudspeakers) > 1
    cure = (
        "Give each its own amplifier channel; never join two outputs, and do not wire them in parallel."
        if several
        else f"Use an amplifier rated for it, or a loudspeaker of {lowest_ohm:g} ohm or more."
    )
    inputs = tuple(
        Input(f"{one.id}, counted as", rated_ohm(project.model_of(one)), "ohm") for one in load.loudspeakers
    )
    return Finding(
        "level.load-too-low",
        Severity.FIX,
        load.channel,
        f"{names} {'together load' if several else 'loads'} {amplifier.name} with {load.rated_ohm:.1f} ohm; "
        f"it allows {lowest_ohm:g} ohm and more. It may switch off, overheat or fail.",
        measured=load.rated_ohm,
        limit=lowest_ohm,
        unit="ohm",
        source=f"the amplifier's own rating; {IEC_60268_5}",
        advice=cure,
        key=f"{load.loudspeakers[-1].key}.model",
        trace=Trace(
            "1 / Σ(1/Z), Z the rated impedance or the lowest impedance / 0.8, whichever is less", inputs
        ),
    )
