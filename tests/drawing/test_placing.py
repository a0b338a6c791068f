"""Labels keep clear of each other and of what is drawn."""

from itertools import product

import pytest
from shapely.geometry import LineString, box

from seatfield.drawing.placing import (
    Ground,
    Label,
    _options,
    length_inside,
    overlap,
    place_labels,
)

FIELD = (0.0, 0.0, 100.0, 100.0)


def test_a_lone_label_stands_to_the_right_of_its_point():
    (placed,) = place_labels((Label((50.0, 50.0), (10.0, 4.0)),), Ground(FIELD))
    assert placed == pytest.approx((53.0, 48.0, 63.0, 52.0))


def test_labels_of_one_point_do_not_overlap():
    labels = tuple(Label((50.0, 50.0), (12.0, 5.0)) for _ in range(6))
    placed = place_labels(labels, Ground(FIELD))
    assert sum(overlap(a, b) for i, a in enumerate(placed) for b in placed[i + 1 :]) == 0.0


def test_a_label_keeps_off_a_box_and_a_heavy_line():
    ground = Ground(
        FIELD, boxes=(((52.0, 40.0, 80.0, 60.0), 12.0),), segments=(((0.0, 54.0), (100.0, 54.0), 4.0),)
    )
    (placed,) = place_labels((Label((50.0, 50.0), (10.0, 4.0)),), ground)
    assert overlap(placed, (52.0, 40.0, 80.0, 60.0)) == 0.0
    assert length_inside((0.0, 54.0), (100.0, 54.0), placed) == 0.0


def test_a_label_at_the_edge_stays_on_the_sheet():
    (placed,) = place_labels((Label((99.0, 99.0), (10.0, 4.0)),), Ground(FIELD))
    assert placed[2] <= 100.0
    assert placed[3] <= 100.0


def test_a_label_rather_stays_at_home():
    home = ((0.0, 0.0), (50.5, 0.0), (50.5, 100.0), (0.0, 100.0))
    (placed,) = place_labels((Label((50.0, 50.0), (10.0, 4.0)),), Ground(FIELD, home=home))
    assert (placed[0] + placed[2]) / 2 < 50.5


def test_three_crowded_labels_come_within_a_tenth_of_the_best_of_all_arrangements():
    """Held against all arrangements of the same candidates, tried one by one."""
    labels = tuple(Label((x, 50.0), (9.0, 4.0)) for x in (48.0, 50.0, 52.0))
    ground = Ground(FIELD, segments=(((0.0, 45.0), (100.0, 45.0), 2.0),))
    options = [_options(label, ground) for label in labels]

    def price(chosen):
        boxes = [one for one, _ in chosen]
        shared = sum(overlap(a, b) for i, a in enumerate(boxes) for b in boxes[i + 1 :])
        return sum(cost for _, cost in chosen) + 40.0 * shared

    best = min(map(price, product(*options)))
    placed = place_labels(labels, ground)
    got = price([next(o for o in options[i] if o[0] == placed[i]) for i in range(3)])
    assert got <= 1.1 * best + 1e-9


@pytest.mark.parametrize(
    "ends",
    [
        ((0, 0), (10, 10)),
        ((0, 5), (10, 5)),
        ((3, 0), (3, 9)),
        ((0, 9), (1, 9)),
        ((4, 4), (5, 5)),
        ((0, 7), (9, 0)),
    ],
)
def test_lengths_inside_a_box_are_those_of_shapely(ends):
    expected = LineString(ends).intersection(box(2, 2, 6, 6)).length
    assert length_inside(*ends, (2.0, 2.0, 6.0, 6.0)) == pytest.approx(expected, abs=1e-9)
