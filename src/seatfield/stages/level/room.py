"""The room's share in steady sound: its absorption by octaves, and what that adds to the direct sound."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import hypot, log, pi

from seatfield.catalogue.absorption import OCTAVE_BANDS_HZ, surface
from seatfield.decibel import power_db, power_ratio
from seatfield.geometry.ceiling import Slope, height
from seatfield.geometry.polygon import Outline, area, clip
from seatfield.model import CoverKind, Finish, Furniture, Opening, OpeningKind
from seatfield.stages.level.result import RoomSound
from seatfield.stages.survey import Survey, WallFrame, wall_name

Row = tuple[float, ...]

OCTAVES_HZ = (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0)
"""Programme is taken as equal in power over these octaves, as pink noise is; what lies below plays from subwoofers."""

ASSUMED_ABSORPTION = 0.10
"""Absorption of a surface that the file says nothing about, at every octave: between masonry and plasterboard; common
practice, no source [-]."""

FURNISHED = 0.10
"""Mean absorption counts no lower than this where the file's finishes are names of the built-in table: nobody lists
books, clothes and people, and furnished living rooms decay in well under a second (C. Díaz, A. Pedrero, Applied
Acoustics 66 (2005) 945, from memory). Own figures stand as they are. A prior [-]."""

AIR_DB_PER_KM = (0.445, 1.32, 2.73, 4.67, 9.86, 29.4, 104.0)
"""Attenuation by air at 20 °C and 50 % humidity, computed after ISO 9613-1 [dB/km]."""

DIRECTIVITY_DB = (1.0, 2.0, 4.0, 5.0, 6.0, 7.0, 8.0)
"""Directivity index of a small loudspeaker, a prior at the low end of the 4 to 12 dB that ITU-R BS.1116 asks of a
monitor between 500 Hz and 10 kHz (from memory) [dB]."""

WOODEN_FURNITURE = 0.10
"""Absorption of the free faces of cabinets, shelves and tables: common practice, no source [-]."""

SHARE_OF_SIDES = 0.5
"""Share of a piece's sides that sound reaches: common practice, no source [-]."""

MOST_ABSORPTION = 0.95
"""Mean absorption counts up to here: a room is never quite an open field [-]."""

STEPS_ALONG_WALL = 32
OPEN = (1.0,) * len(OCTAVES_HZ)


@dataclass(frozen=True, slots=True)
class Patch:
    """A part of the room's surface: its name, its area [m²] and its absorption at `OCTAVES_HZ` [-]."""

    name: str
    area_m2: float
    row: Row
    assumed: bool = False


def row_of(finish: Finish, assumed: float = ASSUMED_ABSORPTION) -> Row:
    """Return the absorption of a finish at `OCTAVES_HZ`.

    Parameters
    ----------
    finish
        Its bands, in any order; held beyond the lowest and the highest.
    assumed
        What stands for a finish without bands [-].

    Returns
    -------
    tuple
        Absorption coefficients, 0 to 1 [-].
    """
    known = sorted(zip(finish.freq_hz, finish.absorption, strict=True))
    if not known:
        return (assumed,) * len(OCTAVES_HZ)
    return tuple(min(max(_between(known, band), 0.0), 1.0) for band in OCTAVES_HZ)


def _between(known: list[tuple[float, float]], freq_hz: float) -> float:
    if freq_hz <= known[0][0]:
        return known[0][1]
    for (low, start), (high, end) in pairwise(known):
        if freq_hz <= high:
            return start + (end - start) * log(freq_hz / low) / log(high / low)
    return known[-1][1]


def named_row(name: str) -> Row:
    """Return the absorption of a surface of the built-in table at `OCTAVES_HZ` [-]."""
    found = surface(name)
    return row_of(Finish(name, OCTAVE_BANDS_HZ, found.absorption) if found else Finish(name, (), ()))


def room_sound(survey: Survey, assumed: float = ASSUMED_ABSORPTION) -> RoomSound | None:
    """Return what the room does to steady sound.

    Parameters
    ----------
    survey
        The room as surveyed.
    assumed
        Absorption of surfaces whose finish the file does not give [-].

    Returns
    -------
    RoomSound or None
        None where the room encloses nothing.

    Notes
    -----
    Surfaces after Sabine: area times absorption. Doors are shut, a window counts as double glazing with its curtain,
    an archway lets out all that reaches it, rugs count where they absorb more than the floor, upholstery by its
    outline, other furniture by its free faces; what nobody lists is in `FURNISHED`.

    References
    ----------
    C. F. Eyring, J. Acoust. Soc. Am. 1 (1930) 217; L. L. Beranek, Acoustics (1954), for the room constant; from memory.
    """
    from seatfield.acoustics import eyring_time, room_constant

    patches = tuple(_patches(survey, assumed))
    whole = sum(patch.area_m2 for patch in patches)
    volume = survey.volume_m3
    if whole <= 0.0 or volume <= 0.0:
        return None
    more = tuple(_furniture(survey))
    soft = tuple(
        sum(patch.area_m2 * patch.row[i] for patch in (*patches, *more)) for i in range(len(OCTAVES_HZ))
    )
    air = tuple(4 * db / 4343 * volume for db in AIR_DB_PER_KM)
    total = tuple(one + other for one, other in zip(soft, air, strict=True))
    least = 1e-3 if _own_figures(survey) else FURNISHED
    mean = tuple(min(max(one / whole, least), MOST_ABSORPTION) for one in total)
    counted = tuple(one * whole for one in mean)
    return RoomSound(
        OCTAVES_HZ,
        volume,
        whole,
        counted,
        tuple(float(value) for value in eyring_time(volume, whole, mean)),
        tuple(float(value) for value in room_constant(whole, mean)),
        _critical(counted),
        DIRECTIVITY_DB,
        tuple(dict.fromkeys(patch.name for patch in patches if patch.assumed)),
        tuple(freq for freq, one in zip(OCTAVES_HZ, total, strict=True) if one < least * whole),
    )


def _own_figures(survey: Survey) -> bool:
    """Tell whether a finish of the room itself has figures that are not the table's."""
    room = survey.room
    finishes = (room.floor_finish, room.ceiling_finish, *(frame.wall.finish for frame in survey.walls))
    return any(one.freq_hz and surface(one.name) is None for one in finishes)


def _critical(absorption_m2: Row) -> Row:
    from seatfield.acoustics import critical_distance

    return tuple(
        float(critical_distance(own, power_ratio(index)))
        for own, index in zip(absorption_m2, DIRECTIVITY_DB, strict=True)
    )


def _patches(survey: Survey, assumed: float) -> Iterator[Patch]:
    """Yield floor, ceiling and walls, with what covers parts of them."""
    room, floor_m2 = survey.room, area(survey.room.floor)
    flat = row_of(room.floor_finish, assumed)
    yield from _covered(
        Patch("the floor", floor_m2, flat, not room.floor_finish.freq_hz), _rugs(survey, flat)
    )
    above = row_of(room.ceiling_finish, assumed)
    panels = [
        (area(one.outline), row_of(one.finish, assumed)) for one in room.treatments if len(one.outline) > 2
    ]
    ceiling = Patch(
        "the ceiling", ceiling_m2(room.floor, survey.ceiling), above, not room.ceiling_finish.freq_hz
    )
    yield from _covered(ceiling, panels)
    for frame in survey.walls:
        yield from _wall(survey, frame, assumed)


def _rugs(survey: Survey, floor: Row) -> list[tuple[float, Row]]:
    rug = tuple(max(one, other) for one, other in zip(named_row("thin carpet"), floor, strict=True))
    covers = survey.room.covers
    return [(area(one.outline), rug) for one in covers if one.kind is CoverKind.RUG and len(one.outline) > 2]


def _covered(whole: Patch, parts: list[tuple[float, Row]]) -> Iterator[Patch]:
    """Yield a surface with parts of it covered; never more than there is of it."""
    left = whole.area_m2
    for part_m2, row in parts:
        taken = min(part_m2, left)
        left -= taken
        yield Patch("", taken, row)
    yield Patch(whole.name, left, whole.row, whole.assumed)


def ceiling_m2(floor: Outline, planes: tuple[Slope, ...]) -> float:
    """Return the area of a ceiling made of planes, along its slopes.

    Parameters
    ----------
    floor
        Corners of the floor's outline [m].
    planes
        The ceiling is the lowest of them at each point.

    Returns
    -------
    float
        Area [m²].
    """
    total = 0.0
    for i, plane in enumerate(dict.fromkeys(planes)):
        part = floor
        for j, other in enumerate(dict.fromkeys(planes)):
            if j != i:
                part = clip(part, *(theirs - ours for theirs, ours in zip(other, plane, strict=True)))
        if len(part) > 2:
            total += area(part) * hypot(1.0, plane[0], plane[1])
    return total


def _wall(survey: Survey, frame: WallFrame, assumed: float) -> Iterator[Patch]:
    number = frame.wall.number
    parts = [
        (max(one.width_m, 0.0) * max(one.height_m, 0.0), _opening_row(one))
        for one in survey.room.openings
        if one.wall == number
    ]
    parts += [
        (abs(one.to_m - one.from_m) * max(one.height_m, 0.0), row_of(one.finish, assumed))
        for one in survey.room.treatments
        if one.wall == number and one.from_m is not None and one.to_m is not None
    ]
    bare = not frame.wall.finish.freq_hz
    name = f"wall {wall_name(number, len(survey.walls))}"
    whole = Patch(name, _wall_m2(survey, frame), row_of(frame.wall.finish, assumed), bare)
    yield from _covered(whole, parts)


def _wall_m2(survey: Survey, frame: WallFrame) -> float:
    heights = [
        max(height(survey.ceiling, *_along(frame, step / STEPS_ALONG_WALL)), 0.0)
        for step in range(STEPS_ALONG_WALL + 1)
    ]
    mean = sum((one + other) / 2 for one, other in pairwise(heights)) / STEPS_ALONG_WALL
    return frame.length_m * mean


def _along(frame: WallFrame, share: float) -> tuple[float, float]:
    (x, y), (u, v) = frame.start, frame.end
    return x + share * (u - x), y + share * (v - y)


def _opening_row(opening: Opening) -> Row:
    if opening.kind is OpeningKind.ARCHWAY:
        return OPEN
    if opening.kind is OpeningKind.DOOR:
        return named_row("wooden door")
    glass = named_row("double glazing")
    if not opening.curtain:
        return glass
    return tuple(min(a + b, 1.0) for a, b in zip(glass, named_row("light curtain"), strict=True))


def _furniture(survey: Survey) -> Iterator[Patch]:
    from seatfield.stages.bass.priors import is_upholstered

    for piece in survey.room.furniture:
        if len(piece.outline) < 3:
            continue
        flat = area(piece.outline)
        if is_upholstered(piece):
            leather = "leather" in f"{piece.kind} {piece.name}".lower()
            yield Patch(piece.name, flat, named_row(f"{'leather' if leather else 'cloth'} upholstery"))
        else:
            faces = flat + SHARE_OF_SIDES * _rim_m(piece) * max(piece.height_m, 0.0)
            yield Patch(piece.name, faces, (WOODEN_FURNITURE,) * len(OCTAVES_HZ))


def _rim_m(piece: Furniture) -> float:
    return sum(hypot(u - x, v - y) for (x, y), (u, v) in pairwise((*piece.outline, piece.outline[0])))


def octave_losses_db(off_axis_db: tuple[float | None, ...]) -> Row:
    """Return what each of `OCTAVES_HZ` loses off the axis.

    Parameters
    ----------
    off_axis_db
        At 1, 2, 4 and 8 kHz against the axis [dB]; None or nothing where it is not known.

    Returns
    -------
    tuple
        0 below 1 kHz, where a small loudspeaker hardly beams, and where nothing is known [dB].
    """
    known = (*off_axis_db, *(None,) * (4 - len(off_axis_db)))
    return (0.0, 0.0, 0.0, *(value if value is not None else 0.0 for value in known))


def programme_off_axis_db(off_axis_db: tuple[float | None, ...]) -> float | None:
    """Return what programme of equal power an octave loses off the axis [dB]; None where nothing is known."""
    if all(value is None for value in off_axis_db):
        return None
    losses = octave_losses_db(off_axis_db)
    return power_db(sum(map(power_ratio, losses)) / len(losses))


def steady_db(
    room: RoomSound, distance_m: float, off_axis_db: tuple[float | None, ...] = ()
) -> tuple[float, float]:
    """Return direct sound, and direct and reverberant sound together, of a steady programme.

    Parameters
    ----------
    room
        The room.
    distance_m
        Distance from the loudspeaker [m].
    off_axis_db
        At 1, 2, 4 and 8 kHz against the axis [dB].

    Returns
    -------
    direct, together
        Both against the direct sound at 1 m on the axis [dB].

    Notes
    -----
    Hopkins and Stryker: Lp = LW + 10·lg(Q/4πr² + 4/R), octave by octave, so against 1 m on the axis
    1/r² + 16π/(Q·R). It holds in rooms of about one height everywhere; in long or very dead ones the far end is
    quieter than it says.

    References
    ----------
    H. F. Hopkins, N. R. Stryker, Proc. IRE 36 (1948) 315, from memory.
    """
    near = 1 / max(distance_m, 0.1) ** 2
    direct = [near * power_ratio(loss) for loss in octave_losses_db(off_axis_db)]
    late = [
        16 * pi / (power_ratio(index) * constant)
        for index, constant in zip(room.directivity_db, room.room_constant_m2, strict=True)
    ]
    count = len(direct)
    return power_db(sum(direct) / count), power_db((sum(direct) + sum(late)) / count)
