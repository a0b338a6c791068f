"""Sound in rooms: modes of any plan, their damping, responses, merits of source places; numbers and arrays only."""

from seatfield.acoustics.air import air_density, speed_of_sound
from seatfield.acoustics.boundary import (
    Boundary,
    FloorPatch,
    Losses,
    WallPatch,
    admittance_from_absorption,
    boundary_losses,
    damping,
    decay_time,
    diffuse_absorption,
)
from seatfield.acoustics.crossover import (
    alignment_start,
    butterworth,
    linkwitz_riley,
    sealed_response,
    summed_level,
    vented_response,
)
from seatfield.acoustics.enrich import enrich
from seatfield.acoustics.loading import boundary_gain, reflection_null
from seatfield.acoustics.merit import (
    Bands,
    MeritParams,
    Score,
    cross_power,
    make_bands,
    score_pairs,
    score_power,
    score_response,
)
from seatfield.acoustics.mesh import Solid, extrude
from seatfield.acoustics.modes import MeshParams, RoomModes, mode_pressure, room_modes
from seatfield.acoustics.response import Doubt, transfer
from seatfield.acoustics.reverberation import (
    critical_distance,
    eyring_time,
    level_below_power,
    mode_count,
    room_constant,
    sabine_time,
    schroeder_frequency,
)
from seatfield.acoustics.sets import (
    TuneParams,
    Tuning,
    best_sets,
    misplaced,
    really_different,
    settings_response,
    tune,
)
from seatfield.acoustics.uncertainty import DoubtParams, ResponseBand, doubts, lead, response_band

__all__ = [
    "Bands",
    "Boundary",
    "Doubt",
    "DoubtParams",
    "FloorPatch",
    "Losses",
    "MeritParams",
    "MeshParams",
    "ResponseBand",
    "RoomModes",
    "Score",
    "Solid",
    "TuneParams",
    "Tuning",
    "WallPatch",
    "admittance_from_absorption",
    "air_density",
    "alignment_start",
    "best_sets",
    "boundary_gain",
    "boundary_losses",
    "butterworth",
    "critical_distance",
    "cross_power",
    "damping",
    "decay_time",
    "diffuse_absorption",
    "doubts",
    "enrich",
    "extrude",
    "eyring_time",
    "lead",
    "level_below_power",
    "linkwitz_riley",
    "make_bands",
    "misplaced",
    "mode_count",
    "mode_pressure",
    "really_different",
    "reflection_null",
    "response_band",
    "room_constant",
    "room_modes",
    "sabine_time",
    "schroeder_frequency",
    "score_pairs",
    "score_power",
    "score_response",
    "sealed_response",
    "settings_response",
    "speed_of_sound",
    "summed_level",
    "transfer",
    "tune",
    "vented_response",
]
