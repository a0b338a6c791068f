"""What is worth saying about the runs: detours, spools too short, thin conductors, feet, mains, walls."""

from collections.abc import Iterator

from seatfield.model import Finding, Input, LengthUnit, Project, Severity, Trace
from seatfield.stages.cable.conductor import (
    LOSS_LIMIT_DB,
    SHARE_FORMULA,
    SHARE_LIMIT,
    SHARE_TO_MEND,
    Choice,
    Load,
)
from seatfield.stages.cable.cutting import Cuts
from seatfield.stages.cable.floor import UNDER_RUG
from seatfield.stages.cable.mains import MAINS_NEAR_M
from seatfield.stages.cable.result import Run
from seatfield.stages.cable.routes import Routed
from seatfield.stages.cable.setting import Face, Setting
from seatfield.stages.cable.surfaces import Stretch, Surface, Way
from seatfield.stages.cable.tariff import reach_m
from seatfield.stages.survey import tell, tell_roughly, wall_name

DETOUR = 2.5
"""Routed length over straight line from which a run is worth a second look: common practice, no source."""

DETOUR_M = 3.0
"""A way round is worth a word only from this many metres: common practice, no source."""

LOOSE_M = 1.2
"""A cable lies loose on the open floor for at most this far, from a stand to its wall: common practice, no source."""

COMMON = "common practice, no source"


def no_amplifier() -> Finding:
    """Say that no run can be planned without the amplifier's place."""
    return Finding(
        "cable.no-amplifier",
        Severity.FIX,
        "amplifier",
        "No amplifier has a place in the room, so no cable can be routed or measured.",
        advice="Give the amplifier's `at`: its middle, with its height above the floor.",
        key="amplifier[0].at",
    )


def not_joined(run: str) -> Finding:
    """Say that a run's end lies where no cable gets to."""
    return Finding(
        "cable.no-way",
        Severity.FIX,
        run,
        f"No way over skirting, walls, ceiling or floor joins {run} to its amplifier: it stands outside the room, or "
        f"everything round it is shut off.",
        advice="Check its place, and the areas that must be kept free.",
    )


def judge(
    project: Project,
    setting: Setting,
    runs: tuple[Run, ...],
    choices: dict[str, tuple[Choice, Load]],
    routed: Routed,
) -> tuple[Finding, ...]:
    """Return the findings on routes and conductors, in the order of the runs."""
    found: list[Finding] = []
    units = project.units
    for run in runs:
        found += _detour(run, units)
        found += _feet(run, routed, units)
        found += _heated(run, units)
        if run.id in choices:
            found += _conductor(run, *choices[run.id], units)
    found += _exposed(project, runs)
    found += _mains(setting, routed, units)
    return tuple(found)


def _heated(run: Run, units: LengthUnit) -> Iterator[Finding]:
    metres = sum(leg.length_m for leg in run.legs if leg.surface == Surface.RADIATOR)
    if metres > 0.05:
        yield Finding(
            "cable.past-radiator",
            Severity.FIX,
            run.id,
            f"The run to {run.loudspeaker} passes {tell(metres, units)} below a radiator: no other way costs as little "
            "trouble. Heat ages its insulation, and pipes are in the way.",
            measured=metres,
            limit=0.0,
            unit="m",
            source=COMMON,
            advice="Look for a rug, a skirting gap or a way over the ceiling line; else keep it off the pipes.",
        )


def _detour(run: Run, units: LengthUnit) -> Iterator[Finding]:
    ratio = run.routed_m / run.straight_m if run.straight_m > 0.5 else 1.0
    if ratio > DETOUR and run.routed_m - run.straight_m > DETOUR_M:
        yield Finding(
            "cable.long-way-round",
            Severity.NOTE,
            run.id,
            f"The run to {run.loudspeaker} is {tell(run.routed_m, units)} over surfaces, "
            f"{ratio:.1f} times the straight line.",
            measured=ratio,
            limit=DETOUR,
            source=COMMON,
            advice="Look whether a rug, a skirting gap or another place for the amplifier shortens it.",
            trace=Trace(
                "routed ÷ straight",
                (Input("routed", run.routed_m, "m"), Input("straight", run.straight_m, "m")),
            ),
        )


def _feet(run: Run, routed: Routed, units: LengthUnit) -> Iterator[Finding]:
    crossing = [way for way, _ in routed.ways[run.id] if way.walkways]
    rugged = any(leg.cover.startswith(UNDER_RUG) for leg in run.legs)
    if crossing:
        yield _crosses(run, crossing)
    elif rugged:
        yield Finding(
            "cable.under-rug",
            Severity.NOTE,
            run.id,
            f"The run to {run.loudspeaker} lies under a rug: use flat cable, and keep chair legs off it.",
            source=COMMON,
            advice="Never lay a mains lead under a rug.",
        )
    if any(leg.surface == Surface.THRESHOLD for leg in run.legs):
        yield Finding(
            "cable.crosses-threshold",
            Severity.FIX,
            run.id,
            f"The run to {run.loudspeaker} crosses a doorway on the floor.",
            source=COMMON,
            advice="Lay it under the threshold strip, or make the way over the door's head cheaper than the doorway.",
        )
    loose = max(
        (leg.length_m for leg in run.legs if leg.surface == Surface.FLOOR and not leg.cover), default=0.0
    )
    if loose > LOOSE_M:
        yield Finding(
            "cable.loose-on-floor",
            Severity.FIX,
            run.id,
            f"The run to {run.loudspeaker} lies {tell_roughly(loose, units)} loose on the open floor: "
            "somebody will trip.",
            measured=loose,
            limit=LOOSE_M,
            unit="m",
            source=COMMON,
            advice="Bring a rug over it, move the stand to a wall, or raise the weight of a metre of open floor.",
        )


def _crosses(run: Run, crossing: list[Way]) -> Finding:
    below = any(s.hidden_by.startswith(UNDER_RUG) for way in crossing for s in way.stretches)
    how = "under a rug: feet wear it, and nobody sees it" if below else "on the floor: somebody will trip"
    return Finding(
        "cable.walkway-under-rug" if below else "cable.crosses-walkway",
        Severity.FIX,
        run.id,
        f"The run to {run.loudspeaker} crosses where people walk, {how}.",
        measured=sum(way.walkways for way in crossing),
        limit=0,
        source=COMMON,
        advice="Go round by the door's head or the ceiling line, or lay flat cable under a strip made for it.",
    )


def _conductor(run: Run, choice: Choice, load: Load, units: LengthUnit) -> Iterator[Finding]:
    if not load.told:
        yield Finding(
            "cable.impedance-unknown",
            Severity.NOTE,
            run.id,
            f"The impedance of {run.loudspeaker} is not told; {load.nominal_ohm:g} ohm is assumed, to be careful.",
            advice="Read the plate on its back and put `impedance` into its model.",
        )
    if not choice.adequate:
        mend = choice.chosen.loss_db >= LOSS_LIMIT_DB or choice.chosen.share >= SHARE_TO_MEND
        yield Finding(
            "cable.conductor-thin",
            Severity.FIX if mend else Severity.NOTE,
            run.id,
            f"{choice.size.name} takes {choice.chosen.share:.1%} of the lowest impedance of {run.loudspeaker} over "
            f"{tell_roughly(run.cut_m, units)} and loses {choice.chosen.loss_db:.2f} dB; no thicker size is on "
            "the list.",
            measured=choice.chosen.share,
            limit=SHARE_LIMIT,
            source=f"{COMMON}: {SHARE_LIMIT:.0%} is aimed at; from {LOSS_LIMIT_DB:g} dB or {SHARE_TO_MEND:.0%} it is "
            "mended",
            advice="Add a thicker cable to the stock, or bring the amplifier nearer."
            if mend
            else f"Nothing needs mending: it loses under {LOSS_LIMIT_DB:g} dB. A thicker cable meets the rule.",
            trace=Trace(
                SHARE_FORMULA,
                (
                    Input("length", run.cut_m, "m"),
                    Input("resistance", choice.size.design_ohm_per_m, "ohm/m"),
                    Input("lowest impedance", load.lowest_ohm, "ohm"),
                ),
            ),
        )
    if choice.size.metal != "copper":
        yield Finding(
            "cable.clad-aluminium",
            Severity.NOTE,
            run.id,
            f"Run {run.id} is {choice.size.metal}: it resists about 1.6 times as much as copper of its size, "
            f"and breaks where it is bent sharply or often.",
            source=choice.size.source,
            advice="No tight bends, no joints that move; ferrules or plugs at the ends.",
        )


def _exposed(project: Project, runs: tuple[Run, ...]) -> Iterator[Finding]:
    reach = reach_m(project.limits)
    if reach <= 0:
        return
    low = [
        leg
        for run in runs
        for leg in run.legs
        if not leg.cover and leg.surface not in ("stand", "lead") and max(p[2] for p in leg.path) <= reach
    ]
    metres = sum(leg.length_m for leg in low)
    if metres > 0.5:
        who = "children" if project.limits.children else "pets"
        yield Finding(
            "cable.within-reach",
            Severity.NOTE,
            who,
            f"{tell_roughly(metres, project.units)} of cable lie open below {tell_roughly(reach, project.units)}, "
            f"where {who} reach them.",
            measured=metres,
            unit="m",
            source=COMMON,
            advice="Cover them with raceway, or move them up; fix stands so that a pulled cable moves nothing.",
        )


def _mains(setting: Setting, routed: Routed, units: LengthUnit) -> Iterator[Finding]:
    apart = f"{tell_roughly(MAINS_NEAR_M, units)} in parallel, crossings square; the local code comes first"
    beside = {run: sum(way.mains_m for way, _ in steps) for run, steps in routed.ways.items()}
    for run, metres in beside.items():
        if metres > 0.05:
            yield Finding(
                "cable.beside-mains",
                Severity.FIX if metres > 1.0 else Severity.NOTE,
                run,
                f"Run {run} goes {tell_roughly(metres, units)} beside a mains cable, nearer than "
                f"{tell_roughly(MAINS_NEAR_M, units)}.",
                measured=metres,
                limit=0.0,
                unit="m",
                source=f"common practice: {apart}",
                advice="Move it to the other side of the room, or cross mains square. Never in one raceway with it.",
            )
    walls = [face.frame.wall.number for face in setting.faces if face.sockets and _carries(face, routed)]
    if walls:
        names = ", ".join(wall_name(number, len(setting.faces)) for number in walls)
        yield Finding(
            "cable.sockets-near",
            Severity.NOTE,
            f"wall {names}",
            f"Cable runs along wall {names}, past sockets: mains runs hidden there, often straight "
            f"up, down or along from each.",
            source=f"common practice: {apart}",
            advice="Nothing is drilled there without a detector; mains and loudspeaker cable share no raceway.",
        )


def _carries(face: Face, routed: Routed) -> bool:
    return any(
        _near_socket(face, s) for steps in routed.ways.values() for way, _ in steps for s in way.stretches
    )


def _near_socket(face: Face, stretch: Stretch) -> bool:
    (one, away), (two, end_away) = face.of(stretch.start[:2]), face.of(stretch.end[:2])
    near = any(min(one, two) - 0.3 < socket < max(one, two) + 0.3 for socket in face.sockets)
    return near and max(abs(away), abs(end_away)) < 1e-6


TIGHT_M = 0.5
"""A spool of which less is left has nothing for a mistake: common practice, no source."""


def judge_cuts(runs: tuple[Run, ...], cuts: Cuts, project: Project) -> tuple[Finding, ...]:
    """Return a finding for every run that no spool holds, every spool used up, and every pair of two sizes."""
    return (*_unfit(runs, cuts, project), *_tight(cuts, project.units), *_uneven(cuts))


def _tight(cuts: Cuts, units: LengthUnit) -> Iterator[Finding]:
    for cut in cuts.cuts:
        if cut.spool_m is None or cut.offcut_m >= TIGHT_M:
            continue
        own = "your own spool" if cut.owned else "a new spool"
        names = " and ".join(piece.run for piece in cut.pieces)
        yield Finding(
            "cable.spool-tight",
            Severity.NOTE,
            cut.stock,
            f"Cutting {names} leaves {tell(cut.offcut_m, units)} of {own} ({cut.stock}): one bad cut ends "
            "it.",
            measured=cut.offcut_m,
            limit=TIGHT_M,
            unit="m",
            source=COMMON,
            advice="Measure the spool before the first cut, cut the longest run first, and have a spare at hand.",
        )


def _uneven(cuts: Cuts) -> Iterator[Finding]:
    for (one, two), why in cuts.uneven:
        yield Finding(
            "cable.pair-uneven",
            Severity.NOTE,
            f"{one} and {two}",
            f"{one} is cut from {cuts.cut_from[one].name} and {two} from {cuts.cut_from[two].name}: {why}.",
            source=f"{COMMON}: both sides of a pair get one size",
            advice="Both are thick enough, so nobody hears it; to have both alike, add to the stock.",
        )


def _unfit(runs: tuple[Run, ...], cuts: Cuts, project: Project) -> tuple[Finding, ...]:
    lengths, units = {run.id: run for run in runs}, project.units
    return tuple(
        Finding(
            "cable.no-spool",
            Severity.FIX,
            run,
            f"Run {run} needs {tell(lengths[run].cut_m, units)} in one; the longest spool that suits has "
            f"{tell(longest, units)}, and cable is never joined.",
            measured=lengths[run].cut_m,
            limit=longest,
            unit="m",
            source="the stock in the project file",
            advice=f"Buy a spool of at least {tell_roughly(lengths[run].cut_m, units, up=True)} or cable by the "
            f"{'foot' if units is LengthUnit.FOOT else 'metre'}, or shorten the route by "
            f"{tell(lengths[run].cut_m - longest, units)}.",
            key="cable.stock" if project.cable.stock else "",
        )
        for run, longest in cuts.unfit
    )
