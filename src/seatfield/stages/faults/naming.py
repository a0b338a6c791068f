"""From what was measured to faults with a confidence, and to questions that stay open."""

from collections.abc import Iterator, Mapping, Sequence

from seatfield.model import FaultKind
from seatfield.stages.faults.bass import (
    MANAGED,
    OWN,
    Fall,
    Handing,
    fall,
    low_channel_off_db,
    usual_handing,
)
from seatfield.stages.faults.joints import Loss
from seatfield.stages.faults.known import Plan
from seatfield.stages.faults.places import Ring, Seating
from seatfield.stages.faults.result import FaultFound, Undecided
from seatfield.stages.faults.signs import Signs
from seatfield.stages.faults.treble import (
    DULL_DB,
    DULL_UNDER_PEERS_DB,
    SILENT_DB,
    SILENT_UNDER_PEERS_DB,
    Treble,
)
from seatfield.stages.takes import Spot

Told = FaultFound | Undecided

ODD_OFF_DB, PERHAPS_OWN_DB, SURELY_OWN_DB = 2.0, 4.0, 6.0
"""A channel's bass that is so much louder or quieter than the others', against the subwoofers and against its own
middle, is its own; the odder its shape, the less is enough. A trim changes only the one, a bad joint only the other. In
simulated rooms sound channels differ by less than 1 dB."""
SURELY_INVERTED, PERHAPS_INVERTED = 0.75, 0.15
PERHAPS_FALLS_DB, SURELY_FALLS_DB = 10.0, 13.0
"""In simulated rooms of two kinds sound subwoofers fall by at most 11 dB, and hardly ever by more than 9; with a filter
of fourth order at 90 Hz by at least 13 dB at one position and 17 dB over four, the middle one by 22 dB. Where noise
hides half of what is above, that is the least that it may be. No source."""
ONE_BY_ONE = "Play one channel at a time (the pips say which) and write down which loudspeaker sounds."


def dead(plan: Plan, spots: Sequence[Spot]) -> Iterator[Told]:
    """Name the runs whose sweep was silent, or came from the subwoofers alone, wherever its chirps were heard."""
    silent = dict.fromkeys(run for spot in spots for run in (*spot.dead, *_only_bass(plan, spot)))
    for run in silent:
        if any((here := spot.of(run)) is not None and not here.bass_only for spot in spots):
            continue
        one = plan.of(run)
        count = sum(run in (*spot.dead, *_only_bass(plan, spot)) for spot in spots)
        spare = [f"{terminal} on {amplifier}" for amplifier, terminal in plan.spare]
        also = f"; or its run lies on a spare terminal ({', '.join(spare[:3])})" if spare else ""
        yield FaultFound(
            FaultKind.DEAD,
            one.channel,
            run,
            (),
            0.95 if count == 1 else 0.98,
            f"{one.look_at}{also}",
            f"{run} is silent: the chirps are there and its sweep is not.",
            (f"silent at {count} of {count} positions",),
        )


def _only_bass(plan: Plan, spot: Spot) -> tuple[str, ...]:
    return tuple(one.run for one in spot.heard if one.bass_only and not plan.of(one.run).low)


def misplaced(plan: Plan, found: Seating) -> Iterator[Told]:
    """Name swaps and wrong terminals, and say what the positions leave open."""
    for ring in found.rings:
        yield _ring(plan, ring)
    for ring in found.suspected:
        yield Undecided(
            (FaultKind.SWAPPED if len(ring.runs) == 2 else FaultKind.WRONG_TERMINAL,),
            ring.runs,
            f"{_and(ring.runs)} may sound at the places of {_and(ring.at)}; arrivals speak for it, but not clearly.",
            f"{ONE_BY_ONE} Or take more positions, at different heights.",
        )
    if found.open:
        yield Undecided(
            (FaultKind.SWAPPED, FaultKind.WRONG_TERMINAL),
            tuple(dict.fromkeys(run for pair in found.open for run in pair)),
            f"These positions cannot tell whether {_and([run for run, _ in found.open])} sound where they should; "
            f"{found.open[0][0]}, for instance, could sound at the place of {found.open[0][1]}.",
            f"{ONE_BY_ONE} Or take four or more positions, off the middle line and at different heights.",
        )


def _ring(plan: Plan, ring: Ring) -> FaultFound:
    first = plan.of(ring.runs[0])
    swapped = len(ring.runs) == 2 and set(ring.runs) == set(ring.at)
    kind = FaultKind.SWAPPED if swapped else FaultKind.WRONG_TERMINAL
    where = ", ".join(
        f"{run} sounds at the place of {at}" for run, at in zip(ring.runs, ring.at, strict=True)
    )
    terminals = ", ".join(
        f"{one.terminal} on {one.amplifier}" for one in map(plan.of, ring.runs) if one.terminal
    )
    return FaultFound(
        kind,
        first.channel,
        first.run,
        tuple(dict.fromkeys(run for run in (*ring.runs[1:], *ring.at) if run != first.run)),
        ring.confidence,
        terminals or f"the terminals of {_and(ring.runs)}",
        f"{where}.",
        (f"arrivals are {ring.gain:.0f} in log-likelihood better so than as planned",),
    )


def inverted(plan: Plan, found: Signs) -> Iterator[Told]:
    """Name inverted channels, and say where the microphone's chain is as likely the culprit."""
    for run, chance in found.inverted.items():
        one = plan.of(run)
        if chance >= SURELY_INVERTED:
            yield FaultFound(
                FaultKind.INVERTED,
                one.channel,
                run,
                (),
                min(chance, 0.98),
                f"plus and minus at {one.look_at}",
                f"{run} pushes when it should pull: plus and minus are exchanged somewhere along its run.",
                (f"read at {found.heard[run].readings} positions",),
            )
        elif chance >= PERHAPS_INVERTED:
            yield Undecided(
                (FaultKind.INVERTED,),
                (run,),
                f"The polarity of {run} is not clear ({chance:.0%} for inverted).",
                f"Look at the colours of the cores at {one.look_at}; or take it again nearer, with free sight.",
            )
    if found.chain > 0.5:
        yield Undecided(
            (FaultKind.INVERTED,),
            tuple(found.inverted),
            "Most channels read inverted. Either the microphone or its input turns the polarity, or all runs are "
            "connected the wrong way round; these takes cannot tell which. Between themselves the channels agree.",
            "Try another input or microphone; or compare the core colours of one run at both ends.",
        )


def silent_tweeters(plan: Plan, found: Mapping[str, Treble]) -> Iterator[Told]:
    """Name loudspeakers without treble."""
    for run, one in found.items():
        known = plan.of(run)
        peers_db = one.under_peers_db if one.under_peers_db is not None else one.under_db - 3.0
        if one.under_db > SILENT_DB and peers_db > SILENT_UNDER_PEERS_DB:
            sure = min(
                0.98, 0.7 + 0.03 * (one.under_db - SILENT_DB) + 0.02 * (peers_db - SILENT_UNDER_PEERS_DB)
            )
            yield FaultFound(
                FaultKind.TWEETER_SILENT,
                known.channel,
                run,
                (),
                sure,
                f"the tweeter of {run} and the links between its terminals; it is not the amplifier's end",
                f"{run} has no treble: above its crossover it falls {one.under_db:.0f} dB under its middle.",
                (f"{peers_db:.0f} dB more than the others",),
            )
        elif one.under_db > DULL_DB and peers_db > DULL_UNDER_PEERS_DB:
            yield Undecided(
                (FaultKind.TWEETER_SILENT,),
                (run,),
                f"{run} is dull: {one.under_db:.0f} dB less treble than middle. It may be turned away or covered, or "
                "its tweeter may be weak.",
                "Hold an ear near its tweeter at a low level, and take it again with free sight.",
            )


def joints(plan: Plan, found: Mapping[str, Loss], doubtful: frozenset[str]) -> Iterator[Told]:
    """Name runs whose loss follows the impedance, and say where a loss may have other reasons.

    Where it is in doubt which loudspeaker sounds, of the run or of its peers, a loss may be another model's.
    """
    for run, one in found.items():
        if not one.worth_a_look:
            continue
        known = plan.of(run)
        if one.clear and not doubtful & {run, *one.peers}:
            yield FaultFound(
                FaultKind.JOINT,
                known.channel,
                run,
                (),
                min(one.chance, 0.95),
                f"{known.look_at}: loose screws, strands outside, corroded ends",
                f"{run} is {one.low_db:.1f} dB quieter than {_and(one.peers)}, less so where its impedance is high: "
                f"about {one.ohm:.0f} ohm lie in its run.",
                (f"a joint explains it {one.for_joint:.0f} in log-likelihood better than a sound run",),
            )
        else:
            yield Undecided(
                (FaultKind.JOINT,),
                (run,),
                f"{run} is {one.low_db:.1f} dB quieter than {_and(one.peers)}. A bad joint, a trim, a level knob or "
                "its place may be the reason.",
                f"Check that trims are alike; measure its run cold with a meter; look at {known.look_at}.",
            )


def own_bass(plan: Plan, found: Mapping[str, Handing]) -> Iterator[Told]:
    """Name channels that keep their bass although they should hand it over."""
    usual = usual_handing(found)
    for run, one in found.items():
        known = plan.of(run)
        off_db = one.apart_db(usual) if usual is not None else 0.0
        odd = one.likeness < MANAGED or (usual is not None and one.stands_out(usual))
        if one.likeness < OWN or (odd and off_db > ODD_OFF_DB) or off_db > SURELY_OWN_DB:
            yield FaultFound(
                FaultKind.FULL_RANGE,
                known.channel,
                run,
                (),
                min(0.97, 0.8 + 0.06 * min(one.spots, 2) + (0.05 if off_db > 6.0 else 0.0)),
                f"the size or crossover of {run} in the menu: set it to small, {plan.crossover_hz:.0f} Hz",
                f"{run} plays its bass itself: {_own(one, off_db)}.",
                (f"read at {one.spots} positions",),
            )
        elif odd or off_db > PERHAPS_OWN_DB:
            yield Undecided(
                (FaultKind.FULL_RANGE,),
                (run,),
                f"Whether {run} hands its bass over is not clear: {_own(one, off_db)}.",
                "Look at its crossover in the menu, or take another position.",
            )


def _own(one: Handing, off_db: float) -> str:
    if off_db > PERHAPS_OWN_DB:
        return f"it is {off_db:.0f} dB louder or quieter than what the others hand over, beside their middle"
    return f"{one.likeness:.0%} of it is what the subwoofers play"


def low_channel(plan: Plan, found: Mapping[str, Handing]) -> Iterator[Told]:
    """Name a low-frequency channel that is 10 dB too loud or too quiet."""
    off_db = low_channel_off_db(found)
    low = next((one for one in plan.runs if one.low), None)
    if off_db is None or low is None:
        return
    direction = "loud" if off_db > 0 else "quiet"
    if 7.0 <= abs(off_db) <= 13.0:
        yield FaultFound(
            FaultKind.LFE_LEVEL,
            low.channel,
            low.run,
            (),
            0.93,
            "the low-frequency channel's level in player and receiver: one of them adds or leaves out 10 dB",
            f"The low-frequency channel is {abs(off_db):.0f} dB too {direction} against the bass of the main channels.",
            (f"{sum(one.likeness > MANAGED for one in found.values())} channels agree",),
        )
    elif abs(off_db) > 4.0:
        yield Undecided(
            (FaultKind.LFE_LEVEL,),
            (low.run,),
            f"The low-frequency channel is {abs(off_db):.0f} dB too {direction}: neither right nor 10 dB off.",
            "Look for a level of the low-frequency channel in the menus of player and receiver; 0 dB is usual.",
        )


def doubled_filters(plan: Plan, spots: Sequence[Spot]) -> Iterator[Told]:
    """Name subwoofers that fall too early above the crossover."""
    for known in plan.runs:
        told = fall(spots, known.run) if known.low else None
        if told is None or (told.fall_db < PERHAPS_FALLS_DB and not told.hidden):
            continue
        if told.fall_db > (PERHAPS_FALLS_DB if told.hidden else SURELY_FALLS_DB):
            yield FaultFound(
                FaultKind.SUB_FILTER,
                known.channel,
                known.run,
                (),
                min(0.97, 0.85 + 0.02 * max(0.0, told.fall_db - SURELY_FALLS_DB)),
                f"the low-pass knob or switch on {known.run}: turn it to its highest, or bypass it",
                f"{known.run} falls {'at least ' if told.hidden else ''}{told.fall_db:.0f} dB too early above 100 Hz: "
                "its own filter acts beside the amplifier's.",
            )
        else:
            yield _perhaps_doubled(known.run, told)


def _perhaps_doubled(run: str, told: Fall) -> Undecided:
    finding = (
        f"Noise hides {run} above 130 Hz, so that nobody can see whether its own filter acts beside the amplifier's."
        if told.hidden
        else f"{run} falls {told.fall_db:.0f} dB more above 100 Hz than the low-frequency channel asks; its own filter "
        "or the room may be the reason."
    )
    return Undecided(
        (FaultKind.SUB_FILTER,),
        (run,),
        finding,
        f"Turn the low-pass knob of {run} to its highest, and take it again{' louder' if told.hidden else ''}.",
    )


def _and(runs: Sequence[str]) -> str:
    return runs[0] if len(runs) == 1 else f"{', '.join(runs[:-1])} and {runs[-1]}"
