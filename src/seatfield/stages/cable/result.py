"""What the cable stage hands on: the path, length and conductor of every run, cuts and labels."""

from dataclasses import dataclass

from seatfield.model import Finding, Point3
from seatfield.stages.terminals.result import TerminalUse


@dataclass(frozen=True, slots=True)
class Leg:
    """A stretch of a run over one kind of surface.

    Parameters
    ----------
    surface
        What it follows: ``skirting``, ``corner``, ``door frame``, ``ceiling line``, ``wall``, ``floor`` …
    hidden
        True where nobody sees it.
    overhead
        True where it runs above head height.
    cover
        What hides or carries it, in words: ``under rug``, ``behind sofa``, ``small raceway`` …; empty where in sight.
    """

    surface: str
    path: tuple[Point3, ...]
    length_m: float
    hidden: bool
    overhead: bool
    cover: str = ""


@dataclass(frozen=True, slots=True)
class Conductor:
    """A conductor size that was weighed for a run.

    Parameters
    ----------
    name
        As the trade writes it: ``14 AWG`` or ``2.5 mm2``.
    loop_ohm
        There and back at 20 °C [ohm].
    loss_db
        Level lost at the lowest impedance, positive [dB].
    share
        Loop resistance over lowest impedance [-].
    """

    name: str
    material: str
    loop_ohm: float
    loss_db: float
    share: float


@dataclass(frozen=True, slots=True)
class Run:
    """One cable from the amplifier to a loudspeaker.

    Parameters
    ----------
    path
        From the amplifier to the loudspeaker [m].
    routed_m
        Length of `path` with its drops, without slack [m].
    cut_m
        Length to cut, with slack and both service loops [m].
    straight_m
        Straight line between the ends [m].
    conductor, loop_ohm, loss_db
        The chosen size and what it costs (loop there and back at 20 °C; loss at the lowest impedance).
    weighed
        The sizes that were weighed, thinnest first.
    kind
        ``loudspeaker`` cable, or ``line`` cable to an active subwoofer.
    terminal
        Where it ends at the amplifier, in the words of its back panel.
    conductor_source
        The publication behind the chosen size's resistance, and whether that is nominal or a maximum.
    elsewhere
        The nearest size in the other system of sizes.
    ripple_db
        Change of response across the loudspeaker's impedance range [dB]; None where its highest is not told.
    damping
        Damping factor that the cable alone leaves, with an amplifier of no output impedance [-].
    half_decibel
        The thinnest size that loses at most 0.5 dB at the lowest impedance: the laxer rule.
    enough
        What a thicker size would still gain, in words.
    loop_in_place_ohm
        Loop resistance at the room's temperature, and at 60 °C for what lies in an attic [ohm].
    flat
        True where flat cable is wanted: under a rug or a carpet's edge, or over a threshold.
    """

    id: str
    channel: str
    loudspeaker: str
    amplifier: str
    path: tuple[Point3, ...]
    legs: tuple[Leg, ...]
    straight_m: float
    routed_m: float
    cut_m: float
    conductor: str
    loop_ohm: float | None
    loss_db: float | None
    weighed: tuple[Conductor, ...]
    kind: str = "loudspeaker"
    terminal: str = ""
    conductor_source: str = ""
    elsewhere: str = ""
    ripple_db: float | None = None
    damping: float | None = None
    half_decibel: str = ""
    enough: str = ""
    loop_in_place_ohm: float | None = None
    flat: bool = False


@dataclass(frozen=True, slots=True)
class Piece:
    """A length cut for a run."""

    run: str
    length_m: float


@dataclass(frozen=True, slots=True)
class Cut:
    """One spool, or one order by the metre, and the pieces cut from it.

    Parameters
    ----------
    stock
        Id of the stock, or the size by the metre where there is no stock.
    spool_m
        Length of the spool; None by the metre [m].
    price
        Of the whole purchase; 0 where it is owned, None where nobody told a price.
    pieces
        In the order in which they are cut, the longest first.
    offcut_m
        What is left [m].
    spare
        What the rest is good for, in words; empty where it is not worth keeping.
    """

    stock: str
    conductor: str
    spool_m: float | None
    owned: bool
    price: float | None
    pieces: tuple[Piece, ...]
    offcut_m: float
    spare: str = ""


@dataclass(frozen=True, slots=True)
class Label:
    """What to write on a cable: the same text at both ends, and 30 cm back from each.

    Parameters
    ----------
    text
        Short enough for the tag.
    far
        What the other end is, in plain words.
    notches
        Code that is readable when the label is gone.
    """

    run: str
    end: str
    text: str
    far: str
    notches: str


@dataclass(frozen=True, slots=True)
class Need:
    """A line of the shopping list; `price` is that of one `unit`, in the project's currency."""

    what: str
    count: float
    unit: str
    price: float | None
    why: str


@dataclass(frozen=True, slots=True)
class Cost:
    """What the chosen routes cost by the project's weights, in its currency, part by part.

    Parameters
    ----------
    total
        Sum of the parts.
    cable
        The cable itself, by the metre.
    seen, exposed
        Metres in sight, and metres that pets or children reach, or feet on the open floor.
    raceway
        Raceway to buy.
    bends, holes, thresholds, walkways
        Each turn, hole, doorway crossed on the floor, walkway crossed.
    mains
        Metres beside a mains cable.
    labour
        Work.
    """

    total: float
    cable: float = 0.0
    seen: float = 0.0
    exposed: float = 0.0
    raceway: float = 0.0
    bends: float = 0.0
    holes: float = 0.0
    thresholds: float = 0.0
    walkways: float = 0.0
    mains: float = 0.0
    labour: float = 0.0


@dataclass(frozen=True, slots=True)
class CoverUse:
    """A cover that carries runs: raceway to buy, or one that is there.

    Parameters
    ----------
    what
        Such as ``small raceway``.
    cover
        Id of the project's cover where it is one; empty for what is to be bought.
    surface, path
        Where it goes.
    length_m
        Length that is used [m].
    runs
        Runs inside.
    fill
        Share of its clear area that they take [-].
    buy
        True where it is to be bought.
    """

    what: str
    cover: str
    surface: str
    path: tuple[Point3, ...]
    length_m: float
    runs: tuple[str, ...]
    fill: float
    buy: bool


@dataclass(frozen=True, slots=True)
class ColdTest:
    """What a meter should show at the amplifier's end of a run, cable off the amplifier, leads subtracted.

    Parameters
    ----------
    low_ohm, high_ohm
        Band of a right reading [ohm]; None where a capacitor makes a sound run read open.
    basis
        Where the band comes from.
    """

    run: str
    low_ohm: float | None
    high_ohm: float | None
    basis: str


@dataclass(frozen=True, slots=True)
class Reading:
    """A wrong cold reading and what it means."""

    shows: str
    means: str
    do: str


@dataclass(frozen=True, slots=True)
class Termination:
    """How an end of a run is finished.

    Parameters
    ----------
    end
        ``amplifier`` or ``loudspeaker``.
    terminal
        Kind of terminal.
    how
        What to put on the conductors.
    strip_m
        Insulation to take off [m].
    connector
        What to buy for it; empty where the bare end goes in.
    for_both
        True where both conductors share one connector; otherwise each needs its own.
    assumed
        True where nobody told the kind of terminal.
    """

    run: str
    end: str
    terminal: str
    how: str
    strip_m: float
    note: str
    connector: str = ""
    for_both: bool = False
    assumed: bool = False


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another set of routes: what it saves and what it costs by the project's own weights.

    Parameters
    ----------
    name
        ``least seen``, ``least work``, ``least bought`` or ``no holes``.
    cost
        By the project's weights, in its currency.
    cable_m, seen_m, raceway_m
        Metres of cable, of ways with a bare cable in sight, of raceway to buy [m].
    holes, walkways
        Holes drilled, and crossings of walkways and doorways.
    hours
        Work [h].
    bought
        What the shopping list of these routes costs, as far as it is priced; None where nothing on it has a price.
    routes
        Each run's path from the amplifier [m].
    """

    name: str
    cost: float
    cable_m: float
    seen_m: float
    raceway_m: float
    holes: int
    walkways: int
    hours: float
    bought: float | None
    routes: tuple[tuple[str, tuple[Point3, ...]], ...]


@dataclass(frozen=True, slots=True)
class CablePlan:
    """Every run, how it is cut, labelled and bought.

    Parameters
    ----------
    cost
        What the routes cost by the project's weights; None where there is nothing to route.
    bound
        No routes on the same network cost less: a proven lower bound, in the same currency.
    exact
        True where cost and bound meet.
    covers
        Raceway to buy, and covers that are there and carry runs.
    terminals
        Which run goes on which terminal.
    tests
        Cold test of every run.
    readings
        What wrong readings mean.
    terminations
        How each end is finished.
    alternatives
        Other routes, side by side; the chosen ones come first.
    straight_m
        What a guess by straight lines would have bought, drops and slack forgotten [m].
    polarity
        The rule of the job for which conductor is plus.
    one_size
        What one conductor for the whole job would be, and cost more or save, in words; empty where all runs agree.
    bought
        Price of all cable to buy; None where a price is not told.
    waste_m
        Off-cuts that are not worth keeping [m].
    in_wall
        Questions about cable inside walls, to be put to somebody who knows the local rules; empty where none is.
    """

    runs: tuple[Run, ...]
    cuts: tuple[Cut, ...]
    labels: tuple[Label, ...]
    needs: tuple[Need, ...]
    findings: tuple[Finding, ...]
    cost: Cost | None = None
    bound: float | None = None
    exact: bool = False
    covers: tuple[CoverUse, ...] = ()
    terminals: tuple[TerminalUse, ...] = ()
    tests: tuple[ColdTest, ...] = ()
    readings: tuple[Reading, ...] = ()
    terminations: tuple[Termination, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    straight_m: float = 0.0
    polarity: str = ""
    one_size: str = ""
    bought: float | None = None
    waste_m: float = 0.0
    in_wall: tuple[str, ...] = ()
