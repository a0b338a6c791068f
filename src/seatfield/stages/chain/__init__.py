"""The signal chain: what arrives of each service, the first place that spoils it, and how to prove it."""

from seatfield.stages.chain.planning import plan
from seatfield.stages.chain.result import (
    Chain,
    LipSync,
    Loss,
    Mend,
    NeededSetting,
    ProofLine,
    ServiceSound,
    Topology,
    TopologySound,
)
from seatfield.stages.chain.sinks import formats_of

__all__ = [
    "Chain",
    "LipSync",
    "Loss",
    "Mend",
    "NeededSetting",
    "ProofLine",
    "ServiceSound",
    "Topology",
    "TopologySound",
    "formats_of",
    "plan",
]
