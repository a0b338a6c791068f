"""Whether the values found are worth typing: what they change at the seats against what is set now."""

from collections.abc import Mapping, Sequence
from dataclasses import fields

import numpy as np

from seatfield.model import ChannelSetting, Finding, Severity
from seatfield.stages.alignment.bench import Bench
from seatfield.stages.alignment.predicting import Figures, figures, untouched

Settings = Mapping[str, ChannelSetting]
LEAVE = "alignment.leave"
LEAST = {"join_db": 0.1, "uneven_db": 0.1, "arrival_ms": 0.1, "level_db": 0.5}
"""Less than this is no gain: what moving the microphone by a hand changes. Common practice, no source."""
WORSE_DB = 0.3
WORDS = {"join_db": "the join loses {:.1f} dB more", "uneven_db": "the bass is {:.1f} dB less even"}


def worth(bench: Bench, counted: Sequence[int], settings: Settings, noted: Settings) -> list[Finding]:
    """Say whether the values gain, and at which positions they lose.

    Parameters
    ----------
    bench
        Responses.
    counted
        Positions that delays and trims are for.
    settings
        As found.
    noted
        As typed the last time; where a run has none, nothing but the crossovers counts as set.

    Returns
    -------
    list of Finding
        One of code `LEAVE` where no figure gains; else one for each position that loses.
    """
    now_set = noted if set(settings) <= set(noted) else untouched(settings)
    places = range(len(bench.spots))
    was, now = ([figures(bench, place, one) for place in places] for one in (now_set, settings))
    if not any(_gain(was, now, counted, one.name) > LEAST[one.name] for one in fields(Figures)):
        return [_leave(typed=now_set is noted)]
    return [found for place in places if (found := _worse(bench, place, was[place], now[place])) is not None]


def _gain(was: Sequence[Figures], now: Sequence[Figures], counted: Sequence[int], name: str) -> float:
    """Return by how much a figure falls in the mean: of the mains over the positions counted, of the bass over all."""
    places = counted if name in {"arrival_ms", "level_db"} else range(len(was))
    pairs = [(getattr(was[place], name), getattr(now[place], name)) for place in places]
    told = [before - after for before, after in pairs if before is not None and after is not None]
    return float(np.mean(told)) if told else 0.0


def _leave(*, typed: bool) -> Finding:
    set_now = "what was typed the last time" if typed else "nothing but the crossovers"
    return Finding(
        LEAVE,
        Severity.NOTE,
        "all channels",
        f"By these takes no seat gains over {set_now}: nothing to type here.",
        source="the prediction from the takes",
        advice="Leave the values as they are.",
    )


def _worse(bench: Bench, place: int, was: Figures, now: Figures) -> Finding | None:
    lost = {name: getattr(now, name) - getattr(was, name) for name in WORDS if getattr(was, name) is not None}
    told = [WORDS[name].format(value) for name, value in lost.items() if value > WORSE_DB]
    if not told:
        return None
    spot = bench.spots[place]
    where = spot.seat or f"({', '.join(f'{value:.2f}' for value in spot.position)} m)"
    return Finding(
        "alignment.loses",
        Severity.NOTE,
        where,
        f"At {where} {' and '.join(told)} once these values are typed; over all positions something gains.",
        measured=max(lost.values()),
        limit=WORSE_DB,
        unit="dB",
        source="the prediction from the takes",
        advice="If this seat matters most, type distances and trims of the mains only and leave the subwoofers.",
        at=spot.position,
    )
