"""What must not be connected: every sheet of the work says it of the same loudspeakers."""

from seatfield.pack.telling import listed
from seatfield.stages.plan import Plan

HOLD = "do not connect: see Levels at the seats"
"""What stands in place of a box to tick."""


def refused(plan: Plan) -> frozenset[str]:
    """Return the loudspeakers whose load is below what their amplifier allows."""
    return frozenset(plan.level.refused) if plan.level is not None else frozenset()


def held_text(plan: Plan) -> str:
    """Say for a sheet of the work which loudspeakers wait, and why; empty where none does."""
    names = plan.level.refused if plan.level is not None else ()
    if not names:
        return ""
    return (
        f"Do not connect {listed(names)}: the load is below what the amplifier allows, and it may fail. See Levels "
        "at the seats. Leave this part of the work until that is mended: another amplifier or loudspeaker may want "
        "another terminal or cable."
    )
