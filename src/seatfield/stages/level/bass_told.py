"""What there is to say of the subwoofers' loudest bass at the seats."""

from collections.abc import Iterator

from seatfield.model import Finding, Input, Severity, Trace
from seatfield.stages.level.loads_told import LEAST_DB
from seatfield.stages.level.naming import listed
from seatfield.stages.level.result import SeatBass, SeatLevel
from seatfield.stages.level.subwoofers import FLOOR_DB, Low, weakest_db

SOURCE = (
    "ITU-R BS.775, annex 7: the low-frequency channel plays 10 dB louder (from memory); channels as independent "
    "sounds; maker's levels taken as measured over a floor outdoors"
)


def bass_findings(low: Low, seats: tuple[SeatLevel, ...]) -> Iterator[Finding]:
    """Find what the subwoofers lack of the wish.

    Parameters
    ----------
    low
        What they were reckoned with.
    seats
        The seats, with their bass.

    Yields
    ------
    Finding
        One for all of them where a figure is missing, or where 1 dB or more is lacking.
    """
    dumb = [model for _, model in low.standing if not model.max_level]
    if dumb:
        yield Finding(
            "level.subwoofer-unknown",
            Severity.NOTE,
            dumb[0].name,
            f"The file does not say how loud {dumb[0].name} goes, so nothing is said of the loudest bass.",
            advice="Type `max_level` as { 20 = 88, 30 = 100, 40 = 107 }: the level at 1 m by frequency.",
            key=f"{dumb[0].key}.max_level",
        )
        return
    main = next((seat for seat in seats if seat.seat == low.project.main_seat.name), None)
    if main is not None:
        short = [one for one in main.bass if one.shortfall_db is not None and one.shortfall_db >= LEAST_DB]
        if short:
            yield _short(low, seats, main, short)


def _short(low: Low, seats: tuple[SeatLevel, ...], main: SeatLevel, short: list[SeatBass]) -> Finding:
    worst = max(short, key=lambda one: one.shortfall_db or 0.0)
    ids = [placed.id for placed, _ in low.standing]
    lacks = listed([f"{one.shortfall_db:.0f} dB at {one.freq_hz:.0f} Hz" for one in short])
    enough = [f"{one.freq_hz:.0f} Hz" for one in main.bass if one not in short]
    volume = low.bass.volume_m3 if low.bass is not None else None
    fills = "" if volume is None else f" {'They have' if len(ids) > 1 else 'It has'} {volume:.0f} m³ to fill."
    kind = "" if low.from_modes else " The room is only estimated here, give or take 6 dB."
    return Finding(
        "level.bass-short",
        Severity.NOTE,
        " ".join(ids),
        f"The loudest bass of the wish takes {worst.demand_db:.0f} dB at the main seat; {listed(ids)} "
        f"{'lack' if len(ids) > 1 else 'lacks'} {lacks}{f', and nothing at {listed(enough)}' if enough else ''}."
        f"{fills}{_worst_seat(seats, main, worst)}{kind}",
        measured=worst.reach_db,
        limit=worst.demand_db,
        unit="dB",
        source=f"{low.wish.source}; {SOURCE}",
        advice="Turn the wish down, or place the subwoofer where the room helps it; a second one adds up to 6 dB. Deep "
        "effects are rare in programme: what is lacking at 20 Hz is missed least.",
        key=next((one.key for one in low.project.subwoofers if one.id in ids), "subwoofer"),
        trace=Trace(
            "demand = 10·lg(Σ 10^(L/10)) of the low-frequency channel and the redirected bass; reach = maker's level "
            "at 1 m − 6 dB (floor) + room and distance, all subwoofers",
            (
                Input("f", worst.freq_hz, "Hz"),
                Input("low-frequency channel", worst.lfe_db, "dB"),
                Input(
                    f"redirected bass of {len(low.small)} channels",
                    worst.redirected_db if worst.redirected_db is not None else "none",
                    "dB",
                ),
                Input("demand", worst.demand_db, "dB"),
                Input("maker's level at 1 m", weakest_db(low, worst.freq_hz) or 0.0, "dB"),
                Input("floor", FLOOR_DB, "dB"),
                Input("room and distance", worst.room_db or 0.0, "dB"),
                Input("room known by", "its modes" if low.from_modes else "an estimate"),
                Input("volume to fill", "not known" if volume is None else volume, "m³"),
            ),
        ),
    )


def _worst_seat(seats: tuple[SeatLevel, ...], main: SeatLevel, worst: SeatBass) -> str:
    """Name the seat that lacks more at the same frequency, if one does."""
    lacks = {
        seat.seat: one.shortfall_db
        for seat in seats
        for one in seat.bass
        if one.freq_hz == worst.freq_hz and one.shortfall_db is not None
    }
    name = max(lacks, key=lambda seat: lacks[seat])
    more = lacks[name] - (worst.shortfall_db or 0.0)
    if name == main.seat or more < LEAST_DB:
        return ""
    return f" The seat “{name}” lacks {lacks[name]:.0f} dB at {worst.freq_hz:.0f} Hz."
