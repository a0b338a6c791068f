"""What the placing found, as findings: places outside their window, no place at all, and the cheapest change."""

from collections.abc import Iterator
from dataclasses import dataclass

from seatfield.catalogue.systems import BEST_THAT_FITS, SYSTEMS, VERDICT_LIMITS, Channel, plain_name
from seatfield.model import Finding, Input, Severity, Trace
from seatfield.stages.layout.candidates import leaves
from seatfield.stages.layout.checking import COMMON_CENTRE, Look, by_the_picture, severity_of
from seatfield.stages.layout.compromise import stead
from seatfield.stages.layout.placing import Change, Job, Places, cheapest_change
from seatfield.stages.layout.result import Candidate, Fairest, Placed, SeatView, Verdict
from seatfield.stages.layout.standing import on_floor, on_floor_m, on_tall_stand, tall_stand, too_low
from seatfield.stages.layout.windows import mirrored_label

MERIT_SOURCE = (
    "every surface that may carry it, on a 5 cm grid; weights of the merit: common practice, no source"
)

CLEAR_LEAD = 0.05
"""Points by which one system must be ahead for its lead to be told."""

POINTS = (
    "more points suit better: Σ gives · (1 − deviation / 30°) − 0.8 per loudspeaker, halved within a metre of a head, "
    "−0.7 for a bounce; whether a system fits is asked first, and points rank those that do"
)


@dataclass(frozen=True, slots=True)
class Sheet:
    """Where findings point to: place in the file by loudspeaker id."""

    keys: dict[str, str]


def placing_findings(
    look: Look, places: Places, speakers: tuple[Placed, ...], sheet: Sheet
) -> Iterator[Finding]:
    """Tell what could not be placed inside its window, and what would change that.

    Parameters
    ----------
    look
        Project, room and system.
    places
        What was found.
    speakers
        The loudspeakers as judged.
    sheet
        Where they stand in the file.

    Yields
    ------
    Finding
        One per channel that was sought and lies outside.
    """
    for one in speakers:
        job = places.jobs.get(one.channel)
        if job is None or job.fixed is not None:
            continue
        key = f"{sheet.keys[one.id]}.at" if one.id in sheet.keys else "system.layout"
        if on_tall_stand(one):
            yield tall_stand(look, places, one, speakers, key)
        elif one.verdict is not Verdict.GOOD and on_floor_m(look, one) and _too_low(job, one):
            yield on_floor(look, one, key)
        elif one.at is None or one.verdict is not Verdict.GOOD:
            yield _outside(look, places, job, one, key)


def _too_low(job: Job, one: Placed) -> bool:
    return too_low(job.channel, (one.azimuth_deg or 0.0, one.elevation_deg or 0.0))


def missing_findings(look: Look, places: Places, speakers: tuple[Placed, ...]) -> Iterator[Finding]:
    """Tell which channels have neither a loudspeaker in the file nor a possible place.

    Parameters
    ----------
    look
        Project, room and system.
    places
        What was found.
    speakers
        The loudspeakers as judged.

    Yields
    ------
    Finding
        One per channel.
    """
    known = {one.channel for one in speakers}
    for label, job in places.jobs.items():
        if label not in known:
            blank = _blank(look, job.channel)
            yield _outside(look, places, job, blank, "system.layout")


def _blank(look: Look, channel: Channel) -> Placed:
    nothing = (None, None, None, None, None, None)
    name = plain_name(channel.label)
    return Placed(
        channel.label, channel.label, name, "", *nothing, Verdict.NOT_POSSIBLE, placed=False, limit="",
        source=look.system.source,
    )  # fmt: skip


def _outside(look: Look, places: Places, job: Job, one: Placed, key: str) -> Finding:
    change = cheapest_change(places.ground, places.book, job, _twin(places, job))
    nowhere = one.at is None
    name = one.plain_name.capitalize()
    said = (
        f"{name} has no possible place in this room: nothing comes within {VERDICT_LIMITS.poor_deg:.0f}° of its window."
        if nowhere
        else f"{name} has no place inside its window ({one.limit}); the best one is {one.deviation_deg:.0f}° outside: "
        f"{one.verdict}{COMMON_CENTRE if by_the_picture(one) else ''}."
    )
    return Finding(
        "layout.no-place" if nowhere else "layout.no-place-inside",
        severity_of(one),
        one.id,
        said,
        measured=one.deviation_deg,
        limit=0.0 if one.deviation_deg is not None else None,
        unit="°" if one.deviation_deg is not None else "",
        source=f"{look.system.source}; {MERIT_SOURCE}",
        advice=advice(change, one.verdict),
        at=one.at,
        key=key,
        trace=Trace(
            "great-circle angle from the best place of the grid to the window",
            (
                Input("places weighed", float(sum(group.tried[0] for group in places.found))),
                Input("burden of the change", change.burden if change else "no change helps"),
            ),
        ),
    )


def _twin(places: Places, job: Job) -> Job | None:
    """Return the other side of a pair, where that is sought and lies outside its window too."""
    other = places.jobs.get(mirrored_label(job.channel.label))
    if other is None or other is job or other.fixed is not None:
        return None
    spot = places.spots.get(other.channel.label)
    inside = spot is not None and not stead(places.ground, other.channel, spot).deviation_deg
    return None if inside else other


def advice(change: Change | None, verdict: Verdict) -> str:
    """Return the cheapest change as a sentence; a channel is given up only where no usable place exists."""
    if change is None and verdict in (Verdict.GOOD, Verdict.USABLE):
        return "No change of furniture, limits or the seat brings it inside; keep this place, it is usable."
    if change is None:
        return "No change of furniture, limits or the seat helps; leave this channel out or choose a smaller system."
    if not change.steps:
        return "A free place lies inside the window off the grid; move it by a few centimetres."
    return f"{change.words}: then it has one."


def system_findings(look: Look, found: tuple[Candidate, ...]) -> Iterator[Finding]:
    """Tell which system was chosen, or that the one asked for does not fit.

    Parameters
    ----------
    look
        Project, room and system.
    found
        The systems, ranked.

    Yields
    ------
    Finding
        At most one.
    """
    own = next((one for one in found if one.system == look.system.name), None)
    if own is None:
        return
    rival = next((one for one in found if one.feasible and one.system != own.system), None)
    if look.project.layout == BEST_THAT_FITS:
        yield _system(look, own, rival, Severity.NOTE)
    elif not own.feasible and rival is not None:
        yield _system(look, own, rival, Severity.FIX)


def _beside(look: Look, own: Candidate, rival: Candidate | None) -> str:
    if rival is None:
        return ""
    lead = own.score - rival.score
    if lead > CLEAR_LEAD:
        return f" Next comes {rival.system}, {lead:.1f} points behind."
    listed = frozenset(one.channel for one in look.project.loudspeakers)
    entry = next(one for one in SYSTEMS if one.name == rival.system)
    unused, asks = leaves(entry, listed)
    if unused:
        many = "one" if unused == 1 else str(unused)
        return f" Next comes {rival.system}, which leaves {many} of the listed loudspeakers unused."
    more = ", which asks for loudspeakers that the file does not list" if asks else ", with as many points"
    return f" Next comes {rival.system}{more}."


def _system(look: Look, own: Candidate, rival: Candidate | None, severity: Severity) -> Finding:
    chosen = severity is Severity.NOTE
    reasons = " ".join(own.reasons[:3])
    beside = _beside(look, own, rival) if chosen else ""
    wish = f" {rival.system} would fit." if rival and not chosen else ""
    said = f"{own.system} suits this room best." if chosen else f"{own.system} does not fit as it is."
    return Finding(
        "layout.system-chosen" if chosen else "layout.system-does-not-fit",
        severity,
        own.system,
        f"{said} {reasons}{beside}{wish}",
        measured=own.score,
        limit=rival.score if rival else None,
        unit="points",
        source="what each loudspeaker gives less what it asks; the scale is common practice, no source",
        advice=_tell_flips(look, own),
        key="system.layout",
        trace=Trace(
            f"{POINTS}; the limit is what {rival.system} reaches" if rival else POINTS,
            (Input("loudspeakers", float(own.loudspeakers)),),
        ),
    )


def _tell_flips(look: Look, own: Candidate) -> str:
    driven = sum(amplifier.channels for amplifier in look.project.amplifiers)
    lacks = 0 < driven < own.loudspeakers
    more = (f"Amplifiers for {own.loudspeakers} loudspeakers instead of {driven} would drive it.",)
    return (
        " ".join((*(more if lacks else ()), *own.flips)) or "See the ranked systems for what each would take."
    )


def seat_findings(
    look: Look,
    seats: tuple[SeatView, ...],
    fairest: tuple[Fairest, ...],
    exchanged: frozenset[str] = frozenset(),
) -> Iterator[Finding]:
    """Tell which other seats are served badly, and where a fairer place exists.

    Parameters
    ----------
    look
        Project, room and system.
    seats
        Every seat's view.
    fairest
        Fairer places.
    exchanged
        Loudspeakers whose sides are exchanged, which is told by itself.

    Yields
    ------
    Finding
        Notes.
    """
    main = look.project.main_seat.name
    for view in seats:
        worst = next((one for one in view.channels if one.id == view.worst), None)
        if (
            view.seat == main
            or worst is None
            or worst.id in exchanged
            or worst.deviation_deg <= VERDICT_LIMITS.poor_deg
        ):
            continue
        yield Finding(
            "layout.seat-served-badly",
            Severity.NOTE,
            view.seat,
            f"On seat {view.seat}, {plain_name(worst.channel)} is heard {worst.deviation_deg:.0f}° outside its window; "
            f"arrivals spread over {view.spread_ms:.1f} ms once they are aligned at the main seat.",
            measured=worst.deviation_deg,
            limit=VERDICT_LIMITS.poor_deg,
            unit="°",
            source=f"{look.system.source}, in that seat's own frame; limit: {VERDICT_LIMITS.source}",
            advice="Move the seat towards the middle, or accept it by name.",
            key=next((seat.key for seat in look.project.seats if seat.name == view.seat), ""),
            trace=Trace(
                "great-circle angle to the window, straight ahead being the screen's centre from that seat",
                (Input("azimuth", worst.azimuth_deg, "°"), Input("elevation", worst.elevation_deg, "°")),
            ),
        )
    for fair in fairest:
        if fair.worst_before_deg <= VERDICT_LIMITS.usable_deg:
            continue
        yield Finding(
            "layout.fairer-place",
            Severity.NOTE,
            fair.channels[0],
            f"For {' and '.join(fair.channels)} another place serves seat {fair.worst_seat} better: "
            f"{fair.worst_after_deg:.0f}° instead of {fair.worst_before_deg:.0f}° outside; the main seat pays "
            f"{fair.main_pays_deg:.0f}°.",
            measured=fair.worst_before_deg,
            limit=fair.worst_after_deg,
            unit="°",
            source=f"{look.system.source}, in each seat's own frame",
            advice="Choose it if that seat matters as much as the main one.",
            at=fair.places[0].at,
            trace=Trace(
                "least over the free places of the greatest deviation over the seats",
                (Input("main seat pays", fair.main_pays_deg, "°"),),
            ),
        )
