"""Sound devices of this computer, by name."""

from dataclasses import dataclass
from typing import Any


class NoSoundLibraryError(ImportError):
    """The optional library that talks to sound devices, or the system library beneath it, is not there."""

    def __init__(self, reason: str) -> None:
        super().__init__(
            f"Sound devices cannot be used: {reason}. Install Seatfield with its extra 'audio' (and on Debian the "
            "package libportaudio2), or record with any recorder and give its files with --wav."
        )


class NoSuchDeviceError(ValueError):
    """No device has the name, or enough channels."""

    def __init__(self, name: str, needed: str, known: tuple["SoundDevice", ...]) -> None:
        there = "; ".join(f"{one.name!r} ({one.outputs} out, {one.inputs} in)" for one in known) or "none"
        super().__init__(f"There is no sound device {name!r} with {needed}; there are: {there}.")


class DeviceFailedError(OSError):
    """A device that is there, but did not play or record."""

    def __init__(self, device: str, reason: str) -> None:
        super().__init__(
            f"The sound device {device!r} did not play and record ({reason}). Close other programs that use it, check "
            "its sample rate and number of channels, or give files with --wav."
        )


class SamplesLostError(DeviceFailedError):
    """A device that played and recorded, but lost samples meanwhile."""

    def __init__(self, device: str) -> None:
        super().__init__(device, "samples were lost while it played")


@dataclass(frozen=True, slots=True)
class SoundDevice:
    """A device: its number and name, and how many channels it plays and records."""

    number: int
    name: str
    outputs: int
    inputs: int


def library() -> Any:
    """Return the library that talks to sound devices.

    Raises
    ------
    NoSoundLibraryError
        If it, or PortAudio beneath it, is not installed.
    """
    try:
        import sounddevice
    except ImportError:
        raise NoSoundLibraryError("the Python package sounddevice is not installed") from None
    except OSError as reason:
        raise NoSoundLibraryError(str(reason)) from None
    return sounddevice


def devices() -> tuple[SoundDevice, ...]:
    """Return the sound devices that there are.

    Raises
    ------
    NoSoundLibraryError
        If there is no library for them.
    """
    return tuple(
        SoundDevice(number, str(one["name"]), int(one["max_output_channels"]), int(one["max_input_channels"]))
        for number, one in enumerate(library().query_devices())
    )


def chosen_device(name: str, *, outputs: int = 0, inputs: int = 0) -> SoundDevice:
    """Return the device of a name that has enough channels.

    Parameters
    ----------
    name
        Its whole name, or a part of it that is enough; the first that fits is taken.
    outputs, inputs
        Channels needed.

    Returns
    -------
    SoundDevice
        A device of that very name before one that merely contains it.

    Raises
    ------
    NoSuchDeviceError
        If none fits.
    NoSoundLibraryError
        If there is no library for devices.
    """
    known = devices()
    fit = [one for one in known if one.outputs >= outputs and one.inputs >= inputs]
    same = [one for one in fit if one.name == name]
    alike = [one for one in fit if name.lower() in one.name.lower()]
    found = next(iter(same or alike), None)
    if found is None:
        needed = " and ".join(
            f"{count} channels {way}" for count, way in ((outputs, "out"), (inputs, "in")) if count
        )
        raise NoSuchDeviceError(name, needed or "any channel", known)
    return found
