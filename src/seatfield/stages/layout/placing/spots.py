"""The grid of places: stands in the seat's frame, furniture tops, wall strips, the ceiling."""

from dataclasses import dataclass, replace

import numpy as np

from seatfield.catalogue.systems import Channel
from seatfield.geometry.batch import Floats, Mask, corners_of, covers_many, edge_distances
from seatfield.model import Mount
from seatfield.stages.layout.placing.carriers import Box, carries
from seatfield.stages.layout.placing.carrying import CEILING_CLEAR_M, carrying_wall, place_costs, total
from seatfield.stages.layout.placing.ground import Bits, Ground
from seatfield.stages.layout.placing.hearing import Directions, Indices, heard_from
from seatfield.stages.layout.windows import widened
from seatfield.stages.survey import top_m

FINE_M, MOST_FINE = 0.01, 40_000
"""Step of the finer grid [m], and how many plan points it has at most."""

ON_FLOOR = (Mount.STAND, Mount.UPWARD)
"""What stands at any height that a stand has."""

HIGHEST_M = 6.0
"""Nothing is hung higher [m]."""

STEP_M = 0.05
"""Step of the grid, along walls and up them, and in the seat's frame [m]."""


@dataclass(frozen=True, slots=True)
class Spots:
    """Places with one kind of mount, as arrays of one length.

    Parameters
    ----------
    points
        Acoustic centres, shape (n, 3) [m].
    bits
        What forbids each, one bit per obstacle.
    heard
        Directions from the main seat.
    cost
        What each costs whatever channel plays there.
    """

    mount: Mount
    points: Floats
    bits: Bits
    heard: Directions
    cost: Floats

    def chosen(self, where: Indices | Mask) -> "Spots":
        """Return the places at some indices or under a mask."""
        heard = Directions(
            self.heard.azimuth_deg[where], self.heard.elevation_deg[where], self.heard.distance_m[where]
        )
        return replace(
            self, points=self.points[where], bits=self.bits[where], heard=heard, cost=self.cost[where]
        )


def floor_lattice(ground: Ground, step_m: float = STEP_M) -> Floats:
    """Return the plan grid in the seat's frame inside the room.

    Parameters
    ----------
    ground
        The room.
    step_m
        Step [m].

    Returns
    -------
    ndarray
        Shape (n, 2) [m]; symmetrical about the line from the main seat to the screen, as the windows are.
    """
    gaps = np.asarray(ground.floor) - ground.head[:2]
    ahead, left = gaps @ ground.ahead, gaps @ ground.left
    side = np.ceil(np.abs(left).max() / step_m)
    rows = np.arange(np.ceil(ahead.min() / step_m), np.floor(ahead.max() / step_m) + 1) * step_m
    columns = np.arange(-side, side + 1) * step_m
    grid_ahead, grid_left = (grid.ravel() for grid in np.meshgrid(rows, columns, indexing="ij"))
    plan = ground.head[:2] + grid_ahead[:, None] * ground.ahead + grid_left[:, None] * ground.left
    return plan[covers_many(ground.floor, plan)]


def wall_lattice(ground: Ground, box: Box, step_m: float = STEP_M) -> Floats:
    """Return the grid of acoustic centres on every wall.

    Parameters
    ----------
    ground
        The room.
    box
        Size of the loudspeaker.
    step_m
        Step along and up the wall, from either corner, so that a mirrored room has the mirrored grid, and from the
        floor [m].

    Returns
    -------
    ndarray
        Shape (n, 3) [m].
    """
    parts = []
    highest = min(float(ground.ceiling(np.asarray(ground.floor)).max()), HIGHEST_M)
    up = max(step_m, STEP_M)
    rise = np.arange(np.ceil(0.3 / up), np.floor(max(highest, 0.4) / up) + 1) * up
    for wall in ground.survey.walls:
        along = np.arange(0, wall.length_m, step_m)
        along = np.unique(np.concatenate((along, wall.length_m - along)).round(9))
        foot = np.array(wall.start) + along[:, None] * np.array(wall.along)
        foot = foot + box.off_wall_m * np.array(wall.inward)
        feet, heights = np.repeat(foot, len(rise), axis=0), np.tile(rise, len(foot))
        parts.append(np.column_stack((feet, heights)))
    points = np.concatenate(parts)
    points = points[points[:, 2] <= ground.ceiling(points[:, :2]) - box.headroom_m + 1e-6]
    return points[covers_many(ground.floor, points[:, :2])]


def settled(ground: Ground, points: Floats, mount: Mount, box: Box) -> Floats:
    """Return points brought to where their mount naturally holds them.

    Parameters
    ----------
    ground
        The room.
    points
        Acoustic centres, shape (n, 3) [m].
    mount, box
        What carries them, and their size.

    Returns
    -------
    ndarray
        Shape (n, 3) [m]: on the wall at the box's distance, under the ceiling, on the furniture's top.
    """
    moved = np.array(points)
    if mount is Mount.CEILING:
        moved[:, 2] = ground.ceiling(moved[:, :2]) - CEILING_CLEAR_M
    elif mount is Mount.WALL:
        to_walls, along = edge_distances(ground.floor, moved[:, :2])
        nearest = carrying_wall(to_walls, box)
        starts, _ = corners_of(ground.floor)
        axes = np.array([wall.along for wall in ground.survey.walls])
        inward = np.array([wall.inward for wall in ground.survey.walls])
        reach = along[nearest, np.arange(len(moved))]
        moved[:, :2] = starts[nearest] + reach[:, None] * axes[nearest] + box.off_wall_m * inward[nearest]
    elif mount is Mount.SHELF:
        moved[:, 2] = _shelf_height(ground, moved, box)
    elif mount in (Mount.STAND, Mount.UPWARD):
        moved[:, 2] = np.clip(moved[:, 2], *box.stand_m)
    return moved


def _shelf_height(ground: Ground, points: Floats, box: Box) -> Floats:
    """Return the height on the highest carrier under each point; the point's own where there is none."""
    height = np.full(len(points), -np.inf)
    for piece in ground.survey.room.furniture:
        if carries(piece):
            inside = covers_many(piece.outline, points[:, :2])
            height[inside] = np.maximum(height[inside], top_m(piece) + box.height_m / 2)
    return np.where(np.isfinite(height), height, points[:, 2])


class SpotBook:
    """Grids of a room, made once per mount, box and elevation window.

    Parameters
    ----------
    ground
        The room.
    step_m
        Step of the grids [m].
    """

    def __init__(self, ground: Ground, step_m: float = STEP_M) -> None:
        self._ground, self.step_m = ground, step_m
        self._lattice: Floats | None = None
        self._kept: dict[tuple[object, ...], Spots] = {}
        self._closer: dict[tuple[object, ...], list[Spots]] = {}

    def spots(self, channel: Channel, mount: Mount, box: Box) -> Spots:
        """Return the grid of places for a channel with one kind of mount."""
        free_height = mount in (Mount.STAND, Mount.UPWARD)
        key = (mount, box, channel.elevation_window if free_height else None)
        if key not in self._kept:
            points = self.points_over(self._floor(), channel, mount, box)
            self._kept[key] = judged(self._ground, points, mount, box)
        return self._kept[key]

    def closer(self, channel: Channel, mounts: tuple[Mount, ...], box: Box) -> list[Spots]:
        """Return free places of finer grids, for where the usual grid has nothing inside the window.

        Every height near the window's azimuths on a stand (under a picture, over a cupboard), and every mount on a
        grid fine enough for gaps of a centimetre.
        """
        key = ("closer", channel, mounts, box)
        if key not in self._closer:
            ground, parts = self._ground, []
            fine = SpotBook(ground, FINE_M)
            sector = near_azimuths(ground, floor_lattice(ground, self._fine_step(channel)), channel, 0.5)
            for mount in mounts:
                points = fine.points_over(sector, channel, mount, box)
                if mount is Mount.WALL:
                    heard = heard_from(ground, points, mount)
                    points = points[in_azimuths(channel, heard.azimuth_deg, 0.5)]
                parts.append(judged(ground, points, mount, box))
            points = self._at_every_height(near_azimuths(ground, self._floor(), channel, 20.0), box)
            parts.extend(judged(ground, points, mount, box) for mount in ON_FLOOR if mount in mounts)
            self._closer[key] = [part.chosen(part.bits == 0) for part in parts]
        return self._closer[key]

    def _fine_step(self, channel: Channel) -> float:
        wide = sum(high - low + 4 for low, high in channel.azimuth_window or ())
        return float(max(FINE_M, (self._ground.survey.area_m2 * min(wide / 180, 1.0) / MOST_FINE) ** 0.5))

    def free(self, channel: Channel, mount: Mount, box: Box) -> Spots:
        """Return the places of the grid that nothing forbids."""
        every = self.spots(channel, mount, box)
        key = (id(every), "free")
        if key not in self._kept:
            self._kept[key] = every.chosen(every.bits == 0)
        return self._kept[key]

    def of_every_height(self, channel: Channel, mount: Mount, box: Box) -> Spots:
        """Return the free places inside the window on stands of every height of the grid.

        The usual grid has few heights over each point, so that it stays small where most of it lies outside.
        """
        key = (mount, box, channel)
        if key not in self._kept:
            ground, plan = self._ground, self._floor()
            if mount is Mount.STAND or len(ground.slopes) == 1:
                plan = near_azimuths(ground, plan, channel, 0.5)
            points = self._at_every_height(plan, box)
            points = points[in_window(channel, heard_from(ground, points, mount))]
            every = judged(ground, points, mount, box)
            self._kept[key] = every.chosen(every.bits == 0)
        return self._kept[key]

    def _at_every_height(self, plan: Floats, box: Box) -> Floats:
        low, high = box.stand_m
        rise = np.arange(round(low / self.step_m), high / self.step_m + 1e-9) * self.step_m
        rise = np.array([low]) if box.floor_standing else rise
        return np.column_stack((np.repeat(plan, len(rise), axis=0), np.tile(rise, len(plan))))

    def _floor(self) -> Floats:
        if self._lattice is None:
            self._lattice = floor_lattice(self._ground, self.step_m)
        return self._lattice

    def points_over(self, plan: Floats, channel: Channel, mount: Mount, box: Box) -> Floats:
        """Return acoustic centres for a mount over plan points, or for walls on their own grid."""
        ground = self._ground
        if mount is Mount.WALL:
            return wall_lattice(ground, box, self.step_m)
        if mount is Mount.CEILING:
            return settled(ground, np.column_stack((plan, np.zeros(len(plan)))), mount, box)
        if mount is Mount.SHELF:
            tops = [piece for piece in ground.survey.room.furniture if carries(piece)]
            plans = [plan[covers_many(piece.outline, plan)] for piece in tops]
            rises = [top_m(piece) + box.height_m / 2 for piece in tops]
            parts = [np.column_stack((p, np.full(len(p), h))) for p, h in zip(plans, rises, strict=True)]
            return np.concatenate(parts) if parts else np.zeros((0, 3))
        if mount is Mount.UPWARD:
            heights = np.array([0.3, 0.6, 0.9, 1.2])
            return np.column_stack((np.repeat(plan, len(heights), axis=0), np.tile(heights, len(plan))))
        return stand_points(ground, plan, channel, box)


def near_azimuths(ground: Ground, plan: Floats, channel: Channel, slack_deg: float) -> Floats:
    """Return the plan points within some degrees of a channel's azimuth window.

    Parameters
    ----------
    ground
        The room.
    plan
        Points, shape (n, 2) [m].
    channel
        The channel.
    slack_deg
        Degrees beyond the window.

    Returns
    -------
    ndarray
        Shape (m, 2) [m].
    """
    gaps = plan - ground.head[:2]
    azimuth = np.degrees(np.arctan2(gaps @ ground.left, gaps @ ground.ahead))
    return plan[in_azimuths(channel, azimuth, slack_deg)]


def in_azimuths(channel: Channel, azimuth_deg: Floats, slack_deg: float) -> Mask:
    """Tell which azimuths lie in a channel's widened window or within some degrees of it."""
    near = np.zeros(azimuth_deg.shape, bool)
    for low, high in widened(channel.azimuth_window or ()):
        near |= np.remainder(azimuth_deg - low + slack_deg, 360) <= high - low + 2 * slack_deg
    return near


def in_window(channel: Channel, heard: Directions) -> Mask:
    """Tell which directions lie between the parallels and between the meridians of a channel's window."""
    up = np.zeros(heard.elevation_deg.shape, bool)
    for low, high in widened(channel.elevation_window or ()):
        up |= (heard.elevation_deg >= low) & (heard.elevation_deg <= high)
    return up & in_azimuths(channel, heard.azimuth_deg, 0.0)


def stand_points(ground: Ground, plan: Floats, channel: Channel, box: Box) -> Floats:
    """Return places on stands: over each plan point the heights that meet the elevation window.

    Parameters
    ----------
    ground
        The room.
    plan
        Plan points, shape (n, 2) [m].
    channel
        Its nominal elevation is tried first.
    box
        Size of the loudspeaker.

    Returns
    -------
    ndarray
        Shape (m, 3) [m]: the nominal elevation, the window's ends and two between, as far as stands reach.
    """
    flat = np.hypot(*(plan - ground.head[:2]).T)
    window = widened(channel.elevation_window or ((0.0, 0.0),))
    low, high = window[0][0], window[-1][1]
    angles = dict.fromkeys([channel.elevation_deg or 0.0, *np.linspace(low, high, 5).tolist()])
    rises = [ground.head[2] + flat * np.tan(np.radians(min(angle, 85.0))) for angle in angles]
    points, taken = [], np.full((len(plan), 0), np.nan)
    for rise in rises:
        height = np.clip(rise, *box.stand_m)
        new = ~np.any(np.abs(taken - height[:, None]) < 1e-9, axis=1)
        points.append(np.column_stack((plan[new], height[new])))
        taken = np.column_stack((taken, height))
    return np.concatenate(points)


def judged(ground: Ground, points: Floats, mount: Mount, box: Box) -> Spots:
    """Return places with all that does not depend on the channel.

    Parameters
    ----------
    ground
        The room.
    points
        Acoustic centres, shape (n, 3) [m].
    mount, box
        What carries them, and their size.

    Returns
    -------
    Spots
        In the order of the points.
    """
    bits = ground.violations(points, mount, box)
    heard = heard_from(ground, points, mount)
    return Spots(mount, points, bits, heard, total(place_costs(ground, points, mount, box).values()))
