"""What there is to say of levels: what falls short and why, what the file does not say, what is taken for it."""

from collections.abc import Iterator
from dataclasses import dataclass

from seatfield.model import Finding, Input, Loudness, Project, Severity, Trace
from seatfield.stages.level.driving import amplifier_volts, voltage_sensitivity_db
from seatfield.stages.level.loads import Driven, Load
from seatfield.stages.level.loads_told import LEAST_DB, gives_w
from seatfield.stages.level.naming import listed, span
from seatfield.stages.level.result import ChannelLevel, RoomSound
from seatfield.stages.level.room import ASSUMED_ABSORPTION
from seatfield.stages.level.wishes import WISHES

FAR_DB = 10.0
"""Half as loud, as most people call it: common practice, no source [dB]."""

LEVEL_FORMULA = "S + 20·lg(V/2.83) − 20·lg r − cable + off axis, S the level at 1 m for 2.83 V"
OWN_FORMULA = "highest level at 1 m (or S and the power that it takes) − 20·lg r + off axis"


@dataclass(frozen=True, slots=True)
class Lacking:
    """A channel whose peaks stay below the wish at the main seat."""

    level: ChannelLevel
    load: Load
    one: Driven
    by_db: float


def short_findings(
    project: Project, every: tuple[Load, ...], at_main: tuple[ChannelLevel, ...]
) -> Iterator[Finding]:
    """Find what keeps peaks below the wish at the main seat.

    Parameters
    ----------
    project
        Everything that the person wrote.
    every
        The loads.
    at_main
        Channels at the main seat.

    Yields
    ------
    Finding
        One for each amplifier that gives out first, and one for each model of loudspeaker that does.
    """
    groups: dict[tuple[str, str], list[Lacking]] = {}
    for lacking in _lacking(project, every, at_main):
        first = lacking.level.limited_by
        amplifier = lacking.load.amplifier
        name = amplifier.name if first == "amplifier" and amplifier else lacking.one.model.name
        groups.setdefault((first, name), []).append(lacking)
    for (first, name), together in groups.items():
        yield _short(project, first, name, together)


def _lacking(
    project: Project, every: tuple[Load, ...], at_main: tuple[ChannelLevel, ...]
) -> Iterator[Lacking]:
    wish = WISHES[project.loudness].peak_db
    by_id = {one.placed.id: (load, one) for load in every for one in load.loudspeakers}
    for level in at_main:
        if level.peak_db is not None and level.limited_by in ("amplifier", "loudspeaker"):
            lack = wish - level.peak_db
            if lack >= LEAST_DB:
                yield Lacking(level, *by_id[level.id], lack)


def _short(project: Project, first: str, name: str, together: list[Lacking]) -> Finding:
    wish = WISHES[project.loudness]
    worst = max(together, key=lambda lacking: lacking.by_db)
    lack = worst.by_db
    level = worst.level.peak_db or 0.0
    reaches = span([one.level.peak_db or 0.0 for one in together])
    plural = len(together) > 1
    said = (
        f"{_ids(together)} {'reach' if plural else 'reaches'} {reaches} dB in peaks at the main seat, "
        f"{span([one.by_db for one in together])} dB less than the wish of {wish.peak_db:.0f} dB. "
    )
    why = _of_amplifier(name, together) if first == "amplifier" else _of_loudspeaker(name, plural)
    far = lack >= FAR_DB and project.loudness is not Loudness.REFERENCE
    key = worst.load.amplifier.key if first == "amplifier" and worst.load.amplifier else worst.one.model.key
    return Finding(
        "level.short",
        Severity.FIX if far or (project.loudness is Loudness.QUIET and lack >= FAR_DB / 2) else Severity.NOTE,
        name,
        said + why,
        measured=level,
        limit=wish.peak_db,
        unit="dB",
        source=f"{wish.source}; direct sound only: what a room adds to steady sound is not added to peaks",
        advice=_advice(first, lack),
        key=key or "system.loudness",
        trace=_short_trace(worst, first),
    )


def _of_amplifier(name: str, together: list[Lacking]) -> str:
    needs = [one.level.watts_needed_w or 0.0 for one in together]
    gives = [watts for one in together if (watts := gives_w(one.load)) is not None]
    text = f"Their channels of {name} give out first: " if len(together) > 1 else f"{name} gives out first: "
    text += f"{span(needs)} W would be needed, and {span(gives)} W come out with all channels driven."
    capped = [one.level.loudspeaker_db for one in together]
    own = [level for level in capped if level is not None]
    wish = min(one.by_db + (one.level.peak_db or 0.0) for one in together)
    if own and min(own) < wish - LEAST_DB:
        text += f" With more watts the loudspeakers themselves stop at {span(own)} dB."
    return text


def _of_loudspeaker(name: str, plural: bool) -> str:  # noqa: FBT001  (number is a truth value here)
    whose = "These loudspeakers" if plural else "The loudspeaker"
    return f"{whose} ({name}) {'give' if plural else 'gives'} out first: more watts would not help."


def _advice(first: str, lack_db: float) -> str:
    down = f"Turn it down by {lack_db:.0f} dB, or sit nearer"
    if first == "amplifier":
        return (
            f"{down}, or take loudspeakers with more sensitivity: 3 dB more does as much as twice the power."
        )
    return f"{down}, or take loudspeakers that go louder."


def _short_trace(worst: Lacking, first: str) -> Trace:
    level, model, amplifier = worst.level, worst.one.model, worst.load.amplifier
    inputs = [Input("loudspeaker", level.id), Input("r", level.distance_m, "m")]
    sensitivity = voltage_sensitivity_db(model)
    if sensitivity is not None:
        inputs.append(Input("S", sensitivity, "dB"))
    if first == "amplifier" and amplifier is not None:
        volts = amplifier_volts(amplifier, worst.load.nominal_ohm)
        inputs += [Input("V", volts or 0.0, "V"), Input("load", worst.load.nominal_ohm, "ohm")]
        inputs.append(
            Input("cable", level.cable_loss_db if level.cable_loss_db is not None else "not planned", "dB")
        )
    elif model.max_level_db is not None:
        inputs.append(Input("highest level at 1 m", model.max_level_db, "dB"))
    elif model.power_w is not None:
        inputs.append(Input("power that it takes", model.power_w, "W"))
    inputs.append(
        Input("off axis", level.off_axis_db if level.off_axis_db is not None else "not known", "dB")
    )
    if level.watts_needed_w is not None:
        inputs.append(Input("watts needed", level.watts_needed_w, "W"))
    return Trace(LEVEL_FORMULA if first == "amplifier" else OWN_FORMULA, tuple(inputs))


def missing_findings(project: Project, every: tuple[Load, ...]) -> Iterator[Finding]:
    """Find figures without which levels stay open, or come out too high.

    Parameters
    ----------
    project
        Everything that the person wrote.
    every
        The loads.

    Yields
    ------
    Finding
        Notes: one a model, one an amplifier.
    """
    used = dict.fromkeys(one.model.name for load in every for one in load.loudspeakers)
    for model in project.models:
        if model.name in used and model.sensitivity_db is None:
            yield Finding(
                "level.sensitivity-unknown",
                Severity.NOTE,
                model.name,
                f"The file does not say how sensitive {model.name} is, so its level at the seats is not known.",
                advice="Type the maker's sensitivity, and whether it holds for 2.83 V or for 1 W.",
                key=f"{model.key}.sensitivity",
            )
    if every and not any(amplifier.watts_w or amplifier.all_channels_w for amplifier in project.amplifiers):
        yield Finding(
            "level.power-unknown",
            Severity.NOTE,
            "amplifier",
            "The file does not say what power the amplifier gives, so only the loudspeakers' own limits count.",
            advice="Type `watts` per channel with two driven, and `all_channels_watts` if the maker gives it.",
            key="amplifier",
        )
    for amplifier in project.amplifiers:
        driven = sum(load.amplifier is amplifier for load in every)
        if amplifier.watts_w and not amplifier.all_channels_w and driven > 2:
            yield Finding(
                "level.power-few-driven",
                Severity.NOTE,
                amplifier.name,
                f"The {amplifier.watts_w:g} W of {amplifier.name} hold with two channels driven. With {driven} driven "
                "it usually gives less, so levels limited by it are upper bounds.",
                measured=amplifier.watts_w,
                unit="W",
                source="common practice, no source",
                advice="Type `all_channels_watts` if the maker or a test gives it.",
                key=f"{amplifier.key}.all_channels_watts",
                trace=Trace(
                    "as the file has it",
                    (Input("watts", amplifier.watts_w, "W"), Input("channels driven", driven)),
                ),
            )


def room_findings(
    room: RoomSound | None, at_main: tuple[ChannelLevel, ...], band_db: float
) -> Iterator[Finding]:
    """Say which finishes are not given, and what that leaves open.

    Parameters
    ----------
    room
        The room.
    at_main
        Channels at the main seat.
    band_db
        Largest change of what the room adds there, with half and with twice the absorption taken [dB].

    Yields
    ------
    Finding
        At most one.
    """
    if room is None or not room.assumed:
        return
    adds = [one.room_db for one in at_main if one.room_db is not None]
    said = f" The room then adds {span(adds)} dB to steady sound at the main seat" if adds else ""
    doubt = f"; with half or twice as much it is up to {band_db:.0f} dB more or less." if adds else ""
    yield Finding(
        "level.finish-unknown",
        Severity.NOTE,
        "finishes",
        f"The file does not say what {listed(list(room.assumed))} {'is' if len(room.assumed) == 1 else 'are'} made of; "
        f"{100 * ASSUMED_ABSORPTION:.0f} % absorption is taken.{said}{doubt} Peaks do not depend on it.",
        measured=max(adds, default=None),
        unit="dB",
        source="between masonry and plasterboard: common practice, no source",
        advice='Type finishes under [room.finishes], such as `walls = "plastered masonry"`.',
        key="room.finishes",
        trace=Trace(
            "10·lg(1/r² + 16π/(Q·R)) − 10·lg(1/r²), mean over octaves; R = S·a/(1 − a) (Hopkins and Stryker 1948)",
            (
                Input("S", room.surface_m2, "m²"),
                Input("A at 1 kHz", room.absorption_m2[3], "m²"),
                Input("R at 1 kHz", room.room_constant_m2[3], "m²"),
            ),
        ),
    )


def _ids(together: list[Lacking]) -> str:
    return listed([one.level.id for one in together])
