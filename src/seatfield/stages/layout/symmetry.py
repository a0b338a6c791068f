"""Findings that need more than one loudspeaker: pairs, channels left out, seats too near."""

from collections import Counter
from collections.abc import Iterator
from math import dist

from seatfield.catalogue.systems import Channel
from seatfield.geometry.polygon import encloses
from seatfield.geometry.sight import stays_inside
from seatfield.model import Finding, Input, Severity, Trace
from seatfield.stages.layout.checking import FRAME_FORMULA, Look
from seatfield.stages.layout.placing.carriers import box_of
from seatfield.stages.layout.result import Placed
from seatfield.stages.layout.windows import deviation_deg, mirrored_label
from seatfield.stages.survey import height_at, tell

PAIR_ANGLE_DEG = 5.0
PAIR_DISTANCE_M = 0.30
NEAREST_SEAT_M = 0.6
COMFORT_M = 1.0
COMMON = "common practice, no source"


def channel_findings(
    look: Look, speakers: tuple[Placed, ...], subs: tuple[Placed, ...], suggested: frozenset[str]
) -> Iterator[Finding]:
    """Find channels that nothing plays, and loudspeakers that no channel of the system feeds.

    Parameters
    ----------
    look
        Project, room and system.
    speakers, subs
        Loudspeakers and subwoofers as judged.
    suggested
        Channels that the file has no loudspeaker for, and that were given a place all the same.

    Yields
    ------
    Finding
        One per channel or loudspeaker.
    """
    played = {one.channel for one in (*speakers, *subs)}
    for channel in look.system.channels:
        if channel.label not in played or channel.label in suggested:
            yield _unplayed(look, channel, placed=channel.label in suggested)
    for one in (*speakers, *subs):
        if look.system.channel(one.channel) is None:
            yield Finding(
                "layout.outside-system",
                Severity.FIX,
                one.id,
                f"{look.system.name} has no channel {one.channel}; nothing would come from loudspeaker {one.id}.",
                source=look.system.source,
                advice=f"Give it one of {', '.join(c.label for c in look.system.channels)}, or choose a system that "
                f"has {one.channel}.",
                at=one.at,
                key="system.layout",
            )


def _unplayed(look: Look, channel: Channel, *, placed: bool) -> Finding:
    low = channel.low_frequency
    mend = "Add a [[subwoofer]]" if low else f'Add a [[loudspeaker]] with channel = "{channel.label}"'
    effect = (
        "the amplifier can hand its bass to large front loudspeakers"
        if low
        else "its sound is left out or folded in"
    )
    said = (
        f"Nothing plays {channel.label} ({channel.plain_name}), which {look.system.name} asks for; {effect}."
    )
    if placed:
        said = f"The file has no loudspeaker for {channel.label} ({channel.plain_name}) yet; its best place is shown."
    return Finding(
        "layout.channel-without-loudspeaker",
        Severity.NOTE if low or placed else Severity.FIX,
        channel.label,
        said,
        source=look.system.source,
        advice=f"{mend}, or choose a smaller system.",
        key="system.layout",
    )


def pair_findings(look: Look, speakers: tuple[Placed, ...], keys: dict[str, str]) -> Iterator[Finding]:
    """Find left and right loudspeakers that are swapped, or differ in angle or distance.

    Parameters
    ----------
    look
        Project, room and system.
    speakers
        Loudspeakers as judged.
    keys
        Place in the file by loudspeaker id.

    Yields
    ------
    Finding
        At most one on sides, or one each on angle and distance, per pair.
    """
    for left, right in _pairs(look, speakers):
        key = keys.get(right.id, "")
        if _swapped(look, left, right):
            yield _swap(left, right, key)
            continue
        yield from _uneven(look, left, right, key)


def swapped_ids(look: Look, speakers: tuple[Placed, ...]) -> frozenset[str]:
    """Return the ids of the loudspeakers whose sides are exchanged: until they are changed back nothing else counts."""
    return frozenset(one.id for pair in _pairs(look, speakers) if _swapped(look, *pair) for one in pair)


def _pairs(look: Look, speakers: tuple[Placed, ...]) -> Iterator[tuple[Placed, Placed]]:
    """Yield left and right of every pair of the system that has one loudspeaker for each side."""
    counts = Counter(one.channel for one in speakers)
    by_channel = {one.channel: one for one in speakers if one.at and counts[one.channel] == 1}
    for label, left in by_channel.items():
        right = by_channel.get(mirrored_label(label))
        if "+" in label and right is not None and right is not left and look.system.channel(label):
            yield left, right


def _swapped(look: Look, left: Placed, right: Placed) -> bool:
    assert left.azimuth_deg is not None
    assert right.azimuth_deg is not None
    one, two = look.system.channel(left.channel), look.system.channel(right.channel)
    if one is None or two is None or not (left.azimuth_deg < -2 and right.azimuth_deg > 2):
        return False
    exchanged = deviation_deg(one, right.azimuth_deg, right.elevation_deg or 0.0) + deviation_deg(
        two, left.azimuth_deg, left.elevation_deg or 0.0
    )
    return exchanged < (left.deviation_deg or 0.0) + (right.deviation_deg or 0.0)


def _swap(left: Placed, right: Placed, key: str) -> Finding:
    return Finding(
        "layout.sides-swapped",
        Severity.FIX,
        left.id,
        f"{left.plain_name.capitalize()} stands on the right and {right.plain_name} on the left, as seen from the main "
        "seat facing the screen.",
        measured=left.azimuth_deg,
        limit=0.0,
        unit="°",
        source="ITU-R BS.2051: positive azimuths are to the left",
        advice=f"Exchange the positions of {left.id} and {right.id}.",
        at=left.at,
        key=f"{key}.at",
        trace=Trace(
            FRAME_FORMULA,
            (
                Input(f"azimuth of {left.id}", left.azimuth_deg or 0.0, "°"),
                Input(f"azimuth of {right.id}", right.azimuth_deg or 0.0, "°"),
            ),
        ),
    )


def _uneven(look: Look, left: Placed, right: Placed, key: str) -> Iterator[Finding]:
    assert left.azimuth_deg is not None
    assert right.azimuth_deg is not None
    ways = left.way_m(look.head), right.way_m(look.head)
    angles = abs(abs(left.azimuth_deg) - abs(right.azimuth_deg))
    if angles > PAIR_ANGLE_DEG:
        yield Finding(
            "layout.pair-angle",
            Severity.NOTE,
            right.id,
            f"{left.plain_name.capitalize()} is {abs(left.azimuth_deg):.0f}° and {right.plain_name} "
            f"{abs(right.azimuth_deg):.0f}° off the screen: {angles:.0f}° apart, which no setting evens out.",
            measured=angles,
            limit=PAIR_ANGLE_DEG,
            unit="°",
            source=COMMON,
            advice="Bring the one that has room to the angle of the other.",
            at=right.at,
            key=f"{key}.at",
            trace=Trace(
                "| |azimuth left| − |azimuth right| |",
                (Input("left", left.azimuth_deg, "°"), Input("right", right.azimuth_deg, "°")),
            ),
        )
    apart = abs(ways[0] - ways[1])
    if apart > PAIR_DISTANCE_M:
        units = look.project.units
        near, far = (left, right) if ways[0] < ways[1] else (right, left)
        yield Finding(
            "layout.pair-distance",
            Severity.NOTE,
            right.id,
            f"{left.plain_name.capitalize()} is {tell(ways[0], units)} and {right.plain_name} "
            f"{tell(ways[1], units)} from the main seat; the amplifier's distance setting must even out "
            f"{tell(apart, units)}.",
            measured=apart,
            limit=PAIR_DISTANCE_M,
            unit="m",
            source=COMMON,
            advice=f"Set the distances as printed{_evening(look, near, far, apart)}.",
            at=near.at,
            key=f"{key}.at",
            trace=Trace(
                "| distance left − distance right |",
                (Input("left", ways[0], "m"), Input("right", ways[1], "m")),
            ),
        )


def _evening(look: Look, near: Placed, far: Placed, apart_m: float) -> str:
    """Say which of a pair has room to move along its line to the seat, as the end of a sentence."""
    by = tell(apart_m, look.project.units)
    if _has_room(look, near, apart_m):
        return f", or move {near.plain_name} away by {by}"
    if (far.distance_m or 0.0) - apart_m >= COMFORT_M:
        return f", or bring {far.plain_name} nearer by {by}; the other has no room behind it"
    return "; neither has room to move"


def _has_room(look: Look, one: Placed, further_m: float) -> bool:
    """Tell whether a box stays inside the room when it moves straight away from the main seat."""
    assert one.at is not None
    model = next((model for model in look.project.models if model.name == one.model), None)
    away = dist(one.at, look.head)
    reach = (away + further_m) / max(away, 1e-9)
    x, y, z = (h + (p - h) * reach for h, p in zip(look.head, one.at, strict=True))
    flat = max(dist((x, y), look.head[:2]), 1e-9)
    behind = 1 + box_of(model).depth_m / flat
    back = (look.head[0] + (x - look.head[0]) * behind, look.head[1] + (y - look.head[1]) * behind)
    inside = stays_inside(look.head[:2], back, look.survey.room.floor)
    return inside and 0 < z < height_at(look.survey, (x, y, z))


def nearness_findings(look: Look, speakers: tuple[Placed, ...], keys: dict[str, str]) -> Iterator[Finding]:
    """Find loudspeakers too near to a seat, and those in a keep-out.

    Parameters
    ----------
    look
        Project, room and system.
    speakers
        Loudspeakers as judged.
    keys
        Place in the file by loudspeaker id.

    Yields
    ------
    Finding
        One per loudspeaker and seat, and one per loudspeaker and keep-out.
    """
    units = look.project.units
    for one in speakers:
        if one.at is None:
            continue
        for seat in look.project.seats:
            away = dist(one.at, seat.head)
            if away < NEAREST_SEAT_M:
                yield Finding(
                    "layout.seat-too-near",
                    Severity.FIX,
                    one.id,
                    f"{one.plain_name.capitalize()} is {tell(away, units)} from the head on seat {seat.name}: that "
                    "person hears little else.",
                    measured=away,
                    limit=NEAREST_SEAT_M,
                    unit="m",
                    source=COMMON,
                    advice=f"Move it {tell(NEAREST_SEAT_M - away, units)} further off, or raise it as far as "
                    "its window allows.",
                    at=one.at,
                    key=f"{keys.get(one.id, '')}.at",
                    trace=Trace(
                        "straight distance from the acoustic centre to the middle of the head",
                        tuple(
                            Input(f"loudspeaker {axis}", value, "m")
                            for axis, value in zip("xyz", one.at, strict=True)
                        ),
                    ),
                )
        for area in look.project.limits.keep_out:
            if len(area.outline) > 2 and encloses(area.outline, one.at[:2]):
                yield Finding(
                    "layout.in-keep-out",
                    Severity.FIX,
                    one.id,
                    f"{one.plain_name.capitalize()} stands in “{area.name}”, which is to stay free.",
                    source="limits.keep_out in the file",
                    advice="Move it out, or take the keep-out away.",
                    at=one.at,
                    key=f"{keys.get(one.id, '')}.at",
                )
