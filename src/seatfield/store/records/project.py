"""The record of the whole file, and its translation into a project."""

from typing import Annotated, Any

from pydantic import Field, PlainValidator

from seatfield.catalogue.systems import BEST_THAT_FITS, nearest_system, system
from seatfield.model import CeilingThingKind, LengthUnit, Loudness, Project, Seat, Underlay, Wall
from seatfield.store.records.chain import DeviceRecord, LinkRecord, ServiceRecord
from seatfield.store.records.kinds import Name, Record, Size, Text, count, number, one_of, wanted
from seatfield.store.records.kit import (
    AmplifierRecord,
    CableRecord,
    CostsRecord,
    LoudspeakerModelRecord,
    LoudspeakerRecord,
    ModelRecord,
    SubwooferModelRecord,
    SubwooferRecord,
)
from seatfield.store.records.room import (
    CeilingThingRecord,
    CoverRecord,
    FurnitureRecord,
    LimitsRecord,
    OpeningRecord,
    RadiatorRecord,
    RoomRecord,
    ScreenRecord,
    SeatRecord,
    SocketRecord,
    TreatmentRecord,
    WallRecord,
    names_apart,
)
from seatfield.store.records.shapes import exactly, tables
from seatfield.units import LengthUnitName

FORMAT = 1
"""Number of the file's format that this door reads and writes."""

UNNAMED = "room without a name"


def _read_layout(value: Any) -> str:
    if not isinstance(value, str):
        raise wanted('a sound system in quotes, such as "2+5+0", "5.1.2" or "best that fits"')
    name = value.strip()
    if name == BEST_THAT_FITS or system(name) is not None:
        return name
    raise wanted('a sound system such as "2+5+0", "5.1.2" or "best that fits"', nearest_system(name[:40]))


Layout = Annotated[str, PlainValidator(_read_layout, json_schema_input_type=str)]
Pixel = Annotated[float, number(0, 1_000_000, "a place in pixels")]
PixelPoint = Annotated[tuple[Pixel, Pixel], exactly(2, "a point [x, y] in pixels")]


class SystemRecord(Record):
    """What sound system is wanted."""

    layout: Layout = Field(description="a BS.2051 name, the trade's shorthand, or best that fits")
    loudness: Annotated[Loudness, one_of(Loudness)] = Field(
        default=Loudness.USUAL, description="quiet, usual or reference"
    )


class UnderlayRecord(Record):
    """A photo or scan under the plan."""

    file: Name = Field(description="its file in the project's folder")
    points: Annotated[tuple[PixelPoint, PixelPoint], exactly(2, "two points [[x, y], [x, y]] in pixels")] = (
        Field(description="two points in pixels")
    )
    length: Size = Field(description="length between them")

    def underlay(self) -> Underlay:
        """Translate."""
        return Underlay(self.file, self.points, self.length)


class ProjectRecord(Record):
    """The project file: one room and its kit."""

    format: Annotated[int, count(FORMAT, FORMAT)] = Field(
        default=FORMAT, description="number of this file's format"
    )
    name: Text = Field(default=UNNAMED, description="what the project is called")
    units: Annotated[LengthUnit, one_of(LengthUnit)] = Field(
        default=LengthUnit.METRE, description="unit of the plain numbers: m or ft"
    )
    currency: Text = Field(default="", description="currency of prices and costs, such as EUR")
    room: RoomRecord = Field(description="the room's outline and ceiling")
    wall: Annotated[tuple[WallRecord, ...], tables("wall")] = Field(
        default=(), description="walls that differ"
    )
    opening: Annotated[tuple[OpeningRecord, ...], tables("opening")] = Field(
        default=(), description="doors, windows, archways"
    )
    furniture: Annotated[tuple[FurnitureRecord, ...], tables("furniture")] = Field(
        default=(), description="furniture"
    )
    cover: Annotated[tuple[CoverRecord, ...], tables("cover")] = Field(
        default=(), description="what can hide a cable"
    )
    socket: Annotated[tuple[SocketRecord, ...], tables("socket")] = Field(
        default=(), description="mains sockets"
    )
    radiator: Annotated[tuple[RadiatorRecord, ...], tables("radiator")] = Field(
        default=(), description="radiators"
    )
    treatment: Annotated[tuple[TreatmentRecord, ...], tables("treatment")] = Field(
        default=(), description="absorbing panels"
    )
    lamp: Annotated[tuple[CeilingThingRecord, ...], tables("lamp")] = Field(
        default=(), description="lamps under the ceiling"
    )
    beam: Annotated[tuple[CeilingThingRecord, ...], tables("beam")] = Field(
        default=(), description="beams under the ceiling"
    )
    fan: Annotated[tuple[CeilingThingRecord, ...], tables("fan")] = Field(
        default=(), description="fans under the ceiling"
    )
    seat: Annotated[tuple[SeatRecord, ...], tables("seat")] = Field(
        description="seats, as [[seat]], one of them main"
    )
    screen: ScreenRecord = Field(description="the picture's centre and width")
    limits: LimitsRecord = Field(default=LimitsRecord(), description="what may not be done in this home")
    system: SystemRecord = Field(description="what sound system is wanted")
    amplifier: Annotated[tuple[AmplifierRecord, ...], tables("amplifier")] = Field(
        default=(), description="amplifiers"
    )
    model: Annotated[tuple[ModelRecord, ...], tables("model")] = Field(
        default=(), description="models by their figures"
    )
    loudspeaker: Annotated[tuple[LoudspeakerRecord, ...], tables("loudspeaker")] = Field(
        default=(), description="loudspeakers"
    )
    subwoofer: Annotated[tuple[SubwooferRecord, ...], tables("subwoofer")] = Field(
        default=(), description="subwoofers"
    )
    cable: CableRecord = Field(default=CableRecord(), description="how cable is cut, and from what")
    costs: CostsRecord = Field(default=CostsRecord(), description="weights of the routing")
    device: Annotated[tuple[DeviceRecord, ...], tables("device")] = Field(
        default=(), description="devices of the signal chain"
    )
    link: Annotated[tuple[LinkRecord, ...], tables("link")] = Field(
        default=(), description="links between their ports"
    )
    service: Annotated[tuple[ServiceRecord, ...], tables("service")] = Field(
        default=(), description="services and discs"
    )
    underlay: UnderlayRecord | None = Field(default=None, description="a photo or scan under the plan")

    def project(self) -> Project:
        """Translate the whole file; its references have been checked before."""
        models = [(number, record) for number, record in enumerate(self.model)]
        return Project(
            name=self.name or UNNAMED,
            units=self.units,
            currency=self.currency,
            room=self.room.room(self._walls(), **self._things()),
            seats=self._seats(),
            screen=self.screen.screen(),
            layout=self.system.layout,
            limits=self.limits.limits(),
            loudness=self.system.loudness,
            viewing_angle_deg=self.screen.viewing_angle,
            amplifiers=tuple(record.amplifier(f"amplifier[{n}]") for n, record in enumerate(self.amplifier)),
            models=tuple(r.model(f"model[{n}]") for n, r in models if isinstance(r, LoudspeakerModelRecord)),
            subwoofer_models=tuple(
                r.model(f"model[{n}]") for n, r in models if isinstance(r, SubwooferModelRecord)
            ),
            loudspeakers=tuple(
                record.loudspeaker(f"loudspeaker[{n}]") for n, record in enumerate(self.loudspeaker)
            ),
            subwoofers=tuple(record.subwoofer(f"subwoofer[{n}]") for n, record in enumerate(self.subwoofer)),
            cable=self.cable.wishes(self._stock_names(), self._unit),
            costs=self.costs.costs(),
            devices=tuple(record.device(f"device[{n}]") for n, record in enumerate(self.device)),
            links=tuple(record.link(f"link[{n}]") for n, record in enumerate(self.link)),
            services=tuple(record.service(f"service[{n}]") for n, record in enumerate(self.service)),
            underlay=None if self.underlay is None else self.underlay.underlay(),
        )

    @property
    def _unit(self) -> LengthUnitName:
        return "ft" if self.units is LengthUnit.FOOT else "m"

    def _stock_names(self) -> tuple[str, ...]:
        stock = self.cable.stock
        return names_apart((s.id for s in stock), (s.own_kind(self._unit) for s in stock), "{}, no. {}")

    def _walls(self) -> tuple[Wall, ...]:
        finish = self.room.finishes.walls
        told = {record.number: record.wall(finish) for record in self.wall}
        return tuple(told.get(number) or Wall(number, finish) for number in range(self.room.wall_count))

    def _seats(self) -> tuple[Seat, ...]:
        names = names_apart((record.name for record in self.seat), ("seat" for _ in self.seat))
        alone = len(self.seat) == 1
        return tuple(
            record.seat(name, f"seat[{number}]", main=record.main or alone)
            for number, (name, record) in enumerate(zip(names, self.seat, strict=True))
        )

    def _things(self) -> dict[str, Any]:
        openings = names_apart((r.id for r in self.opening), (r.kind.value for r in self.opening))
        furniture = names_apart((r.name for r in self.furniture), (r.kind for r in self.furniture))
        covers = names_apart((r.id for r in self.cover), (r.kind.value for r in self.cover))
        hanging = {
            CeilingThingKind.LAMP: self.lamp,
            CeilingThingKind.BEAM: self.beam,
            CeilingThingKind.FAN: self.fan,
        }
        return {
            "openings": tuple(r.opening(openings[n], f"opening[{n}]") for n, r in enumerate(self.opening)),
            "furniture": tuple(
                r.furniture(furniture[n], f"furniture[{n}]") for n, r in enumerate(self.furniture)
            ),
            "covers": tuple(r.cover(covers[n], f"cover[{n}]") for n, r in enumerate(self.cover)),
            "sockets": tuple(r.socket(f"socket[{n}]") for n, r in enumerate(self.socket)),
            "radiators": tuple(r.radiator(f"radiator[{n}]") for n, r in enumerate(self.radiator)),
            "treatments": tuple(r.treatment(f"treatment[{n}]") for n, r in enumerate(self.treatment)),
            "ceiling_things": tuple(
                r.thing(kind, f"{kind.value}[{n}]")
                for kind, records in hanging.items()
                for n, r in enumerate(records)
            ),
        }
