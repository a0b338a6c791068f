"""The room as the network's makers need it: walls with what stands against them, and the ends of every run."""

from dataclasses import dataclass, replace

from seatfield.geometry.ceiling import Slope, height
from seatfield.geometry.polygon import clip, contains
from seatfield.model import (
    Cover,
    CoverKind,
    Furniture,
    Holes,
    Limits,
    Mount,
    Opening,
    OpeningKind,
    Point,
    Point3,
    Room,
    WallBuild,
)
from seatfield.stages.cable.surfaces import Conduit
from seatfield.stages.survey import Survey, WallFrame, is_seating, top_m

BEHIND_M = 0.30
"""Furniture this near a wall hides what runs along it: common practice, no source."""

GAP_M = 0.15
"""Nobody sees a cable in a gap this narrow between two pieces: common practice, no source."""

LEAD_M = 0.50
"""A box on a shelf or bracket reaches the wall behind it over at most this far."""

SHELF_HEIGHT_M = 1.3
"""A box higher than this that does not say what carries it is taken to hang on the wall near it."""

CURTAIN_OVER_M = 0.15
"""The curtain of a window hangs from its sill to this far above its head, and no wider: common practice, no source.

A longer or wider one is described as a cover of its own."""

FILL = 0.5
"""Share of a raceway's clear area that cables may fill: common practice (40 to 60 %), no source."""

GAP_INSIDE_M = (0.020, 0.008)
"""Clear width and depth under a lifted carpet edge or behind a skirting where the file gives none: a guess."""


@dataclass(frozen=True, slots=True)
class End:
    """An end of a run: the amplifier (`source`), a loudspeaker or a subwoofer, with what carries it."""

    id: str
    at: Point3
    mount: Mount | None
    source: bool = False


@dataclass(frozen=True, slots=True)
class Hide:
    """A stretch of a wall, from one height up to another, where something hides a cable."""

    low_m: float
    high_m: float
    top_m: float
    words: str
    base_m: float = 0.0


@dataclass(frozen=True, slots=True)
class Face:
    """A wall with its openings and everything that stands or hangs along it; positions from its first corner [m].

    Parameters
    ----------
    conduits
        Each with its stretch and height.
    cavity
        True where a cable may be pulled inside the wall.
    """

    frame: WallFrame
    openings: tuple[Opening, ...]
    hides: tuple[Hide, ...]
    conduits: tuple[tuple[float, float, float, Conduit], ...]
    radiators: tuple[tuple[float, float], ...]
    sockets: tuple[float, ...]
    cavity: bool

    def at(self, along_m: float, z_m: float) -> Point3:
        """Return the point of the wall at a position and a height [m]."""
        (x, y), (ax, ay) = self.frame.start, self.frame.along
        return x + ax * along_m, y + ay * along_m, z_m

    def of(self, point: Point) -> tuple[float, float]:
        """Return a point's position along the wall and its distance into the room [m]."""
        dx, dy = point[0] - self.frame.start[0], point[1] - self.frame.start[1]
        (ax, ay), (nx, ny) = self.frame.along, self.frame.inward
        return dx * ax + dy * ay, dx * nx + dy * ny

    def hidden_by(self, low_m: float, high_m: float, top_m: float, base_m: float | None = None) -> str:
        """Return what hides a stretch at a height, or between two heights; empty where nothing hides all of it."""
        base_m = top_m if base_m is None else base_m
        for hide in self.hides:
            along = hide.low_m - 1e-6 <= low_m and high_m <= hide.high_m + 1e-6
            if along and hide.base_m - 1e-6 <= base_m and top_m <= hide.top_m + 1e-6:
                return hide.words
        return ""


@dataclass(frozen=True, slots=True)
class Setting:
    """Everything about the room that the network is made of."""

    room: Room
    limits: Limits
    faces: tuple[Face, ...]
    slopes: tuple[Slope, ...]
    attic: Cover | None

    def ceiling_m(self, x: float, y: float) -> float:
        """Return the height of the ceiling at a point [m]."""
        return height(self.slopes, x, y)


def describe(survey: Survey, limits: Limits, cable_area_m2: float) -> Setting:
    """Return the room as faces, covers and a ceiling."""
    room = survey.room
    attics = [c for c in room.covers if c.kind is CoverKind.ATTIC]
    drilled = limits.holes is Holes.WALLS_AND_CEILING
    return Setting(
        room,
        limits,
        tuple(_face(frame, room, limits, cable_area_m2) for frame in survey.walls),
        survey.ceiling,
        attics[0] if attics and drilled else None,
    )


def _face(frame: WallFrame, room: Room, limits: Limits, cable_area_m2: float) -> Face:
    number = frame.wall.number
    openings = tuple(_within_wall(o, frame) for o in room.openings if o.wall == number and _in_wall(o, frame))
    covers = [c for c in room.covers if c.wall == number]
    conduits = [c for c in covers if c.kind in (CoverKind.RACEWAY, CoverKind.SKIRTING_GAP)]
    masonry = frame.wall.build is WallBuild.MASONRY
    hollow = (
        any(c.kind is CoverKind.CAVITY for c in covers) and limits.holes is not Holes.NONE and not masonry
    )
    return Face(
        frame,
        openings,
        _closed_up([*_furniture(frame, room.furniture), *_curtains(frame, openings, covers)]),
        tuple(c for cover in conduits if (c := _conduit(frame, cover, cable_area_m2))[1] - c[0] > 1e-3),
        tuple((r.from_m, r.to_m) for r in room.radiators if r.wall == number),
        tuple(s.at_m for s in room.sockets if s.wall == number),
        hollow,
    )


def _in_wall(opening: Opening, frame: WallFrame) -> bool:
    return opening.start_m + opening.width_m > 0.01 and opening.start_m < frame.length_m - 0.01


def _within_wall(opening: Opening, frame: WallFrame) -> Opening:
    """Return an opening cut off at the wall's ends; the survey says so where it had to be."""
    start = max(0.0, opening.start_m)
    end = min(frame.length_m, opening.start_m + opening.width_m)
    return replace(opening, start_m=start, width_m=end - start)


def _conduit(frame: WallFrame, cover: Cover, cable_area_m2: float) -> tuple[float, float, float, Conduit]:
    gap = cover.kind is CoverKind.SKIRTING_GAP
    capacity = fits(cover.inside_m or GAP_INSIDE_M, cable_area_m2)
    low, high = cover.from_m or 0.0, frame.length_m if cover.to_m is None else cover.to_m
    shared = Conduit(cover.id, str(cover.kind), capacity, existing=gap or cover.existing)
    return max(0.0, low), min(frame.length_m, high), 0.0 if gap else cover.height_m, shared


def fits(inside_m: tuple[float, float], cable_area_m2: float) -> int:
    """Return how many cables fill a raceway up to the allowed share of its area."""
    return int(FILL * inside_m[0] * inside_m[1] / cable_area_m2 + 1e-9)


def _furniture(frame: WallFrame, furniture: tuple[Furniture, ...]) -> list[Hide]:
    hides = []
    (x, y), (ax, ay), (nx, ny) = frame.start, frame.along, frame.inward
    for piece in furniture:
        near = clip(piece.outline, -nx, -ny, nx * x + ny * y + BEHIND_M)
        near = clip(near, nx, ny, -(nx * x + ny * y) + 0.05)
        along = [(px - x) * ax + (py - y) * ay for px, py in near]
        low, high = max(0.0, min(along, default=0.0)), min(frame.length_m, max(along, default=0.0))
        if high - low > 0.05:
            hides.append(Hide(low, high, top_m(piece), f"behind {piece.name}"))
    return hides


def _closed_up(hides: list[Hide]) -> tuple[Hide, ...]:
    """Return what hides a cable, with the narrow gaps between neighbours: nobody sees into them."""
    gaps = [
        Hide(one.high_m, two.low_m, min(one.top_m, two.top_m), one.words, max(one.base_m, two.base_m))
        for one in hides
        for two in hides
        if 0 < two.low_m - one.high_m <= GAP_M
    ]
    return (*hides, *gaps)


def _curtains(frame: WallFrame, openings: tuple[Opening, ...], covers: list[Cover]) -> list[Hide]:
    hides = [
        Hide(
            o.start_m,
            o.start_m + o.width_m,
            o.sill_m + o.height_m + CURTAIN_OVER_M,
            "behind curtain",
            o.sill_m,
        )
        for o in openings
        if o.curtain
    ]
    for cover in covers:
        if cover.kind is CoverKind.CURTAIN:
            high = frame.length_m if cover.to_m is None else cover.to_m
            hides.append(Hide(cover.from_m or 0.0, high, 99.0, "behind curtain"))
    return hides


def at_floor(opening: Opening) -> bool:
    """Tell whether people walk through an opening."""
    return opening.sill_m < 0.02 and opening.kind is not OpeningKind.WINDOW


def passable(piece: Furniture) -> bool:
    """Tell whether a flat cable on the floor passes under a piece of furniture."""
    return piece.base_m > 0.01 or is_seating(piece)


def carries(piece: Furniture, end: End) -> bool:
    """Tell whether an end stands on or in a piece of furniture."""
    return contains(piece.outline, end.at[:2]) and end.at[2] >= piece.base_m - 0.05


def wall_behind(end: End, setting: Setting) -> tuple[int, float, float] | None:
    """Return the wall that an end is fixed to or backs on: its number, the position along it and the distance.

    None where it hangs from the ceiling, stands free, or stands too far from any wall to reach it unseen.
    """
    reach = _reach_m(end, setting)
    best: tuple[float, int, float] | None = None
    for number, face in enumerate(setting.faces):
        along, away = face.of(end.at[:2])
        if 0 <= along <= face.frame.length_m and 0 <= away <= reach and (best is None or away < best[0]):
            best = (away, number, along)
    if best is None or _over_opening(setting.faces[best[1]], best[2], end.at[2]):
        return None
    return best[1], best[2], best[0]


def _reach_m(end: End, setting: Setting) -> float:
    if end.mount is Mount.WALL:
        return 2 * LEAD_M
    if end.mount is Mount.SHELF or _on_furniture(end, setting):
        return LEAD_M
    return LEAD_M if end.mount is None and end.at[2] > SHELF_HEIGHT_M else -1.0


def _on_furniture(end: End, setting: Setting) -> bool:
    return any(carries(piece, end) for piece in setting.room.furniture)


def _over_opening(face: Face, along_m: float, z_m: float) -> bool:
    return any(
        o.start_m < along_m < o.start_m + o.width_m and o.sill_m < z_m < o.sill_m + o.height_m
        for o in face.openings
    )


def hangs(end: End, setting: Setting) -> bool:
    """Tell whether an end is fixed to the ceiling: because it says so, or because it is within 35 cm of it."""
    if end.mount is not None:
        return end.mount is Mount.CEILING
    return setting.ceiling_m(*end.at[:2]) - end.at[2] < 0.35 and wall_behind(end, setting) is None
