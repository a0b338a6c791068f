"""The picture: viewing angle, when pixels show, and the centre loudspeaker against it."""

from collections.abc import Iterator
from math import atan, degrees, dist, radians, tan

from seatfield.geometry.direction import seen_from
from seatfield.model import Finding, Input, Severity, Trace
from seatfield.stages.layout.checking import Look
from seatfield.stages.layout.result import Placed, ScreenView
from seatfield.stages.survey import tell

BS_775_ANGLES_DEG = (33.0, 48.0)
"""Viewing angles of ITU-R BS.775-4 figure 1: three and two picture heights away [deg]."""

ARC_MINUTE_DEG = 1 / 60
LINES = (1080, 2160)


def viewing_angle_deg(width_m: float, distance_m: float) -> float:
    """Return how wide a picture is seen from straight before its middle.

    Parameters
    ----------
    width_m, distance_m
        Width and distance [m].

    Returns
    -------
    float
        2·atan(width / 2·distance) [deg].
    """
    return 2 * degrees(atan(width_m / 2 / max(distance_m, 1e-6)))


def pixel_distance_m(height_m: float, lines: int) -> float:
    """Return the distance below which lines of a picture can be told apart.

    Parameters
    ----------
    height_m
        Height of the picture [m].
    lines
        How many it has.

    Returns
    -------
    float
        Where a line's height is seen under one arc minute [m].

    References
    ----------
    One arc minute as the eye's limit: ITU-R BT.1845, design viewing distance (from memory).
    """
    return height_m / lines / tan(radians(ARC_MINUTE_DEG))


def screen_view(look: Look, speakers: tuple[Placed, ...]) -> ScreenView:
    """Return the picture as the main seat sees it, and the centre loudspeaker against it.

    Parameters
    ----------
    look
        Project, room and system.
    speakers
        The loudspeakers, aimed.

    Returns
    -------
    ScreenView
        Angles [deg] and distances [m].
    """
    screen = look.project.screen
    away = dist(look.head, screen.centre)
    height = max(screen.height_m, 1e-6)
    centre = next((one for one in speakers if one.channel == "M+000" and one.at is not None), None)
    below = tilt = None
    if centre is not None and centre.at is not None:
        middle = seen_from(look.head, screen.centre[:2], screen.centre)[1]
        below = middle - (centre.elevation_deg or 0.0)
        tilt = centre.aim.pitch_deg if centre.aim else None
    return ScreenView(
        viewing_angle_deg(screen.width_m, away),
        away / height,
        away,
        (pixel_distance_m(height, LINES[0]), pixel_distance_m(height, LINES[1])),
        below,
        tilt,
    )


def screen_findings(look: Look, view: ScreenView) -> Iterator[Finding]:
    """Tell a picture seen narrower or wider than wished, and a centre far from it.

    Parameters
    ----------
    look
        Project, room and system.
    view
        The picture from the main seat.

    Yields
    ------
    Finding
        Notes.
    """
    wished = look.project.viewing_angle_deg
    low, high = (wished * 0.9, wished * 1.1) if wished else BS_775_ANGLES_DEG
    if not low <= view.angle_deg <= high:
        yield _angle(look, view, low, high)
    if view.centre_below_deg is not None and abs(view.centre_below_deg) > 15:
        yield _centre(look, view, view.centre_below_deg)


def _angle(look: Look, view: ScreenView, low: float, high: float) -> Finding:
    units, screen = look.project.units, look.project.screen
    aim = low if view.angle_deg < low else high
    distance = screen.width_m / 2 / tan(radians(aim / 2))
    way = "nearer" if view.angle_deg < low else "further away"
    wish = look.project.viewing_angle_deg
    want = f"you wish for {wish:.0f}°" if wish else f"{low:.0f}° to {high:.0f}° is recommended"
    return Finding(
        "layout.viewing-angle",
        Severity.NOTE,
        "screen",
        f"The picture is {view.angle_deg:.0f}° wide from the main seat, {tell(view.distance_m, units)} away; {want}.",
        measured=view.angle_deg,
        limit=aim,
        unit="°",
        source="your own wish" if wish else "ITU-R BS.775-4, figure 1: 33° and 48°",
        advice=f"At {tell(distance, units)} it is {aim:.0f}° wide: sit {way}, or choose another size. Pixels show "
        f"below {tell(view.pixels_m[0], units)} with 1080 lines and {tell(view.pixels_m[1], units)} with 2160: a fact, "
        "no rule.",
        at=screen.centre,
        key="screen.width",
        trace=Trace(
            "2·atan(width / (2·distance))",
            (Input("width", screen.width_m, "m"), Input("distance", view.distance_m, "m")),
        ),
    )


def _centre(look: Look, view: ScreenView, below: float) -> Finding:
    side = "below" if below > 0 else "above"
    return Finding(
        "layout.centre-off-picture",
        Severity.NOTE,
        "M+000",
        f"The centre loudspeaker lies {abs(below):.0f}° {side} the middle of the picture: voices come from there.",
        measured=below,
        limit=15.0,
        unit="°",
        source="common practice, no source",
        advice=f"Bring it nearer to the picture's edge, and tilt it {view.centre_tilt_deg or 0:.0f}° so that it points "
        "at the ears.",
        at=look.project.screen.centre,
        trace=Trace(
            "elevation of the picture's middle − elevation of the loudspeaker, from the main seat's ears",
            (Input("seat to screen", view.distance_m, "m"),),
        ),
    )
