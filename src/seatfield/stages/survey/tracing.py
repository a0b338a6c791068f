"""How the survey's numbers came about, for findings that carry none of their own."""

from dataclasses import replace

from seatfield.model import Finding, Input, Trace

FORMULAS = {
    "survey.out-of-range": "the number in the file, in SI units",
    "survey.outside-wall": "start + width along the wall, against the wall's length between its corners",
    "survey.stretch-backwards": "the end of the stretch against its start",
    "survey.above-ceiling": "base + height, or the height given, against the lowest ceiling plane there",
    "survey.below-floor": "the height given against the floor at 0",
    "survey.openings-overlap": "the lesser of both ends − the greater of both starts along the wall",
    "survey.outside-room": "distance from the furthest point outside to the nearest wall",
    "survey.furniture-overlaps": "area that both outlines share, each drawn in by the tape's tolerance",
    "survey.seats-together": "distance in plan between the two seats",
    "survey.no-headroom": "lowest ceiling plane over the seat, against the highest ear + 0.1 m",
    "survey.kit-together": "distance between the two acoustic centres",
    "survey.kit-in-furniture": "distance in plan from the acoustic centre to the edge of the outline",
    "survey.door-swing": "the leaf sweeps a quarter circle about its hinge, as wide as the door",
    "survey.corner-far": "distance along an axis from the bounds of all other corners",
    "survey.screen-diagonal": "16 / √(16² + 9²) of the width, taken as a diagonal",
    "survey.ceiling-unknown": "taken, not measured",
    "survey.ceiling-under-floor": "the lowest ceiling plane at the corners",
}


def traced(finding: Finding) -> Finding:
    """Return a finding with the formula of its number, its numbers and its place as inputs.

    Parameters
    ----------
    finding
        Any finding of the survey.

    Returns
    -------
    Finding
        Unchanged where it has a trace already or tells no number.
    """
    formula = FORMULAS.get(finding.code)
    if finding.trace is not None or finding.measured is None or formula is None:
        return finding
    inputs = [Input("measured", finding.measured, finding.unit)]
    if finding.limit is not None:
        inputs.append(Input("limit", finding.limit, finding.unit))
    if finding.at is not None:
        inputs.extend(Input(f"at {axis}", value, "m") for axis, value in zip("xyz", finding.at, strict=True))
    return replace(finding, trace=Trace(formula, tuple(inputs)))
