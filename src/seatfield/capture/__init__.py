"""Capture: play and record through a sound device. An optional dependency; nothing here loads before it is called."""

from seatfield.capture.device import (
    DeviceFailedError,
    NoSoundLibraryError,
    NoSuchDeviceError,
    SamplesLostError,
    SoundDevice,
    chosen_device,
    devices,
)
from seatfield.capture.meter import Heard, Meter
from seatfield.capture.playing import played_and_recorded

__all__ = [
    "DeviceFailedError",
    "Heard",
    "Meter",
    "NoSoundLibraryError",
    "NoSuchDeviceError",
    "SamplesLostError",
    "SoundDevice",
    "chosen_device",
    "devices",
    "played_and_recorded",
]
