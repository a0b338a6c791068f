"""The sheet of levels: how loud each channel gets at each seat, and what stops it there."""

import math
from collections.abc import Sequence
from typing import Any

from seatfield.catalogue.systems import plain_name
from seatfield.drawing.measures import length_text
from seatfield.model import Project
from seatfield.pack.telling import figure
from seatfield.stages.level.result import AmplifierChannel, ChannelLevel, Level, SeatLevel, WishLevel

SEATS_A_TABLE = 5
FAR_SHORT_DB = 6
"""Four times the power, by 10 lg."""
WEEK_H = 168.0
LOADS = {
    "fine": "fine",
    "warm": "allowed; it runs warm",
    "refused": "refused: do not connect",
    "unknown": "look it up",
}
LIMITS = {
    "amplifier": "the amplifier",
    "load": "the load that the amplifier bears",
    "loudspeaker": "the loudspeaker",
    "wish": "nothing: it meets the wish",
    "": "figures are missing",
}


def levels_sheet(project: Project, level: Level) -> dict[str, Any]:
    """Print the highest direct sound of every channel at every seat, and how it spreads over the seats."""
    main = next((seat for seat in level.seats if seat.seat == project.main_seat.name), level.seats[0])
    chunks = [level.seats[i : i + SEATS_A_TABLE] for i in range(0, len(level.seats), SEATS_A_TABLE)]
    return {
        "kind": "levels",
        "name": "Levels at the seats",
        "wish": f"{figure(level.wish_peak_db)} dB",
        "intro": (
            "Highest peaks of the direct sound that each channel can make at each seat, before anything clips: the "
            "room adds some, and what it adds is not counted. In brackets, what a value lacks of the wish; bold where "
            "that is 6 dB or more, which is four times the power."
        ),
        "tables": [
            {
                "seats": [seat.seat for seat in chunk],
                "rows": [_row(level, chunk, one) for one in main.channels],
                "hours": [hours_text(seat.hours_a_week) for seat in chunk],
            }
            for chunk in chunks
        ],
        "main": [_main(project, one) for one in main.channels],
        "main_seat": main.seat,
        "bass": [row for seat in level.seats for row in _bass(seat)] if _reached(level) else [],
        "bass_asked": "" if _reached(level) else _asked(main),
        "wishes": [_wish(level, one) for one in level.wishes],
        "loads": [_load(one) for one in level.amplifier_channels],
        "caution": (
            "Loud sound harms hearing for good, and the higher the level the sooner. The hours are an estimate by a "
            "recommendation for listening devices, not a promise. Set test tones low and rise slowly; whoever hears "
            "badly uses the meter."
        ),
    }


def _row(level: Level, seats: Sequence[SeatLevel], one: ChannelLevel) -> dict[str, Any]:
    peaks = [_peak(seat, one.id) for seat in level.seats]
    known = [peak for peak in peaks if peak is not None]
    return {
        "channel": one.id,
        "name": plain_name(one.channel),
        "cells": [cell(_peak(seat, one.id), level.wish_peak_db) for seat in seats],
        "spread": f"{max(known) - min(known):.1f}" if len(known) > 1 else "–",
    }


def _peak(seat: SeatLevel, channel: str) -> float | None:
    return next((one.peak_db for one in seat.channels if one.id == channel), None)


def cell(peak_db: float | None, wish_db: float) -> dict[str, Any]:
    """Write a level to the decibel, and in brackets what it lacks of the wish.

    Parameters
    ----------
    peak_db
        Peak level [dB SPL]; None where figures are missing.
    wish_db
        What is wished [dB SPL].

    Returns
    -------
    dict
        ``text``, and whether it is ``short`` of the wish by `FAR_SHORT_DB` or more.
    """
    if peak_db is None:
        return {"text": "–", "short": False}
    lacks = round(wish_db) - round(peak_db)
    return {
        "text": f"{peak_db:.0f} (−{lacks})" if lacks > 0 else f"{peak_db:.0f}",
        "short": lacks >= FAR_SHORT_DB,
    }


def _main(project: Project, one: ChannelLevel) -> dict[str, str]:
    return {
        "channel": one.id,
        "distance": length_text(one.distance_m, project.units),
        "watts": f"{figure(one.watts_needed_w)} W" if one.watts_needed_w is not None else "–",
        "limit": LIMITS.get(one.limited_by, one.limited_by),
    }


def _reached(level: Level) -> bool:
    """Tell whether anything is known of what the subwoofers can do."""
    return any(one.reach_db is not None for seat in level.seats for one in seat.bass)


def _asked(main: SeatLevel) -> str:
    """Say in one line what is asked of subwoofers that the file has no figures of; empty without subwoofers."""
    if not main.bass:
        return ""
    asked = ", ".join(f"{one.demand_db:.0f} dB at {one.freq_hz:g} Hz" for one in main.bass)
    return (
        f"Asked of all subwoofers together at {main.seat}: {asked}. What they reach is not known: the file has no "
        "`max_level` of theirs, or no place."
    )


def _bass(seat: SeatLevel) -> list[dict[str, Any]]:
    """Say what the subwoofers must and can do at a seat; a frequency without figures has a dash."""
    return [
        {
            "seat": seat.seat if number == 0 else "",
            "freq": f"{one.freq_hz:g} Hz",
            "demand": f"{one.demand_db:.0f}",
            "reach": "–" if one.reach_db is None else f"{one.reach_db:.0f}",
            "band": ""
            if one.low_db is None or one.high_db is None
            else f"{one.low_db:.0f} to {one.high_db:.0f}",
            "lacks": "–" if one.shortfall_db is None else f"{one.shortfall_db:.0f}",
        }
        for number, one in enumerate(seat.bass)
    ]


def _wish(level: Level, one: WishLevel) -> dict[str, Any]:
    watts = [need.watts_w for need in one.channels if need.watts_w is not None]
    lacks = [need.lacks_db for need in one.channels if need.lacks_db is not None]
    return {
        "wish": one.wish,
        "own": math.isclose(one.peak_db, level.wish_peak_db),
        "usual": f"{one.usual_db:.0f}",
        "peak": f"{one.peak_db:.0f}",
        "watts": f"{figure(max(watts))} W" if watts else "–",
        "lacks": "–" if not lacks else f"{max(lacks):.0f} dB" if round(max(lacks)) > 0 else "nothing",
        "hours": hours_text(one.hours_a_week),
        "film": f"{100.0 * one.film_share:.0f} %",
    }


def _load(one: AmplifierChannel) -> dict[str, Any]:
    return {
        "where": f"{one.amplifier}, {one.terminal}",
        "what": " and ".join(one.loudspeakers),
        "load": f"{figure(one.load_ohm)} Ω",
        "lowest": "not told" if one.lowest_load_ohm is None else f"{figure(one.lowest_load_ohm)} Ω",
        "word": LOADS.get(one.load, one.load),
        "stop": one.load == "refused",
        "gives": "–" if one.gives_w is None else f"{figure(one.gives_w)} W",
        "needs": "–" if one.needs_w is None else f"{figure(one.needs_w)} W",
    }


def hours_text(hours: float | None) -> str:
    """Write hours a week as people say them: minutes under one hour, no limit at a whole week.

    Parameters
    ----------
    hours
        Hours a week [h]; None where nothing is known.
    """
    if hours is None:
        return "–"
    if hours >= WEEK_H:
        return "no limit"
    if hours < 1.0:
        return f"{figure(60.0 * hours)} min"
    return f"{figure(hours)} h"
