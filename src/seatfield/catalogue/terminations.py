"""How cable ends are finished, what a cold reading means, and what to ask about cable inside walls.

All of it common practice without a source, save where one is named. Questions about cable in walls are questions:
the local code and a licensed person answer them.
"""

from dataclasses import dataclass, replace

COMMON = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Ending:
    """How one kind of terminal takes conductors up to a size.

    Parameters
    ----------
    terminal
        Kind of terminal.
    most_mm2
        Largest conductor that this way suits [mm²].
    how
        What to put on the conductor.
    strip_m
        Insulation to take off [m].
    connector
        What to buy for it, one for each conductor; empty where the bare end goes in.
    for_both
        True where both conductors share one connector.
    """

    terminal: str
    most_mm2: float
    how: str
    strip_m: float
    connector: str
    note: str
    source: str = COMMON
    for_both: bool = False


MEMORY = "from memory"

_POST_NOTE = (
    "If the post's cross hole is stopped up for local rules, leave it so and use a spade or the bare end."
)
_NO_TIN = "Never tin an end that a screw holds: solder creeps, and the screw goes loose."

_SOCKET_NOTE = (
    "Where mains sockets take such plugs too, let no child get at a loose end: use pins or bare ends."
)
_TAB_NOTE = "Measure the tab: the plus tab is often the wider one, and the receptacle goes by the width."
_LEAD_NOTE = "Lay the joint where a hand reaches it again; the lead's own colours say which is plus."

ENDINGS: tuple[Ending, ...] = (
    Ending("binding post", 4.0, "4 mm plug, screwed or crimped", 0.012, "4 mm plug", _POST_NOTE),
    Ending(
        "binding post", 6.0, "spade, crimped", 0.010, "spade", "Check that the spade's gap takes the post."
    ),
    Ending("4 mm socket", 4.0, "4 mm plug, screwed or crimped", 0.012, "4 mm plug", _SOCKET_NOTE),
    Ending("spring clip", 1.5, "bare, strands twisted tight", 0.010, "", "No strand may stand out."),
    Ending(
        "spring clip",
        4.0,
        "crimped pin",
        0.010,
        "pin",
        "A thick conductor does not enter a clip without a pin.",
    ),
    Ending("screw terminal", 6.0, "ferrule, crimped", 0.010, "ferrule", _NO_TIN),
    Ending("push-in block", 2.5, "ferrule, crimped", 0.008, "ferrule", _NO_TIN),
    Ending(
        "two-pin socket",
        1.5,
        "two-pin loudspeaker plug, soldered or screwed",
        0.006,
        "two-pin loudspeaker plug",
        "The flat pin is minus, the round pin plus.",
        f"DIN 41529, {MEMORY}",
        for_both=True,
    ),
    Ending(
        "blade tab",
        2.5,
        "push-on receptacle, crimped",
        0.007,
        "push-on receptacle",
        _TAB_NOTE,
        f"IEC 61210, {MEMORY}",
    ),
    Ending("loose lead", 4.0, "lever connector", 0.011, "lever connector", _LEAD_NOTE),
    Ending(
        "line socket",
        6.0,
        "ready-made line cable with moulded plugs",
        0.0,
        "",
        "Buy it whole, in one length.",
    ),
)
"""By kind of terminal, thinnest first."""

BIGGEST_NOTE = (
    "Thicker than this terminal takes: crimp a pin of its size, or end on a terminal block beside it."
)


def ending(terminal: str, area_mm2: float) -> Ending:
    """Return how a conductor of a size is ended on a kind of terminal.

    Parameters
    ----------
    terminal : str
        As in `ENDINGS`, such as ``spring clip``.
    area_mm2 : float
        Cross-section [mm²].

    Returns
    -------
    Ending
        The first that takes the size; the largest of the kind, with a warning, where none does.

    Raises
    ------
    ValueError
        If the kind of terminal is not in the catalogue.
    """
    fitting = [e for e in ENDINGS if e.terminal == terminal]
    if not fitting:
        known = ", ".join(dict.fromkeys(e.terminal for e in ENDINGS))
        raise ValueError(f"a terminal of kind {terminal!r} is given; known are {known}.")
    for one in fitting:
        if area_mm2 <= one.most_mm2 + 1e-9:
            return one
    last = fitting[-1]
    return replace(last, note=BIGGEST_NOTE)


POLARITY = "The marked conductor is plus everywhere in this job: stripe, rib, print or copper colour, red at both ends."
"""The trade's advice contradicts itself on which conductor is marked plus; one rule for the whole job settles it."""

READINGS: tuple[tuple[str, str, str], ...] = (
    (
        "no reading (open)",
        "a conductor is broken or loose at an end, or the loudspeaker is fed through a capacitor",
        "Check both ends, then read at the loudspeaker's own terminals. A model told to have a capacitor is sound.",
    ),
    (
        "near the cable's own resistance, under 1 ohm",
        "the conductors touch: a stray strand, or a screw or nail through the cable",
        "Take the loudspeaker off. If the reading stays, the short is in the cable or at the amplifier's end.",
    ),
    (
        "half of what is expected",
        "two loudspeakers hang on this run, or a jumper or second cable is still in place",
        "Look for a second pair of conductors at either end.",
    ),
    (
        "a few ohms above the band",
        "a poor joint, a thinner piece in the run, or a switch or volume control in an old cable",
        "Remake both ends and read again; then look for a joint.",
    ),
    (
        "right, but another loudspeaker clicks at the cell test",
        "the run is mislabelled",
        "Trace both ends and label again before anything is powered.",
    ),
    (
        "the reading wanders while the cable is moved",
        "a strand is cut or an end is loose",
        "Cut back a hand's width and remake the end.",
    ),
)
"""What a wrong cold reading shows, what it means, and what to do."""

IN_WALL_QUESTIONS: tuple[str, ...] = (
    """Which cable may lie inside a wall here? In the United States, NEC article 640 leads to classes such as CL2 \
and CL3, and more for risers and air spaces; in the European Union, ask which reaction-to-fire class of EN 50575 the \
building needs; elsewhere, ask the local authority. The amplifier's output class is marked on it.""",
    """Where do mains, water and gas run in these walls? Use a detector before every hole, and keep out of the zones \
above, below and beside sockets and switches.""",
    """How far must this cable stay from mains, and which divider do the local rules accept? 50 mm (2 in) is often \
asked, and more for long parallel runs.""",
    """Must a hole through this floor, ceiling or party wall be sealed against fire, and may the tenant drill it?""",
)
"""To be put to somebody who knows the local rules; nothing here claims compliance with any of them."""
