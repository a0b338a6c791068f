"""From delays and levels to the values that an amplifier takes, in its steps and within its limits."""

from collections.abc import Mapping

from seatfield.model import AmplifierSettings


def distances_m(
    times_s: Mapping[str, float], amplifier: AmplifierSettings
) -> tuple[dict[str, float], list[str]]:
    """Return the distances to type so that what travels longer is delayed less.

    Parameters
    ----------
    times_s
        Time of travel of each run as the amplifier should take it [s]; only differences matter.
    amplifier
        Its step, its largest distance and the speed of sound that it counts with.

    Returns
    -------
    typed : dict of str to float
        In whole steps [m].
    short : list of str
        Runs whose distance ends at the menu's limit, so that their delay is not what it should be.

    Notes
    -----
    Where the largest would exceed what the menu takes, all come nearer alike, as far as the nearest allows.
    """
    step, limit = amplifier.distance_step_m, amplifier.distance_max_m
    far_m = {run: time_s * amplifier.speed_of_sound_m_s for run, time_s in times_s.items()}
    shift = min(0.0, limit - max(far_m.values()))
    shift += max(0.0, -(min(far_m.values()) + shift))
    rounded = {run: round((value + shift) / step) * step for run, value in far_m.items()}
    last = int(limit / step + 1e-9) * step
    typed = {run: min(max(value, 0.0), last) for run, value in rounded.items()}
    return typed, [run for run in typed if abs(typed[run] - rounded[run]) > 1e-9]


def made_delays_s(typed_m: Mapping[str, float], amplifier: AmplifierSettings) -> dict[str, float]:
    """Return the delays that an amplifier makes of typed distances: (largest - own) / speed of sound [s]."""
    largest = max(typed_m.values())
    return {run: (largest - value) / amplifier.speed_of_sound_m_s for run, value in typed_m.items()}


def trims_db(
    wanted_db: Mapping[str, float], amplifier: AmplifierSettings
) -> tuple[dict[str, float], list[str]]:
    """Return trims in whole steps, shifted alike so that as many as possible fit.

    Parameters
    ----------
    wanted_db
        Correction of each run [dB]; only differences matter.
    amplifier
        Its step and range.

    Returns
    -------
    trims : dict of str to float
        In whole steps [dB].
    short : list of str
        Runs whose trim ends at the range's limit.
    """
    low, high = amplifier.trim_range_db
    values = sorted(wanted_db.values())
    middle = values[len(values) // 2]
    shift = -middle
    shift += min(0.0, high - (values[-1] + shift))
    shift += max(0.0, low - (values[0] + shift))
    step = amplifier.trim_step_db
    rounded = {run: round((value + shift) / step) * step for run, value in wanted_db.items()}
    kept = {run: min(max(value, low), high) for run, value in rounded.items()}
    return kept, [run for run in kept if abs(kept[run] - rounded[run]) > 1e-9]
