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
    thin_labels,
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


def crowd(spare):
    """Twelve labels of one point, more than it has places for, each with a shorter form."""
    return tuple(
        Label((50.0, 50.0), (24.0, 9.0), shorter=(((12.0, 5.0), 5.0),), spare=spare + number)
        for number in range(12)
    )


def test_thinned_labels_never_cover_each_other_nor_letters_that_stand():
    """By shapely's areas, and where not all find room the one that matters most does."""
    letters = ((40.0, 54.0, 62.0, 58.0),)
    chosen = thin_labels(crowd(60.0), Ground((20.0, 30.0, 80.0, 70.0), letters=letters))
    boxes = [box(*one.box) for one in chosen if one.box is not None] + [box(*letters[0])]
    assert 1 < len(boxes) < 13
    assert sum(a.intersection(b).area for i, a in enumerate(boxes) for b in boxes[i + 1 :]) == 0.0
    assert chosen[-1].box is not None


def test_a_label_with_no_worth_is_left_out_where_it_would_cover_something():
    ground = Ground(FIELD, boxes=((FIELD, 1.0),))
    (worthless,) = thin_labels((Label((50.0, 50.0), (10.0, 4.0), spare=30.0),), ground)
    (worthy,) = thin_labels((Label((50.0, 50.0), (10.0, 4.0), spare=50.0),), ground)
    assert worthless.box is None
    assert worthy.box is not None


def test_a_label_is_shortened_where_only_its_short_form_finds_room():
    narrow = Ground((44.0, 47.0, 66.0, 53.0))
    (chosen,) = thin_labels((crowd(200.0)[0],), narrow)
    assert chosen.form == 1
    assert thin_labels((crowd(200.0)[0],), Ground(FIELD))[0].form == 0


def test_three_crowded_labels_come_within_a_tenth_of_the_best_of_all_arrangements():
    """Held against all arrangements of the same candidates, tried one by one."""
    labels = tuple(Label((x, 50.0), (9.0, 4.0)) for x in (48.0, 50.0, 52.0))
    ground = Ground(FIELD, segments=(((0.0, 45.0), (100.0, 45.0), 2.0),))
    options = [_options(label, ground) for label in labels]

    def price(chosen):
        boxes = [one.box for one in chosen]
        shared = sum(overlap(a, b) for i, a in enumerate(boxes) for b in boxes[i + 1 :])
        return sum(one.cost for one in chosen) + 40.0 * shared

    best = min(map(price, product(*options)))
    placed = place_labels(labels, ground)
    got = price([next(o for o in options[i] if o.box == placed[i]) for i in range(3)])
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
