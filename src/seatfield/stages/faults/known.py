"""What the faults stage knows of each run before it listens: channel, model, place, terminal."""

from dataclasses import dataclass

from seatfield.model import LoudspeakerModel, Point3, Project
from seatfield.stages.layout import Layout
from seatfield.stages.takes import Known
from seatfield.stages.terminals import TerminalMap


@dataclass(frozen=True, slots=True)
class RunKnown:
    """One run as planned."""

    run: str
    channel: str
    model: LoudspeakerModel | None
    at: Point3 | None
    amplifier: str
    terminal: str

    @property
    def low(self) -> bool:
        """True for a low-frequency channel."""
        return self.channel.startswith("LFE")

    @property
    def look_at(self) -> str:
        """The terminal at the amplifier, in words."""
        if not self.terminal:
            return f"the terminals of {self.run} at both ends of its run"
        return f"{self.terminal} on {self.amplifier}, then the terminals of {self.run}"


@dataclass(frozen=True, slots=True)
class Plan:
    """The plan as this stage needs it."""

    runs: tuple[RunKnown, ...]
    spare: tuple[tuple[str, str], ...]
    speed_of_sound_m_s: float
    crossover_hz: float

    def of(self, run: str) -> RunKnown:
        """Return what is known of a run."""
        return next(one for one in self.runs if one.run == run)

    @property
    def mains(self) -> tuple[RunKnown, ...]:
        """All but the low-frequency channels."""
        return tuple(one for one in self.runs if not one.low)


def plan_of(project: Project, layout: Layout, terminals: TerminalMap, known: Known) -> Plan:
    """Collect what is known of every run."""
    models = {model.name: model for model in project.models}
    runs = [(one.id, one.channel, models.get(one.model)) for one in layout.loudspeakers]
    runs += [(sub.id, sub.channel, None) for sub in project.subwoofers]
    uses = {use.run: use for use in terminals.uses}
    return Plan(
        tuple(
            RunKnown(
                run,
                channel,
                model,
                known.places.get(run),
                uses[run].amplifier if run in uses else "",
                uses[run].terminal if run in uses else "",
            )
            for run, channel, model in runs
        ),
        terminals.spare,
        known.speed_of_sound_m_s,
        known.crossover_hz,
    )
