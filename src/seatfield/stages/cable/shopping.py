"""The shopping lines that the cable job adds: cable, raceway, connectors by colour, labels, fixings."""

from collections import Counter
from math import ceil, dist

from seatfield import routing
from seatfield.model import LengthUnit, Point3
from seatfield.stages.cable.cutting import FOOT_STEP_M
from seatfield.stages.cable.labels import back_words
from seatfield.stages.cable.result import CoverUse, Cut, Need, Run, Termination
from seatfield.stages.cable.tariff import STICK_M
from seatfield.stages.survey import tell_roughly
from seatfield.units import FOOT_M

SPARE = 0.1
"""Share of small parts bought over: 5 to 10 % is common practice."""

CUT_M = 0.005
"""A stretch that is so much longer than whole sticks needs no further one: its corners and joints take that up."""

CLIP_EVERY_M = 0.3
"""Distance of cable clips in the open: common practice."""


def needs(
    runs: tuple[Run, ...],
    cuts: tuple[Cut, ...],
    covers: tuple[CoverUse, ...],
    ends: tuple[Termination, ...],
    units: LengthUnit = LengthUnit.METRE,
) -> tuple[Need, ...]:
    """Return what to buy for the cables.

    Parameters
    ----------
    runs, cuts, covers
        Of the plan.
    ends
        How both ends of every run are finished.
    units
        For the words, and for what is sold by length.

    Notes
    -----
    The unit is a noun in the number that the count asks for, so that "2 spools of 100 ft" reads as it is said.
    """
    return (
        *_cable(cuts, units),
        *_lines(runs, units),
        *_raceway(covers, units),
        *_connectors(ends),
        *_small_parts(runs, units),
    )


def counted(count: float, noun: str) -> str:
    """Return a noun in the number of its count: piece or pieces, spool or spools."""
    return noun if count == 1 else f"{noun}s"


def _cable(cuts: tuple[Cut, ...], units: LengthUnit) -> list[Need]:
    bought = [cut for cut in cuts if not cut.owned]
    spools = Counter((c.stock, c.conductor, c.spool_m, c.price) for c in bought if c.spool_m is not None)
    lines = [
        Need(
            _named(conductor, stock, tell_roughly(spool_m, units)),
            count,
            f"{counted(count, 'spool')} of {tell_roughly(spool_m, units)}",
            price,
            "cut list",
        )
        for (stock, conductor, spool_m, price), count in spools.items()
    ]
    for cut in bought:
        if cut.spool_m is None:
            length_m = sum(piece.length_m for piece in cut.pieces) + cut.offcut_m
            feet = units is LengthUnit.FOOT
            amount = float(_feet(cut, length_m)) if feet else round(length_m, 2)
            price = None if cut.price is None else cut.price / amount
            lines.append(
                Need(
                    _named(cut.conductor, cut.stock, f"by the {'foot' if feet else 'metre'}"),
                    amount,
                    "ft" if feet else "m",
                    price,
                    "cut list",
                )
            )
    return lines


def _feet(cut: Cut, length_m: float) -> int:
    """Return whole feet: those that were paid, or as many as the pieces take where no price is told."""
    return ceil(length_m / FOOT_M - 1e-6) if cut.price is None else round(length_m / FOOT_STEP_M)


def _named(conductor: str, stock: str, sold: str) -> str:
    """Name a cable by its stock; how it is sold stands beside the count, so a derived name tells it no more."""
    stock = stock.replace(f", {sold}", "", 1)
    return f"loudspeaker cable {stock}" if conductor in stock else f"loudspeaker cable {conductor}, {stock}"


def _lines(runs: tuple[Run, ...], units: LengthUnit) -> list[Need]:
    return [
        Need(
            "line cable for the subwoofer, ready made",
            1,
            f"length of at least {tell_roughly(run.cut_m, units, up=True)}",
            None,
            f"run {run.id}",
        )
        for run in runs
        if run.kind == "line"
    ]


def _raceway(covers: tuple[CoverUse, ...], units: LengthUnit) -> list[Need]:
    lines = []
    bought = [cover for cover in covers if cover.buy]
    for what in dict.fromkeys(cover.what for cover in bought):
        mine = [cover for cover in bought if cover.what == what]
        sticks = sticks_for([cover.length_m for cover in mine])
        unit = f"{counted(sticks, 'stick')} of {tell_roughly(STICK_M, units)}"
        lines.append(Need(what, sticks, unit, None, "to carry runs together"))
        turns = sum(1 for i, a in enumerate(mine) for b in mine[i + 1 :] if _touch(a, b))
        if turns:
            lines.append(
                Need(
                    f"corner or tee for {what}",
                    turns,
                    counted(turns, "piece"),
                    None,
                    "where it turns or meets",
                )
            )
        caps = sum(_open_ends(cover, bought) for cover in mine)
        if caps:
            lines.append(Need(f"end cap for {what}", caps, counted(caps, "piece"), None, "open ends"))
    return lines


def sticks_for(lengths_m: list[float]) -> int:
    """Return how many sticks of raceway lengths take: whole sticks end to end, and the rest cut from the fewest.

    Parameters
    ----------
    lengths_m
        Straight stretches [m].

    Returns
    -------
    int
        Nothing is spared: what is cut off is raceway too.
    """
    whole = [int(length_m / STICK_M + 1e-9) for length_m in lengths_m]
    rests = (length_m - count * STICK_M for length_m, count in zip(lengths_m, whole, strict=True))
    pieces = [routing.Piece(rest) for rest in rests if rest > CUT_M]
    return sum(whole) + len(routing.cut(pieces, [routing.Stock(1.0, STICK_M)]).purchases)


def _open_ends(one: CoverUse, every: list[CoverUse]) -> int:
    others = [other.path[place] for other in every if other is not one for place in (0, -1)]
    return sum(not any(_meet(one.path[place], end) for end in others) for place in (0, -1))


def _touch(a: CoverUse, b: CoverUse) -> bool:
    return any(_meet(a.path[i], b.path[j]) for i in (0, -1) for j in (0, -1))


def _meet(one: Point3, two: Point3) -> bool:
    return dist(one, two) < 1e-4


def _connectors(ends: tuple[Termination, ...]) -> list[Need]:
    kinds = Counter((end.connector, end.for_both) for end in ends if end.connector)
    assumed = {end.connector for end in ends if end.assumed}
    lines = []
    for (connector, for_both), count in kinds.items():
        pieces = count + ceil(count * SPARE)
        doubt = "; count the terminals' kinds first" if connector in assumed else ""
        colours = (("", "one"),) if for_both else ((", red", "plus"), (", black", "minus"))
        for colour, conductor in colours:
            why = f"{conductor} at {count} {counted(count, 'end')}, and some spare{doubt}"
            lines.append(Need(f"{connector}{colour}", pieces, counted(pieces, "piece"), None, why))
    return lines


def _small_parts(runs: tuple[Run, ...], units: LengthUnit) -> list[Need]:
    if not runs:
        return []
    labels = Need(
        "cable label", 4 * len(runs), "pieces", None, f"both ends and {back_words(units)} back from each"
    )
    walls = (
        "skirting",
        "behind radiator",
        "corner",
        "door frame",
        "door head",
        "window frame",
        "wall",
        "ceiling line",
        "ceiling",
    )
    open_m = sum(leg.length_m for run in runs for leg in run.legs if leg.surface in walls and not leg.cover)
    clips = ceil(open_m / CLIP_EVERY_M * (1 + SPARE))
    fixing = Need(
        "cable clip or fixing strip",
        clips,
        counted(clips, "piece"),
        None,
        f"{back_words(units)} apart in the open",
    )
    return [labels, fixing] if clips else [labels]


def spent(lines: tuple[Need, ...]) -> float | None:
    """Return what the lines of a shopping list cost as far as they are priced; None where none has a price."""
    priced = [line.price * line.count for line in lines if line.price is not None]
    return sum(priced) if priced else None
