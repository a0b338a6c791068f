"""What there is to say of loads: what an amplifier channel drives, refuses, or gets warm of."""

from collections.abc import Iterator

from seatfield.decibel import power_db
from seatfield.model import Finding, Input, LoudspeakerModel, Project, Severity, Trace
from seatfield.stages.level.driving import amplifier_volts, nominal_ohm
from seatfield.stages.level.loads import CAUTIOUS_IMPEDANCE_OHM, IEC_60268_5, Load, rated_ohm
from seatfield.stages.level.naming import listed
from seatfield.stages.level.result import AmplifierChannel, ChannelLevel

LEAST_DB = 1.0
"""A lack below this is not told: nobody hears it, and the figures are no better [dB]."""

COUNTED = "the rated impedance or the lowest impedance / 0.8, whichever is less"


def gives_w(load: Load) -> float | None:
    """Return the power that an amplifier channel puts into its load with all channels driven [W]."""
    if load.amplifier is None or not load.allowed:
        return None
    volts = amplifier_volts(load.amplifier, load.nominal_ohm)
    return None if volts is None else volts**2 / load.nominal_ohm


def amplifier_channel(load: Load, at_main: tuple[ChannelLevel, ...]) -> AmplifierChannel:
    """Return what an amplifier channel drives and whether it is overloaded.

    Parameters
    ----------
    load
        The load; its amplifier is known.
    at_main
        Channels at the main seat.

    Returns
    -------
    AmplifierChannel
        `needs_w` is the power of all its loudspeakers together, at the voltage that the neediest of them takes.
    """
    assert load.amplifier is not None
    own = {one.placed.id: one for one in load.loudspeakers}
    volts2 = [
        level.watts_needed_w * nominal_ohm(own[level.id].model)
        for level in at_main
        if level.id in own and level.watts_needed_w is not None
    ]
    needs, gives = max(volts2, default=0.0) / load.nominal_ohm if volts2 else None, gives_w(load)
    overloaded = needs is not None and gives is not None and power_db(needs / gives) >= LEAST_DB
    return AmplifierChannel(
        load.amplifier.name,
        load.terminal,
        load.channel,
        tuple(own),
        load.rated_ohm,
        load.amplifier.lowest_load_ohm,
        load.verdict,
        gives,
        needs,
        overloaded or not load.allowed,
    )


def load_findings(project: Project, every: tuple[Load, ...]) -> Iterator[Finding]:
    """Find loads below or near the amplifier's rating, and impedances that the file does not give.

    Parameters
    ----------
    project
        Everything that the person wrote.
    every
        The loads.

    Yields
    ------
    Finding
        One per refused load, one per amplifier that gets warm or whose rating is missing, one per model.
    """
    keys = {one.id: one.key for one in project.loudspeakers}
    for load in every:
        if not load.allowed:
            yield _too_low(load, keys)
    for amplifier in project.amplifiers:
        own = [load for load in every if load.amplifier is amplifier]
        warm = [load for load in own if load.verdict == "warm"]
        if warm:
            yield _warm(warm)
        if own and amplifier.lowest_load_ohm is None:
            yield _rating_unknown(own)
    used = dict.fromkeys(one.model.name for load in every for one in load.loudspeakers)
    for model in project.models:
        if model.name in used and model.impedance_ohm is None and model.lowest_impedance_ohm is None:
            yield _impedance_unknown(model)


def _too_low(load: Load, keys: dict[str, str]) -> Finding:
    assert load.amplifier is not None
    lowest = load.amplifier.lowest_load_ohm or 0.0
    names, several = listed([one.placed.id for one in load.loudspeakers]), len(load.loudspeakers) > 1
    cure = (
        "Do not connect them: give each its own amplifier channel; never join two outputs, nor wire them in parallel."
        if several
        else f"Do not connect it: use an amplifier rated for it, or a loudspeaker of {lowest:g} ohm or more."
    )
    inputs = tuple(
        Input(f"{one.placed.id}, counted as", rated_ohm(one.model), "ohm") for one in load.loudspeakers
    )
    return Finding(
        "level.load-too-low",
        Severity.STOP,
        load.channel,
        f"{names} {'in parallel load' if several else 'loads'} {load.amplifier.name} with {load.rated_ohm:.1f} ohm; "
        f"it allows {lowest:g} ohm and more. It may switch off, overheat or fail"
        f"{', so no level is told for them.' if several else '.'}",
        measured=load.rated_ohm,
        limit=lowest,
        unit="ohm",
        source=f"the amplifier's own rating; {IEC_60268_5}",
        advice=cure,
        key=f"{keys.get(load.loudspeakers[-1].placed.id, 'loudspeaker')}.model",
        trace=Trace(f"1 / Σ(1/Z), Z {COUNTED}", inputs),
    )


def _warm(warm: list[Load]) -> Finding:
    amplifier = warm[0].amplifier
    assert amplifier is not None
    worst = min(warm, key=lambda load: load.rated_ohm)
    ids = [one.placed.id for load in warm for one in load.loudspeakers]
    return Finding(
        "level.load-warm",
        Severity.NOTE,
        amplifier.name,
        f"{listed(ids)} {'count' if len(ids) > 1 else 'counts'} as {worst.rated_ohm:.1f} ohm: {amplifier.name} allows "
        f"that, but its power is told for {amplifier.into_ohm:g} ohm. It gives no more watts there with all channels "
        "driven, and gets warmer.",
        measured=worst.rated_ohm,
        limit=amplifier.lowest_load_ohm,
        unit="ohm",
        source=f"the amplifier's own rating; {IEC_60268_5}; common practice, no source",
        advice="Leave the free space round it that its manual asks for, and cover no vents.",
        key=f"{amplifier.key}.lowest_load",
        trace=Trace(
            COUNTED,
            tuple(Input(f"{load.channel}, counted as", load.rated_ohm, "ohm") for load in warm),
        ),
    )


def _rating_unknown(own: list[Load]) -> Finding:
    amplifier = own[0].amplifier
    assert amplifier is not None
    worst = min(own, key=lambda load: load.rated_ohm)
    return Finding(
        "level.lowest-load-unknown",
        Severity.NOTE,
        amplifier.name,
        f"The file does not say the lowest load that {amplifier.name} allows, so nothing is said of its "
        f"{worst.rated_ohm:.1f} ohm on {worst.channel}.",
        measured=worst.rated_ohm,
        unit="ohm",
        source=f"the models' figures; {IEC_60268_5}",
        advice="Read it beside its loudspeaker terminals, such as 4–16 ohm, and type `lowest_load`.",
        key=f"{amplifier.key}.lowest_load",
        trace=Trace(COUNTED, (Input(f"{worst.channel}, counted as", worst.rated_ohm, "ohm"),)),
    )


def _impedance_unknown(model: LoudspeakerModel) -> Finding:
    return Finding(
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
        trace=Trace("the low end of what is sold", (Input("taken", CAUTIOUS_IMPEDANCE_OHM, "ohm"),)),
    )
