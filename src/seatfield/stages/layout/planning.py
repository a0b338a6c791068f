"""The layout: places sought or given, held against their windows, heard from every seat, marked out by tape."""

from collections.abc import Iterator
from dataclasses import replace
from math import isfinite

from seatfield.catalogue.systems import BEST_THAT_FITS, SoundSystem, plain_name, system
from seatfield.model import Finding, Loudspeaker, Project, Severity
from seatfield.stages.layout.aiming import aim_findings, aimed, aiming_of
from seatfield.stages.layout.as_placed import fits_as_placed
from seatfield.stages.layout.candidates import best_system, candidates, reach_of
from seatfield.stages.layout.checking import Look, direction_findings, look_at_loudspeaker, look_at_subwoofer
from seatfield.stages.layout.compromise import alternatives_of, fairest_of, heights_of
from seatfield.stages.layout.given import given_findings
from seatfield.stages.layout.marking import ToMark, mark
from seatfield.stages.layout.outcome import (
    Sheet,
    missing_findings,
    placing_findings,
    seat_findings,
    system_findings,
)
from seatfield.stages.layout.params import LayoutParams
from seatfield.stages.layout.placing import Ground, Places, ground_of, place
from seatfield.stages.layout.reflections import reflection_findings, reflections_of
from seatfield.stages.layout.result import Candidate, Layout, Mark, Placed, Sought
from seatfield.stages.layout.screening import screen_findings, screen_view
from seatfield.stages.layout.seats import seat_view
from seatfield.stages.layout.standing import bounce_findings, floating_findings
from seatfield.stages.layout.symmetry import channel_findings, nearness_findings, pair_findings, swapped_ids
from seatfield.stages.layout.tipping import tipped
from seatfield.stages.survey import Survey

CLAIM = (
    "Every group is the best of all places of the grid, pairs weighed together, then moved off the grid as long as "
    "that helps. Groups are placed one after the other, the front first; what that can cost, because the places of "
    "one stand in the way of the next, is told as the gap."
)


def plan(project: Project, survey: Survey, params: LayoutParams | None = None) -> Layout:
    """Find a place for every loudspeaker that has none, judge all of them, and say how to mark them out.

    Parameters
    ----------
    project
        Everything that the person wrote.
    survey
        The room as surveyed, with `sound` true.
    params
        What is wanted besides places, angles and findings; every part where left out.

    Returns
    -------
    Layout
        The file's loudspeakers in its order, then those that the system asks for and the file has not.
    """
    params = params or LayoutParams()
    ground = ground_of(project, survey)
    open_ = to_seek(project)
    reach = reach_of(ground) if open_ or "systems" in params.parts else None
    ranked = candidates(ground, reach) if reach is not None else ()
    chosen = chosen_system(project, ranked)
    listed, project = project.loudspeakers, as_named(project, chosen)
    ground = replace(ground, project=project)
    look = Look(project, survey, chosen)
    places = place(ground, chosen) if open_ else None
    speakers = tuple(_speakers(look, places))
    if places is not None and reach is not None:
        known = fits_as_placed(look, places.jobs, speakers)
        ranked = _chosen_first(look, tipped(ground, reach, candidates(ground, reach, known), known))
    laid = Layout(chosen.name, chosen.shorthand, chosen.standard, speakers, (), (), candidates=ranked)
    seen = _with_views(look, places, laid)
    if "marks" in params.parts:
        seen = replace(seen, marks=tuple(_marks(survey, seen)))
    whole = _with_findings(look, ground, places, seen)
    return replace(whole, findings=(*_renamed(look, listed), *whole.findings))


def _chosen_first(look: Look, ranked: tuple[Candidate, ...]) -> tuple[Candidate, ...]:
    """Put the system that was chosen at the head of those it was chosen from: what is owned counted there too."""
    if look.project.layout != BEST_THAT_FITS:
        return ranked
    return tuple(sorted(ranked, key=lambda one: one.system != look.system.name))


def chosen_system(project: Project, ranked: tuple[Candidate, ...]) -> SoundSystem:
    """Return the sound system that the file names, or the one that suits the room best.

    Parameters
    ----------
    project
        Everything that the person wrote.
    ranked
        The systems, ranked for the room.

    Returns
    -------
    SoundSystem
        For ``best that fits`` the best feasible one that a standard names.
    """
    named = None if project.layout == BEST_THAT_FITS else system(project.layout)
    return (
        named
        if named is not None
        else best_system(ranked, frozenset(one.channel for one in project.loudspeakers))
    )


def as_named(project: Project, chosen: SoundSystem) -> Project:
    """Return a project whose loudspeakers bear the labels by which a sound system calls them.

    Parameters
    ----------
    project
        Everything that the person wrote.
    chosen
        The sound system.

    Returns
    -------
    Project
        A front height left at 45° becomes the one at 30° where the system has that and nothing else is listed for it.
    """
    listed = {one.channel for one in project.loudspeakers}
    free = {one.plain_name: one.label for one in chosen.channels if one.label not in listed}

    def named(one: Loudspeaker) -> Loudspeaker:
        unknown = chosen.channel(one.channel) is None
        return replace(one, channel=free.pop(plain_name(one.channel), one.channel)) if unknown else one

    return replace(project, loudspeakers=tuple(named(one) for one in project.loudspeakers))


def _renamed(look: Look, listed: tuple[Loudspeaker, ...]) -> Iterator[Finding]:
    """Tell which loudspeakers the system calls otherwise than the file."""
    for theirs, ours in zip(listed, look.project.loudspeakers, strict=True):
        if theirs.channel != ours.channel:
            name = plain_name(ours.channel)
            yield Finding(
                "layout.called-otherwise",
                Severity.FIX,
                ours.id,
                f"{look.system.name} calls {name} {ours.channel}, and the file calls it {theirs.channel}. It is taken "
                f"as {ours.channel} here.",
                source=look.system.source,
                advice=f'Call it {ours.channel}: write channel = "{ours.channel}"; or choose a system that has '
                f"{theirs.channel}.",
                at=ours.at,
                key=f"{ours.key}.channel" if ours.key else "system.layout",
            )


def to_seek(project: Project) -> bool:
    """Tell whether places are to be sought: a loudspeaker has none, none is listed, or the system is open.

    Parameters
    ----------
    project
        Everything that the person wrote.

    Returns
    -------
    bool
        False where every listed loudspeaker has its place and the system is named.
    """
    open_system = project.layout == BEST_THAT_FITS or system(project.layout) is None
    return open_system or not project.loudspeakers or any(one.at is None for one in project.loudspeakers)


def _speakers(look: Look, places: Places | None) -> Iterator[Placed]:
    spots = dict(places.spots) if places else {}
    given = {one.channel for one in look.project.loudspeakers if one.at is not None}
    for one in look.project.loudspeakers:
        spot = spots.pop(one.channel, None) if one.at is None and one.channel not in given else None
        known = replace(one, at=spot.at, mount=spot.mount) if spot else one
        yield aimed(look, look_at_loudspeaker(look, known, placed=spot is not None), one.aim)
    listed = {one.channel for one in look.project.loudspeakers}
    for label, spot in spots.items():
        if label not in listed:
            extra = Loudspeaker(label, label, "", spot.at, spot.mount)
            yield aimed(look, look_at_loudspeaker(look, extra, placed=True), None)


def _with_views(look: Look, places: Places | None, laid: Layout) -> Layout:
    subs = tuple(look_at_subwoofer(look, one) for one in look.project.subwoofers)
    seen = replace(
        laid,
        subwoofers=subs,
        seats=tuple(seat_view(look, seat, laid.loudspeakers) for seat in look.project.seats),
        aiming=tuple(one for placed in laid.loudspeakers if (one := aiming_of(look, placed)) is not None),
        reflections=reflections_of(look, laid.loudspeakers),
        screen=screen_view(look, laid.loudspeakers),
    )
    if places is None:
        return seen
    return replace(
        seen,
        alternatives=tuple(alternatives_of(places)),
        fairest=tuple(fairest_of(places)),
        heights=tuple(heights_of(places)),
        sought=_sought(places),
    )


def _sought(places: Places) -> Sought:
    total = places.merit.total
    return Sought(
        total if isfinite(total) else None,
        places.polish_gain,
        places.gap,
        places.book.step_m,
        places.tried,
        CLAIM,
        tuple((one.channel, one.what, one.cost) for one in places.merit.costs),
    )


def _marks(survey: Survey, laid: Layout) -> Iterator[Mark]:
    for one in (*laid.loudspeakers, *laid.subwoofers):
        if one.at is not None:
            yield mark(survey, ToMark(one.id, one.channel, one.at, one.mount))


def _with_findings(look: Look, ground: Ground, places: Places | None, laid: Layout) -> Layout:
    keys = {one.id: one.key for one in look.project.loudspeakers}
    barred = given_findings(look, ground, laid.loudspeakers, keys)
    found = (*_own_findings(look, laid, places), *barred, *_more_findings(look, laid, places))
    return replace(laid, findings=found)


def _own_findings(look: Look, laid: Layout, places: Places | None) -> Iterator[Finding]:
    """Yield what is wrong with each loudspeaker's own place."""
    project = look.project
    keys = {one.id: one.key for one in project.loudspeakers} | {one.id: one.key for one in project.subwoofers}
    listed = {one.channel for one in project.loudspeakers}
    suggested = frozenset(one.channel for one in laid.loudspeakers if one.channel not in listed)
    yield from channel_findings(look, laid.loudspeakers, laid.subwoofers, suggested)
    exchanged = swapped_ids(look, laid.loudspeakers)
    for one in (*laid.loudspeakers, *laid.subwoofers):
        key = keys.get(one.id, "")
        if one.id in exchanged:
            continue
        if one.at is not None and not one.placed:
            yield from direction_findings(look, one, key)
            yield from aim_findings(look, one, key)
        elif (
            one.at is None
            and look.system.channel(one.channel)
            and (places is None or one.channel not in places.jobs)
        ):
            yield _unplaced(one, key)
    if places is not None:
        yield from placing_findings(look, places, laid.loudspeakers, Sheet(keys))
        yield from missing_findings(look, places, laid.loudspeakers)
    yield from pair_findings(look, laid.loudspeakers, keys)
    yield from nearness_findings(look, laid.loudspeakers, keys)
    yield from floating_findings(look, laid.loudspeakers, keys)
    yield from bounce_findings(look, laid.loudspeakers, keys)


def _more_findings(look: Look, laid: Layout, places: Places | None) -> Iterator[Finding]:
    """Yield what there is to know of the system, the seats, the reflections and the picture."""
    if places is not None or look.project.layout == BEST_THAT_FITS:
        yield from system_findings(look, laid.candidates)
    yield from seat_findings(look, laid.seats, laid.fairest, swapped_ids(look, laid.loudspeakers))
    yield from reflection_findings(look, laid.reflections)
    if laid.screen is not None:
        yield from screen_findings(look, laid.screen)


def _unplaced(one: Placed, key: str) -> Finding:
    return Finding(
        "layout.no-position",
        Severity.NOTE if one.channel.startswith("LFE") else Severity.FIX,
        one.id,
        f"{one.plain_name.capitalize()} has no position in the file, so nothing can be said of it.",
        advice="Give it `at`: x, y and the height of its acoustic centre.",
        key=key,
    )


__all__ = ["Ground", "chosen_system", "plan"]
