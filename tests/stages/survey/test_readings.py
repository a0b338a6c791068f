"""Tape readings of a real kind of room: contradictions, what nothing checks, and what was made of them."""

from math import acos, cos, degrees, dist, pi, sin

import pytest

from seatfield.geometry.rigidity import redundancy_numbers
from seatfield.model import LengthUnit, Severity
from seatfield.stages import survey
from seatfield.stages.survey.readings import CHECKED, corner_angles, read_back

# A chimney breast and a slanted corner, measured by corners less two diagonals.
WALLS = (4.35, 2.00, 0.36, 1.50, 0.36, 1.60, 3.45, 1.27, 4.20)
ACROSS = {"AC": 4.79, "AD": 4.46, "AE": 5.31, "EI": 4.05, "EH": 3.48, "EG": 1.64, "AG": 6.70}


@pytest.fixture
def taped(plain_room):
    """Survey a room of these readings, some of them changed."""

    def read(walls=WALLS, more="", **changed):
        told = ", ".join(
            f'{{ between = ["{a}", "{b}"], length = {length} }}'
            for (a, b), length in (ACROSS | changed).items()
            if length
        )
        outline = f'walls = {list(walls)}\ndiagonals = [{told}]\ntolerance = "2 cm"'
        return survey.plan(plain_room(more, change=[("floor = [[0,0],[5,0],[5,4],[0,4]]", outline)]))

    return read


def only(found, code):
    (finding,) = (f for f in found.findings if f.code == code)
    return finding


def walls_with(place, length):
    return (*WALLS[:place], length, *WALLS[place + 1 :])


def test_three_readings_that_make_no_triangle_are_told_with_their_names(taped):
    """No side of a triangle is longer than the two others together."""
    found = taped(AC=4.99)
    finding = only(found, "survey.readings-contradict")
    assert finding.subject == "diagonal A–C"
    assert (
        "diagonal A–C (4.99 m) is longer than diagonal A–D (4.46 m) and wall C–D (0.36 m)" in finding.message
    )
    assert finding.measured - finding.limit == pytest.approx(4.99 - 4.46 - 0.36)
    told = {f.code for f in found.findings}
    assert not told & {"survey.diagonals-missing", "survey.misclosure", "survey.unchecked"}


def test_a_contradiction_without_any_outline_stops_the_job_and_names_the_sides(taped):
    found = taped(AC=9.0)
    finding = next(f for f in found.findings if f.code == "survey.readings-contradict")
    assert "diagonal A–C (9.00 m)" in finding.message
    assert (finding.severity, found.sound) == (Severity.STOP, False)
    assert "survey.readings-impossible" not in {f.code for f in found.findings}


@pytest.mark.parametrize(("place", "length", "corner"), [(1, 2.20, "corner B has 87.5°"), (8, 4.40, "wall")])
def test_a_slip_that_nothing_checks_is_owned_up_to(taped, place, length, corner):
    finding = only(taped(walls_with(place, length)), "survey.unchecked")
    assert finding.severity is Severity.NOTE
    for name in ("A–B", "B–C", "I–A", "A–C"):
        assert name in finding.message
    assert corner in finding.message
    assert "The diagonal " in finding.advice


def test_the_angle_that_is_told_is_that_of_the_law_of_cosines(taped):
    """Corner B from the triangle A–B–C with B–C read 2.20 m."""
    a, b, c = 2.20, 4.35, 4.79
    expected = degrees(acos((a * a + b * b - c * c) / (2 * a * b)))
    floor = taped(walls_with(1, 2.20)).room.floor
    assert corner_angles(floor)[1][0] == pytest.approx(expected, abs=0.05)


def test_the_diagonal_that_is_proposed_checks_what_it_promises(taped):
    """With it read, a slip that passed unseen is found."""
    true = taped()
    proposed = only(true, "survey.unchecked").advice.split()[2]
    one, two = (ord(letter) - ord("A") for letter in proposed.split("–"))
    length = round(dist(true.room.floor[one], true.room.floor[two]), 3)
    pairs = (*((i, (i + 1) % 9) for i in range(9)), *((ord(a) - 65, ord(b) - 65) for a, b in ACROSS))
    before = redundancy_numbers(true.room.floor, pairs)[:9]
    after = redundancy_numbers(true.room.floor, (*pairs, (one, two)))[:9]
    wall = max((i for i in range(9) if before[i] < CHECKED), key=lambda i: after[i])
    slipped = walls_with(wall, WALLS[wall] + 0.2)
    assert "survey.misclosure" not in {f.code for f in taped(slipped).findings}
    checked = taped(slipped, **{proposed.replace("–", ""): length})
    assert "survey.misclosure" in {f.code for f in checked.findings}


def test_readings_that_all_check_each_other_give_no_note(plain_room):
    readings = (
        "walls = [5, 4, 5, 4]\ndiagonals = [{ between = [0,2], length = 6.403 }, "
        "{ between = [1,3], length = 6.403 }]"
    )
    assert survey.plan(plain_room(change=[("floor = [[0,0],[5,0],[5,4],[0,4]]", readings)])).findings == ()


def test_a_slip_five_times_as_large_is_not_called_as_likely(taped):
    """A–G 8 cm too long explains as much as I–A a metre too short; nobody should read that they are as likely."""
    message = only(taped(EH=3.68), "survey.misclosure").message
    sizes = [float(part.split(" m too ")[0].split()[-1]) for part in message.split("reads about ")[1:]]
    assert len(sizes) > 1
    assert max(sizes) <= 3.2 * min(sizes)


def test_missing_diagonals_are_counted_and_named(taped):
    few = dict.fromkeys(list(ACROSS)[1:])
    finding = only(taped(**few), "survey.diagonals-missing")
    assert "9 wall lengths and 1 diagonal do not fix" in finding.message
    assert "Measure 5 diagonals more" in finding.advice
    named = finding.advice.split("such as ")[1].split(";")[0].split(", ")
    assert len(named) == 5


def test_what_stands_on_a_doubtful_outline_does_not_stop_the_job_above_its_cause(taped):
    """A door past the end of a wall stops the job; where the outline is open, its cause stands first."""
    door = '[[opening]]\nkind = "door"\nwall = "B-C"\nstart = 3.0\nwidth = 0.8\nheight = 2.0\n'
    found = taped(more=door, **dict.fromkeys(list(ACROSS)[1:]))
    stops = [f.code for f in found.findings if f.severity is Severity.STOP]
    assert stops[0] == "survey.diagonals-missing"
    assert "survey.outside-wall" in stops


@pytest.mark.parametrize("turn", [1, -1])
def test_angles_inside_add_up_to_those_of_a_polygon(turn):
    """The angles inside an n-gon add up to (n − 2) · 180°."""
    floor = tuple(
        (r * cos(2 * pi * i / 7), r * sin(2 * pi * i / 7)) for i, r in enumerate((3, 2, 4, 1, 3, 2, 4))
    )[::turn]
    assert sum(angle for angle, _ in corner_angles(floor)) == pytest.approx(5 * 180)


def test_what_was_made_of_the_room_is_said_in_the_projects_units():
    floor = ((0.0, 0.0), (3.048, 0.0), (3.048, 6.096), (0.0, 6.096))
    text = read_back(floor, 3.048 * 6.096, 3.048**2 * 6.096, LengthUnit.FOOT)
    assert "all 4 of them square; 200.0 sq ft, 2000 cu ft; 10' 0\" by 20' 0\" over all" in text
    odd = ((0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.3))
    assert "not square: C 94.3°, D 85.7°" in read_back(odd, 12.6, 30.0, LengthUnit.METRE)


def test_areas_in_findings_are_in_the_projects_units(described):
    """1 sq ft = 0.09290304 m² (NIST SP 811)."""
    text = (
        'format = 1\nname = "x"\nunits = "ft"\n[room]\nfloor = [[0,0],[16,0],[16,13],[0,13]]\nceiling = 8\n'
        "[[seat]]\nat = [8, 10]\near = 3.5\n[screen]\ncentre = [8, 0.5, 3.5]\nwidth = 4\n"
        '[system]\nlayout = "0+5+0"\n'
    )
    for name, right in (("chest", 3), ("desk", 5)):
        text += (
            f'[[furniture]]\nname = "{name}"\nheight = 2\noutline = '
            f"[[{right - 2},1],[{right + 1},1],[{right + 1},4],[{right - 2},4]]\n"
        )
    message = only(survey.plan(described(text)), "survey.furniture-overlaps").message
    assert " sq ft of the floor" in message
    assert "m²" not in message
