"""Records of the room: outline, walls, openings, furniture, covers, seats, screen and limits."""

from collections.abc import Iterable
from typing import Annotated, Any

from pydantic import Discriminator, Field, Tag, ValidationInfo, field_validator

from seatfield.model import (
    Area,
    CeilingThing,
    CeilingThingKind,
    Cover,
    CoverKind,
    Diagonal,
    Finish,
    Furniture,
    Holes,
    Limits,
    Opening,
    OpeningKind,
    Plane,
    Radiator,
    Room,
    Screen,
    Seat,
    Socket,
    TapeReadings,
    Treatment,
    Wall,
    WallBuild,
)
from seatfield.store.records.kinds import (
    MOST_CORNERS,
    Angle,
    Flag,
    Height,
    Name,
    PictureWidth,
    Position,
    Record,
    Size,
    Temperature,
    Text,
    WholeInches,
    one_of,
    wanted,
)
from seatfield.store.records.numbering import CornerNumber, WallNumber
from seatfield.store.records.shapes import (
    Clear,
    Corners,
    EarHeight,
    FinishValue,
    Lengths,
    Pair,
    Planes,
    Polyline,
    Polyline3,
    Stretch,
    Triple,
    exactly,
    several,
)

NOT_GIVEN = Finish("not given", (), ())
"""The finish of a surface that the file says nothing about; what needs absorption says so in a finding."""


class DiagonalRecord(Record):
    """A tape reading from corner to corner."""

    between: Annotated[
        tuple[CornerNumber, CornerNumber], exactly(2, 'two corners, such as [0, 2] or ["A", "C"]')
    ] = Field(description='the two corners: numbers from 0, or letters ["A", "C"] as on the sheets')
    length: Size = Field(description="the tape's reading")

    def diagonal(self) -> Diagonal:
        """Translate."""
        return Diagonal(self.between, self.length)


def _ceiling_tag(value: Any) -> str:
    return "<planes>" if isinstance(value, list | tuple) else "<height>"


class FinishesRecord(Record):
    """Finishes of the room's surfaces: names of the built-in table, or octave bands of absorption."""

    floor: FinishValue = Field(default=NOT_GIVEN, description="finish of the floor")
    ceiling: FinishValue = Field(default=NOT_GIVEN, description="finish of the ceiling")
    walls: FinishValue = Field(
        default=NOT_GIVEN, description="finish of the walls, where a [[wall]] says nothing else"
    )


class RoomRecord(Record):
    """The room's outline and ceiling."""

    floor: Corners | None = Field(default=None, description="corners of the floor [[x, y], …] in order")
    walls: Lengths | None = Field(
        default=None, description="instead of floor: wall lengths by tape, in order"
    )
    diagonals: Annotated[tuple[DiagonalRecord, ...], several(0, MOST_CORNERS, "a list of diagonals")] = Field(
        default=(), description="with walls: readings from corner to corner { between = [0, 2], length = … }"
    )
    ceiling: Annotated[
        Annotated[Size, Tag("<height>")] | Annotated[Planes, Tag("<planes>")], Discriminator(_ceiling_tag)
    ] = Field(description="height of the ceiling, or planes of three points each, the lowest of which counts")
    temperature: Temperature = Field(default=20.0, description="air temperature in °C")
    tolerance: Height = Field(default=0.03, description="how well the tape was read")
    finishes: FinishesRecord = Field(
        default=FinishesRecord(), description="finishes of floor, ceiling and walls"
    )

    def room(self, walls: tuple[Wall, ...], **things: Any) -> Room:
        """Translate, with the walls and the things in the room that stand in tables of their own."""
        flat = isinstance(self.ceiling, float)
        return Room(
            floor=self.floor or (),
            tape=None
            if self.walls is None
            else TapeReadings(self.walls, tuple(d.diagonal() for d in self.diagonals)),
            ceiling_m=self.ceiling if isinstance(self.ceiling, float) else None,
            ceiling_planes=() if flat else tuple(Plane(points) for points in self.ceiling),  # type: ignore[union-attr]
            floor_finish=self.finishes.floor,
            ceiling_finish=self.finishes.ceiling,
            walls=walls,
            temperature_c=self.temperature,
            tolerance_m=self.tolerance,
            **things,
        )

    @property
    def wall_count(self) -> int:
        """Number of walls, which is that of the corners."""
        return len(self.floor or self.walls or ())


class WallRecord(Record):
    """What is known of one wall beyond the room's finishes."""

    number: WallNumber = Field(
        description='the wall: number of its first corner, counted from 0, or its corners\' letters "A-B"'
    )
    finish: FinishValue | None = Field(default=None, description="its finish, where it differs")
    build: Annotated[WallBuild, one_of(WallBuild)] | None = Field(
        default=None, description="what it is made of"
    )
    stud_spacing: Size | None = Field(default=None, description="distance between studs")
    first_stud: Height | None = Field(
        default=None, description="place of the first stud from the wall's first corner"
    )
    services: Annotated[
        tuple[Stretch, ...], several(0, MOST_CORNERS, "a list of stretches [[from, to], …]")
    ] = Field(default=(), description="stretches that may hide pipes or cables")

    def wall(self, finish: Finish) -> Wall:
        """Translate, with the room's finish of walls where this one has none."""
        return Wall(
            self.number, self.finish or finish, self.build, self.stud_spacing, self.first_stud, self.services
        )


class OpeningRecord(Record):
    """A door, a window or an archway."""

    kind: Annotated[OpeningKind, one_of(OpeningKind)] = Field(description="door, window or archway")
    id: Name | None = Field(default=None, description="a name of its own, where one is wanted")
    wall: WallNumber = Field(description='its wall: its number from 0, or "A-B"')
    start: Position = Field(description="where it starts, from the wall's first corner")
    width: Size = Field(description="its clear width")
    sill: Height = Field(default=0.0, description="height of its lower edge")
    height: Size = Field(description="height of the opening itself, from its lower edge")
    hinge: Annotated[str, one_of(("start", "end"))] = Field(
        default="start", description="end at which a door hangs"
    )
    opens: Annotated[str, one_of(("inward", "outward"))] = Field(
        default="inward", description="way in which a door swings"
    )
    beyond: Corners | None = Field(default=None, description="outline of the space behind an archway")
    leak: Flag = Field(default=False, description="whether sound leaves through an archway for good")
    curtain: Flag = Field(default=False, description="whether a window has a curtain")

    def opening(self, name: str, key: str) -> Opening:
        """Translate, under a name that is its own or was derived."""
        return Opening(
            name, self.kind, self.wall, self.start, self.width, self.sill, self.height, self.hinge, self.opens,
            self.beyond or (), self.leak, self.curtain, key, not {"hinge", "opens"} <= self.model_fields_set,
        )  # fmt: skip


class FurnitureRecord(Record):
    """Anything with an outline and a height."""

    name: Name | None = Field(default=None, description="what you call it")
    kind: Name = Field(
        default="furniture",
        description="what it is: people sit on a sofa, chair, bench or bed; a table, shelf or media bench carries kit",
    )
    outline: Corners = Field(description="its outline on the floor")
    base: Height = Field(default=0.0, description="height of its underside")
    height: Size = Field(description="height of its top above its underside")

    def furniture(self, name: str, key: str) -> Furniture:
        """Translate."""
        return Furniture(name, self.kind, self.outline, self.base, self.height, key)


def runs_forward(end: float | None, info: ValidationInfo) -> float | None:
    """Check that a stretch ends beyond where it starts.

    Parameters
    ----------
    end : float or None
        Where it ends, along the wall [m].
    info : ValidationInfo
        With where it starts, if that could be read.

    Returns
    -------
    float or None
        The same.
    """
    start = info.data.get("from_")
    if start is not None and end is not None and not start < end:
        raise wanted("a place beyond from")
    return end


class _Stretched(Record):
    """Something on a wall or with an outline."""

    outline: Corners | None = Field(default=None, description="its outline in plan")
    wall: WallNumber | None = Field(
        default=None, description='instead of an outline: its wall, by number or as "A-B"'
    )
    from_: Position | None = Field(
        default=None, alias="from", description="where it starts, from the wall's first corner"
    )
    to: Position | None = Field(default=None, description="where it ends, from the wall's first corner")

    _forward = field_validator("to")(runs_forward)


class CoverRecord(_Stretched):
    """What can hide a cable."""

    kind: Annotated[CoverKind, one_of(CoverKind)] = Field(
        description="rug, curtain, raceway, skirting gap, …"
    )
    id: Name | None = Field(default=None, description="a name of its own, where one is wanted")
    height: Height = Field(default=0.0, description="height above the floor")
    inside: Clear | None = Field(default=None, description="clear width and depth of a raceway")
    existing: Flag = Field(default=False, description="whether it is there already")

    def cover(self, name: str, key: str) -> Cover:
        """Translate."""
        return Cover(
            name, self.kind, self.outline or (), self.wall, self.from_, self.to, self.height, self.inside,
            self.existing, key,
        )  # fmt: skip


class SocketRecord(Record):
    """A mains socket."""

    wall: WallNumber = Field(description='its wall: its number from 0, or "A-B"')
    at: Position = Field(description="its place from the wall's first corner")
    circuit: Text = Field(default="", description="name of its circuit")

    def socket(self, key: str) -> Socket:
        """Translate."""
        return Socket(self.wall, self.at, self.circuit, key)


class RadiatorRecord(Record):
    """A radiator."""

    wall: WallNumber = Field(description='its wall: its number from 0, or "A-B"')
    from_: Position = Field(alias="from", description="where it starts, from the wall's first corner")
    to: Position = Field(description="where it ends, from the wall's first corner")

    _forward = field_validator("to")(runs_forward)

    def radiator(self, key: str) -> Radiator:
        """Translate."""
        return Radiator(self.wall, self.from_, self.to, key)


class TreatmentRecord(_Stretched):
    """An absorbing panel on a wall or under the ceiling."""

    name: Name = Field(default="panel", description="what you call it")
    finish: FinishValue = Field(description="its finish, or its absorption in octave bands { 125 = 0.3, … }")
    sill: Height = Field(default=0.0, description="height of its lower edge")
    height: Height = Field(default=0.0, description="height of the panel itself")

    def treatment(self, key: str) -> Treatment:
        """Translate."""
        return Treatment(
            self.name,
            self.finish,
            self.outline or (),
            self.wall,
            self.from_,
            self.to,
            self.sill,
            self.height,
            key,
        )


class CeilingThingRecord(Record):
    """A lamp, a beam or a fan under the ceiling."""

    name: Name | None = Field(default=None, description="what you call it")
    outline: Corners = Field(description="its outline in plan")
    drop: Height = Field(description="how far it hangs below the ceiling")

    def thing(self, kind: CeilingThingKind, key: str) -> CeilingThing:
        """Translate."""
        return CeilingThing(self.name or kind.value, kind, self.outline, self.drop, key)


class SeatRecord(Record):
    """Where somebody sits."""

    name: Name | None = Field(default=None, description="what you call it")
    at: Pair = Field(description="its place [x, y]")
    ear: EarHeight = Field(description="height of the ears, or a range [lowest, highest]")
    main: Flag = Field(default=False, description="whether everything is aligned to it; exactly one seat is")

    def seat(self, name: str, key: str, *, main: bool) -> Seat:
        """Translate."""
        return Seat(name, self.at, self.ear, main, key)


class ScreenRecord(Record):
    """The picture."""

    centre: Triple = Field(description="centre of the picture [x, y, z]")
    width: PictureWidth = Field(description="width of the picture itself, not its diagonal")
    height: Size | None = Field(
        default=None, description="height of the picture; where it is left out, 9/16 of the width"
    )
    viewing_angle: Angle | None = Field(
        default=None, description="angle that the picture should fill, seen from the main seat, in degrees"
    )

    def screen(self) -> Screen:
        """Translate."""
        height = self.height or self.width * 9 / 16
        return Screen(self.centre, float(self.width), height, isinstance(self.width, WholeInches))


class AreaRecord(Record):
    """A named part of the floor."""

    name: Name = Field(default="kept out", description="what you call it")
    outline: Corners = Field(description="its outline on the floor")

    def area(self) -> Area:
        """Translate."""
        return Area(self.name, self.outline)


class LimitsRecord(Record):
    """What may not be done in this home."""

    holes: Annotated[Holes, one_of(Holes)] = Field(default=Holes.NONE, description="what may be drilled")
    pets: Flag = Field(default=False, description="whether pets live here")
    children: Flag = Field(default=False, description="whether children live here")
    keep_out: Annotated[tuple[AreaRecord, ...], several(0, MOST_CORNERS, "a list of areas")] = Field(
        default=(), description='floor to keep free: [ { name = "…", outline = [[x, y], …] } ]'
    )
    walkways: Annotated[tuple[Polyline, ...], several(0, MOST_CORNERS, "a list of lines")] = Field(
        default=(), description="lines on the floor along which people walk"
    )
    mains_cables: Annotated[tuple[Polyline3, ...], several(0, MOST_CORNERS, "a list of lines")] = Field(
        default=(), description="mains cables as lines in three dimensions, where they are known"
    )

    def limits(self) -> Limits:
        """Translate."""
        areas = tuple(area.area() for area in self.keep_out)
        return Limits(self.holes, self.pets, self.children, areas, self.walkways, self.mains_cables)


def names_apart(
    wished: Iterable[str | None], kinds: Iterable[str], counted: str = "{} {}"
) -> tuple[str, ...]:
    """Give each thing a name of its own: its own name, or its kind, counted where it is not the only one.

    Parameters
    ----------
    wished : iterable of str or None
        Names in the file.
    kinds : iterable of str
        What each thing is.
    counted : str
        How a kind and its number are written.

    Returns
    -------
    tuple of str
        Names that differ.
    """
    wished, kinds = list(wished), list(kinds)
    taken = {name for name in wished if name}
    names = []
    for own, kind in zip(wished, kinds, strict=True):
        alone = kinds.count(kind) == 1 and kind not in taken
        number = 1
        while not own and not alone and counted.format(kind, number) in taken:
            number += 1
        name = own or (kind if alone else counted.format(kind, number))
        taken.add(name)
        names.append(name)
    return tuple(names)
