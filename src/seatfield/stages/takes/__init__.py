"""Takes: what to play for every loudspeaker, and what the recordings of it say.

`plan_sweeps` says what is played and how it reaches each loudspeaker, `blocks` and `block` make its samples,
`read_spot` reads the recordings of one position, `rehearse` makes recordings from the project's own room.
"""

from seatfield.stages.takes.distances import off_plan_m
from seatfield.stages.takes.knowing import Known, known_of
from seatfield.stages.takes.moving import changed, moved_findings
from seatfield.stages.takes.playing import approach, block, block_frames, block_s, blocks, stimulus_of
from seatfield.stages.takes.reading import Session, findings_of, read_spot
from seatfield.stages.takes.result import Aside, ChannelTaken, Heard, Spot, TakeRead, Takes
from seatfield.stages.takes.sweeps import (
    NoSuchChirpsError,
    Reach,
    SweepParams,
    SweepPlan,
    Way,
    file_stem,
    plan_sweeps,
)

__all__ = [
    "Aside",
    "ChannelTaken",
    "Heard",
    "Known",
    "NoSuchChirpsError",
    "Reach",
    "Session",
    "Spot",
    "SweepParams",
    "SweepPlan",
    "TakeRead",
    "Takes",
    "Way",
    "approach",
    "block",
    "block_frames",
    "block_s",
    "blocks",
    "changed",
    "file_stem",
    "findings_of",
    "known_of",
    "moved_findings",
    "off_plan_m",
    "plan_sweeps",
    "read_spot",
    "stimulus_of",
]
