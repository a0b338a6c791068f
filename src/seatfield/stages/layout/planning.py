"""The layout: every loudspeaker of the sound system held against its window, and marked out by tape."""

from collections.abc import Iterator

from seatfield.catalogue.systems import BEST_THAT_FITS, SYSTEMS, SoundSystem, system
from seatfield.model import Finding, LengthUnit, Project, Severity
from seatfield.stages.layout.checking import Look, direction_findings, look_at_loudspeaker, look_at_subwoofer
from seatfield.stages.layout.marking import ToMark, mark
from seatfield.stages.layout.result import Layout, Mark, Placed
from seatfield.stages.layout.symmetry import channel_findings, nearness_findings, pair_findings
from seatfield.stages.survey import Survey


def plan(project: Project, survey: Survey) -> Layout:
    """Check where the person put each loudspeaker, and say how to mark it out.

    Parameters
    ----------
    project
        Everything that the person wrote.
    survey
        The room as surveyed, with `sound` true.

    Returns
    -------
    Layout
        One record per loudspeaker and subwoofer of the file, in its order.
    """
    chosen = chosen_system(project)
    look = Look(project, survey, chosen)
    speakers = tuple(look_at_loudspeaker(look, one) for one in project.loudspeakers)
    subs = tuple(look_at_subwoofer(look, one) for one in project.subwoofers)
    return Layout(
        chosen.name,
        chosen.shorthand,
        chosen.standard,
        speakers,
        tuple(_marks(survey, (*speakers, *subs), project.units)),
        tuple(_findings(look, speakers, subs)),
        subs,
    )


def chosen_system(project: Project) -> SoundSystem:
    """Return the sound system that the file names, or the one that its loudspeakers fill best.

    Parameters
    ----------
    project
        Everything that the person wrote.

    Returns
    -------
    SoundSystem
        For ``best that fits``: the system with the fewest channels left silent and loudspeakers left out.
    """
    named = None if project.layout == BEST_THAT_FITS else system(project.layout)
    if named is not None:
        return named
    labels = {one.channel for one in project.loudspeakers} | {one.channel for one in project.subwoofers}
    return min(SYSTEMS, key=lambda entry: len(labels ^ {channel.label for channel in entry.channels}))


def _marks(survey: Survey, placed: tuple[Placed, ...], units: LengthUnit) -> Iterator[Mark]:
    for one in placed:
        if one.at is not None:
            yield mark(survey, ToMark(one.id, one.channel, one.at, one.mount), units)


def _findings(look: Look, speakers: tuple[Placed, ...], subs: tuple[Placed, ...]) -> Iterator[Finding]:
    project = look.project
    keys = {one.id: one.key for one in project.loudspeakers} | {one.id: one.key for one in project.subwoofers}
    yield from channel_findings(look, speakers, subs)
    for one in (*speakers, *subs):
        if one.at is None:
            yield _unplaced(one, keys.get(one.id, ""))
        else:
            yield from direction_findings(look, one, keys.get(one.id, ""))
    yield from pair_findings(look, speakers, keys)
    yield from nearness_findings(look, speakers, keys)


def _unplaced(one: Placed, key: str) -> Finding:
    return Finding(
        "layout.no-position",
        Severity.FIX,
        one.id,
        f"{one.plain_name.capitalize()} has no position in the file, so nothing can be said of it.",
        advice="Give it `at`: x, y and the height of its acoustic centre.",
        key=key,
    )
