"""What a cable's resistance does between an amplifier and its load."""

from math import hypot, log10, pi


def loop_resistance_ohm(length_m: float, conductor_ohm_per_m: float) -> float:
    """Return the resistance there and back.

    Parameters
    ----------
    length_m : float
        Length of the cable, one way [m].
    conductor_ohm_per_m : float
        Resistance of one conductor [ohm/m].

    Returns
    -------
    float
        Loop resistance [ohm].
    """
    return 2 * length_m * conductor_ohm_per_m


def level_loss_db(cable_ohm: float, load_ohm: float) -> float:
    """Return the level that a cable takes from a resistive load, positive.

    Parameters
    ----------
    cable_ohm : float
        Loop resistance [ohm].
    load_ohm : float
        Impedance of the load [ohm].

    Returns
    -------
    float
        Loss [dB].

    Notes
    -----
    The amplifier is taken as a voltage source, and the load as resistive, which is the worst case for a modulus.
    """
    return 20 * log10(1 + cable_ohm / load_ohm)


def inductance_loss_db(cable_ohm: float, inductance_h: float, load_ohm: float, freq_hz: float) -> float:
    """Return the level lost in a cable with inductance, at one frequency, positive.

    Parameters
    ----------
    cable_ohm : float
        Loop resistance [ohm].
    inductance_h : float
        Loop inductance [H]; flat two-core cable has about 0.6 µH per metre (common practice, no source).
    load_ohm : float
        Impedance of the load, taken as resistive [ohm].
    freq_hz : float
        Frequency [Hz].

    Returns
    -------
    float
        Loss [dB].
    """
    return 20 * log10(hypot(load_ohm + cable_ohm, 2 * pi * freq_hz * inductance_h) / load_ohm)


def ripple_db(cable_ohm: float, lowest_ohm: float, highest_ohm: float) -> float:
    """Return how much the frequency response changes because the load's impedance does.

    Parameters
    ----------
    cable_ohm : float
        Loop resistance [ohm].
    lowest_ohm, highest_ohm : float
        Extremes of the load's impedance [ohm].

    Returns
    -------
    float
        Loss at the lowest impedance less loss at the highest [dB].
    """
    return level_loss_db(cable_ohm, lowest_ohm) - level_loss_db(cable_ohm, highest_ohm)


def damping_factor(load_ohm: float, source_ohm: float, cable_ohm: float) -> float:
    """Return the damping factor at the loudspeaker's terminals.

    Parameters
    ----------
    load_ohm : float
        Rated impedance of the load [ohm].
    source_ohm : float
        Output impedance of the amplifier [ohm].
    cable_ohm : float
        Loop resistance [ohm].

    Returns
    -------
    float
        Load over everything in series with it [-].

    References
    ----------
    IEC 60268-3, damping factor of an amplifier; the cable is added to its output impedance.
    """
    return load_ohm / (source_ohm + cable_ohm)


def share_of_load(cable_ohm: float, load_ohm: float) -> float:
    """Return the loop resistance as a share of the load's lowest impedance [-]."""
    return cable_ohm / load_ohm


def longest_run_m(conductor_ohm_per_m: float, load_ohm: float, share: float) -> float:
    """Return the longest cable, one way, that keeps its loop resistance within a share of the load.

    Parameters
    ----------
    conductor_ohm_per_m : float
        Resistance of one conductor [ohm/m].
    load_ohm : float
        Lowest impedance of the load [ohm].
    share : float
        Loop resistance over load [-]; 0.05 is common practice, and 0.0593 costs 0.5 dB.

    Returns
    -------
    float
        Length one way [m].
    """
    return share * load_ohm / (2 * conductor_ohm_per_m)
