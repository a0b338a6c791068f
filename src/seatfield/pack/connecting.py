"""Sheets for the two ends of every cable: terminal map, terminations, cold test."""

import math
from typing import Any

from seatfield.catalogue.systems import plain_name
from seatfield.drawing.measures import length_text
from seatfield.model import Amplifier, LengthUnit, Project
from seatfield.pack.holding import HOLD
from seatfield.pack.telling import figure
from seatfield.stages.cable.result import CablePlan, ColdTest, Termination
from seatfield.stages.terminals import CannotDo, TerminalMap, TerminalUse

METER_STEP_OHM = 0.1
"""Last digit of a plain meter's lowest range: common practice, no source."""


def terminals_sheet(
    project: Project, uses: TerminalMap, refused: frozenset[str] = frozenset()
) -> dict[str, Any]:
    """Say which cable goes on which terminal, amplifier by amplifier, in the order of the back panel.

    `refused` holds the loudspeakers that must not be connected.
    """
    return {
        "kind": "terminals",
        "name": "Terminal map",
        "intro": (
            "Everything off and unplugged while you connect. One cable, one tick: the marked conductor on plus (red), "
            "the other on minus (black), no strand astray, and a tug at each."
        ),
        "amplifiers": [_amplifier(one, uses, refused) for one in project.amplifiers],
        "cannot": [_cannot(one) for one in uses.cannot],
        "unread": any(not one.terminals and one.channels for one in project.amplifiers),
        "pre_out_note": (
            "A line output never feeds a loudspeaker, and the terminals of two amplifiers are never joined. Switch "
            "the external amplifier on last and off first."
        ),
    }


def _amplifier(amplifier: Amplifier, uses: TerminalMap, refused: frozenset[str]) -> dict[str, Any]:
    mine = [use for use in uses.uses if use.amplifier == amplifier.name]
    low = [use for use in mine if use.channel.startswith("LFE")]
    return {
        "name": amplifier.name,
        "words": "in the words of the back panel" if amplifier.terminals else "named as the trade does",
        "posts": _posts(amplifier, [use for use in mine if use not in low], refused),
        "lines": [
            *(
                _line(use.pre_out, f"{use.amplifier}, {use.terminal}", use, refused)
                for use in _fed(amplifier, uses)
            ),
            *(_line(use.terminal, use.run, use, refused) for use in low),
        ],
    }


def _fed(amplifier: Amplifier, uses: TerminalMap) -> list[TerminalUse]:
    """Return the uses that an amplifier feeds by its line outputs: only the one that renders has any."""
    return [use for use in uses.uses if use.pre_out] if amplifier.processed > 0 else []


def _posts(amplifier: Amplifier, mine: list[TerminalUse], refused: frozenset[str]) -> list[dict[str, str]]:
    """All loudspeaker terminals in the order of the file, which is that of the back panel; the free ones too."""
    on = {use.terminal: use for use in mine}
    if not amplifier.terminals:
        return [_post(use.terminal, use, refused) for use in mine]
    return [_post(terminal.name, on.get(terminal.name), refused) for terminal in amplifier.terminals]


def _post(terminal: str, use: TerminalUse | None, refused: frozenset[str]) -> dict[str, str]:
    if use is None:
        return {"terminal": terminal, "channel": "", "what": "stays free", "from": "", "hold": ""}
    hold = _hold(use, refused)
    return {"terminal": terminal, "channel": use.run, "what": _what(use), "from": use.pre_out, "hold": hold}


def _line(output: str, to: str, use: TerminalUse, refused: frozenset[str]) -> dict[str, str]:
    return {"output": output, "to": to, "what": _what(use), "hold": _hold(use, refused)}


def _hold(use: TerminalUse, refused: frozenset[str]) -> str:
    return HOLD if use.loudspeaker in refused else ""


def _what(use: TerminalUse) -> str:
    plain = plain_name(use.channel) if use.channel else "in another room"
    return plain if use.run == use.channel or not use.channel else f"{plain}, {use.channel}"


def _cannot(one: CannotDo) -> dict[str, Any]:
    return {"what": " and ".join(one.runs), "why": one.why, "ways_out": list(one.ways_out)}


def terminations_sheet(
    project: Project, cable: CablePlan, refused: frozenset[str] = frozenset()
) -> dict[str, Any]:
    """Say how every end is finished, with strip lengths at full size to hold a cable against.

    `refused` holds the loudspeakers that must not be connected.
    """
    ends: dict[str, dict[str, Termination]] = {}
    for one in cable.terminations:
        ends.setdefault(one.run, {})[one.end] = one
    strips = sorted({one.strip_m for one in cable.terminations if one.strip_m > 0.0})
    of = {run.id: run for run in cable.runs}
    return {
        "kind": "terminations",
        "name": "Terminations",
        "intro": "Amplifier off and unplugged. Strip, twist, crimp or screw, tug, look with a torch, tick.",
        "polarity": cable.polarity,
        "gauges": [
            {"mm": round(strip * 1000.0, 1), "text": _strip(strip, project.units)} for strip in strips
        ],
        "runs": [
            {
                "run": run,
                "conductor": of[run].conductor if run in of else "",
                "hold": HOLD if run in of and of[run].loudspeaker in refused else "",
                "ends": [
                    _end(both[end], project.units) for end in ("amplifier", "loudspeaker") if end in both
                ],
            }
            for run, both in ends.items()
        ],
        "notes": list(dict.fromkeys(one.note for one in cable.terminations if one.note)),
        "assumed": sorted({one.terminal for one in cable.terminations if one.assumed}),
        "connectors": _connectors(cable),
        "in_wall": list(cable.in_wall),
    }


def _end(one: Termination, units: LengthUnit) -> dict[str, str]:
    strip = _strip(one.strip_m, units) if one.strip_m > 0.0 else "–"
    return {"end": one.end, "how": one.how, "strip": strip}


def _strip(strip_m: float, units: LengthUnit) -> str:
    """Write so short a length in millimetres, or in inches to the eighth."""
    return length_text(strip_m, units) if units is LengthUnit.FOOT else f"{figure(strip_m * 1000.0)} mm"


def _connectors(cable: CablePlan) -> list[str]:
    """Connectors to lay out, by colour, out of what is to be bought."""
    coloured = [need for need in cable.needs if need.what.endswith((", red", ", black"))]
    return [f"{figure(need.count)} {need.unit} of {need.what}" for need in coloured]


def cold_test_sheet(cable: CablePlan, refused: frozenset[str] = frozenset()) -> dict[str, Any]:
    """Say what a meter should read on every run, and what a wrong reading means.

    `refused` holds the loudspeakers that must not be connected.
    """
    held = {run.id for run in cable.runs if run.loudspeaker in refused}
    return {
        "kind": "cold",
        "name": "Cold test",
        "safety": (
            "Power off, amplifier unplugged, the cable off the amplifier. A meter on its ohm range pushes its own "
            "current: never measure on a powered circuit."
        ),
        "steps": [
            "Touch the meter's leads together and write down what they read: subtract it from every reading.",
            "Read each run at the amplifier's end, the loudspeaker connected. Less the leads it must lie in the band.",
            (
                "Tap a 1.5 V cell on the two conductors for an instant, its plus on the marked one: the right "
                "loudspeaker clicks, and its woofer's cone moves out. Never do this to a bare tweeter."
            ),
            "Read once more across all cables at the amplifier's end: between two runs the meter shows nothing.",
        ],
        "tests": [_test(one) | {"hold": HOLD if one.run in held else ""} for one in cable.tests],
        "readings": [{"shows": one.shows, "means": one.means, "do": one.do} for one in cable.readings],
        "rounding": (
            "Bands are rounded outwards to a tenth of an ohm, a plain meter's last digit; the shares of an impedance "
            "are common practice, without a source."
        ),
    }


def _test(test: ColdTest) -> dict[str, str]:
    return {"run": test.run, "band": band_text(test), "basis": test.basis.replace(" (common practice)", "")}


def band_text(test: ColdTest) -> str:
    """Write the band of a right reading, outwards to a meter's last digit; ``open`` where a capacitor is in the way."""
    if test.low_ohm is None or test.high_ohm is None:
        return "open"
    low = math.floor(test.low_ohm / METER_STEP_OHM + 1e-9) * METER_STEP_OHM
    high = math.ceil(test.high_ohm / METER_STEP_OHM - 1e-9) * METER_STEP_OHM
    return f"{low:.1f} to {high:.1f} Ω"
