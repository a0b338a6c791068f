"""Sound systems: labels, nominal directions and allowed windows, as ITU-R BS.2051-3 and BS.775-4 print them.

Azimuth is 0° at the screen's centre and positive to the left; elevation is positive up. A window is a tuple of
intervals [deg]; None where the standard prescribes no position.

References
----------
.. [1] ITU-R BS.2051-3 (2022), Advanced sound system for programme production, tables of systems A to J.
.. [2] ITU-R BS.775-4 (2022), Multichannel stereophonic sound system, figure 1.
"""

from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import cache

Interval = tuple[float, float]
Window = tuple[Interval, ...]

BS_2051 = "ITU-R BS.2051-3"
BS_775 = "ITU-R BS.775-4"
COMMON = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Channel:
    """One loudspeaker of a sound system.

    Parameters
    ----------
    label
        As in BS.2051, such as ``M+030``.
    plain_name
        What a person calls it.
    azimuth_deg, elevation_deg
        Nominal direction [deg]; None where no position is prescribed.
    azimuth_window, elevation_window
        Allowed intervals [deg]; None where no position is prescribed.
    """

    label: str
    plain_name: str
    azimuth_deg: float | None
    elevation_deg: float | None
    azimuth_window: Window | None
    elevation_window: Window | None

    @property
    def low_frequency(self) -> bool:
        """True for a low-frequency channel."""
        return self.label.startswith("LFE")


@dataclass(frozen=True, slots=True)
class SoundSystem:
    """A sound system: its standard name, the trade's shorthand, and its channels.

    Parameters
    ----------
    name
        BS.2051 or BS.775 name; the shorthand itself where no standard names the system.
    letter
        Letter of the BS.2051 table; empty elsewhere.
    standard
        False for common layouts that no standard names.
    """

    name: str
    letter: str
    shorthand: str
    standard: bool
    source: str
    channels: tuple[Channel, ...]

    def channel(self, label: str) -> Channel | None:
        """Return the channel with this label, or None."""
        return next((channel for channel in self.channels if channel.label == label), None)


@dataclass(frozen=True, slots=True)
class VerdictLimits:
    """How far outside its window a loudspeaker may stand for each verdict [deg]; beyond `poor_deg`: not possible.

    A window that is a single direction in the standard is widened by `point_tolerance_deg` each way.
    """

    usable_deg: float = 10.0
    poor_deg: float = 30.0
    point_tolerance_deg: float = 2.0
    source: str = COMMON


VERDICT_LIMITS = VerdictLimits()

_PLAIN_NAMES = {
    "M+000": "centre",
    "M+030": "front left",
    "M+060": "wide left",
    "M+090": "side left",
    "M+110": "surround left",
    "M+135": "back left",
    "M+180": "back centre",
    "M+SC": "screen-edge left",
    "U+000": "front height centre",
    "U+030": "front height left",
    "U+045": "front height left",
    "U+090": "side height left",
    "U+110": "rear height left",
    "U+135": "rear height left",
    "U+180": "rear height centre",
    "UH+180": "rear height centre",
    "T+000": "overhead",
    "B+000": "low front centre",
    "B+045": "low front left",
    "LFE1": "low-frequency effects",
    "LFE2": "second low-frequency effects",
}


def plain_name(label: str) -> str:
    """Return what a person calls the loudspeaker with this BS.2051 label."""
    if label in _PLAIN_NAMES:
        return _PLAIN_NAMES[label]
    mirrored = _PLAIN_NAMES.get(label.replace("-", "+"))
    return mirrored.replace("left", "right") if mirrored else label


def _at(label: str, azimuth: float, elevation: float, azimuths: Window, elevations: Window) -> Channel:
    return Channel(label, plain_name(label), azimuth, elevation, azimuths, elevations)


def _pair(
    label: str, azimuth: float, elevation: float, azimuths: Window, elevations: Window
) -> tuple[Channel, ...]:
    """Return the left channel and its mirror image."""
    left = _at(label, azimuth, elevation, azimuths, elevations)
    mirrored = tuple((-to, -start) for start, to in reversed(azimuths))
    right = label.replace("+", "-")
    return left, replace(
        left, label=right, plain_name=plain_name(right), azimuth_deg=-azimuth, azimuth_window=mirrored
    )


def _point(azimuth: float) -> Window:
    return ((azimuth, azimuth),)


_EAR: Window = ((0.0, 0.0),)
_EAR_TO_15: Window = ((0.0, 15.0),)
_TOPS: Window = ((30.0, 55.0),)
_TOPS_45: Window = ((30.0, 45.0),)
_LOW: Window = ((-30.0, -15.0),)
_FREE_LFE = Channel("LFE1", plain_name("LFE1"), None, None, None, None)

_FRONT = _pair("M+030", 30, 0, _point(30), _EAR)
_FRONT_TO_45 = _pair("M+030", 30, 0, ((30.0, 45.0),), _EAR)
_CENTRE = (_at("M+000", 0, 0, _point(0), _EAR),)
_SURROUND_EAR = _pair("M+110", 110, 0, ((100.0, 120.0),), _EAR)
_SURROUND_TO_15 = _pair("M+110", 110, 0, ((100.0, 120.0),), _EAR_TO_15)
_SIDE = _pair("M+090", 90, 0, ((85.0, 110.0),), _EAR)
_BACK = _pair("M+135", 135, 0, ((120.0, 150.0),), _EAR)
_TOP_30 = _pair("U+030", 30, 30, ((30.0, 45.0),), _TOPS)
_TOP_45 = _pair("U+045", 45, 30, ((30.0, 45.0),), _TOPS)
_TOP_110 = _pair("U+110", 110, 30, ((100.0, 135.0),), _TOPS)
_TOP_135 = _pair("U+135", 135, 30, ((100.0, 150.0),), _TOPS)
_SCREEN_EDGE = _pair("M+SC", 15, 0, ((5.0, 25.0), (35.0, 60.0)), _EAR)
_LFE_PAIR = (
    _at("LFE1", 45, -30, ((30.0, 90.0),), _LOW),
    replace(_at("LFE2", -45, -30, ((-90.0, -30.0),), _LOW)),
)

_F = (
    *_CENTRE,
    *_FRONT,
    *_pair("U+045", 45, 30, ((30.0, 45.0),), _TOPS_45),
    *_pair("M+090", 90, 0, ((60.0, 150.0),), _EAR),
    *_pair("M+135", 135, 0, ((60.0, 150.0),), _EAR),
    _at("UH+180", 180, 45, _point(180), ((45.0, 90.0),)),
    *_LFE_PAIR,
)
_H = (
    *_pair("M+060", 60, 0, ((45.0, 60.0),), ((0.0, 5.0),)),
    _at("M+000", 0, 0, _point(0), ((0.0, 5.0),)),
    _LFE_PAIR[0],
    *_pair("M+135", 135, 0, ((110.0, 135.0),), _EAR_TO_15),
    *_pair("M+030", 30, 0, ((22.5, 30.0),), ((0.0, 5.0),)),
    _at("M+180", 180, 0, _point(180), _EAR_TO_15),
    _LFE_PAIR[1],
    *_pair("M+090", 90, 0, _point(90), _EAR_TO_15),
    *_pair("U+045", 45, 30, ((45.0, 60.0),), _TOPS_45),
    _at("U+000", 0, 30, _point(0), _TOPS_45),
    _at("T+000", 0, 90, _point(0), _point(90)),
    *_pair("U+135", 135, 30, ((110.0, 135.0),), _TOPS_45),
    *_pair("U+090", 90, 30, _point(90), _TOPS_45),
    _at("U+180", 180, 30, _point(180), _TOPS_45),
    _at("B+000", 0, -30, _point(0), _LOW),
    *_pair("B+045", 45, -30, ((45.0, 60.0),), _LOW),
)
_C = (*_FRONT, *_CENTRE, _FREE_LFE, *_SURROUND_TO_15)
_I = (*_FRONT_TO_45, *_CENTRE, _FREE_LFE, *_SIDE, *_BACK)
_D = (*_FRONT, *_CENTRE, _FREE_LFE, *_SURROUND_EAR, *_TOP_30, *_TOP_110)

_BORROWED = f"{COMMON}; windows borrowed from neighbouring systems of {BS_2051}"
_WIDE = _pair("M+060", 60, 0, ((45.0, 75.0),), _EAR)
_TOP_90 = _pair("U+090", 90, 45, ((75.0, 105.0),), ((30.0, 60.0),))

SYSTEMS = (
    SoundSystem("0+2+0", "A", "2.0", standard=True, source=BS_2051, channels=_FRONT),
    SoundSystem("0+5+0", "B", "5.1", standard=True, source=BS_2051, channels=_C),
    SoundSystem("2+5+0", "C", "5.1.2", standard=True, source=BS_2051, channels=(*_C, *_TOP_30)),
    SoundSystem("4+5+0", "D", "5.1.4", standard=True, source=BS_2051, channels=_D),
    SoundSystem(
        "4+5+1", "E", "", standard=True, source=BS_2051, channels=(*_D, _at("B+000", 0, -30, _point(0), _LOW))
    ),
    SoundSystem("3+7+0", "F", "10.2", standard=True, source=BS_2051, channels=_F),
    SoundSystem(
        "4+9+0",
        "G",
        "9.1.4",
        standard=True,
        source=BS_2051,
        channels=(*_I, *_TOP_45, *_TOP_135, *_SCREEN_EDGE),
    ),
    SoundSystem("9+10+3", "H", "22.2", standard=True, source=BS_2051, channels=_H),
    SoundSystem("0+7+0", "I", "7.1", standard=True, source=BS_2051, channels=_I),
    SoundSystem("4+7+0", "J", "7.1.4", standard=True, source=BS_2051, channels=(*_I, *_TOP_45, *_TOP_135)),
    SoundSystem(
        "3/2", "", "5.0", standard=True, source=BS_775, channels=(*_FRONT, *_CENTRE, *_SURROUND_TO_15)
    ),
    SoundSystem("2.1", "", "2.1", standard=False, source=_BORROWED, channels=(*_FRONT, _FREE_LFE)),
    SoundSystem("3.1", "", "3.1", standard=False, source=_BORROWED, channels=(*_FRONT, *_CENTRE, _FREE_LFE)),
    SoundSystem("7.1.2", "", "7.1.2", standard=False, source=_BORROWED, channels=(*_I, *_TOP_45)),
    SoundSystem(
        "9.1.6",
        "",
        "9.1.6",
        standard=False,
        source=_BORROWED,
        channels=(*_I, *_WIDE, *_TOP_45, *_TOP_90, *_TOP_135),
    ),
)

BEST_THAT_FITS = "best that fits"


@cache
def _by_name() -> dict[str, SoundSystem]:
    shorthand = {system.shorthand: system for system in SYSTEMS if system.shorthand}
    return shorthand | {system.name: system for system in SYSTEMS}


def system(name: str) -> SoundSystem | None:
    """Return the sound system with this BS.2051 or BS.775 name or shorthand, or None.

    Parameters
    ----------
    name
        Such as ``4+7+0`` or ``7.1.4``.
    """
    return _by_name().get(name.strip())


def nearest_system(name: str) -> str:
    """Return the known name closest to what was given; empty where none is close."""
    return next(iter(get_close_matches(name.strip(), [*_by_name(), BEST_THAT_FITS], n=1, cutoff=0.5)), "")


@cache
def all_labels() -> frozenset[str]:
    """Every loudspeaker label of every system."""
    return frozenset(channel.label for entry in SYSTEMS for channel in entry.channels)
