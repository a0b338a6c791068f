"""What stands in the room, in plan: furniture, covers, screen, seats, sockets, radiators, things overhead."""

import math

from seatfield.drawing.board import Board, Wish, letters_mm, named
from seatfield.drawing.scene import Area, Line, Point, Symbol
from seatfield.drawing.walls import on_wall
from seatfield.model import Cover, Limits, Project, Room, Seat
from seatfield.stages.survey.result import WallFrame

SEAT_M = 0.42  # drawn size of a seat's mark: a head and shoulders from above; common practice, no source
SOCKET_MM = 4.5
RADIATOR_M = 0.10
SCREEN_NAME_MM = 2.6  # from the screen into the room
HANGS_M = 0.4  # a screen this close to a wall hangs on it, or stands along it: common practice, no source


def draw_fittings(board: Board, project: Project, room: Room, walls: tuple[WallFrame, ...]) -> None:
    """Draw all of it, what lies on the floor first."""
    for cover in room.covers:
        _cover(board, cover, walls)
    _limits(board, project.limits)
    for thing in room.furniture:
        board.draw(Area(thing.outline, "furniture", ref=f"furniture:{thing.name}"))
        name_thing(board, thing.name, thing.outline, f"furniture:{thing.name}")
    for panel in room.treatments:
        if panel.wall is not None and panel.from_m is not None and panel.to_m is not None:
            quad = _along(walls[panel.wall], panel.from_m, panel.to_m, 0.0, 0.06)
            board.draw(Area(quad, "cloth", ref=f"treatment:{panel.name}"))
    for radiator in room.radiators:
        wall = walls[radiator.wall]
        board.draw(Area(_along(wall, radiator.from_m, radiator.to_m, 0.03, RADIATOR_M), "opening"))
        count = max(2, round((radiator.to_m - radiator.from_m) / 0.12))
        for k in range(1, count):
            at = radiator.from_m + (radiator.to_m - radiator.from_m) * k / count
            board.draw(Line((on_wall(wall, at, 0.03), on_wall(wall, at, RADIATOR_M)), "dimension"))
    for socket in room.sockets:
        wall = walls[socket.wall]
        size = SOCKET_MM / board.mm_per_m
        facing = math.degrees(math.atan2(wall.inward[1], wall.inward[0]))
        board.draw(
            Symbol("socket", on_wall(wall, socket.at_m, 0.35 * size), size, facing, "leaf", socket.key)
        )
    _overhead(board, room)
    _screen(board, project, walls)


def draw_seats(board: Board, project: Project) -> None:
    """Draw the seats, each looking at the screen."""
    for seat in project.seats:
        sx, sy, _ = project.screen.centre
        facing = math.degrees(math.atan2(sy - seat.at[1], sx - seat.at[0]))
        name = "main seat" if seat.main else "seat"
        board.draw(Symbol(name, seat.at, SEAT_M, facing, name, f"seat:{seat.name}"))
        board.ask(
            Wish(
                _seat_lines(seat),
                seat.at,
                0.45 * SEAT_M * board.mm_per_m + 0.8,
                facing + 180.0,
                ref=f"seat:{seat.name}",
            )
        )


def _seat_lines(seat: Seat) -> tuple[tuple[str, str], ...]:
    return (*named(seat.name, "label"), ("main seat", "name")) if seat.main else named(seat.name, "name")


def _cover(board: Board, cover: Cover, walls: tuple[WallFrame, ...]) -> None:
    ref = f"cover:{cover.id}"
    if cover.outline:
        board.draw(Area(cover.outline, "cloth", ref=ref))
        left = min(x for x, _ in cover.outline)
        low = min(y for _, y in cover.outline)
        corner = (left + 5 / board.mm_per_m, low + 2.5 / board.mm_per_m)
        spots = _grid_spots(cover.outline)
        board.ask(
            Wish(
                ((cover.kind.value, "faint name"),), corner, 0.0, spots=(corner, *spots), tied=False, ref=ref
            )
        )
    elif cover.wall is not None and cover.from_m is not None and cover.to_m is not None:
        board.draw(Area(_along(walls[cover.wall], cover.from_m, cover.to_m, 0.0, 0.025), "raceway", ref=ref))


def _limits(board: Board, limits: Limits) -> None:
    for area in limits.keep_out:
        board.draw(Area(area.outline, "barred", ref=f"keep-out:{area.name}"))
        name_thing(board, area.name, area.outline, f"keep-out:{area.name}")
    for way in limits.walkways:
        board.draw(Line(way, "walkway", ref="walkway"))
    for cable in limits.mains_cables:
        board.draw(Line(tuple((x, y) for x, y, _ in cable), "mains", ref="mains"))


def _overhead(board: Board, room: Room) -> None:
    for thing in room.ceiling_things:
        board.draw(Line(thing.outline, "overhead", closed=True, ref=f"ceiling:{thing.name}"))
        name_thing(board, f"{thing.name} (overhead)", thing.outline, f"ceiling:{thing.name}")
    for panel in room.treatments:
        if panel.outline:
            board.draw(Line(panel.outline, "overhead", closed=True, ref=f"treatment:{panel.name}"))


def _screen(board: Board, project: Project, walls: tuple[WallFrame, ...]) -> None:
    """Draw the screen as a heavy line, its name before it."""
    x, y, _ = project.screen.centre
    ux, uy = screen_axis(project, walls)
    half = project.screen.width_m / 2
    ends = ((x - uy * half, y + ux * half), (x + uy * half, y - ux * half))
    board.draw(Line(ends, "screen", ref="screen"))
    shares = (
        (0.0, 1.0),
        (0.7, 1.0),
        (-0.7, 1.0),
        (0.0, 2.5),
        (0.7, 2.5),
        (-0.7, 2.5),
        (1.3, 1.0),
        (-1.3, 1.0),
    )
    off = SCREEN_NAME_MM / board.mm_per_m
    spots = tuple((x + ux * off * f - uy * half * s, y + uy * off * f + ux * half * s) for s, f in shares)
    board.ask(Wish((("screen", "name"),), spots[0], 0.0, spots=spots, tied=False, ref="screen"))


def screen_axis(project: Project, walls: tuple[WallFrame, ...]) -> Point:
    """Return the unit vector square out of the screen: off its wall, or to the main seat where it stands free."""
    x, y, _ = project.screen.centre
    near = min(walls, key=lambda wall: off_wall_m(wall, (x, y)))
    if off_wall_m(near, (x, y)) < HANGS_M:
        return near.inward
    dx, dy = project.main_seat.at[0] - x, project.main_seat.at[1] - y
    length = math.hypot(dx, dy) or 1.0
    return dx / length, dy / length


def off_wall_m(wall: WallFrame, point: Point) -> float:
    """Distance of a point from a wall, ends included [m]."""
    dx, dy = point[0] - wall.start[0], point[1] - wall.start[1]
    along = min(max(dx * wall.along[0] + dy * wall.along[1], 0.0), wall.length_m)
    return math.dist(point, on_wall(wall, along))


def _along(wall: WallFrame, start: float, end: float, near: float, far: float) -> tuple[Point, ...]:
    return (
        on_wall(wall, start, near),
        on_wall(wall, end, near),
        on_wall(wall, end, far),
        on_wall(wall, start, far),
    )


def name_thing(board: Board, name: str, outline: tuple[Point, ...], ref: str) -> None:
    """Ask for a name on a thing, broken to its width, in its middle where that is free; beside it if it is too wide."""
    left, right = min(x for x, _ in outline), max(x for x, _ in outline)
    wide_mm = (right - left) * board.mm_per_m
    lines = named(name, "name", wide_mm - 2.0)
    spots = _grid_spots(outline)
    if letters_mm(lines)[0] > wide_mm:
        board.ask(Wish(lines, spots[0], wide_mm / 2 + 0.8, ref=ref))
    else:
        board.ask(Wish(lines, spots[0], 0.0, spots=spots, tied=False, ref=ref))


def _grid_spots(outline: tuple[Point, ...]) -> tuple[Point, ...]:
    """Places on a thing for its name: the middle, then around it."""
    left, right = min(x for x, _ in outline), max(x for x, _ in outline)
    low, high = min(y for _, y in outline), max(y for _, y in outline)
    places = [(u, v) for u in (0.5, 0.3, 0.7, 0.15, 0.85) for v in (0.5, 0.3, 0.7, 0.14, 0.86)]
    shares = sorted(places, key=lambda place: math.dist(place, (0.5, 0.5)))
    return tuple((left + (right - left) * u, low + (high - low) * v) for u, v in shares)
