"""The conductor of each run: the smallest that keeps the loop's resistance a small share of the lowest impedance."""

from dataclasses import dataclass

from seatfield.catalogue.conductors import GAUGES, METRIC, ConductorSize, conductor_size, nearest_in
from seatfield.electrical import (
    damping_factor,
    level_loss_db,
    loop_resistance_ohm,
    lowest_impedance_ohm,
    ripple_db,
    share_of_load,
)
from seatfield.model import LengthUnit, LoudspeakerModel, Project
from seatfield.stages.cable.result import Conductor

SHARE_LIMIT = 0.05
"""Loop resistance over lowest impedance that a run may have: common practice, no source."""

LOSS_LIMIT_DB = 0.5
"""The laxer rule: level lost at the lowest impedance. Common practice, no source."""

SHARE_TO_MEND = 0.10
"""Loop resistance over lowest impedance from which a run is mended whatever it loses: common practice, no source."""

ASSUMED_OHM = 4.0
"""Nominal impedance taken where none is told, the careful side."""

STEP = 0.8
"""A next size that resists more than this share of the chosen one is the same size in the other system."""

SHARE_FORMULA = "2 × length × resistance per metre ÷ lowest impedance"


@dataclass(frozen=True, slots=True)
class Load:
    """A loudspeaker as a load.

    Parameters
    ----------
    nominal_ohm
        Rated, or assumed [ohm].
    lowest_ohm
        As told, else 0.8 of nominal (IEC 60268-5, from memory) [ohm].
    highest_ohm
        As told [ohm].
    told
        False where nothing is known of the impedance.
    """

    nominal_ohm: float
    lowest_ohm: float
    highest_ohm: float | None
    told: bool


@dataclass(frozen=True, slots=True)
class Choice:
    """The chosen size with everything that was weighed."""

    size: ConductorSize
    chosen: Conductor
    weighed: tuple[Conductor, ...]
    half_decibel: str
    adequate: bool
    ripple_db: float | None
    damping: float
    elsewhere: str
    enough: str


def load_of(model: LoudspeakerModel | None) -> Load:
    """Return a loudspeaker's load from its model's figures.

    Parameters
    ----------
    model
        The model; None where the layout knows none.

    Returns
    -------
    Load
        4 ohm nominal where nothing is told.
    """
    nominal = model.impedance_ohm if model else None
    lowest = model.lowest_impedance_ohm if model else None
    if nominal is None:
        nominal = ASSUMED_OHM if lowest is None else lowest / 0.8
    told = model is not None and (model.impedance_ohm is not None or model.lowest_impedance_ohm is not None)
    return Load(
        nominal, lowest or lowest_impedance_ohm(nominal), model.highest_impedance_ohm if model else None, told
    )


def sizes_for(project: Project) -> tuple[ConductorSize, ...]:
    """Return the sizes that may be chosen: those of the stock where there is one, else those commonly sold.

    Parameters
    ----------
    project
        With its stock and its unit of length.

    Returns
    -------
    tuple
        Highest resistance first.
    """
    stock = {
        (s.conductor, s.material): conductor_size(s.conductor, s.area_mm2, s.material)
        for s in project.cable.stock
    }
    sizes = tuple(stock.values()) or family(project)
    return tuple(sorted(sizes, key=lambda size: -size.design_ohm_per_m))


def family(project: Project) -> tuple[ConductorSize, ...]:
    """Return the sizes commonly sold where the project's unit of length is used."""
    return GAUGES if project.units is LengthUnit.FOOT else METRIC


def choose(
    load: Load, length_m: float, sizes: tuple[ConductorSize, ...], usual: tuple[ConductorSize, ...]
) -> Choice:
    """Choose the smallest adequate size for a run.

    Parameters
    ----------
    load
        The loudspeaker.
    length_m
        Length of the cable as cut [m].
    sizes
        That may be chosen, highest resistance first.
    usual
        The sizes commonly sold, weighed beside them.

    Returns
    -------
    Choice
        The smallest whose loop resistance is at most 5 % of the lowest impedance, or else the thickest there is.
    """
    fit = [size for size in sizes if _weigh(size, load, length_m).share <= SHARE_LIMIT + 1e-12]
    return weigh(fit[0] if fit else sizes[-1], load, length_m, (*sizes, *usual))


def weigh(size: ConductorSize, load: Load, length_m: float, others: tuple[ConductorSize, ...]) -> Choice:
    """Return what one size does for a run, beside the others.

    Parameters
    ----------
    size
        The size.
    load
        The loudspeaker.
    length_m
        Length of the cable as cut [m].
    others
        Weighed beside it, in any order.
    """
    chosen = _weigh(size, load, length_m)
    distinct = {(s.name, s.metal): s for s in (size, *others)}
    order = sorted(distinct.values(), key=lambda s: -s.design_ohm_per_m)
    weighed = tuple(_weigh(s, load, length_m) for s in order)
    lax = [c for c in weighed if c.loss_db <= LOSS_LIMIT_DB]
    across = (
        None if load.highest_ohm is None else ripple_db(chosen.loop_ohm, load.lowest_ohm, load.highest_ohm)
    )
    thicker = next(
        (c for c in weighed if c.loop_ohm < STEP * chosen.loop_ohm and c.material == size.metal), None
    )
    return Choice(
        size,
        chosen,
        weighed,
        lax[0].name if lax else "",
        chosen.share <= SHARE_LIMIT + 1e-12,
        across,
        damping_factor(load.nominal_ohm, 0.0, chosen.loop_ohm),
        nearest_in(METRIC if size.name.endswith("AWG") else GAUGES, size.design_ohm_per_m).name,
        _enough(chosen, thicker),
    )


def _weigh(size: ConductorSize, load: Load, length_m: float) -> Conductor:
    loop = loop_resistance_ohm(length_m, size.design_ohm_per_m)
    return Conductor(
        size.name,
        size.metal,
        loop,
        level_loss_db(loop, load.lowest_ohm),
        share_of_load(loop, load.lowest_ohm),
    )


def _enough(chosen: Conductor, thicker: Conductor | None) -> str:
    if chosen.share > SHARE_LIMIT + 1e-12:
        return f"{chosen.name} is thinner than the rule wants."
    if thicker is None:
        return f"No audible gain beyond {chosen.name}."
    gain = chosen.loss_db - thicker.loss_db
    return f"No audible gain beyond {chosen.name}: {thicker.name} would save {gain:.2f} dB."
