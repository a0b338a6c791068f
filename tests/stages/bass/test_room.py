"""A room of the file as the acoustics see it: modes, losses, spaces behind archways, priors."""

from math import log

import numpy as np
import pytest
from scipy.optimize import brentq

from seatfield.catalogue.absorption import OCTAVE_BANDS_HZ
from seatfield.model import Finish
from seatfield.stages.bass import BassParams
from seatfield.stages.bass.priors import BANDS_HZ, UNKNOWN, absorption_row, named_row

MODES_ONLY = BassParams(parts=())
C = 343.2
SOFT = """
[room.finishes]
floor = {125 = 0.1, 250 = 0.1}
ceiling = {125 = 0.1, 250 = 0.1}
walls = {125 = 0.1, 250 = 0.1}
"""


def box_hz(length, width, height, to_hz):
    """Return the modes of a box by (c/2)√((p/L)² + (q/W)² + (r/H)²) (H. Kuttruff, Room Acoustics, chapter 3)."""
    order = np.arange(20)
    p, q, r = np.meshgrid(order / length, order / width, order / height, indexing="ij")
    freq = np.sort(C / 2 * np.sqrt(p**2 + q**2 + r**2).ravel())[1:]
    return freq[freq <= to_hz]


def test_a_box_of_5_by_4_by_2_5_m_has_its_known_modes(plain_room, heard):
    """The twelve modes to 100 Hz at 343 m/s, two of them double, as worked by hand; 65 to 200 Hz."""
    by_hand = [34.30, 42.88, 54.91, 68.60, 68.60, 76.70, 80.90, 80.90, 85.75, 87.87, 92.36, 97.02]
    found = heard(plain_room(), MODES_ONLY)
    assert found.speed_of_sound_m_s == pytest.approx(343.2, abs=1e-6)
    np.testing.assert_allclose(np.array(found.modes_hz[:12]) * 343 / 343.2, by_hand, atol=0.006)
    assert sum(freq * 343 / 343.2 <= 200 for freq in found.modes_hz) == 65
    assert found.modes_hz[-1] > 200
    assert all(a <= b for a, b in zip(found.modes_hz, found.modes_hz[1:], strict=False))


def test_the_speed_of_sound_follows_the_thermometer(plain_room, heard):
    """ISO 9613-1 at 25 °C: 346.114 m/s, and all modes rise with it."""
    cold = heard(plain_room(), MODES_ONLY)
    warm = heard(plain_room(change=(("ceiling = 2.5", "ceiling = 2.5\ntemperature = 25"),)), MODES_ONLY)
    assert warm.speed_of_sound_m_s == pytest.approx(346.114, abs=1e-3)
    assert warm.modes_hz[0] / cold.modes_hz[0] == pytest.approx(346.114 / 343.2, rel=1e-5)


def test_each_mode_of_a_box_decays_by_its_own_share_of_the_walls(plain_room, heard):
    """δ = cβ(ε/L + ε/W + ε/H), ε 2 along the mode and 1 across it (Kuttruff, chapter 3), β from Paris' integral."""
    found = heard(plain_room(SOFT), MODES_ONLY)
    beta = brentq(lambda b: 8 * b * (1 + b / (1 + b) - 2 * b * log(1 + 1 / b)) - 0.1, 1e-6, 0.1)
    for index, ways in enumerate([(2, 1, 1), (1, 2, 1), (2, 2, 1)]):
        damping = C * beta * (ways[0] / 5 + ways[1] / 4 + ways[2] / 2.5)
        assert found.modes[index].decay_s == pytest.approx(log(1000) / damping, rel=2e-3)
    assert [mode.kind for mode in found.modes[:3]] == ["along A–B", "along B–C", "along A–B and along B–C"]


def test_a_space_behind_an_archway_as_wide_as_the_wall_makes_one_room(plain_room, heard, codes):
    """5 × 4 m and 5 × 2 m behind an archway across the whole wall: the modes of a box of 5 × 6 m."""
    arch = """
[[opening]]
kind = "archway"
wall = 2
start = 0
width = 5
height = 2.5
beyond = [[0,4],[5,4],[5,6],[0,6]]
"""
    found = heard(plain_room(arch + SOFT), MODES_ONLY)
    np.testing.assert_allclose(found.modes_hz, box_hz(5, 6, 2.5, 220), rtol=1e-4)
    assert "bass.opening-leaks" not in codes(found)


def test_an_archway_without_anything_behind_leaks_and_says_so(plain_room, heard, codes):
    """It takes so much out of the first mode that it decays in less than half the time."""
    arch = '[[opening]]\nkind = "archway"\nwall = 1\nstart = 1\nwidth = 2\nheight = 2.1\n'
    shut, leaking = heard(plain_room(SOFT), MODES_ONLY), heard(plain_room(arch + SOFT), MODES_ONLY)
    assert leaking.modes[0].decay_s < 0.5 * shut.modes[0].decay_s
    assert "bass.opening-leaks" in codes(leaking)


def test_furniture_takes_from_the_bass(plain_room, heard):
    """With a sofa every one of the lowest modes decays faster."""
    sofa = '[[furniture]]\nname = "sofa"\nkind = "sofa"\noutline = [[1,1],[3,1],[3,2],[1,2]]\nheight = 0.8\n'
    bare, soft = heard(plain_room(SOFT), MODES_ONLY), heard(plain_room(sofa + SOFT), MODES_ONLY)
    assert all(a.decay_s > b.decay_s for a, b in zip(bare.modes[:10], soft.modes[:10], strict=True))


def test_a_finish_that_is_not_given_is_a_note_and_a_prior(plain_room, heard):
    """Nothing is indexed in empty bands; the finding names every surface."""
    found = heard(plain_room(), MODES_ONLY)
    told = next(finding for finding in found.findings if finding.code == "bass.finish-unknown")
    assert "the floor, the ceiling and the walls" in told.message
    assert absorption_row(Finish("not given", (), ())) == (UNKNOWN,) * 4


def test_the_bands_of_a_file_stand_and_what_is_below_them_is_the_prior():
    """Flat absorption stays; what falls with frequency keeps its lowest value; what rises halves by the octave."""
    assert absorption_row(Finish("mine", (63.0, 125.0, 250.0), (0.3, 0.2, 0.1)))[:4] == pytest.approx(
        (0.3, 0.3, 0.2, 0.1)
    )
    assert absorption_row(Finish("mine", (125.0,), (0.07,))) == pytest.approx((0.07,) * 4)
    assert absorption_row(Finish("mine", (125.0, 250.0), (0.2, 0.6)))[:3] == pytest.approx(
        (0.0504, 0.1008, 0.2)
    )


def test_rows_of_the_table_stand_from_125_hz():
    """Plasterboard on studs 0.15 and 0.10 (Vorländer 2008, appendix), and 0.15 below."""
    assert named_row("plasterboard on studs") == pytest.approx((0.15, 0.15, 0.15, 0.10))
    assert BANDS_HZ[2] == OCTAVE_BANDS_HZ[0]


@pytest.mark.parametrize(
    ("floor", "ceiling"),
    [("[[0,0],[0.5,0],[0.5,0.6],[0,0.6]]", "2.5"), ("[[0,0],[90,0],[90,80],[0,80]]", "9")],
    ids=["cupboard", "hall"],
)
def test_what_is_no_room_is_a_finding(plain_room, floor, ceiling, heard, codes):
    """A cupboard and a hall give no modes and a sentence."""
    change = (("[[0,0],[5,0],[5,4],[0,4]]", floor), ("ceiling = 2.5", f"ceiling = {ceiling}"))
    found = heard(plain_room(change=change), MODES_ONLY)
    assert found.modes_hz == ()
    assert codes(found) == {"bass.room-unfit"}
