"""Resistance of conductors and what it does between an amplifier and a loudspeaker: numbers in, numbers out."""

from seatfield.electrical.link import (
    damping_factor,
    inductance_loss_db,
    level_loss_db,
    longest_run_m,
    loop_resistance_ohm,
    ripple_db,
    share_of_load,
)
from seatfield.electrical.load import ColdReading, cold_reading, lowest_impedance_ohm, parallel_ohm
from seatfield.electrical.metal import (
    COPPER,
    COPPER_CLAD_ALUMINIUM,
    Metal,
    at_temperature_ohm,
    resistance_ohm_per_m,
)

__all__ = [
    "COPPER",
    "COPPER_CLAD_ALUMINIUM",
    "ColdReading",
    "Metal",
    "at_temperature_ohm",
    "cold_reading",
    "damping_factor",
    "inductance_loss_db",
    "level_loss_db",
    "longest_run_m",
    "loop_resistance_ohm",
    "lowest_impedance_ohm",
    "parallel_ohm",
    "resistance_ohm_per_m",
    "ripple_db",
    "share_of_load",
]
