"""What the bass stage has to say: the room's shape, the seats, the subwoofers, and what is not known."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from seatfield.geometry.polygon import boundary_distance
from seatfield.model import Finding, Input, Point3, Project, Severity, Trace
from seatfield.stages.bass.modes_told import sides_of_rectangle
from seatfield.stages.bass.moving import FURTHEST_M
from seatfield.stages.bass.params import BassParams
from seatfield.stages.bass.priors import UNKNOWN
from seatfield.stages.bass.result import Bass, SubwooferSet
from seatfield.stages.bass.space import Space
from seatfield.stages.bass.spots import CORD, DIRECTIONS, Floor
from seatfield.stages.layout import Mark
from seatfield.stages.survey import Survey, tell, wall_name

ALIKE = 0.05
"""Lengths within this of a whole ratio count as equal: the ±5 % of ITU-R BS.1116-3 and EBU Tech 3276."""
HALF = 0.05
"""A seat within this share of the length from its middle sits in the null of the first mode along it."""
AT_WALL_M = 0.4
RINGS_S = 1.2
WORTH_DB = 1.0
"""A place is worth moving for from this on: common practice, no source [dB]."""
DOOR_DB = 3.0
TOLD_DB = 0.05
"""A gain that prints as nought is not told [dB]."""
CLEAR_DB = 0.1
"""A lead smaller than this is none: common practice, no source [dB]."""
MERIT_FORMULA = (
    "√(u² + s²): u the standard deviation of the level across sixths of an octave, s that between seats, each a root "
    "mean square"
)
MERIT_SOURCE = "the modes of this room and its losses; merit and thresholds: common practice, no source"


@dataclass(frozen=True, slots=True)
class Told:
    """What findings are told from."""

    project: Project
    survey: Survey
    space: Space
    floor: Floor | None
    params: BassParams
    system: str = ""


def findings_of(told: Told, bass: Bass) -> tuple[Finding, ...]:
    """Return everything that the stage has to say, in the order of the job: room, seats, subwoofers, limits."""
    return (
        *_unknown(told),
        *_openings(told, bass),
        *_proportions(told),
        *_rings(bass),
        *_seats(told),
        *_gaps(told, bass),
        *_places(told, bass),
        *_more(told, bass),
        *_handing_over(told, bass),
    )


def _unknown(told: Told) -> Iterator[Finding]:
    surfaces = told.space.shell.unknown
    if surfaces:
        yield Finding(
            "bass.finish-unknown",
            Severity.NOTE,
            "finishes",
            f"The file gives no finish for {_list(surfaces)}; an absorption of {UNKNOWN:g} is taken in the bass, and "
            "the bands on the curves allow for half and twice that.",
            measured=UNKNOWN,
            unit="",
            source="common practice, no source",
            advice="Name the finishes under [room.finishes]; each is one word of the built-in table.",
            key="room.finishes",
            trace=Trace(
                "absorption where nothing is told", (Input("surfaces without a finish", _list(surfaces)),)
            ),
        )


def _signed(value: float, digits: int = 1) -> str:
    """Write a number that may be below zero."""
    text = f"{value:.{digits}f}"
    return text.replace("-", "−") if float(text) else text.removeprefix("-")


def _list(words: tuple[str, ...]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _openings(told: Told, bass: Bass) -> Iterator[Finding]:
    room = told.survey.room
    by_id = {one.id: one for one in room.openings}
    for name in told.space.shell.assumed:
        behind = "does not meet it" if name in told.space.shell.apart else "is not in the file"
        yield Finding(
            "bass.opening-leaks",
            Severity.NOTE,
            name,
            f"What lies behind {name} {behind}, so it is taken to let the bass out into a large space.",
            source="an opening into a large space has about the admittance of air (from memory)",
            advice="Give the outline of the space behind as `beyond`, or write `leak = true` if it is large.",
            key=by_id[name].key,
        )
    for door in bass.doors:
        if abs(door.change_db) >= DOOR_DB:
            yield Finding(
                "bass.door-open",
                Severity.NOTE,
                door.opening,
                f"With {door.opening} open, the bass at the main seat changes by up to {abs(door.change_db):.0f} dB, "
                f"at {door.freq_hz:.0f} Hz.",
                measured=abs(door.change_db),
                unit="dB",
                source="the same room solved twice, third-octave levels compared",
                advice="Measure and listen with the door as it usually is.",
                key=by_id[door.opening].key,
                trace=Trace(
                    "level in a third of an octave with the door open less with it shut, at the main seat",
                    (
                        Input("third around", door.freq_hz, "Hz"),
                        Input("open less shut", door.change_db, "dB"),
                    ),
                ),
            )


def _proportions(told: Told) -> Iterator[Finding]:
    sides = sides_of_rectangle(told.survey, told.space)
    height = told.space.modes.height_m
    if sides is None or height is None:
        return
    named = (
        (f"wall {wall_name(0, 4)}", sides[0]),
        (f"wall {wall_name(1, 4)}", sides[1]),
        ("the height", height),
    )
    units = told.project.units
    for (one, a), (other, b) in combinations(named, 2):
        ratio = max(a, b) / min(a, b)
        whole = round(ratio)
        if whole <= 3 and abs(ratio / whole - 1) <= ALIKE:
            longer, shorter = (one, other) if a >= b else (other, one)
            times = {1: "as long as", 2: "twice", 3: "three times"}[whole]
            freq = told.space.modes.speed_of_sound_m_s / (2 * min(a, b))
            yield Finding(
                "bass.equal-dimensions",
                Severity.NOTE,
                longer,
                f"{longer[:1].upper()}{longer[1:]} ({tell(max(a, b), units)}) is about {times} {shorter} "
                f"({tell(min(a, b), units)}), so modes fall together near {freq:.0f} Hz and stand out there.",
                measured=ratio,
                limit=float(whole),
                source="ITU-R BS.1116-3 and EBU Tech 3276: no whole ratio within ±5 % (from memory)",
                advice="Nothing to build: place the subwoofer by the map, and look at that frequency first.",
                key="room.floor",
                trace=Trace("c / 2L", (Input("L", min(a, b), "m"),)),
            )


def _rings(bass: Bass) -> Iterator[Finding]:
    low = [mode for mode in bass.modes if mode.freq_hz <= 80.0]
    longest = max(low, key=lambda mode: mode.decay_s, default=None)
    if longest is not None and longest.decay_s > RINGS_S:
        yield Finding(
            "bass.rings",
            Severity.NOTE,
            f"{longest.freq_hz:.0f} Hz",
            f"The mode at {longest.freq_hz:.0f} Hz ({longest.kind}) takes {longest.decay_s:.1f} s to die away by "
            f"60 dB, between {longest.decay_s / 2:.1f} and {longest.decay_s * 2:.1f} s as far as tables can tell.",
            measured=longest.decay_s,
            limit=RINGS_S,
            unit="s",
            source="boundary integrals of the mode; absorption below 125 Hz is a prior; the limit: common practice, no "
            "source",
            advice="Thick absorbers in the corners shorten it; an equaliser can only lower it.",
            trace=Trace(
                "3 ln 10 / δ, δ = (c/2) ∫ β p² dS / ∫ p² dV, over surface and volume",
                (Input("f", longest.freq_hz, "Hz"),),
            ),
        )


def _seats(told: Told) -> Iterator[Finding]:
    sides = sides_of_rectangle(told.survey, told.space)
    c = told.space.modes.speed_of_sound_m_s
    for seat in told.project.seats:
        if seat.name not in told.space.names:
            continue
        for number in (0, 1) if sides else ():
            wall = told.survey.walls[number]
            along = (seat.at[0] - wall.start[0]) * wall.along[0] + (seat.at[1] - wall.start[1]) * wall.along[
                1
            ]
            share = along / wall.length_m
            if abs(share - 0.5) <= HALF:
                yield _at_half(
                    told, seat.name, (wall_name(number, 4), wall.length_m, share, c), seat.head, seat.key
                )
        off = boundary_distance(told.survey.room.floor, seat.at)
        if off < AT_WALL_M:
            yield Finding(
                "bass.seat-at-wall",
                Severity.NOTE,
                seat.name,
                f"Seat “{seat.name}” is {tell(off, told.project.units)} from a wall, where every mode across that "
                "wall is at its loudest: more bass, and less even.",
                measured=off,
                limit=AT_WALL_M,
                unit="m",
                source="pressure of a mode is greatest at a hard wall; the limit: common practice, no source",
                advice="Some decimetres forward help; try it before you equalise.",
                at=seat.head,
                key=f"{seat.key}.at",
                trace=Trace(
                    "distance in plan from the seat to the nearest wall",
                    (Input("x", seat.at[0], "m"), Input("y", seat.at[1], "m")),
                ),
            )


def _at_half(told: Told, name: str, which: tuple[str, float, float, float], at: Point3, key: str) -> Finding:
    wall, length, share, c = which
    return Finding(
        "bass.seat-at-half",
        Severity.NOTE,
        name,
        f"Seat “{name}” is at {share * 100:.0f} % of wall {wall}, so the first mode along it, at "
        f"{c / (2 * length):.0f} Hz, is hardly heard there.",
        measured=share,
        limit=0.5,
        source="cos(π x / L) of a rectangular room is zero at half the length (Kuttruff, Room Acoustics, from memory)",
        advice="Across the room that is the price of sitting in the middle; along it, "
        f"{tell(0.1 * length, told.project.units)} either way brings the mode back.",
        at=at,
        key=f"{key}.at",
        trace=Trace("c / 2L", (Input("c", c, "m/s"), Input("L", length, "m"))),
    )


def _gaps(told: Told, bass: Bass) -> Iterator[Finding]:
    keys = {seat.name: seat.key for seat in told.project.seats}
    heads = {seat.name: seat.head for seat in told.project.seats}
    for move in bass.moves:
        gap = f"At “{move.seat}” there is a gap of {move.gap_db:.0f} dB at {move.gap_hz:.0f} Hz."
        if move.fill_db is None:
            furthest = tell(FURTHEST_M, told.project.units)
            advice = (
                f"No move of up to {furthest} is sure to fill it; another place for the subwoofer does more."
            )
        else:
            filled, least, most = move.fill_db
            advice = (
                f"Move {move.what} {tell(move.by_m, told.project.units)} {_way(move.direction)}: the gap fills by "
                f"{filled:.0f} dB, between {_signed(least, 0)} and {_signed(most, 0)}."
            )
        yield Finding(
            "bass.seat-gap",
            Severity.NOTE
            if move.seat != told.project.main_seat.name or move.fill_db is None
            else Severity.FIX,
            move.seat,
            gap,
            measured=move.gap_db,
            unit="dB",
            source="prediction by the room's modes, with half and twice the absorption and lengths 5 cm off",
            advice=advice,
            at=heads[move.seat],
            key=f"{keys[move.seat]}.at",
            trace=Trace(
                "least level within a sixth of an octave of the gap, after the move less before",
                (Input("gap", move.gap_hz, "Hz"), Input("move", move.by_m, "m")),
            ),
        )


def _way(direction: str) -> str:
    return {"left": "to the left", "right": "to the right"}.get(direction, direction)


def _places(told: Told, bass: Bass) -> Iterator[Finding]:
    if told.floor is None or told.params.spots == 0:
        return
    if not told.survey.room.sockets:
        yield Finding(
            "bass.no-sockets",
            Severity.NOTE,
            "sockets",
            "The file lists no sockets, so a subwoofer may stand anywhere; an active one needs mains.",
            advice="List the sockets with `wall` and `at`.",
            key="socket",
        )
    elif CORD.format(cord_m=told.params.cord_m) in told.floor.let_go:
        yield Finding(
            "bass.out-of-reach",
            Severity.FIX,
            "sockets",
            f"No free place lies within {tell(told.params.cord_m, told.project.units)} of a socket; places are shown "
            "without regard to mains.",
            source="length of a usual mains cord: common practice, no source",
            advice="Have a socket put in by a licensed electrician; do not run an extension lead across a way.",
            key="socket",
            trace=Trace(
                "distance in plan from a free place to a socket that no wall hides",
                (Input("cord", told.params.cord_m, "m"),),
            ),
        )
    if directions := [name for name in told.floor.let_go if name == DIRECTIONS.format(system=told.system)]:
        yield Finding(
            "bass.off-direction",
            Severity.NOTE,
            "subwoofer",
            f"No free place lies in a direction that {told.system} gives its low-frequency channels; places are shown "
            "without regard to that.",
            source="ITU-R BS.2051, windows of the low-frequency channels",
            advice="Below 120 Hz the ear hardly tells directions: take the most even place.",
            key="system.layout",
            trace=Trace("direction from the main seat inside a window", (Input("not kept", directions[0]),)),
        )
    if bass.now is not None and not bass.now.allowed:
        yield Finding(
            "bass.place-taken",
            Severity.NOTE,
            _list(bass.now.ids),
            bass.now.why,
            advice="Move it, or check what the file says of what stands there.",
            key="subwoofer",
        )
    if bass.best:
        yield from _best(told, bass, bass.best[0])


def _best(told: Told, bass: Bass, best: SubwooferSet) -> Iterator[Finding]:
    where = (
        "; ".join(mark_words(one, told.project, told.survey) for one in bass.tries[0].marks)
        if bass.tries
        else ""
    )
    several = len(best.subwoofers) > 1
    inputs = (Input("u", best.uneven_db, "dB"), Input("s", best.spread_db, "dB"))
    at = best.subwoofers[0].at
    subject = _list(bass.now.ids) if bass.now else "subwoofer"
    if bass.now is not None and best.over_now_db is not None and best.over_now_db[0] >= TOLD_DB:
        gain, least, most = best.over_now_db
        sure = least > 0 and gain >= WORTH_DB
        verdict = "It is worth moving." if sure else "That is too little, or too unsure, to move it for."
        yield Finding(
            "bass.better-place",
            Severity.FIX if sure else Severity.NOTE,
            subject,
            f"Where {'they stand' if several else 'it stands'} now the bass is {bass.now.merit:.1f} dB uneven; at the "
            f"best {'places' if several else 'place'} {best.merit:.1f} dB: {gain:.1f} dB better, between "
            f"{_signed(least)} and {_signed(most)}. {verdict}",
            measured=bass.now.merit,
            limit=best.merit,
            unit="dB",
            source=MERIT_SOURCE,
            advice=f"{'Try' if sure else 'If you wish to hear it for yourself, try'} "
            f"{'their middles' if several else 'its middle'} at {where}.",
            at=at,
            key="subwoofer",
            trace=Trace(MERIT_FORMULA, inputs),
        )
    if best.lead_db is not None and best.lead_db[0] < CLEAR_DB:
        close = sum(1 for one in bass.best if one.merit - best.merit <= max(best.lead_db[1], 0.3))
        yield Finding(
            "bass.no-clear-winner",
            Severity.NOTE,
            subject,
            f"There is no clear winner: {lead_words(best.margin, best.lead_db, several=several)}",
            measured=best.margin,
            unit="dB",
            source=MERIT_SOURCE,
            advice=f"Let the ear decide between the first {max(close, 2)} on the list to try, or take the handiest.",
            at=at,
            key="subwoofer",
            trace=Trace("merit of the next less merit of the best, least over the doubts", inputs),
        )


def lead_words(margin_db: float | None, span_db: tuple[float, float], *, several: bool) -> str:
    """Say by how much the best place or set leads the next that really differs.

    Parameters
    ----------
    margin_db
        The lead [dB].
    span_db
        Its least and greatest, over what is not known of the room [dB].
    several
        True for sets of subwoofers.

    Returns
    -------
    str
        The end of a sentence; leads that print as nought are told as equal.
    """
    what, lead = "set" if several else "place", margin_db or 0.0
    least, most = (_signed(value) for value in span_db)
    alike = f"{lead:.1f}" == "0.0"
    if alike and least == most == "0.0":
        return f"the best {what} and the next that really differs are equal."
    first = (
        f"the best {what} and the next that really differs are equal"
        if alike
        else f"the best {what} leads the next that really differs by {lead:.1f} dB"
    )
    if least == most:
        return f"{first}."
    return f"{first}, and what is not known of the room makes that lead {least} to {most} dB."


def mark_words(one: Mark, project: Project, survey: Survey) -> str:
    """Say in words how to find a place with a tape.

    Parameters
    ----------
    one
        The mark.
    project, survey
        Unit of lengths, and names of walls.

    Returns
    -------
    str
        Such as ``0.96 m along wall C–D from corner D and 0.22 m out from it``.
    """
    units = project.units
    if one.wall is not None and one.along_m is not None:
        wall = wall_name(one.wall, len(survey.walls))
        out = f" and {tell(one.off_m, units)} out from it" if one.off_m else ""
        return f"{tell(one.along_m, units)} along wall {wall} from corner {one.from_corner}{out}"
    return " and ".join(f"{tell(tape.distance_m, units)} from corner {tape.corner}" for tape in one.tapes[:2])


def _more(told: Told, bass: Bass) -> Iterator[Finding]:
    has = max(len(bass.now.ids) if bass.now else 0, len(told.project.subwoofers), 1)
    for count in bass.counts:
        if count.gain_db is None or count.subwoofers != has + 1:
            continue
        gain, least, most = count.gain_db
        word = {2: "A second subwoofer", 3: "A third subwoofer", 4: "A fourth subwoofer"}[count.subwoofers]
        verdict = "pays" if count.pays else "does not pay"
        yield Finding(
            "bass.one-more",
            Severity.NOTE,
            "subwoofer",
            f"{word} {verdict}: at its best it makes the bass {_more_even(gain, least, most)} than "
            f"{'one' if has == 1 else str(has)} at {'its' if has == 1 else 'their'} best.",
            measured=gain,
            limit=WORTH_DB,
            unit="dB",
            source=MERIT_SOURCE,
            advice="Only with a delay and a level of its own, which the amplifier or the subwoofer must offer."
            if count.pays
            else "Place what is there well before buying another.",
            key="subwoofer",
            trace=Trace(MERIT_FORMULA, (Input("merit", count.merit, "dB"),)),
        )


def _more_even(gain_db: float, least_db: float, most_db: float) -> str:
    span = f", between {_signed(least_db)} and {_signed(most_db)} dB,"
    if abs(gain_db) < TOLD_DB:
        return f"no more even ({_signed(least_db)} to {_signed(most_db)} dB)"
    return f"{_signed(gain_db)} dB more even{span}"


def _handing_over(told: Told, bass: Bass) -> Iterator[Finding]:
    del told
    for group in bass.crossovers:
        if group.low_corner_hz is not None and group.low_corner_hz > 1.12 * group.crossover_hz:
            yield Finding(
                "bass.crossover-low",
                Severity.NOTE,
                group.group,
                f"The {group.group} loudspeakers reach down to {group.low_corner_hz:.0f} Hz, and the crossover of the "
                f"amplifier that serves best is {group.crossover_hz:.0f} Hz: a dip is left between them.",
                measured=group.low_corner_hz,
                limit=group.crossover_hz,
                unit="Hz",
                source="the loudspeakers' own low corner; common practice, no source",
                advice="Take a higher crossover if the amplifier has one, or set these loudspeakers nearer to a wall.",
                key="amplifier.settings.crossovers",
                trace=Trace(
                    "low corner > 1.12 · crossover",
                    (
                        Input("low corner", group.low_corner_hz, "Hz"),
                        Input("crossover", group.crossover_hz, "Hz"),
                    ),
                ),
            )
