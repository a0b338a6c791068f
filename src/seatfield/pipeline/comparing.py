"""Two states of a project side by side: what each gives, and what only one of them has."""

import math
from collections import Counter
from dataclasses import dataclass

from seatfield.drawing.measures import length_text
from seatfield.model import Finding, LengthUnit, Project, Severity
from seatfield.pipeline.things import Thing, things
from seatfield.stages.cable.result import CablePlan
from seatfield.stages.layout.result import Placed, Verdict
from seatfield.stages.plan import Plan
from seatfield.stages.survey import tell_area

Side = tuple[Project, Plan]
_LEAST_M = 0.005
"""Below this nobody moves a thing on purpose: half a step of the hand; common practice."""
HEARD_DB = 0.5
"""Unevenness that differs by less decides nothing: common practice, no source."""
_RANK = tuple(Verdict)


@dataclass(frozen=True, slots=True)
class Difference:
    """One line of a comparison.

    Parameters
    ----------
    what
        What is compared.
    left, right
        How each state has it; empty where it has none.
    better
        ``left``, ``right``, or empty where neither is, or nobody can say.
    """

    what: str
    left: str
    right: str
    better: str = ""


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two states side by side.

    Parameters
    ----------
    sentence
        What it comes to.
    lines
        What differs.
    only_left, only_right
        Findings that only one of them has.
    changes
        What was changed from the first to the second, in words; empty where the files are not at hand.
    """

    sentence: str
    lines: tuple[Difference, ...]
    only_left: tuple[Finding, ...]
    only_right: tuple[Finding, ...]
    changes: tuple[str, ...] = ()


def compare(left: Side, right: Side, changes: tuple[str, ...] = ()) -> Comparison:
    """Compare two states of a project.

    Parameters
    ----------
    left, right
        Project and plan of each.
    changes
        What differs in their files, in words.
    """
    made = (*_places(left, right), *_moves(left, right), *_figures(left, right))
    lines = tuple(line for line in made if line.left != line.right)
    only_left, only_right = _only(left[1], right[1]), _only(right[1], left[1])
    return Comparison(_sentence(lines, only_left, only_right), lines, only_left, only_right, changes)


def _sentence(lines: tuple[Difference, ...], left: tuple[Finding, ...], right: tuple[Finding, ...]) -> str:
    if not lines and not left and not right:
        return "The two come to the same."
    won = [sum(line.better == side for line in lines) for side in ("left", "right")]
    counts = (
        f"Of what can be judged the first is better on {won[0]}, the second on {won[1]}"
        if any(won)
        else "On no line is one of them the better"
    )
    weight = [_weight(side) for side in (left, right)]
    if weight[0] == weight[1]:
        return f"{counts}; their findings weigh the same."
    lighter = "first" if weight[0] < weight[1] else "second"
    return f"{counts}; the {lighter} has fewer findings that matter."


def _weight(findings: tuple[Finding, ...]) -> tuple[int, int]:
    return tuple(sum(f.severity is s for f in findings) for s in (Severity.STOP, Severity.FIX))  # type: ignore[return-value]


def _only(one: Plan, other: Plan) -> tuple[Finding, ...]:
    there = {(f.code, f.subject) for f in other.findings}
    return tuple(f for f in one.findings if (f.code, f.subject) not in there)


def _places(left: Side, right: Side) -> tuple[Difference, ...]:
    unit = left[0].units
    placed = [
        {one.id: one for one in plan.layout.loudspeakers} if plan.layout else {}
        for plan in (left[1], right[1])
    ]
    ids = dict.fromkeys([*placed[0], *placed[1]])
    return tuple(_place(name, placed[0].get(name), placed[1].get(name), unit) for name in ids)


def _moves(left: Side, right: Side) -> tuple[Difference, ...]:
    """Tell of what else stands somewhere else: subwoofers, seats, furniture, the screen."""
    there = [_standing(side) for side in (left, right)]
    return tuple(
        _move(name, there[0].get((kind, name, nth)), there[1].get((kind, name, nth)), left[0].units)
        for kind, name, nth in dict.fromkeys([*there[0], *there[1]])
    )


def _standing(side: Side) -> dict[tuple[str, str, int], Thing]:
    """Things that are no part of the outline and no loudspeaker, by kind and name, and which of several of one name."""
    found: dict[tuple[str, str, int], Thing] = {}
    seen: Counter[tuple[str, str]] = Counter()
    for thing in things(side[0], side[1].survey):
        if thing.kind in {"wall", "corner", "loudspeaker"} or not thing.placed:
            continue
        seen[thing.kind, thing.name] += 1
        found[thing.kind, thing.name, seen[thing.kind, thing.name]] = thing
    return found


def _move(name: str, left: Thing | None, right: Thing | None, unit: LengthUnit) -> Difference:
    if left is None or right is None:
        return Difference(name, "stands there" if left else "", "stands there" if right else "")
    shift = math.dist(left.at, right.at)
    return Difference(name, "", f"moved {length_text(shift, unit)}" if shift > _LEAST_M else "")


def _place(name: str, left: Placed | None, right: Placed | None, unit: LengthUnit) -> Difference:
    better = ""
    if left and right and (_quality(left) != _quality(right)):
        better = "left" if _quality(left) < _quality(right) else "right"
    return Difference(name, _told(left, unit), _told(right, unit), better)


def _quality(one: Placed) -> tuple[int, float]:
    return _RANK.index(one.verdict), round(one.deviation_deg or 0.0, 1)


def _told(one: Placed | None, unit: LengthUnit) -> str:
    if one is None:
        return ""
    if one.azimuth_deg is None or one.elevation_deg is None or one.distance_m is None:
        return "no place yet"
    off = f", {one.deviation_deg:.0f}° outside" if one.deviation_deg and one.deviation_deg >= 0.5 else ""
    away = length_text(one.distance_m, unit)
    return f"{one.verdict.value}, {_turned(one.azimuth_deg)}, {away} away{off}"


def _turned(azimuth_deg: float) -> str:
    """Write a direction as a person at the main seat says it."""
    degrees = round(abs(azimuth_deg))
    if degrees in {0, 180}:
        return "straight ahead" if degrees == 0 else "straight behind"
    return f"{degrees}° {'left' if azimuth_deg > 0.0 else 'right'}"


def _figures(left: Side, right: Side) -> tuple[Difference, ...]:
    unit = left[0].units
    cables = [side[1].cable for side in (left, right)]
    lines = [_lower("room", _area(left), _area(right), judged=False)]
    if all(cable is not None for cable in cables):
        cut = [sum(run.cut_m for run in cable.runs) for cable in cables if cable]
        lines.append(_length("cable to cut", cut, unit))
        costs = [cable.cost.total if cable and cable.cost else None for cable in cables]
        if costs[0] is not None and costs[1] is not None:
            texts = [f"{cost:.0f} {left[0].currency}".strip() for cost in costs if cost is not None]
            lines.append(_lower("cost of the routes, by your weights", *texts, numbers=(costs[0], costs[1])))
        bought = [_price(cable) for cable in cables if cable]
        if bought[0] is not None and bought[1] is not None:
            texts = [f"{price:.2f} {left[0].currency}".strip() for price in bought if price is not None]
            lines.append(_lower("to buy, as far as prices are told", *texts, numbers=(bought[0], bought[1])))
    return (*lines, *_bass(left[1], right[1]))


def _price(cable: CablePlan) -> float | None:
    """Return what is to buy, as far as prices are told; None where none is told, but something must be bought."""
    prices = [need.count * need.price for need in cable.needs if need.price is not None]
    return sum(prices) if prices or not cable.needs else None


def _bass(left: Plan, right: Plan) -> tuple[Difference, ...]:
    now = [plan.bass.now if plan.bass else None for plan in (left, right)]
    if now[0] is None or now[1] is None:
        return ()
    merits = (now[0].merit, now[1].merit)
    texts = [f"{merit:.1f} dB" for merit in merits]
    judged = abs(merits[0] - merits[1]) >= HEARD_DB
    return (_lower("unevenness of the bass over all seats", *texts, numbers=merits, judged=judged),)


def _area(side: Side) -> str:
    return tell_area(side[1].survey.area_m2, side[0].units)


def _length(what: str, lengths_m: list[float], unit: LengthUnit) -> Difference:
    left, right = (length_text(length, unit) for length in lengths_m)
    return _lower(what, left, right, numbers=(lengths_m[0], lengths_m[1]))


def _lower(
    what: str, left: str, right: str, *, numbers: tuple[float, float] = (0.0, 0.0), judged: bool = True
) -> Difference:
    """Make a line on which the lower number is the better."""
    better = "" if not judged or left == right else "left" if numbers[0] < numbers[1] else "right"
    return Difference(what, left, right, better)
