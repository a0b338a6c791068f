"""Metals that conductors are made of, and the resistance of a wire from its cross-section."""

from dataclasses import dataclass
from math import isfinite

COPPER_OHM_MM2_PER_M = 1 / 58
"""Resistivity of the international annealed copper standard at 20 °C [ohm mm²/m] (IEC 60028: 100 % IACS)."""


@dataclass(frozen=True, slots=True)
class Metal:
    """A conductor metal.

    Parameters
    ----------
    name
        As the trade writes it.
    conductivity_iacs
        Conductivity against the international annealed copper standard [-].
    temperature_per_k
        Change of resistance by temperature at 20 °C [1/K].
    source
        Where both numbers come from.
    """

    name: str
    conductivity_iacs: float
    temperature_per_k: float
    source: str

    @property
    def resistivity_ohm_mm2_per_m(self) -> float:
        """Resistivity at 20 °C [ohm mm²/m]."""
        return COPPER_OHM_MM2_PER_M / self.conductivity_iacs


COPPER = Metal(
    "copper",
    1.0,
    0.00393,
    "IEC 60028 (annealed copper, 17.241 ohm mm2/km and 0.00393 per kelvin at 20 °C)",
)
COPPER_CLAD_ALUMINIUM = Metal(
    "copper-clad aluminium",
    0.629,
    0.0040,
    "ASTM B566 class 10A (10 % copper by volume, at least 62.9 % IACS; read in a wire mill's table, the standard "
    "itself not opened); temperature coefficient from memory, between copper's and aluminium's",
)


def resistance_ohm_per_m(area_mm2: float, metal: Metal = COPPER, *, stranding: float = 1.0) -> float:
    """Return the resistance of one conductor per metre at 20 °C.

    Parameters
    ----------
    area_mm2 : float
        Cross-section of metal [mm²].
    metal : Metal
        What it is made of.
    stranding : float
        Factor by which lay and bunching lengthen the strands [-]; 1 for solid wire.

    Returns
    -------
    float
        Resistance [ohm/m].

    Raises
    ------
    ValueError
        If the cross-section is not above zero, or the factor is below 1.

    References
    ----------
    IEC 60028 for the resistivity of copper.
    """
    if not (isfinite(area_mm2) and area_mm2 > 0):
        raise ValueError(f"a cross-section of {area_mm2} mm² is given; a conductor needs one above zero.")
    if not stranding >= 1:
        message = f"a stranding factor of {stranding} is given; strands are never shorter than the cable (1 or more)."
        raise ValueError(message)
    return stranding * metal.resistivity_ohm_mm2_per_m / area_mm2


def at_temperature_ohm(resistance_20_ohm: float, temperature_c: float, metal: Metal = COPPER) -> float:
    """Return a resistance at another temperature than 20 °C.

    Parameters
    ----------
    resistance_20_ohm : float
        Resistance at 20 °C [ohm].
    temperature_c : float
        Temperature of the conductor [°C].
    metal : Metal
        What it is made of.

    Returns
    -------
    float
        Resistance at that temperature [ohm].

    Notes
    -----
    Linear, R20 (1 + α (T − 20)); good to 0.3 % between −20 and 80 °C. IEC 60228 rounds α so that its table gives
    1.160 at 60 °C where this gives 1.157.
    """
    return resistance_20_ohm * (1 + metal.temperature_per_k * (temperature_c - 20))
