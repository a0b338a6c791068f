"""Published descriptions of the project file and of the plan's JSON."""

from typing import Any

from seatfield.pipeline.encoding import PLAN_FORMAT, PLAN_VERSION, schema_of
from seatfield.stages.plan import Plan
from seatfield.store import schema


def project_schema() -> dict[str, Any]:
    """Return the JSON Schema of ``project.toml``."""
    return schema()


def plan_schema() -> dict[str, Any]:
    """Return the JSON Schema of what ``seatfield plan --json`` prints."""
    described = schema_of(Plan)
    for name in ("Survey", "Layout", "TerminalMap", "Bass", "CablePlan", "Level", "Chain"):
        _without_findings(described["$defs"][name])
    for stage in described["properties"].values():
        stage.pop("default", None)
    described["properties"] = {
        "format": {"const": PLAN_FORMAT, "description": "what this object is"},
        "version": {"const": PLAN_VERSION, "description": "rises when something is added"},
        "findings": {
            "type": "array",
            "items": {"$ref": "#/$defs/Finding"},
            "description": "of all stages, the worst first",
        },
    } | described["properties"]
    return described


def _without_findings(stage: dict[str, Any]) -> None:
    stage["properties"].pop("findings")
    stage["required"] = [key for key in stage["required"] if key != "findings"]
