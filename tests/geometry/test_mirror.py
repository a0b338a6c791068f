"""Mirror images, held against angles and ways worked by hand."""

from math import atan, degrees, dist

import pytest

from seatfield.geometry.direction import seen_from
from seatfield.geometry.mirror import Facet, bounce, ceiling_facet, facet, image, side_m


@pytest.mark.parametrize(
    ("height", "away", "elevation"),
    [(2.4, 2.0, 54.5), (2.4, 3.0, 43.0), (2.4, 4.0, 35.0), (3.6, 3.0, 60.0)],
)
def test_the_ear_hears_a_ceiling_bounce_from_the_elevation_of_the_image(height, away, elevation):
    """Ears and loudspeaker at 1.0 m: atan((2H − hs − he) / d), by hand."""
    met = bounce(ceiling_facet((0.0, 0.0, height)), (away, 0.0, 1.0), (0.0, 0.0, 1.0))
    assert met.at == pytest.approx((away / 2, 0, height))
    heard = seen_from((0.0, 0.0, 1.0), (1.0, 0.0), met.image)[1]
    assert heard == pytest.approx(degrees(atan((2 * height - 2) / away)))
    assert heard == pytest.approx(elevation, abs=0.5)


def test_a_wall_bounce_of_a_three_four_five_triangle_is_5_m_long():
    met = bounce(facet((0, 1, 0), (0, 0, 0)), (0.0, 1.0, 1.0), (4.0, 2.0, 1.0))
    assert met.length_m == pytest.approx(5.0)  # image at y = −1: √(4² + 3²)
    assert met.at == pytest.approx((4 / 3, 0, 1))


def test_both_parts_of_a_bounce_make_its_length_and_meet_the_plane_at_equal_angles():
    plane = facet((0.3, -0.2, 1.0), (1.0, 2.0, 2.5))
    source, ear = (0.0, 0.0, 1.0), (3.0, 1.0, 1.2)
    met = bounce(plane, source, ear)
    assert side_m(plane, met.at) == pytest.approx(0, abs=1e-12)
    assert dist(source, met.at) + dist(met.at, ear) == pytest.approx(met.length_m)
    angles = [abs(side_m(plane, end)) / dist(end, met.at) for end in (source, ear)]
    assert angles[0] == pytest.approx(angles[1])


def test_the_image_of_the_image_is_the_point():
    plane = facet((1.0, 2.0, 3.0), (0.5, 0.0, 1.0))
    assert image(plane, image(plane, (1.0, 2.0, 0.3))) == pytest.approx((1.0, 2.0, 0.3))


def test_ends_on_two_sides_of_a_plane_have_no_bounce():
    assert bounce(Facet((0.0, 0.0, 1.0), 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, -1.0)) is None
