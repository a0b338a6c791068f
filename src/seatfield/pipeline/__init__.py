"""Use cases: open a project, plan it, print it. The faces call only this."""

from seatfield.pipeline.encoding import (
    encode,
    encode_faults,
    encode_findings,
    encode_plan,
    encode_stage,
    schema_of,
)
from seatfield.pipeline.memo import Memo
from seatfield.pipeline.planning import UnknownStageError, plan, plan_stage
from seatfield.pipeline.projects import ProjectFaultsError, open_folder, open_project

__all__ = [
    "Memo",
    "ProjectFaultsError",
    "UnknownStageError",
    "encode",
    "encode_faults",
    "encode_findings",
    "encode_plan",
    "encode_stage",
    "open_folder",
    "open_project",
    "plan",
    "plan_stage",
    "schema_of",
]
