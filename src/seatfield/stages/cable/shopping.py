"""The shopping lines that the cable job adds: cable, raceway, connectors by colour, labels, fixings."""

from collections import Counter
from math import ceil

from seatfield.catalogue.conductors import ConductorSize
from seatfield.catalogue.terminations import ending
from seatfield.stages.cable.finishing import ASSUMED_TERMINAL
from seatfield.stages.cable.labels import BACK_M
from seatfield.stages.cable.result import CoverUse, Cut, Need, Run
from seatfield.stages.cable.tariff import STICK_M

SPARE = 0.1
"""Share of small parts bought over: 5 to 10 % is common practice."""

CLIP_EVERY_M = 0.3
"""Distance of cable clips in the open: common practice."""


def needs(
    runs: tuple[Run, ...],
    cuts: tuple[Cut, ...],
    covers: tuple[CoverUse, ...],
    sizes: dict[str, ConductorSize],
) -> tuple[Need, ...]:
    """Return what to buy for the cables.

    Parameters
    ----------
    runs, cuts, covers
        Of the plan.
    sizes
        Conductor of each loudspeaker run.
    """
    return (*_cable(cuts), *_lines(runs), *_raceway(covers), *_connectors(runs, sizes), *_small_parts(runs))


def _cable(cuts: tuple[Cut, ...]) -> list[Need]:
    bought = [cut for cut in cuts if not cut.owned]
    spools = Counter((c.stock, c.conductor, c.spool_m, c.price) for c in bought if c.spool_m is not None)
    lines = [
        Need(_named(conductor, stock), count, f"spool of {spool_m:g} m", price, "cut list")
        for (stock, conductor, spool_m, price), count in spools.items()
    ]
    for cut in bought:
        if cut.spool_m is None:
            metres = round(sum(piece.length_m for piece in cut.pieces) + cut.offcut_m, 2)
            price = None if cut.price is None else cut.price / metres
            lines.append(Need(_named(cut.conductor, cut.stock), metres, "m", price, "cut list"))
    return lines


def _named(conductor: str, stock: str) -> str:
    return f"loudspeaker cable {stock}" if conductor in stock else f"loudspeaker cable {conductor}, {stock}"


def _lines(runs: tuple[Run, ...]) -> list[Need]:
    return [
        Need(
            "line cable for the subwoofer, ready made",
            1,
            f"length of at least {run.cut_m:.1f} m",
            None,
            f"run {run.id}",
        )
        for run in runs
        if run.kind == "line"
    ]


def _raceway(covers: tuple[CoverUse, ...]) -> list[Need]:
    lines = []
    bought = [cover for cover in covers if cover.buy]
    for what in dict.fromkeys(cover.what for cover in bought):
        mine = [cover for cover in bought if cover.what == what]
        sticks = sum(cover.length_m for cover in mine) * (1 + SPARE) / STICK_M
        lines.append(
            Need(what, ceil(sticks - 1e-9), f"stick of {STICK_M:g} m", None, "to carry runs together")
        )
        turns = sum(1 for i, a in enumerate(mine) for b in mine[i + 1 :] if _touch(a, b))
        if turns:
            lines.append(Need(f"corner or tee for {what}", turns, "piece", None, "where it turns or meets"))
        lines.append(Need(f"end cap for {what}", 2 * len(mine), "piece", None, "open ends"))
    return lines


def _touch(a: CoverUse, b: CoverUse) -> bool:
    ends = ((a.path[i], b.path[j]) for i in (0, -1) for j in (0, -1))
    return any(sum((p - q) ** 2 for p, q in zip(one, two, strict=True)) < 1e-8 for one, two in ends)


def _connectors(runs: tuple[Run, ...], sizes: dict[str, ConductorSize]) -> list[Need]:
    kinds = Counter(
        ending(ASSUMED_TERMINAL, sizes[run.id].area_mm2).connector for run in runs if run.id in sizes
    )
    lines = []
    for connector, count in kinds.items():
        for colour, conductor in (("red", "plus"), ("black", "minus")):
            pieces = 2 * count + ceil(2 * count * SPARE)
            why = (
                f"{conductor} at both ends of {count} runs, and some spare; count the terminals' kinds first"
            )
            lines.append(Need(f"{connector}, {colour}", pieces, "piece", None, why))
    return lines


def _small_parts(runs: tuple[Run, ...]) -> list[Need]:
    if not runs:
        return []
    labels = Need(
        "cable label", 4 * len(runs), "piece", None, f"both ends and {BACK_M * 100:.0f} cm back from each"
    )
    walls = (
        "skirting",
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
        "cable clip or fixing strip", clips, "piece", None, f"one every {CLIP_EVERY_M:g} m in the open"
    )
    return [labels, fixing] if clips else [labels]
