"""Choosing a device, and what is said where there is none."""

import builtins

import pytest

from seatfield import capture
from seatfield.capture import device


@pytest.fixture
def three(monkeypatch):
    known = (
        device.SoundDevice(0, "pulse copy", 32, 32),
        device.SoundDevice(1, "interface out", 8, 0),
        device.SoundDevice(2, "pulse", 2, 2),
    )
    monkeypatch.setattr(device, "devices", lambda: known)
    return known


def test_the_very_name_comes_before_a_name_that_contains_it(three):
    assert capture.chosen_device("pulse").number == 2
    assert capture.chosen_device("Interface", outputs=8).number == 1


def test_a_device_with_too_few_channels_is_passed_over(three):
    assert capture.chosen_device("pulse", outputs=6).number == 0
    with pytest.raises(
        capture.NoSuchDeviceError, match=r"'interface' with 1 channels in; there are: 'pulse copy'"
    ):
        capture.chosen_device("interface", inputs=1)


@pytest.mark.parametrize("trouble", [ImportError("no module"), OSError("PortAudio library not found")])
def test_without_the_library_a_sentence_names_the_extra_and_the_way_round(monkeypatch, trouble):
    real = builtins.__import__

    def refuse(name, *rest):
        if name == "sounddevice":
            raise trouble
        return real(name, *rest)

    monkeypatch.setattr(builtins, "__import__", refuse)
    with pytest.raises(capture.NoSoundLibraryError, match=r"extra 'audio'.*--wav"):
        capture.devices()
