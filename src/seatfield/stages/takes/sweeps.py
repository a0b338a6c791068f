"""What is to be played: one sweep for every loudspeaker, and how it can get there."""

from dataclasses import dataclass, field

from seatfield.catalogue.systems import plain_name
from seatfield.model import Finding, LinkKind, Project, Severity, Sounding, SweepSet, SweepSettings
from seatfield.stages.layout import Layout
from seatfield.stages.takes.columns import LOOPBACK, Columns, columns_for, lpcm_reaches
from seatfield.stages.terminals import TerminalMap

PREFERRED_REFERENCES = ("M+000", "M+030", "M-030")
LENT_FIRST = ("M+135", "M+110", "M+090", "M+030")
"""Whose terminal an unreachable left loudspeaker borrows, the first that there is: common practice, no source."""


@dataclass(frozen=True, slots=True)
class SweepParams:
    """What a person may choose.

    Parameters
    ----------
    settings
        The sweep.
    chirps
        Channel whose loudspeaker plays the chirps, or ``loopback``; empty for the usual one.
    one_file
        Whether all sweeps follow one another in one file.
    """

    settings: SweepSettings = field(default_factory=SweepSettings)
    chirps: str = ""
    one_file: bool = False


@dataclass(frozen=True, slots=True)
class Way:
    """One way for a sweep to reach a loudspeaker: ``lpcm``, ``analogue``, ``moved run`` or ``none``."""

    kind: str
    words: str


@dataclass(frozen=True, slots=True)
class Reach:
    """How a sweep reaches one loudspeaker or subwoofer.

    Parameters
    ----------
    number
        Place in the order of playing; 0 where nothing reaches it.
    ways
        The first is the one that the files use.
    """

    run: str
    channel: str
    plain_name: str
    number: int
    ways: tuple[Way, ...]


@dataclass(frozen=True, slots=True)
class SweepPlan:
    """The sweeps of a project.

    Parameters
    ----------
    sweeps
        What the files hold; None where no loudspeaker can be reached.
    reach
        Every loudspeaker, in the order of the layout, subwoofers last.
    before
        What to do before the first sweep, in order; the loudness caution comes first.
    """

    sweeps: SweepSet | None
    reach: tuple[Reach, ...]
    before: tuple[str, ...]
    findings: tuple[Finding, ...]


class NoSuchChirpsError(ValueError):
    """The chirps were asked of a channel that cannot play them."""

    def __init__(self, given: str, allowed: tuple[str, ...]) -> None:
        super().__init__(
            f"Chirps from {given!r} were asked for; they can come from {', '.join(allowed)} or {LOOPBACK!r}."
        )


LOUDNESS = (
    "Loud sound harms hearing and loudspeakers. Turn the volume down to its lowest and stand away from them. Play the "
    "first file and turn up until its last burst is as loud as lively speech, no more. Keep children and pets out. "
    "Stop at once if anything rattles, smells or sounds strained."
)
SWITCHES = (
    "Switch off upmixing, equaliser, bass management (every loudspeaker on full range, no subwoofer in the main "
    "channels), dynamic compression and loudness, and set all trims and distances alike."
)
PLAYER = "Send linear PCM from a player that keeps all columns apart, and check that the receiver's display says so."
MICROPHONE = (
    "Stand the microphone on a stand at ear height, pointing at the ceiling, and write down where it stands. "
    "Differ in height by 40 cm or more between positions."
)
RECORDER = (
    "Start the recorder, then the file, and let both run to the end. The recorder's own level control and filters "
    "stay off."
)
BEFORE = (LOUDNESS, SWITCHES, PLAYER, MICROPHONE, RECORDER)


def plan_sweeps(
    project: Project, layout: Layout, terminals: TerminalMap, params: SweepParams | None = None
) -> SweepPlan:
    """Say what to play for every loudspeaker and how it gets there.

    Parameters
    ----------
    project
        Links, subwoofers and amplifiers.
    layout
        The loudspeakers.
    terminals
        Where each run ends.
    params
        What a person chose.

    Returns
    -------
    SweepPlan
        With the set of sweeps, the ways in words, and a finding for each loudspeaker that cannot be reached.

    Raises
    ------
    NoSuchChirpsError
        If `params.chirps` names a channel without a column of its own.
    """
    params = params or SweepParams()
    wanted = (
        *((one.id, one.channel) for one in layout.loudspeakers),
        *((sub.id, sub.channel) for sub in project.subwoofers),
    )
    columns = columns_for(tuple(channel for _, channel in wanted))
    ways = {run: _ways(project, terminals, columns, run, channel) for run, channel in wanted}
    reached = tuple((run, channel) for run, channel in wanted if ways[run][0].kind != "none")
    number = {run: place for place, (run, _) in enumerate(reached, 1)}
    reach = tuple(
        Reach(run, channel, plain_name(channel), number.get(run, 0), ways[run]) for run, channel in wanted
    )
    sweeps = _set(reached, columns, ways, terminals, params) if reached else None
    return SweepPlan(sweeps, reach, BEFORE, tuple(_unreached(reach)))


def file_stem(run: str) -> str:
    """Return a run's name as part of a file's name: signs that part folders or are forbidden become dashes."""
    return "".join("-" if sign in '/\\:*?"<>|' or not sign.isprintable() else sign for sign in run).lstrip(
        "."
    )


def _set(
    reached: tuple[tuple[str, str], ...],
    columns: Columns,
    ways: dict[str, tuple[Way, ...]],
    terminals: TerminalMap,
    params: SweepParams,
) -> SweepSet:
    own = {channel: run for run, channel in reached if channel in columns.labels}
    reference = _reference(params.chirps, own)
    soundings = tuple(
        Sounding(
            place,
            run,
            channel,
            *_feed(channel, ways[run][0], columns, terminals),
            "sweeps.wav" if params.one_file else f"{place:02d} {file_stem(run)}.wav",
        )
        for place, (run, channel) in enumerate(reached, 1)
    )
    labels = (*columns.labels, LOOPBACK) if reference == LOOPBACK else columns.labels
    return SweepSet(
        params.settings,
        labels,
        columns.mask,
        reference,
        own.get(reference, ""),
        soundings,
        params.one_file,
    )


def _reference(asked: str, own: dict[str, str]) -> str:
    mains = tuple(label for label in own if not label.startswith("LFE"))
    if asked == LOOPBACK or asked in mains:
        return asked
    if asked:
        raise NoSuchChirpsError(asked, mains)
    return next((label for label in (*PREFERRED_REFERENCES, *mains) if label in mains), LOOPBACK)


def _feed(channel: str, way: Way, columns: Columns, terminals: TerminalMap) -> tuple[str, str]:
    """Return the column that carries the sweep, and the terminal to which the run is moved."""
    lender = _lender(channel, columns, terminals) if way.kind == "moved run" else None
    return lender or (channel, "")


def _ways(
    project: Project, terminals: TerminalMap, columns: Columns, run: str, channel: str
) -> tuple[Way, ...]:
    use = next((use for use in terminals.uses if use.run == run), None)
    if use is not None and not use.terminal:
        return (
            Way("none", f"No amplifier channel drives {run}, so no sweep can reach it. Connect it first."),
        )
    ways = []
    if channel in columns.labels and lpcm_reaches(channel):
        ways.append(Way("lpcm", _lpcm_words(project, run, channel)))
    lender = _lender(channel, columns, terminals)
    if not ways and lender is not None and not channel.startswith("LFE"):
        ways.append(Way("moved run", _moved_words(run, use.terminal if use else "", lender)))
    if any(link.kind is LinkKind.ANALOGUE for link in project.links) and not ways:
        ways.append(
            Way(
                "analogue",
                f"An analogue input of the receiver that feeds {run} alone, if it has one: play the "
                "sweep's column into it.",
            )
        )
    return tuple(ways) or (
        Way(
            "none",
            f"Linear PCM has no column for {channel}, and no terminal that is fed can take its run for a while.",
        ),
    )


def _lpcm_words(project: Project, run: str, channel: str) -> str:
    others = [sub.id for sub in project.subwoofers if sub.id != run] if channel.startswith("LFE") else []
    off = f" Switch off {' and '.join(others)} meanwhile." if others else ""
    return f"As linear PCM, in the column {channel}.{off}"


def _moved_words(run: str, terminal: str, lender: tuple[str, str]) -> str:
    at = f" from {terminal!r}" if terminal else ""
    return (
        f"Switch the amplifier off and unplug it. Move the run of {run}{at} to {lender[1]!r}, whose own run is taken "
        f"off and kept from touching anything. Switch on and play; the sweep is in the column {lender[0]}. Then move "
        "both back, power off again."
    )


def _lender(channel: str, columns: Columns, terminals: TerminalMap) -> tuple[str, str] | None:
    """Return the column and the terminal that an unreachable loudspeaker borrows, on its own side where possible."""
    side = "-" if "-" in channel else "+"
    for label in (one.replace("+", side) for one in LENT_FIRST):
        use = next((use for use in terminals.uses if use.channel == label and use.terminal), None)
        if label in columns.labels and use is not None and label != channel:
            return label, use.terminal
    return None


def _unreached(reach: tuple[Reach, ...]) -> list[Finding]:
    return [
        Finding(
            "takes.not-reached",
            Severity.NOTE,
            one.run,
            f"No sweep reaches {one.run} ({one.plain_name}): {one.ways[0].words}",
            source="columns of linear PCM; the project's terminals",
            advice="It is left out of the measurement, and nothing is said about it.",
        )
        for one in reach
        if one.number == 0
    ]
