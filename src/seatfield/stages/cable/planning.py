"""The cable stage: every run routed with the others, sized, cut, ended, tested and labelled on paper."""

from collections import Counter
from dataclasses import dataclass, replace
from math import dist, pi

from seatfield.catalogue.conductors import METALS, ConductorSize
from seatfield.catalogue.terminations import IN_WALL_QUESTIONS, POLARITY
from seatfield.electrical import at_temperature_ohm
from seatfield.model import Finding, Point3, Project, Stock
from seatfield.stages.cable import judging
from seatfield.stages.cable.alternatives import Priced, alternatives
from seatfield.stages.cable.conductor import Choice, Load, choose, family, load_of, sizes_for, weigh
from seatfield.stages.cable.covers import Covered, covered
from seatfield.stages.cable.cutting import GUESSED_PER_M, Cuts, Wanted, cut_pairs, one_size, total_price
from seatfield.stages.cable.finishing import READING_TABLE, cold_test, lies_flat, terminations
from seatfield.stages.cable.labels import label_runs
from seatfield.stages.cable.network import Joined, build
from seatfield.stages.cable.result import CablePlan, Need, Run, Termination
from seatfield.stages.cable.routes import Routed, Wire, legs_of, path_of, route
from seatfield.stages.cable.setting import End, Setting, describe
from seatfield.stages.cable.shopping import needs, spent
from seatfield.stages.cable.surfaces import Network
from seatfield.stages.cable.targets import Target, targets_of
from seatfield.stages.cable.tariff import Tariff, Weights, reach_m
from seatfield.stages.layout.result import Layout
from seatfield.stages.survey.result import Survey
from seatfield.stages.terminals import TerminalMap

USUAL_OUTER_M = (0.009, 0.0045)
"""Outside of a usual two-core cable, two round cores side by side [m]: a guess where the stock tells none."""


def plan(
    project: Project,
    survey: Survey,
    layout: Layout,
    terminals: TerminalMap,
    *,
    seed: int = 0,
    exact: bool = False,
) -> CablePlan:
    """Route every cable of the job, choose its conductor, cut it, and say how to end, test and label it.

    Parameters
    ----------
    project
        Amplifiers, models, stock, wishes and weights.
    survey
        The room as surveyed.
    layout
        Loudspeakers with their places; one without a place gets no run.
    terminals
        The amplifier and the terminal that each run ends on.
    seed
        For the search of routes.
    exact
        Whether to go on until no cheaper routes can exist on the network, however long that takes.

    Returns
    -------
    CablePlan
        Routes near the cheapest by the project's weights on the network of surfaces, with a proven bound; empty, with a
        finding, where no amplifier has a place.

    Notes
    -----
    A run goes from the amplifier's place to the loudspeaker's acoustic centre over surfaces alone: down its stand or
    back to its wall, along skirting, corners, frames and ceiling line, over the floor only from stands to the nearest
    wall or where that is worth it. Loop resistances are at 20 °C for the length as cut.
    """
    places = {amplifier.name: amplifier.at for amplifier in project.amplifiers if amplifier.at is not None}
    targets = targets_of(project, layout, terminals, places)
    if not places or not targets:
        nowhere = () if places else (judging.no_amplifier(),)
        return CablePlan((), (), (), (), nowhere, terminals=terminals.uses)
    area_m2 = _outer_area_m2(project.cable.stock)
    setting = describe(survey, project.limits, area_m2)
    weights = Weights(
        project.costs, _cable_per_m(project.cable.stock), exposed_below_m=reach_m(project.limits)
    )
    tariff = Tariff(weights, len(targets), area_m2)
    sources = tuple(End(_source(name), at, None, source=True) for name, at in places.items())
    joined = build(setting, tuple(dict.fromkeys((*sources, *(t.end for t in targets)))), tariff)
    reached, lost = _reached(joined, targets)
    findings = tuple(judging.not_joined(target.id) for target in lost)
    if not reached:
        return CablePlan((), (), (), (), findings, terminals=terminals.uses)
    wires = tuple(Wire(t.id, _source(t.amplifier), t.end.id) for t in reached)
    routed = route(joined, wires, tariff, seed=seed, exact=exact)
    inside = covered(joined, routed, tariff)
    priced = Priced(joined, wires, weights, len(targets), area_m2)

    def size(some: Routed, covers: Covered) -> Sized:
        runs = tuple(_run(project, t, places[t.amplifier], some, covers) for t in reached)
        return _sized(project, runs, reached)

    def bill(some: Routed, covers: Covered) -> float | None:
        return spent(_needs(project, size(some, covers), covers))

    done = _finished(project, setting, size(routed, inside), routed, inside)
    return replace(
        done,
        findings=(*findings, *done.findings),
        terminals=terminals.uses,
        alternatives=alternatives(priced, routed, tariff, bill),
    )


def _source(amplifier: str) -> str:
    return f"amplifier {amplifier}"


def _outer_area_m2(stock: tuple[Stock, ...]) -> float:
    """Return the greatest outer cross-section in the stock, cores side by side as round as they are high [m²]."""
    return (
        max(pi / 4 * wide * high for wide, high in (s.outer_m or USUAL_OUTER_M for s in stock))
        if stock
        else (pi / 4 * USUAL_OUTER_M[0] * USUAL_OUTER_M[1])
    )


def _cable_per_m(stock: tuple[Stock, ...]) -> float:
    prices = [s.price / (s.length_m or 1.0) for s in stock if s.price is not None]
    return min(prices, default=GUESSED_PER_M)


def _reached(joined: Joined, targets: tuple[Target, ...]) -> tuple[tuple[Target, ...], tuple[Target, ...]]:
    known: dict[str, set[int]] = {}
    reached: list[Target] = []
    lost: list[Target] = []
    for target in targets:
        source = _source(target.amplifier)
        if source in joined.ends and source not in known:
            known[source] = _component(joined.network, joined.ends[source])
        node = joined.ends.get(target.end.id)
        (reached if node is not None and node in known.get(source, set()) else lost).append(target)
    return tuple(reached), tuple(lost)


def _component(network: Network, start: int) -> set[int]:
    beside: dict[int, list[int]] = {}
    for u, v in network.ways:
        beside.setdefault(u, []).append(v)
        beside.setdefault(v, []).append(u)
    seen, open_nodes = {start}, [start]
    while open_nodes:
        for other in beside.get(open_nodes.pop(), ()):
            if other not in seen:
                seen.add(other)
                open_nodes.append(other)
    return seen


def _run(project: Project, target: Target, source: Point3, routed: Routed, inside: Covered) -> Run:
    legs = legs_of(routed.ways[target.id], inside.words[target.id])
    routed_m = sum(leg.length_m for leg in legs)
    cut_m = routed_m * (1 + project.cable.slack) + 2 * project.cable.ends_m
    return Run(
        target.id,
        target.channel,
        target.end.id,
        target.amplifier,
        path_of(legs),
        legs,
        dist(source, target.end.at),
        routed_m,
        cut_m,
        conductor="line cable" if target.line else "",
        loop_ohm=None,
        loss_db=None,
        weighed=(),
        kind="line" if target.line else "loudspeaker",
        terminal=target.terminal,
    )


@dataclass(frozen=True, slots=True)
class Sized:
    """Runs with their conductors, how they were chosen, the cuts, and where each goes."""

    runs: tuple[Run, ...]
    choices: dict[str, tuple[Choice, Load]]
    cuts: Cuts
    one_size: str
    targets: dict[str, Target]


def _sized(project: Project, runs: tuple[Run, ...], targets: tuple[Target, ...]) -> Sized:
    sizes, usual, room_c = sizes_for(project), family(project), project.room.temperature_c
    loads = {t.id: load_of(t.model) for t in targets if not t.line}
    pairs = _pairs(runs, loads)
    longest = {run.id: run.cut_m for run in runs}
    for one, two in pairs:
        longest[one] = longest[two] = max(longest[one], longest[two])
    first = {run.id: choose(loads[run.id], longest[run.id], sizes, usual) for run in runs if run.id in loads}
    wanted = tuple(
        Wanted(run.id, run.cut_m, loads[run.id], first[run.id].size) for run in runs if run.id in loads
    )
    cuts = cut_pairs(wanted, project.cable.stock, pairs, project.units)
    choices = {}
    for want in wanted:
        taken: ConductorSize = cuts.cut_from.get(want.run, first[want.run].size)
        choices[want.run] = weigh(taken, loads[want.run], want.length_m, (*sizes, *usual)), loads[want.run]
    done = tuple(
        _with_conductor(run, choices[run.id][0], room_c) if run.id in choices else run for run in runs
    )
    words = one_size(wanted, project.cable.stock, cuts, project.units)
    return Sized(done, choices, cuts, words, {t.id: t for t in targets})


def _pairs(runs: tuple[Run, ...], loads: dict[str, Load]) -> tuple[tuple[str, str], ...]:
    """Return the runs to either side of the middle that carry one load: such pairs get one size."""
    places = {_place(run): run for run in runs}
    counts = Counter(map(_place, runs))
    found = []
    for run in runs:
        channel, which = _place(run)
        mirrored = channel.replace("+", "-", 1), which
        if mirrored[0] == channel or not counts[_place(run)] == 1 == counts[mirrored]:
            continue
        other = places[mirrored]
        if run.id in loads and loads[run.id] == loads.get(other.id):
            found.append((run.id, other.id))
    return tuple(found)


def _place(run: Run) -> tuple[str, str]:
    """Return a run's channel, and which of the runs to its loudspeaker it is."""
    return run.channel, run.id.removeprefix(run.loudspeaker)


def _with_conductor(run: Run, choice: Choice, room_c: float) -> Run:
    return replace(
        run,
        conductor=choice.size.name,
        loop_ohm=choice.chosen.loop_ohm,
        loss_db=choice.chosen.loss_db,
        weighed=choice.weighed,
        conductor_source=choice.size.source,
        elsewhere=choice.elsewhere,
        ripple_db=choice.ripple_db,
        damping=choice.damping,
        half_decibel=choice.half_decibel,
        enough=choice.enough,
        loop_in_place_ohm=_in_place_ohm(run, choice, room_c),
    )


ATTIC_C = 60.0
"""Temperature that an attic reaches in summer: common practice, no source."""


def _in_place_ohm(run: Run, choice: Choice, room_c: float) -> float:
    metal = METALS[choice.size.metal]
    attic = sum(leg.length_m for leg in run.legs if leg.surface == "attic") / run.routed_m
    loop = choice.chosen.loop_ohm
    return at_temperature_ohm(loop * (1 - attic), room_c, metal) + at_temperature_ohm(
        loop * attic, ATTIC_C, metal
    )


def _finished(project: Project, setting: Setting, sized: Sized, routed: Routed, inside: Covered) -> CablePlan:
    runs = tuple(replace(run, flat=lies_flat(run)) for run in sized.runs)
    findings: tuple[Finding, ...] = (
        *judging.judge(project, setting, runs, sized.choices, routed),
        *judging.judge_cuts(runs, sized.cuts, project),
    )
    tested = [run for run in runs if run.id in sized.choices]
    in_walls = any(leg.surface in ("cavity", "attic") for run in runs for leg in run.legs)
    return CablePlan(
        runs,
        sized.cuts.cuts,
        label_runs(runs, project.units),
        _needs(project, sized, inside),
        findings,
        cost=routed.cost,
        bound=routed.bound,
        exact=routed.exact,
        covers=inside.uses,
        tests=tuple(cold_test(run, sized.choices[run.id][1], sized.targets[run.id].model) for run in tested),
        readings=READING_TABLE if tested else (),
        terminations=_ends(sized),
        straight_m=sum(run.straight_m for run in runs),
        polarity=POLARITY,
        one_size=sized.one_size,
        bought=total_price(sized.cuts.cuts),
        waste_m=sum(cut.offcut_m for cut in sized.cuts.cuts if not cut.spare),
        in_wall=IN_WALL_QUESTIONS if in_walls else (),
    )


def _ends(sized: Sized) -> tuple[Termination, ...]:
    sizes = {run: choice.size for run, (choice, _) in sized.choices.items()}
    return tuple(
        end for run in sized.runs for end in terminations(run, sizes.get(run.id), sized.targets[run.id].kinds)
    )


def _needs(project: Project, sized: Sized, inside: Covered) -> tuple[Need, ...]:
    return needs(sized.runs, sized.cuts.cuts, inside.uses, _ends(sized), project.units)
