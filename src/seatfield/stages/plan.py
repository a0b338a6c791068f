"""The plan: what every stage that exists found out about one project."""

from dataclasses import dataclass

from seatfield.model import Finding, worst_first
from seatfield.stages.bass.result import Bass
from seatfield.stages.cable.result import CablePlan
from seatfield.stages.chain.result import Chain
from seatfield.stages.layout.result import Layout
from seatfield.stages.level.result import Level
from seatfield.stages.survey.result import Survey
from seatfield.stages.terminals.result import TerminalMap


@dataclass(frozen=True, slots=True)
class Plan:
    """Results in the order of the job; None where a stage could not run or was not asked for."""

    survey: Survey
    layout: Layout | None = None
    terminals: TerminalMap | None = None
    bass: Bass | None = None
    cable: CablePlan | None = None
    level: Level | None = None
    chain: Chain | None = None

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings, the worst first."""
        stages = (
            self.survey, self.layout, self.terminals, self.bass, self.cable, self.level, self.chain,
        )  # fmt: skip
        return worst_first(tuple(f for stage in stages if stage is not None for f in stage.findings))
