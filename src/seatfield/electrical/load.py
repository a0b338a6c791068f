"""What an amplifier and a meter see: loudspeakers alone, in parallel, and cold."""

from dataclasses import dataclass

LOWEST_OVER_NOMINAL = 0.8
"""Least impedance over rated impedance [-] (IEC 60268-5, clause 16.1, from memory)."""

COLD_OVER_NOMINAL = (0.6, 0.85)
"""Direct-current resistance over nominal impedance [-]: common practice, no source."""


def lowest_impedance_ohm(nominal_ohm: float) -> float:
    """Return the lowest impedance that a loudspeaker of a nominal impedance may have.

    Parameters
    ----------
    nominal_ohm : float
        Rated impedance [ohm].

    Returns
    -------
    float
        0.8 of it [ohm].

    References
    ----------
    IEC 60268-5, clause 16.1 (from memory): at no frequency in the rated range below 80 % of the rated impedance.
    """
    return LOWEST_OVER_NOMINAL * nominal_ohm


def parallel_ohm(*loads_ohm: float) -> float:
    """Return the impedance of loads in parallel.

    Parameters
    ----------
    *loads_ohm : float
        Impedances, each above zero [ohm].

    Returns
    -------
    float
        Impedance together [ohm].

    Raises
    ------
    ValueError
        If there is no load, or one is not above zero.
    """
    if not loads_ohm or min(loads_ohm) <= 0:
        raise ValueError(f"loads of {loads_ohm} ohm are given; at least one is needed, each above zero.")
    return 1 / sum(1 / load for load in loads_ohm)


@dataclass(frozen=True, slots=True)
class ColdReading:
    """What a meter should show at the amplifier's end of a run, cable off the amplifier.

    Parameters
    ----------
    low_ohm, high_ohm
        Band of a right reading [ohm]; both None where a capacitor makes the run read open.
    """

    low_ohm: float | None
    high_ohm: float | None


def cold_reading(
    loop_ohm: float,
    *,
    nominal_ohm: float,
    dc_ohm: float | None = None,
    series_capacitor: bool = False,
    tolerance: float = 0.1,
) -> ColdReading:
    """Return the band of a right cold reading: loop resistance and the loudspeaker's own.

    Parameters
    ----------
    loop_ohm : float
        Loop resistance of the cable [ohm].
    nominal_ohm : float
        Rated impedance [ohm].
    dc_ohm : float, optional
        The loudspeaker's direct-current resistance; 0.6 to 0.85 of nominal where unknown [ohm].
    series_capacitor : bool
        True where the loudspeaker is fed through a capacitor: it then reads open though sound.
    tolerance : float
        Share by which a voice coil may be off its figure [-]; common practice, no source.

    Returns
    -------
    ColdReading
        The band, meter leads shorted and subtracted.
    """
    if series_capacitor:
        return ColdReading(None, None)
    if dc_ohm is not None:
        return ColdReading(loop_ohm + dc_ohm * (1 - tolerance), loop_ohm + dc_ohm * (1 + tolerance))
    low, high = COLD_OVER_NOMINAL
    return ColdReading(loop_ohm + low * nominal_ohm, loop_ohm + high * nominal_ohm)
