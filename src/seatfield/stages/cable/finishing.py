"""The ends of every run: how they are finished, how they are tested cold, and what may lie flat."""

from seatfield.catalogue.conductors import ConductorSize
from seatfield.catalogue.terminations import READINGS, ending
from seatfield.electrical import cold_reading
from seatfield.model import LoudspeakerModel, TerminalKind
from seatfield.stages.cable.conductor import Load
from seatfield.stages.cable.floor import UNDER_RUG
from seatfield.stages.cable.result import ColdTest, Reading, Run, Termination

ASSUMED_TERMINAL = TerminalKind.BINDING_POST
"""Kind of terminal where nobody tells one: common practice."""

READING_TABLE: tuple[Reading, ...] = tuple(Reading(*row) for row in READINGS)


def cold_test(run: Run, load: Load, model: LoudspeakerModel | None) -> ColdTest:
    """Return the band of a right cold reading of a run.

    Parameters
    ----------
    run
        With its loop resistance.
    load
        The loudspeaker's impedance, told or assumed.
    model
        The loudspeaker's model, for its direct-current resistance and a series capacitor.

    Returns
    -------
    ColdTest
        Loop resistance and the loudspeaker's own; None for both where it reads open though sound.
    """
    capacitor = model is not None and model.series_capacitor
    dc = model.dc_resistance_ohm if model else None
    band = cold_reading(
        run.loop_ohm or 0.0, nominal_ohm=load.nominal_ohm, dc_ohm=dc, series_capacitor=capacitor
    )
    return ColdTest(run.id, band.low_ohm, band.high_ohm, _basis(dc, load, capacitor=capacitor))


def _basis(dc_ohm: float | None, load: Load, *, capacitor: bool) -> str:
    if capacitor:
        return "Reads open though sound: the model is fed through a capacitor."
    if dc_ohm is not None:
        return f"Loop plus the model's {dc_ohm:g} ohm, within 10 % (common practice)."
    told = "nominal" if load.told else "assumed nominal"
    return f"Loop plus 0.6 to 0.85 of {told} {load.nominal_ohm:g} ohm (common practice)."


def terminations(
    run: Run,
    size: ConductorSize | None,
    kinds: tuple[TerminalKind | None, TerminalKind | None] = (None, None),
) -> tuple[Termination, ...]:
    """Return how both ends of a run are finished.

    Parameters
    ----------
    run
        The run.
    size
        Its conductor; None for a line cable.
    kinds
        Kinds of terminal at the amplifier and at the loudspeaker, where they are told.
    """
    return tuple(
        _finished(run, end, size, kind) for end, kind in zip(("amplifier", "loudspeaker"), kinds, strict=True)
    )


def _finished(run: Run, end: str, size: ConductorSize | None, kind: TerminalKind | None) -> Termination:
    how = ending("line socket", 0.0) if size is None else ending(kind or ASSUMED_TERMINAL, size.area_mm2)
    assumed = size is not None and kind is None
    return Termination(
        run.id, end, how.terminal, how.how, how.strip_m, how.note, how.connector, how.for_both, assumed
    )


def lies_flat(run: Run) -> bool:
    """Tell whether a run wants flat cable: it passes under a rug or a carpet's edge, or over a threshold."""
    return any(
        leg.surface == "threshold" or leg.cover == "skirting gap" or leg.cover.startswith(UNDER_RUG)
        for leg in run.legs
    )
