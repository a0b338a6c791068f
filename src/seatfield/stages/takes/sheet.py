"""The sheet that goes with the sweep files: what to do, in order, in words."""

from textwrap import fill

from seatfield.model import Sounding, SweepSet
from seatfield.stages.takes.columns import LOOPBACK, position_name
from seatfield.stages.takes.playing import block_s, pips_of
from seatfield.stages.takes.sweeps import Reach, SweepPlan

WIDTH = 78
COUNTS = ("no", "one", "two", "three", "four", "five", "six")


def sheet(planned: SweepPlan) -> str:
    """Return the sheet as text of at most 78 columns.

    Parameters
    ----------
    planned
        What is played and how it gets there.

    Returns
    -------
    str
        Caution first, then preparations, the columns' order, each channel, and what cannot be reached.
    """
    sweeps = planned.sweeps
    if sweeps is None:
        return "No sweep can reach any loudspeaker of this project.\n"
    parts = [
        "SWEEPS: WHAT TO PLAY AND RECORD",
        *_numbered(planned.before),
        _columns(sweeps, {one.channel: one.plain_name for one in planned.reach}),
        _filled(chirps_words(sweeps)),
        *(_channel(one, _sounding(sweeps, one)) for one in planned.reach if one.number),
        *_left_out(planned),
    ]
    return "\n\n".join(parts) + "\n"


def _numbered(sentences: tuple[str, ...]) -> list[str]:
    return [_filled(f"{place}. {sentence}") for place, sentence in enumerate(sentences, 1)]


def _filled(text: str) -> str:
    return fill(text, WIDTH, subsequent_indent="   ")


def _columns(sweeps: SweepSet, plain: dict[str, str]) -> str:
    wired = {LOOPBACK: "wired to the recorder"}
    rows = [
        f"   column {place}  {label:<10} {(plain | wired).get(label) or position_name(label)}"
        for place, label in enumerate(sweeps.columns, 1)
    ]
    return "\n".join(
        [f"Columns of every file, in the standard's order (channel mask 0x{sweeps.mask:X}):", *rows]
    )


def chirps_words(sweeps: SweepSet) -> str:
    """Say who plays the chirps, what for, and how long a sweep takes."""
    who = f"The loudspeaker {sweeps.reference_run}" if sweeps.reference_run else "The loopback"
    return (
        f"{who} plays a short chirp before and after every sweep: by it, files of different loudspeakers are put on "
        f"one clock. It must sound in every recording. One sweep takes {block_s(sweeps.settings):.0f} s with its pips."
    )


def _sounding(sweeps: SweepSet, one: Reach) -> Sounding:
    return next(sounding for sounding in sweeps.soundings if sounding.run == one.run)


def _channel(one: Reach, sounding: Sounding) -> str:
    head = f"{one.number}. {one.run} ({one.plain_name}), file {sounding.file!r}, announced by {_pips(one.number)}."
    also = "".join(f" Or: {way.words}" for way in one.ways[1:])
    return _filled(f"{head} {one.ways[0].words}{also}")


def _pips(number: int) -> str:
    counts = [(count, pitch) for count, pitch in zip(pips_of(number), ("low", "high"), strict=True) if count]
    words = " and ".join(
        f"{COUNTS[count] if count < len(COUNTS) else count} {pitch}" for count, pitch in counts
    )
    return f"{words} pip" if counts[-1][0] == 1 else f"{words} pips"


def _left_out(planned: SweepPlan) -> list[str]:
    missing = [one for one in planned.reach if one.number == 0]
    return [_filled(f"Not reached: {one.run} ({one.plain_name}). {one.ways[0].words}") for one in missing]
