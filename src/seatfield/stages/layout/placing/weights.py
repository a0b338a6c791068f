"""What a place costs: the published weights, in degrees of direction that one would give to avoid something.

They are common practice, no source; they are meant to be argued with.
"""

from dataclasses import dataclass, fields


@dataclass(frozen=True, slots=True)
class Weights:
    """What a place costs.

    Parameters
    ----------
    outside, outside_deg
        For lying outside the window at all, and per degree: the first outweighs everything below.
    off_nominal_deg
        Per degree from the nominal direction.
    centre_aside_deg
        Per degree of azimuth that the centre lies beside the picture: under or over it is where it belongs.
    unsure_deg
        Per degree by which the tape's tolerance reaches over the window's edge.
    near_m
        Per metre that the nearest head lies within 1.5 m.
    shadow, head_shadow
        For furniture, and for each other head, between the main seat and the loudspeaker.
    stand, shelf, wall, ceiling, upward
        For what carries it: a hole is worth more than a degree.
    tall_m
        Per metre that a stand is taller than 1.3 m.
    open_m
        Per metre that a stand is further than 0.6 m from every wall and from all furniture.
    build_up
        For each surface within 0.5 m beyond the first: bass piles up.
    cable_m
        Per metre of cable along the walls to the amplifier.
    services, off_stud, panel
        For a stretch of wall that may hide services, for missing the stud, for a panel wall.
    before_window
        For a stand before a window.
    children
        For a stand where children or pets live.
    unnatural_m
        Per metre from the box's natural distance to its wall, ceiling or shelf.
    pair_azimuth_deg, pair_elevation_deg, pair_distance_m, pair_mount
        For a left-right pair: per degree and metre of difference, and for two kinds of mount.
    """

    outside: float = 100.0
    outside_deg: float = 2.0
    off_nominal_deg: float = 0.2
    centre_aside_deg: float = 5.0
    unsure_deg: float = 0.5
    near_m: float = 10.0
    shadow: float = 10.0
    head_shadow: float = 3.0
    stand: float = 1.0
    shelf: float = 0.0
    wall: float = 2.0
    ceiling: float = 3.0
    upward: float = 6.0
    tall_m: float = 6.0
    open_m: float = 4.0
    build_up: float = 0.7
    cable_m: float = 0.1
    services: float = 8.0
    off_stud: float = 1.0
    panel: float = 2.0
    before_window: float = 2.0
    children: float = 1.0
    unnatural_m: float = 4.0
    pair_azimuth_deg: float = 0.5
    pair_elevation_deg: float = 0.3
    pair_distance_m: float = 4.0
    pair_mount: float = 2.0


WEIGHTS = Weights()


def weights_table() -> tuple[tuple[str, float], ...]:
    """Return the published weights by name."""
    return tuple((field.name, getattr(WEIGHTS, field.name)) for field in fields(WEIGHTS))
