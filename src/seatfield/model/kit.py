"""The kit: loudspeakers, subwoofers, amplifiers, cable, and the devices of the signal chain.

SI inside: metres, ohms, watts, seconds, kilograms; levels in decibels.
"""

from dataclasses import dataclass
from enum import StrEnum

from seatfield.model.room import Point3


class ModelKind(StrEnum):
    """What a model is for."""

    LOUDSPEAKER = "loudspeaker"
    UPWARD = "upward"
    SUBWOOFER = "subwoofer"


class SensitivityFor(StrEnum):
    """What drives the loudspeaker when its sensitivity is told: 2.83 V, or one watt into its nominal load."""

    VOLTS = "2.83 V"
    WATT = "1 W"


class Mount(StrEnum):
    """What carries a loudspeaker."""

    STAND = "stand"
    SHELF = "shelf"
    WALL = "wall"
    CEILING = "ceiling"
    UPWARD = "upward"


class TerminalKind(StrEnum):
    """What a conductor is fastened to, at either end of a run."""

    BINDING_POST = "binding post"
    SOCKET = "4 mm socket"
    SPRING_CLIP = "spring clip"
    SCREW = "screw terminal"
    PUSH_IN = "push-in block"
    TWO_PIN = "two-pin socket"
    TAB = "blade tab"
    LEAD = "loose lead"


@dataclass(frozen=True, slots=True)
class Directivity:
    """Measured level off the axis, relative to the axis.

    Parameters
    ----------
    freq_hz, angle_deg
        Grid [Hz], [deg].
    level_db
        Shape (frequencies, angles) [dB].
    """

    freq_hz: tuple[float, ...]
    angle_deg: tuple[float, ...]
    level_db: tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class LoudspeakerModel:
    """A loudspeaker by its maker's figures; None where the file does not say."""

    name: str
    kind: ModelKind = ModelKind.LOUDSPEAKER
    sensitivity_db: float | None = None
    sensitivity_for: SensitivityFor = SensitivityFor.VOLTS
    impedance_ohm: float | None = None
    lowest_impedance_ohm: float | None = None
    highest_impedance_ohm: float | None = None
    dc_resistance_ohm: float | None = None
    series_capacitor: bool = False
    power_w: float | None = None
    max_level_db: float | None = None
    low_corner_hz: float | None = None
    enclosure: str = "vented"
    woofer_m: float | None = None
    tweeter_m: float | None = None
    driver_crossover_hz: float | None = None
    directivity: Directivity | None = None
    weight_kg: float | None = None
    size_m: Point3 | None = None
    terminal_kind: TerminalKind | None = None
    key: str = ""


@dataclass(frozen=True, slots=True)
class SubwooferModel:
    """A subwoofer by its maker's figures; `max_level` pairs frequency [Hz] and level at 1 m [dB]."""

    name: str
    enclosure: str = "sealed"
    low_corner_hz: float | None = None
    q: float = 0.7
    max_level: tuple[tuple[float, float], ...] = ()
    latency_s: float = 0.0
    mains_w: float | None = None
    weight_kg: float | None = None
    size_m: Point3 | None = None
    key: str = ""


@dataclass(frozen=True, slots=True)
class Aim:
    """Where a loudspeaker points: yaw from +x counter-clockwise, pitch up [deg]."""

    yaw_deg: float
    pitch_deg: float


@dataclass(frozen=True, slots=True)
class Bracket:
    """How a loudspeaker hangs: arm from wall to its centre of mass, distance between bolts [m], fixing."""

    arm_m: float
    bolt_spacing_m: float
    fixing: str = ""


@dataclass(frozen=True, slots=True)
class Loudspeaker:
    """One loudspeaker for one channel; `at` is its acoustic centre [m], None where it is to be placed."""

    id: str
    channel: str
    model: str
    at: Point3 | None = None
    mount: Mount | None = None
    aim: Aim | None = None
    bracket: Bracket | None = None
    key: str = ""


@dataclass(frozen=True, slots=True)
class Subwoofer:
    """One subwoofer; `at` is its acoustic centre [m], None where it is to be placed."""

    id: str
    model: str
    at: Point3 | None = None
    channel: str = "LFE1"
    cabled: bool = True
    key: str = ""


@dataclass(frozen=True, slots=True)
class Terminal:
    """One loudspeaker terminal, named as printed on the back, and the channels or further uses that it can carry."""

    name: str
    carries: tuple[str, ...]
    kind: TerminalKind | None = None


@dataclass(frozen=True, slots=True)
class AmplifierSettings:
    """What the amplifier's menus allow."""

    distance_step_m: float = 0.01
    distance_max_m: float = 12.0
    trim_step_db: float = 0.5
    trim_range_db: tuple[float, float] = (-12.0, 12.0)
    crossovers_hz: tuple[float, ...] = (40.0, 60.0, 80.0, 100.0, 120.0)
    speed_of_sound_m_s: float = 343.0
    high_pass_order: int = 2
    low_pass_order: int = 4
    eq_bands: int = 0


@dataclass(frozen=True, slots=True)
class Amplifier:
    """A receiver or an external amplifier; None where the file does not say.

    Parameters
    ----------
    channels
        Amplified channels.
    processed
        Channels that it can render; 0 for an external amplifier.
    watts_w
        Per channel with two driven, into `into_ohm`.
    all_channels_w
        Per channel with all driven.
    excludes
        Groups of uses that shut each other out.
    shows
        What its display says for a format, as typed by the user.
    terminal_kind
        Of its loudspeaker terminals that do not say their own.
    second_zone
        Channels that are wanted for loudspeakers in another room.
    bi_amp
        Labels of the channels whose loudspeakers are wanted on two channels each.
    """

    name: str
    at: Point3 | None = None
    channels: int = 0
    processed: int = 0
    pre_outs: int = 0
    sub_outputs: int = 1
    watts_w: float | None = None
    all_channels_w: float | None = None
    into_ohm: float = 8.0
    lowest_load_ohm: float | None = None
    heat_w: float | None = None
    clearance_m: float | None = None
    excludes: tuple[tuple[str, ...], ...] = ()
    settings: AmplifierSettings = AmplifierSettings()
    shows: tuple[tuple[str, str], ...] = ()
    terminals: tuple[Terminal, ...] = ()
    decodes: tuple[str, ...] = ()
    terminal_kind: TerminalKind | None = None
    second_zone: int = 0
    bi_amp: tuple[str, ...] = ()
    key: str = ""


@dataclass(frozen=True, slots=True)
class Stock:
    """Cable to cut from: a spool (`length_m`) or by the metre (None), at the user's price.

    Parameters
    ----------
    conductor
        As the trade writes it: ``14 AWG`` or ``2.5 mm2``.
    area_mm2
        Nominal cross-section of one conductor [mm²].
    price
        Of one spool, or of one metre where `length_m` is None; in the project's currency.
    owned
        Spools (or metres, where by the metre) already in hand.
    """

    id: str
    conductor: str
    area_mm2: float
    material: str = "copper"
    cores: int = 2
    outer_m: tuple[float, float] | None = None
    flat: bool = False
    length_m: float | None = None
    price: float | None = None
    owned: float = 0.0
    key: str = ""


@dataclass(frozen=True, slots=True)
class CableWishes:
    """How cable is cut: slack as a share of the routed length, and a service loop at each end [m]."""

    slack: float = 0.10
    ends_m: float = 0.5
    stock: tuple[Stock, ...] = ()


@dataclass(frozen=True, slots=True)
class Costs:
    """Weights of the routing in the project's currency: common practice, no source; change them freely."""

    skirting_per_m: float = 2.0
    ceiling_line_per_m: float = 4.0
    vertical_per_m: float = 3.0
    open_floor_per_m: float = 12.0
    hidden_per_m: float = 0.3
    raceway_per_m: float = 6.0
    bend: float = 0.5
    hole: float = 15.0
    threshold: float = 10.0
    walkway: float = 20.0
    beside_mains_per_m: float = 3.0
    labour_per_hour: float = 20.0


@dataclass(frozen=True, slots=True)
class Setting:
    """A setting of a device and what each of its values lets through.

    Parameters
    ----------
    name, values
        As the menu prints them.
    only
        For a value, the formats that pass only when it is chosen: pairs of value and formats.
    """

    name: str
    values: tuple[str, ...]
    only: tuple[tuple[str, tuple[str, ...]], ...] = ()


@dataclass(frozen=True, slots=True)
class Device:
    """A device of the signal chain: what it decodes, passes on untouched, and how it is set."""

    name: str
    kind: str = ""
    decodes: tuple[str, ...] = ()
    passes: tuple[str, ...] = ()
    converts: tuple[tuple[str, str], ...] = ()
    settings: tuple[Setting, ...] = ()
    delay_s: float = 0.0
    ports: tuple[str, ...] = ()
    checked: str = ""
    key: str = ""


class LinkKind(StrEnum):
    """What joins two ports."""

    HDMI = "hdmi"
    RETURN = "return"
    ENHANCED_RETURN = "enhanced return"
    OPTICAL = "optical"
    COAXIAL = "coaxial"
    ANALOGUE = "analogue"
    RADIO = "radio"


@dataclass(frozen=True, slots=True)
class Link:
    """A link from port to port (``player.out``); `frame_rate_hz`: highest IEC 60958 rate of both ends."""

    between: tuple[str, str]
    kind: LinkKind
    frame_rate_hz: float | None = None
    key: str = ""


@dataclass(frozen=True, slots=True)
class Service:
    """A service or disc: the devices that play it and the formats that it offers there."""

    name: str
    on: tuple[str, ...]
    offers: tuple[str, ...]
    key: str = ""
