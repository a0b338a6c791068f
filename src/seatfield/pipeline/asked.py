"""What a person says of a take, checked before it is read: where the microphone stood, and its own file."""

from seatfield.model import Finding, Point3, Severity
from seatfield.readers.microphone import Compensation
from seatfield.stages.survey import Survey

BEYOND_M = 1.0
"""A microphone may stand in an archway, or a bay that the plan leaves out: common practice, no source."""


def outside(survey: Survey, position: Point3) -> str:
    """Return a sentence if a microphone cannot have stood there; empty if it can.

    Parameters
    ----------
    survey
        The room.
    position
        Place of the microphone [m].

    Returns
    -------
    str
        What was given, what is allowed, what to do.
    """
    xs, ys = zip(*survey.room.floor, strict=True)
    low, high = (min(xs), min(ys), 0.0), (max(xs), max(ys), max(survey.corner_heights_m))
    slack = (BEYOND_M, BEYOND_M, 0.0)
    inside = all(
        first - more <= value <= last + more
        for value, first, last, more in zip(position, low, high, slack, strict=True)
    )
    if inside:
        return ""
    return (
        f"The microphone at {_words(position)} m stands outside the room, which reaches from {_words(low)} m to "
        f"{_words(high)} m. Give x, y, z as in the project file, with their unit where they are not in its own."
    )


def _words(point: Point3) -> str:
    return ", ".join(f"{value:.2f}" for value in point)


def unusable(compensation: Compensation | None) -> str:
    """Return a sentence if a microphone's file holds nothing to compensate; empty if it does, or there is none."""
    if compensation is None or len(compensation.freq_hz):
        return ""
    return f"The microphone's file cannot be used. {compensation.warnings[-1]}"


def doubts(compensation: Compensation | None) -> tuple[Finding, ...]:
    """Return what could not be read of a microphone's file, as findings."""
    return tuple(
        Finding(
            "takes.compensation",
            Severity.NOTE,
            "the microphone's file",
            sentence,
            source="the file",
            advice="The rest of the file is used.",
        )
        for sentence in (compensation.warnings if compensation else ())
    )
