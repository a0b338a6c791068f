"""Records of the kit: amplifiers, models, loudspeakers, subwoofers and cable."""

from typing import Annotated, Any

from pydantic import Discriminator, Field, PlainValidator, Tag, ValidationInfo, field_validator

from seatfield.model import (
    Aim,
    Amplifier,
    AmplifierSettings,
    Bracket,
    CableWishes,
    Costs,
    Directivity,
    Loudspeaker,
    LoudspeakerModel,
    ModelKind,
    Mount,
    SensitivityFor,
    Stock,
    Subwoofer,
    SubwooferModel,
    Terminal,
    TerminalKind,
)
from seatfield.store.records.kinds import (
    FARTHEST_M,
    MOST_TABLES,
    Angle,
    Channel,
    Duration,
    Flag,
    Frequency,
    Height,
    Level,
    Money,
    Name,
    Ohm,
    Power,
    Record,
    Size,
    Speed,
    Weight,
    Weighting,
    count,
    finite,
    length_in,
    number,
    one_of,
    unit_of,
    wanted,
)
from seatfield.store.records.marking import ConductorMark
from seatfield.store.records.shapes import (
    Angles,
    Box,
    Carried,
    Channels,
    Clear,
    Frequencies,
    LevelGrid,
    LevelRange,
    Levels,
    Names,
    Triple,
    exactly,
    several,
    tables,
)
from seatfield.store.records.sound import Formats, Shown
from seatfield.units import LengthUnitName, format_amount

MOST_CHANNELS = 64

Channelcount = Annotated[int, count(0, MOST_CHANNELS)]
Order = Annotated[int, count(0, 8)]
Enclosure = Annotated[str, one_of(("sealed", "vented"))]
Metal = Annotated[str, one_of(("copper", "copper-clad aluminium"))]
Kind = Annotated[TerminalKind, one_of(TerminalKind)]
Share = Annotated[float, number(0, 1, "a share of the routed length")]
Quality = Annotated[float, number(0.1, 10, "a quality factor")]


class TerminalRecord(Record):
    """A loudspeaker terminal."""

    name: Name = Field(description="as printed on the back")
    carries: Carried = Field(
        description='labels of the channels that it can carry, and "second zone" or "bi-amp"'
    )
    kind: Kind | None = Field(default=None, description="what a conductor is fastened to")

    def terminal(self) -> Terminal:
        """Translate."""
        return Terminal(self.name, self.carries, self.kind)


class SettingsRecord(Record):
    """What the amplifier's menus allow."""

    distance_step: Size = Field(default=0.01, description="step of its distances")
    distance_max: Size = Field(default=12.0, description="longest distance that it takes")
    trim_step: Annotated[float, number(0.01, 10, "a step in dB")] = Field(
        default=0.5, description="step of its trims in dB"
    )
    trim_range: LevelRange = Field(default=(-12.0, 12.0), description="lowest and highest trim in dB")
    crossovers: Frequencies = Field(
        default=(40.0, 60.0, 80.0, 100.0, 120.0), description="crossovers on offer in Hz"
    )
    speed_of_sound: Speed = Field(default=343.0, description="speed of sound that it reckons with, in m/s")
    high_pass_order: Order = Field(default=2, description="order of its high-pass")
    low_pass_order: Order = Field(default=4, description="order of its low-pass")
    eq_bands: Annotated[int, count(0, 1000)] = Field(
        default=0, description="bands of its equaliser for each channel"
    )

    def settings(self) -> AmplifierSettings:
        """Translate."""
        return AmplifierSettings(
            self.distance_step, self.distance_max, self.trim_step, self.trim_range, self.crossovers,
            self.speed_of_sound, self.high_pass_order, self.low_pass_order, self.eq_bands,
        )  # fmt: skip


class AmplifierRecord(Record):
    """A receiver or an external amplifier."""

    name: Name = Field(description="what you call it")
    at: Triple | None = Field(default=None, description="its place [x, y, z]")
    channels: Channelcount = Field(default=0, description="amplified channels")
    processed: Channelcount = Field(
        default=0, description="channels that it can render; 0 for an external amplifier"
    )
    pre_outs: Channelcount = Field(default=0, description="outputs for external amplifiers")
    sub_outputs: Channelcount = Field(
        default=1, description="outputs for subwoofers that are set on their own"
    )
    watts: Power | None = Field(
        default=None, description="continuous power for each channel, two driven, in W"
    )
    all_channels_watts: Power | None = Field(
        default=None, description="the same with all channels driven, in W"
    )
    into: Ohm = Field(default=8.0, description="load of that rating in ohm")
    lowest_load: Ohm | None = Field(default=None, description="lowest load that its maker allows in ohm")
    heat: Power | None = Field(default=None, description="typical heat in W")
    clearance: Height | None = Field(default=None, description="free space that it needs around it")
    excludes: Annotated[tuple[Names, ...], several(0, MOST_TABLES, 'a list of groups [["…", "…"], …]')] = (
        Field(default=(), description="groups of uses that shut each other out")
    )
    settings: SettingsRecord = Field(default=SettingsRecord(), description="what its menus allow")
    shows: Shown = Field(default=(), description="what its display says for a format")
    decodes: Formats = Field(default=(), description="formats that it decodes")
    terminal: Annotated[tuple[TerminalRecord, ...], tables("amplifier.terminal")] = Field(
        default=(), description="its loudspeaker terminals, as [[amplifier.terminal]]"
    )
    terminal_kind: Kind | None = Field(
        default=None, description="what a conductor is fastened to, where its terminals do not say their own"
    )
    second_zone: Channelcount = Field(
        default=0, description="channels that you want for loudspeakers in another room"
    )
    bi_amp: Channels = Field(
        default=(), description="labels of the channels whose loudspeakers you want on two channels each"
    )

    def amplifier(self, key: str) -> Amplifier:
        """Translate."""
        return Amplifier(
            self.name, self.at, self.channels, self.processed, self.pre_outs, self.sub_outputs, self.watts,
            self.all_channels_watts, self.into, self.lowest_load, self.heat, self.clearance, self.excludes,
            self.settings.settings(), self.shows, tuple(terminal.terminal() for terminal in self.terminal),
            self.decodes, self.terminal_kind, self.second_zone, self.bi_amp, key,
        )  # fmt: skip


class DirectivityRecord(Record):
    """Measured level off the axis."""

    freq_hz: Frequencies = Field(description="frequencies in Hz, ascending")
    angle_deg: Angles = Field(description="angles off the axis in degrees, ascending")
    level_db: LevelGrid = Field(
        description="level relative to the axis in dB: for each frequency a list over the angles"
    )

    @field_validator("level_db")
    @classmethod
    def _grid_is_whole(cls, rows: LevelGrid, info: ValidationInfo) -> LevelGrid:
        freq_hz, angle_deg = info.data.get("freq_hz"), info.data.get("angle_deg")
        if freq_hz is None or angle_deg is None:
            return rows
        if len(rows) != len(freq_hz) or any(len(row) != len(angle_deg) for row in rows):
            raise wanted(f"{len(freq_hz)} lists, one for each frequency, of {len(angle_deg)} levels each")
        return rows

    def directivity(self) -> Directivity:
        """Translate."""
        return Directivity(self.freq_hz, self.angle_deg, self.level_db)


class LoudspeakerModelRecord(Record):
    """A loudspeaker by its maker's figures."""

    name: Name = Field(description="your own name for it")
    kind: Annotated[ModelKind, one_of(ModelKind, ("loudspeaker", "upward"))] = Field(
        default=ModelKind.LOUDSPEAKER, description="loudspeaker, upward or subwoofer"
    )
    sensitivity: Level | None = Field(
        default=None, description="level at 1 m in dB, for the drive of sensitivity_for"
    )
    sensitivity_for: Annotated[SensitivityFor, one_of(SensitivityFor)] = Field(
        default=SensitivityFor.VOLTS, description="2.83 V, or 1 W"
    )
    impedance: Ohm | None = Field(default=None, description="nominal impedance in ohm")
    lowest_impedance: Ohm | None = Field(default=None, description="lowest impedance in ohm")
    highest_impedance: Ohm | None = Field(default=None, description="highest impedance in ohm")
    dc_resistance: Ohm | None = Field(default=None, description="resistance to direct current in ohm")
    series_capacitor: Flag = Field(default=False, description="whether a capacitor stands in its way")
    power: Power | None = Field(default=None, description="continuous power that it takes in W")
    max_level: Level | None = Field(default=None, description="highest level at 1 m in dB")
    low_corner: Frequency | None = Field(
        default=None, description="frequency at which the bass has fallen by 3 dB, in Hz"
    )
    enclosure: Enclosure = Field(default="vented", description="sealed or vented")
    woofer: Size | None = Field(default=None, description="effective diameter of the woofer")
    tweeter: Size | None = Field(default=None, description="diameter of the tweeter")
    driver_crossover: Frequency | None = Field(
        default=None, description="crossover between its drivers in Hz"
    )
    directivity: DirectivityRecord | None = Field(default=None, description="measured level off the axis")
    weight: Weight | None = Field(default=None, description="weight in kg")
    size: Box | None = Field(default=None, description="width, depth and height")
    terminal_kind: Kind | None = Field(default=None, description="what a conductor is fastened to")

    def model(self, key: str) -> LoudspeakerModel:
        """Translate."""
        return LoudspeakerModel(
            self.name, self.kind, self.sensitivity, self.sensitivity_for, self.impedance, self.lowest_impedance,
            self.highest_impedance, self.dc_resistance, self.series_capacitor, self.power, self.max_level,
            self.low_corner, self.enclosure, self.woofer, self.tweeter, self.driver_crossover,
            None if self.directivity is None else self.directivity.directivity(), self.weight, self.size,
            self.terminal_kind, key,
        )  # fmt: skip


class SubwooferModelRecord(Record):
    """A subwoofer by its maker's figures."""

    name: Name = Field(description="your own name for it")
    kind: Annotated[str, one_of(("subwoofer",))] = Field(description="loudspeaker, upward or subwoofer")
    enclosure: Enclosure = Field(default="sealed", description="sealed or vented")
    low_corner: Frequency | None = Field(
        default=None, description="frequency at which the bass has fallen by 3 dB, in Hz"
    )
    q: Quality = Field(default=0.7, description="quality factor of a sealed box")
    max_level: Levels = Field(
        default=(), description="highest level at 1 m in dB by frequency in Hz { 30 = 100, … }"
    )
    latency: Duration = Field(default=0.0, description="delay of its own electronics in s")
    mains: Power | None = Field(default=None, description="power that it draws from the mains in W")
    weight: Weight | None = Field(default=None, description="weight in kg")
    size: Box | None = Field(default=None, description="width, depth and height")

    def model(self, key: str) -> SubwooferModel:
        """Translate."""
        return SubwooferModel(
            self.name, self.enclosure, self.low_corner, self.q, self.max_level, self.latency, self.mains, self.weight,
            self.size, key,
        )  # fmt: skip


def _model_tag(value: Any) -> str:
    kind = value.get("kind") if isinstance(value, dict) else getattr(value, "kind", None)
    return "<subwoofer>" if kind == "subwoofer" else "<loudspeaker>"


ModelRecord = Annotated[
    Annotated[LoudspeakerModelRecord, Tag("<loudspeaker>")]
    | Annotated[SubwooferModelRecord, Tag("<subwoofer>")],
    Discriminator(_model_tag),
]


TAGGED: dict[str, type[Record]] = {
    "<loudspeaker>": LoudspeakerModelRecord,
    "<subwoofer>": SubwooferModelRecord,
}
"""The records that a tag in pydantic's locations stands for; no key of the file starts with such a bracket."""


class BracketRecord(Record):
    """How a loudspeaker hangs."""

    arm: Height = Field(description="from the wall to its centre of mass")
    bolt_spacing: Size = Field(description="distance between its upper and lower bolts")
    fixing: Name = Field(default="", description="what holds the bolts, such as plug in masonry")

    def bracket(self) -> Bracket:
        """Translate."""
        return Bracket(self.arm, self.bolt_spacing, self.fixing)


class LoudspeakerRecord(Record):
    """One loudspeaker for one channel."""

    id: Name | None = Field(default=None, description="its own name; where it is left out, its channel")
    channel: Channel = Field(description="label of its channel as in ITU-R BS.2051, such as M+030")
    model: Name = Field(description="name of its [[model]]")
    at: Triple | None = Field(
        default=None, description="its acoustic centre [x, y, z]; leave out to have it placed"
    )
    mount: Annotated[Mount, one_of(Mount)] | None = Field(default=None, description="what carries it")
    aim: Annotated[tuple[Angle, Angle], exactly(2, "an aim [yaw, pitch] in degrees")] | None = Field(
        default=None,
        description="where it points [yaw, pitch] in degrees: yaw from +x counter-clockwise, pitch up",
    )
    bracket: BracketRecord | None = Field(default=None, description="how it hangs")

    def loudspeaker(self, key: str) -> Loudspeaker:
        """Translate."""
        return Loudspeaker(
            self.id or self.channel, self.channel, self.model, self.at, self.mount,
            None if self.aim is None else Aim(*self.aim), None if self.bracket is None else self.bracket.bracket(),
            key,
        )  # fmt: skip


class SubwooferRecord(Record):
    """One subwoofer."""

    id: Name | None = Field(default=None, description="its own id; where it is left out, its name")
    name: Name = Field(description="what you call it")
    model: Name = Field(description="name of its [[model]]")
    at: Triple | None = Field(
        default=None, description="its acoustic centre [x, y, z]; leave out to have it placed"
    )
    channel: Channel = Field(default="LFE1", description="low-frequency channel that it plays")
    cabled: Flag = Field(default=True, description="false for a radio link, which needs a socket and no run")

    def subwoofer(self, key: str) -> Subwoofer:
        """Translate."""
        return Subwoofer(self.id or self.name, self.model, self.at, self.channel, self.cabled, key)


MOST_OWNED = 100_000


def _read_owned(value: Any, info: ValidationInfo) -> float:
    """Read spools in hand, or, of what is sold by length, a length, in the file's unit."""
    if isinstance(value, str):
        if info.data.get("length") is not None:
            raise wanted("a count of spools, such as 1, since the length of a spool is given")
        foot = 0.3048 if unit_of(info) == "ft" else 1.0
        return length_in(value, unit_of(info), 0.0, FARTHEST_M, "a length in hand") / foot
    found = finite(value, "a count of spools, or of metres or feet in hand")
    if not 0.0 <= found <= MOST_OWNED:
        raise wanted(f"a count of spools, or of metres or feet in hand, from 0 to {MOST_OWNED:g}")
    return found


class StockRecord(Record):
    """Cable to cut from."""

    id: Name | None = Field(default=None, description="a name of its own, where one is wanted")
    conductor: ConductorMark = Field(description="16 AWG, 14/2, 2.5 mm2 or 2x2.5 mm2")
    material: Metal = Field(default="copper", description="copper, or copper-clad aluminium")
    cores: Annotated[int, count(1, 16)] | None = Field(
        default=None, description="conductors in one cable; 2 where left out"
    )
    outer: Clear | None = Field(default=None, description="outer width and height")
    flat: Flag = Field(default=False, description="whether it is flat")
    length: Size | None = Field(
        default=None, description="length of a spool; leave out where it is sold by the metre, or foot"
    )
    price: Money | None = Field(
        default=None,
        description='price of a spool; without a length, of a metre, or of a foot where units = "ft"',
    )
    owned: Annotated[float, PlainValidator(_read_owned, json_schema_input_type=float | str)] = Field(
        default=0.0,
        description='spools in hand; without a length, how much of it, in metres, or in feet where units = "ft"',
    )

    @field_validator("cores")
    @classmethod
    def _cores_agree(cls, cores: int | None, info: ValidationInfo) -> int | None:
        marked = info.data["conductor"].cores if "conductor" in info.data else None
        if None not in (cores, marked) and cores != marked:
            raise wanted(f"{marked} cores, as its conductor's marking says")
        return cores

    @property
    def core_count(self) -> int:
        """Conductors in one cable."""
        return self.cores or self.conductor.cores or 2

    def own_kind(self, unit: LengthUnitName) -> str:
        """Return what it is called where it has no name of its own: size, cores, and how long it is."""
        long = "by the foot" if unit == "ft" else "by the metre"
        if self.length:
            long = format_amount(self.length, unit)
        return f"{self.conductor}, {self.core_count} {'core' if self.core_count == 1 else 'cores'}, {long}"

    def stock(self, name: str, key: str, unit: LengthUnitName) -> Stock:
        """Translate, under a name that is its own or was derived; what is told for a foot is turned to a metre."""
        per_m = 1 / 0.3048 if unit == "ft" and self.length is None else 1.0
        price = None if self.price is None else self.price * per_m
        return Stock(
            name, str(self.conductor), self.conductor.area_mm2, self.material, self.core_count, self.outer, self.flat,
            self.length, price, self.owned / per_m, key,
        )  # fmt: skip


class CableRecord(Record):
    """How cable is cut, and what there is to cut from."""

    slack: Share = Field(default=0.10, description="slack as a share of the routed length")
    ends: Height = Field(default=0.5, description="service loop at each end")
    stock: Annotated[tuple[StockRecord, ...], tables("cable.stock")] = Field(
        default=(), description="cable to cut from, as [[cable.stock]]"
    )

    def wishes(self, names: tuple[str, ...], unit: LengthUnitName) -> CableWishes:
        """Translate, with a name for each stock, from prices by the project's unit."""
        stock = (
            record.stock(name, f"cable.stock[{place}]", unit)
            for place, (name, record) in enumerate(zip(names, self.stock, strict=True))
        )
        return CableWishes(self.slack, self.ends, tuple(stock))


_PER_METRE = "cost of a metre of cable"


class CostsRecord(Record):
    """Weights of the routing, in the project's currency."""

    skirting_per_m: Weighting = Field(
        default=Costs().skirting_per_m, description=f"{_PER_METRE} seen along the skirting"
    )
    ceiling_line_per_m: Weighting = Field(
        default=Costs().ceiling_line_per_m, description=f"{_PER_METRE} seen along the ceiling line"
    )
    vertical_per_m: Weighting = Field(
        default=Costs().vertical_per_m, description=f"{_PER_METRE} seen up a wall"
    )
    open_floor_per_m: Weighting = Field(
        default=Costs().open_floor_per_m, description=f"{_PER_METRE} across open floor"
    )
    hidden_per_m: Weighting = Field(
        default=Costs().hidden_per_m, description=f"{_PER_METRE} that nobody sees"
    )
    raceway_per_m: Weighting = Field(
        default=Costs().raceway_per_m, description="cost of a metre of new raceway"
    )
    bend: Weighting = Field(default=Costs().bend, description="cost of a bend")
    hole: Weighting = Field(default=Costs().hole, description="cost of a hole")
    threshold: Weighting = Field(default=Costs().threshold, description="cost of crossing a threshold")
    walkway: Weighting = Field(default=Costs().walkway, description="cost of crossing a walkway")
    beside_mains_per_m: Weighting = Field(
        default=Costs().beside_mains_per_m, description=f"{_PER_METRE} close beside a mains cable"
    )
    labour_per_hour: Weighting = Field(
        default=Costs().labour_per_hour, description="cost of an hour of labour"
    )

    def costs(self) -> Costs:
        """Translate."""
        return Costs(**self.model_dump())
