"""Conductor sizes: American wire gauge computed, metric sizes by their standard's table.

Nominal and maximum are told apart: ASTM B258 gives the exact diameter of a solid wire, so a gauge has a nominal
resistance; IEC 60228 limits what a size may have at most, so a metric size has a maximum.
"""

from dataclasses import dataclass, replace
from math import pi

from seatfield.electrical import COPPER, COPPER_CLAD_ALUMINIUM, Metal, resistance_ohm_per_m

STRANDING = 1.02
"""Standard increment of resistance by stranding [-]: 2 % (ASTM B8 and B496); fine bunched strands may have 4 %."""

METALS: dict[str, Metal] = {metal.name: metal for metal in (COPPER, COPPER_CLAD_ALUMINIUM)}

# IEC 60228:2004, table 3: flexible conductors (class 5), plain copper, ohm/km at 20 °C; read in two secondary tables.
IEC_60228_CLASS_5_OHM_PER_KM: dict[float, float] = {
    0.5: 39.0,
    0.75: 26.0,
    1.0: 19.5,
    1.5: 13.3,
    2.5: 7.98,
    4.0: 4.95,
    6.0: 3.30,
    10.0: 1.91,
}
_STRANDED = f"ASTM B258 with IEC 60028, times {STRANDING} for stranding (ASTM B8)"
_IEC = "IEC 60228, class 5, maximum at 20 °C"


@dataclass(frozen=True, slots=True)
class ConductorSize:
    """A conductor of one size and metal.

    Parameters
    ----------
    name
        As the trade writes it: ``14 AWG`` or ``2.5 mm2``.
    area_mm2
        Nominal cross-section [mm²].
    metal
        Name of the metal.
    nominal_ohm_per_m
        Resistance of one solid conductor of exactly that cross-section at 20 °C [ohm/m].
    design_ohm_per_m
        Resistance to design with at 20 °C [ohm/m]: stranded nominal for a gauge, the standard's maximum for a
        metric size.
    is_maximum
        True where `design_ohm_per_m` is a limit of a standard, False where it is a nominal value.
    source
        Where `design_ohm_per_m` comes from.
    """

    name: str
    area_mm2: float
    metal: str
    nominal_ohm_per_m: float
    design_ohm_per_m: float
    is_maximum: bool
    source: str


def gauge_diameter_mm(gauge: int) -> float:
    """Return the diameter of a solid wire of an American wire gauge.

    Parameters
    ----------
    gauge : int
        The gauge; 0, -1, -2 and -3 stand for 1/0 to 4/0.

    Returns
    -------
    float
        Diameter [mm].

    References
    ----------
    ASTM B258: 0.005 inch at gauge 36, 0.46 inch at 4/0, and equal ratios between.
    """
    return 0.127 * float(92 ** ((36 - gauge) / 39))


def gauge_area_mm2(gauge: int) -> float:
    """Return the cross-section of a solid wire of an American wire gauge [mm²] (ASTM B258)."""
    return pi / 4 * gauge_diameter_mm(gauge) ** 2


def gauge_size(gauge: int, metal: Metal = COPPER) -> ConductorSize:
    """Return the conductor of an American wire gauge, stranded.

    Parameters
    ----------
    gauge : int
        The gauge; 0, -1, -2 and -3 stand for 1/0 to 4/0.
    metal : Metal
        What it is made of.

    Returns
    -------
    ConductorSize
        With a nominal resistance.
    """
    area_mm2 = gauge_area_mm2(gauge)
    nominal = resistance_ohm_per_m(area_mm2, metal)
    stranded = resistance_ohm_per_m(area_mm2, metal, stranding=STRANDING)
    name = f"{gauge} AWG" if gauge >= 0 else f"{1 - gauge}/0 AWG"
    return ConductorSize(
        name, area_mm2, metal.name, nominal, stranded, is_maximum=False, source=_sourced(_STRANDED, metal)
    )


def metric_size(area_mm2: float, metal: Metal = COPPER) -> ConductorSize:
    """Return the conductor of a metric cross-section, flexible.

    Parameters
    ----------
    area_mm2 : float
        Nominal cross-section [mm²]; of the standard's list, or any other.
    metal : Metal
        What it is made of.

    Returns
    -------
    ConductorSize
        With the maximum of IEC 60228 where the standard lists the size; else with the resistance of the next
        smaller listed size, in proportion.

    Notes
    -----
    Class 5 of the standard is copper; for another metal its maximum is scaled by conductivity.
    """
    nominal = resistance_ohm_per_m(area_mm2, metal)
    listed = max((size for size in IEC_60228_CLASS_5_OHM_PER_KM if size <= area_mm2), default=0.5)
    limit = IEC_60228_CLASS_5_OHM_PER_KM[listed] / 1000 * (listed / area_mm2) / metal.conductivity_iacs
    source = _IEC if listed == area_mm2 else f"{_IEC} of {listed:g} mm2, in proportion to the cross-section"
    name = f"{area_mm2:g} mm2"
    return ConductorSize(
        name, area_mm2, metal.name, nominal, limit, is_maximum=True, source=_sourced(source, metal)
    )


def _sourced(source: str, metal: Metal) -> str:
    return (
        source
        if metal == COPPER
        else f"{source}; {metal.name} at {metal.conductivity_iacs:.1%} of copper: {metal.source}"
    )


def conductor_size(name: str, area_mm2: float, metal: str = "copper") -> ConductorSize:
    """Return a conductor by the name that the project file gives it.

    Parameters
    ----------
    name : str
        ``14 AWG``, ``1/0 AWG`` or ``2.5 mm2``.
    area_mm2 : float
        Cross-section that the name stands for [mm²]; used for metric sizes.
    metal : str
        ``copper`` or ``copper-clad aluminium``.

    Returns
    -------
    ConductorSize
        The size with its resistance.

    Raises
    ------
    ValueError
        If the metal is not in the catalogue.
    """
    if metal not in METALS:
        raise ValueError(f"the metal {metal!r} is given; known are {', '.join(METALS)}.")
    size, _, unit = name.partition(" ")
    if unit == "AWG":
        gauge = 1 - int(size[0]) if size.endswith("/0") else int(size)
        return gauge_size(gauge, METALS[metal])
    return replace(metric_size(area_mm2, METALS[metal]), name=name)


GAUGES: tuple[ConductorSize, ...] = tuple(gauge_size(gauge) for gauge in (18, 16, 14, 12, 10))
"""Gauges that loudspeaker cable is commonly sold in, thinnest first (common practice)."""

METRIC: tuple[ConductorSize, ...] = tuple(metric_size(area) for area in (0.75, 1.5, 2.5, 4.0, 6.0))
"""Metric sizes that loudspeaker cable is commonly sold in, thinnest first (common practice)."""


def nearest_in(sizes: tuple[ConductorSize, ...], design_ohm_per_m: float) -> ConductorSize:
    """Return the size whose resistance is nearest in ratio: what to ask for in the other system.

    Parameters
    ----------
    sizes : tuple of ConductorSize
        Such as `GAUGES` or `METRIC`.
    design_ohm_per_m : float
        Resistance to match [ohm/m].

    Returns
    -------
    ConductorSize
        The nearest.
    """
    return min(
        sizes,
        key=lambda size: (
            max(size.design_ohm_per_m, design_ohm_per_m) / min(size.design_ohm_per_m, design_ohm_per_m)
        ),
    )
