"""The pressure of a mode over the floor, for pictures."""

from seatfield.acoustics import speed_of_sound
from seatfield.model import Project
from seatfield.stages.bass.modes_told import shape_of
from seatfield.stages.bass.result import Field
from seatfield.stages.bass.shell import shell_of
from seatfield.stages.bass.space import solve
from seatfield.stages.survey import Survey


def mode_field(project: Project, survey: Survey, number: int) -> Field:
    """Return the pressure of one mode over the floor at the main seat's ears.

    Parameters
    ----------
    project, survey
        The room.
    number
        Index into the list of modes.

    Returns
    -------
    Field
        From −1 to 1, against its largest on that level.
    """
    speed = float(speed_of_sound(min(max(survey.room.temperature_c, -20.0), 50.0)))
    space = solve(shell_of(survey), (), (), speed)
    return shape_of(survey, space, number, project.main_seat.ear_mid_m)
