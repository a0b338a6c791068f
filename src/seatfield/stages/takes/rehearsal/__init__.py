"""Rehearsal: recordings of sweeps without hardware, made from the project's own room."""

from seatfield.stages.takes.rehearsal.planting import NoSuchFaultError, Planted, planted, random_faults
from seatfield.stages.takes.rehearsal.rendering import RehearsalParams, Rehearsed, Spell, rehearse
from seatfield.stages.takes.rehearsal.rooms import Room, renderer, shell_of

__all__ = [
    "NoSuchFaultError",
    "Planted",
    "RehearsalParams",
    "Rehearsed",
    "Room",
    "Spell",
    "planted",
    "random_faults",
    "rehearse",
    "renderer",
    "shell_of",
]
