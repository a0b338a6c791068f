"""The kit in plan: loudspeakers turned to their aim, subwoofers, amplifiers, and the runs between them."""

import math
from itertools import pairwise

from seatfield.drawing.board import Board, Wish, named
from seatfield.drawing.fittings import off_wall_m
from seatfield.drawing.measures import length_text
from seatfield.drawing.runs import Way, draw_ways
from seatfield.drawing.scene import Circle, Line, Point, Symbol
from seatfield.drawing.walls import offset_corners
from seatfield.model import Loudspeaker, Mount, Point3, Project, Subwoofer
from seatfield.stages.cable.result import CablePlan, Leg, Run
from seatfield.stages.layout.result import Placed
from seatfield.stages.survey.result import WallFrame

SMALLEST_MM, LARGEST_M = 5.0, 0.45
OVERHEAD_M = (
    1.9  # drawn with a ring above this height: above the head of most people; common practice, no source
)
BESIDE_WALL_M = 0.08
DROP_M = 0.5  # a leg that climbs more than this is marked as a drop
LANE_MM = {
    "run seen": 1.3,
    "run hidden": 1.3,
    "run overhead": 2.4,
}  # from the wall, so that each has its own line


def draw_loudspeakers(
    board: Board, project: Project, placed: tuple[Placed, ...], runs: tuple[Run, ...] = ()
) -> None:
    """Draw every loudspeaker that has a place, with its label and its height.

    Where `runs` are given, the label tells the loudspeaker's run instead of its height, and the axis to the main seat
    is left out.
    """
    run_of = {run.loudspeaker: run for run in runs}
    by_id = {one.id: one for one in project.loudspeakers}
    for one in placed:
        if one.at is None:
            continue
        spot = (one.at[0], one.at[1])
        aim_deg = _aim_deg(by_id.get(one.id), spot, project.main_seat.at)
        name = _symbol(one)
        size = min(max(_width_m(project, by_id.get(one.id)) * 1.7, SMALLEST_MM / board.mm_per_m), LARGEST_M)
        ref = f"loudspeaker:{one.id}"
        reach = math.dist(spot, project.main_seat.at)
        if reach > 0.3 and not runs:
            ux, uy = (project.main_seat.at[0] - spot[0]) / reach, (project.main_seat.at[1] - spot[1]) / reach
            near = min(0.35, reach / 3)
            board.draw(
                Line((spot, (spot[0] + ux * (reach - near), spot[1] + uy * (reach - near))), "aim", ref=ref)
            )
        board.draw(Symbol(name, spot, size, aim_deg, "loudspeaker", ref))
        run = run_of.get(one.id)
        second = (
            (run.conductor if run.id == run.channel else f"{run.id}: {run.conductor}")
            if run
            else f"{_mount_word(one)} {length_text(one.at[2], project.units)}"
        )
        lines = ((one.channel, "label"), *named(second, "name"))
        board.ask(Wish(lines, spot, 0.6 * size * board.mm_per_m + 0.8, ref=ref))


def draw_subwoofers(board: Board, project: Project) -> None:
    """Draw every subwoofer that has a place, at its own size."""
    for one in project.subwoofers:
        if one.at is None:
            continue
        spot = (one.at[0], one.at[1])
        size = max(_subwoofer_size_m(project, one), SMALLEST_MM / board.mm_per_m)
        facing = _aim_deg(None, spot, project.main_seat.at)
        square = round(facing / 90.0) * 90.0
        ref = f"subwoofer:{one.id}"
        board.draw(Symbol("subwoofer", spot, size, square, "loudspeaker", ref))
        board.ask(
            Wish(
                (*named(one.id, "label"), ("on the floor", "name")),
                spot,
                0.55 * size * board.mm_per_m + 1.2,
                ref=ref,
            )
        )


def draw_amplifiers(board: Board, project: Project) -> None:
    """Draw every amplifier that has a place."""
    for one in project.amplifiers:
        if one.at is None:
            continue
        spot = (one.at[0], one.at[1])
        board.draw(
            Symbol(
                "amplifier",
                spot,
                0.30,
                _aim_deg(None, spot, project.main_seat.at) // 90 * 90,
                "device",
                f"amplifier:{one.name}",
            )
        )
        board.ask(
            Wish(named(one.name, "label"), spot, 0.16 * board.mm_per_m + 1.0, ref=f"amplifier:{one.name}")
        )


def _symbol(one: Placed) -> str:
    if one.mount is Mount.UPWARD:
        return "loudspeaker upward"
    high = one.at is not None and one.at[2] > OVERHEAD_M
    return "loudspeaker overhead" if high or one.mount is Mount.CEILING else "loudspeaker"


def _mount_word(one: Placed) -> str:
    return f"{one.mount.value}," if one.mount else "centre at"


def _width_m(project: Project, one: Loudspeaker | None) -> float:
    size = next((m.size_m for m in project.models if one is not None and m.name == one.model), None)
    return size[0] if size else 0.17


def _subwoofer_size_m(project: Project, one: Subwoofer) -> float:
    size = next((m.size_m for m in project.subwoofer_models if m.name == one.model), None)
    return size[0] if size else 0.35


def _aim_deg(one: Loudspeaker | None, spot: Point, seat: Point) -> float:
    """Yaw of the front: as the project says, else to the main seat."""
    if one is not None and one.aim is not None:
        return one.aim.yaw_deg
    return math.degrees(math.atan2(seat[1] - spot[1], seat[0] - spot[0]))


def draw_runs(board: Board, cable: CablePlan, walls: tuple[WallFrame, ...]) -> None:
    """Draw the runs as single lines along the walls, dashed where hidden and dotted overhead, with a dot at drops."""
    ways = tuple(
        Way(run.id, leg_style(leg), _flat(leg.path))
        for run in cable.runs
        for leg in run.legs
        if len(_flat(leg.path)) > 1
    )

    def place(point: Point, name: str) -> Point:
        return beside(point, walls, LANE_MM[name] / board.mm_per_m)

    draw_ways(board, ways, place)
    done: list[Point] = []
    for run in cable.runs:
        for leg in run.legs:
            if not leg.path or abs(leg.path[-1][2] - leg.path[0][2]) <= DROP_M:
                continue
            at = place((leg.path[0][0], leg.path[0][1]), leg_style(leg))
            if all(math.dist(at, other) * board.mm_per_m > 0.5 for other in done):
                done.append(at)
                board.draw(Circle(at, 0.8 / board.mm_per_m, "fill", ref=f"run:{run.id}"))


def draw_paths(
    board: Board, paths: tuple[tuple[str, tuple[Point3, ...]], ...], walls: tuple[WallFrame, ...]
) -> None:
    """Draw runs of which only the paths are known: dotted above head height, in sight elsewhere."""
    ways = []
    for run, path in paths:
        for start, end in pairwise(path):
            name = "run overhead" if min(start[2], end[2]) > OVERHEAD_M else "run seen"
            if len(_flat((start, end))) > 1:
                ways.append(Way(run, name, _flat((start, end))))
    draw_ways(board, tuple(ways), lambda point, name: beside(point, walls, LANE_MM[name] / board.mm_per_m))


def leg_style(leg: Leg) -> str:
    """Style of a stretch of a run: overhead, hidden or in sight."""
    return "run overhead" if leg.overhead else "run hidden" if leg.hidden else "run seen"


def _flat(path: tuple[tuple[float, float, float], ...]) -> tuple[Point, ...]:
    flat: list[Point] = []
    for x, y, _ in path:
        if not flat or math.dist(flat[-1], (x, y)) > 1e-6:
            flat.append((x, y))
    return tuple(flat)


def beside(point: Point, walls: tuple[WallFrame, ...], lane_m: float) -> Point:
    """Move a point that lies on a wall into the room by a lane, mitred at corners, so that runs stand side by side."""
    close = [i for i, wall in enumerate(walls) if off_wall_m(wall, point) < BESIDE_WALL_M]
    if not close:
        return point
    inner = offset_corners(walls, tuple(-lane_m for _ in walls))
    for i in close:
        if math.dist(point, walls[i].start) < BESIDE_WALL_M:
            return inner[i]
    wall = walls[close[0]]
    into = lane_m - off_wall_m(wall, point)
    return point[0] + wall.inward[0] * into, point[1] + wall.inward[1] * into
