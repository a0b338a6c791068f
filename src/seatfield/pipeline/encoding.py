"""One encoder: any frozen result into plain JSON values, and its type into a JSON Schema."""

import math
from dataclasses import fields, is_dataclass
from enum import Enum
from typing import Any

from seatfield.model import Fault, Finding, worst_first
from seatfield.pipeline.steps import NAMES
from seatfield.stages.plan import Plan

PLAN_FORMAT = "seatfield-plan"
PLAN_VERSION = 1
FAULTS_FORMAT = "seatfield-faults"


def encode(value: Any) -> Any:
    """Turn a frozen result into dictionaries, lists, texts and numbers.

    Parameters
    ----------
    value
        Dataclasses become dictionaries by field name, tuples and arrays become lists, enumerations their value;
        a number that is not finite becomes None.
    """
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: encode(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Enum):
        return value.value
    if value is None or isinstance(value, (bool, int, float, str)):
        return None if isinstance(value, float) and not math.isfinite(value) else value
    if isinstance(value, dict):
        return {str(key): encode(entry) for key, entry in value.items()}
    return [encode(entry) for entry in (value if isinstance(value, (tuple, list)) else value.tolist())]


def encode_plan(plan: Plan) -> dict[str, Any]:
    """Turn a plan into the object that ``seatfield plan --json`` prints; findings stand once, at the top."""
    stages = {
        name: _without_findings(getattr(plan, name)) for name in NAMES if getattr(plan, name) is not None
    }
    return {"format": PLAN_FORMAT, "version": PLAN_VERSION, "findings": encode(plan.findings)} | stages


def encode_stage(name: str, result: Any) -> dict[str, Any]:
    """Turn one stage's result into an object of the plan's format, with its findings at the top."""
    head = {"format": PLAN_FORMAT, "version": PLAN_VERSION, "findings": encode(worst_first(result.findings))}
    return head | {name: _without_findings(result)}


def encode_findings(findings: tuple[Finding, ...]) -> dict[str, Any]:
    """Turn findings alone into an object of the plan's format."""
    return {"format": PLAN_FORMAT, "version": PLAN_VERSION, "findings": encode(findings)}


def encode_faults(faults: tuple[Fault, ...]) -> dict[str, Any]:
    """Turn faults into the object that every command prints when the file is at fault."""
    return {"format": FAULTS_FORMAT, "version": PLAN_VERSION, "faults": encode(faults)}


def schema_of(kind: Any) -> dict[str, Any]:
    """Return the JSON Schema of what `encode` makes of a value of this type."""
    from pydantic import TypeAdapter

    return TypeAdapter(kind).json_schema(mode="serialization")


def _without_findings(result: Any) -> Any:
    encoded = encode(result)
    encoded.pop("findings", None)
    return encoded
