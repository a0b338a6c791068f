"""Survey: the room's outline settled, its walls as frames, and what is wrong with either."""

from seatfield.stages.survey.ceiling import height_at, slopes
from seatfield.stages.survey.contents import top_m
from seatfield.stages.survey.doors import swept
from seatfield.stages.survey.kinds import is_one_of, is_seating
from seatfield.stages.survey.naming import corner_name, wall_name
from seatfield.stages.survey.readings import read_back
from seatfield.stages.survey.result import Closure, Survey, WallFrame
from seatfield.stages.survey.surveying import plan
from seatfield.stages.survey.wording import tell, tell_area, tell_roughly

__all__ = [
    "Closure",
    "Survey",
    "WallFrame",
    "corner_name",
    "height_at",
    "is_one_of",
    "is_seating",
    "plan",
    "read_back",
    "slopes",
    "swept",
    "tell",
    "tell_area",
    "tell_roughly",
    "top_m",
    "wall_name",
]
