"""Meshes: areas, volumes, conformity, grading, creases."""

import numpy as np
import pytest
import shapely

from seatfield.acoustics.mesh import (
    as_polygon,
    boundary_faces,
    ceiling_height,
    crease_faces,
    extrude,
    nearest_wall,
    plan_mesh,
    plane_coefficients,
    reentrant_corners,
    wall_ends,
)

PLANS = {
    "L": [[0, 0], [6, 0], [6, 3], [4, 3], [4, 5.5], [0, 5.5]],
    "listed clockwise": [[0, 5.5], [4, 5.5], [4, 3], [6, 3], [6, 0], [0, 0]],
    "bay": [[0, 0], [5, 0], [5, 4], [3.5, 4], [3.2, 4.7], [1.8, 4.7], [1.5, 4], [0, 4]],
    "sliver": [[0, 0], [12, 0], [12, 0.4], [0, 0.4]],
}


@pytest.mark.parametrize("name", PLANS)
def test_triangles_fill_the_plan_and_fit_together(name):
    """Triangles add up to the plan's area, none is longer than asked, and every inner edge has two triangles."""
    plan = as_polygon(PLANS[name])
    points, triangles = plan_mesh(plan, [plan], 0.9, 4)
    corner = points[triangles]
    area = _areas(corner)
    assert area.sum() == pytest.approx(plan.area, rel=1e-12)
    assert area.min() > 0
    sides = np.linalg.norm(corner - np.roll(corner, -1, axis=1), axis=2)
    assert sides.max() <= 0.9
    cells = np.sort(triangles, axis=1)
    cell, omitted = boundary_faces(cells)
    ends = points[np.stack([np.delete(cells[i], j) for i, j in zip(cell, omitted, strict=True)])]
    assert np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1).sum() == pytest.approx(plan.length, rel=1e-12)


def _areas(corner):
    """Return triangle areas."""
    one, two = (corner[:, 1] - corner[:, 0]).T, (corner[:, 2] - corner[:, 0]).T
    return np.abs(one[0] * two[1] - one[1] * two[0]) / 2


def test_only_corners_that_point_into_the_room_are_graded():
    """The L has one re-entrant corner of 270°, whichever way its corners are listed; a column has four; a box none."""
    for name in ("L", "listed clockwise"):
        corners, angles = reentrant_corners(as_polygon(PLANS[name]))
        np.testing.assert_allclose(corners, [[4, 3]])
        np.testing.assert_allclose(angles, [1.5 * np.pi])
    box = shapely.box(0, 0, 5, 4)
    assert len(reentrant_corners(box)[0]) == 0
    column = shapely.box(0, 0, 5, 4).difference(shapely.box(2, 2, 2.4, 2.4))
    np.testing.assert_allclose(reentrant_corners(column)[1], [1.5 * np.pi] * 4)


def test_each_level_halves_the_cells_at_the_corner():
    """Eight levels make the smallest edge at the L's corner 1/256 of that without."""
    plan = as_polygon(PLANS["L"])
    shortest = []
    for levels in (0, 8):
        points, triangles = plan_mesh(plan, [plan], 1.2, levels)
        at = points[triangles[(np.abs(points[triangles] - [4, 3]).max(axis=2) < 1e-9).any(axis=1)]]
        shortest.append(np.linalg.norm(at - np.roll(at, -1, axis=1), axis=2).max())
    assert shortest[1] <= shortest[0] / 128


@pytest.mark.parametrize(
    ("planes", "expected_faces"),
    [
        ([[[0, 0, 2.0], [6, 0, 2.0], [0, 5.5, 3.0]]], 1),
        ([[[0, 0, 2.0], [6, 0, 2.0], [0, 2.75, 3.4]], [[0, 5.5, 2.0], [6, 5.5, 2.0], [0, 2.75, 3.4]]], 2),
        (
            [
                [[0, 0, 2.0], [6, 0, 2.0], [0, 3, 4]],
                [[0, 5.5, 2.0], [6, 5.5, 2.0], [0, 3, 4]],
                [[0, 0, 2.6], [1, 0, 2.6], [0, 1, 2.6]],
            ],
            3,
        ),
        (
            [
                [[0, 0, 2], [0, 5, 2], [3, 0, 4]],
                [[6, 0, 2], [6, 5, 2], [3, 0, 4]],
                [[0, 0, 2], [6, 0, 2], [0, 3, 4]],
                [[0, 5.5, 2], [6, 5.5, 2], [0, 3, 4]],
            ],
            None,
        ),
    ],
    ids=["lean-to", "gable", "gable with flat top", "hipped"],
)
def test_tetrahedra_fill_the_room_under_its_planes(planes, expected_faces):
    """Volume is the integral of the lowest plane over the plan, and no top face crosses a crease."""
    plan = as_polygon(PLANS["L"])
    coefficients = plane_coefficients(planes)
    faces = crease_faces(plan, coefficients)
    if expected_faces:
        assert len(faces) == expected_faces
    solid = extrude(plan, planes, longest_m=1.4)
    corner = solid.points[solid.cells]
    volume = np.abs(np.linalg.det(corner[:, 1:] - corner[:, :1])) / 6
    exact = 0.0
    for face in faces:
        middle = np.array(face.centroid.coords)
        exact += face.area * ceiling_height(coefficients, middle)[0]
    assert sum(face.area for face in faces) == pytest.approx(plan.area, rel=1e-6)
    assert volume.sum() == pytest.approx(exact, rel=1e-6)
    assert volume.min() > 1e-9
    np.testing.assert_array_less(solid.points[:, 2], ceiling_height(coefficients, solid.points[:, :2]) + 1e-9)


def test_an_attic_may_come_down_to_the_floor():
    """A ceiling that meets the floor along a wall leaves tetrahedra of positive volume that fill half a box."""
    solid = extrude(
        [[0, 0], [4, 0], [4, 3], [0, 3]], [[[0, 0, 0.0], [4, 0, 0.0], [0, 3, 3.0]]], longest_m=1.5
    )
    corner = solid.points[solid.cells]
    volume = np.abs(np.linalg.det(corner[:, 1:] - corner[:, :1])) / 6
    assert volume.sum() == pytest.approx(18.0, rel=1e-9)
    assert volume.min() > 1e-9


def test_bad_plans_and_ceilings_are_refused():
    """An outline that crosses itself, a ceiling below the floor and a plane without slope direction are told."""
    with pytest.raises(ValueError, match="not a simple outline"):
        as_polygon([[0, 0], [4, 4], [4, 0], [0, 4]])
    with pytest.raises(ValueError, match="below the floor; cut the floor plan there"):
        extrude([[0, 0], [4, 0], [4, 3], [0, 3]], [[[0, 0, 2.0], [4, 0, -1.0], [0, 3, 2.0]]])
    with pytest.raises(ValueError, match="stand above one line"):
        plane_coefficients([[[0, 0, 2], [1, 0, 2], [2, 0, 2]]])


def test_walls_are_numbered_from_the_first_corner():
    """Wall i runs from corner i to corner i + 1 as listed, and a point on it is given to it."""
    plan = as_polygon(PLANS["L"])
    ends = wall_ends(plan)
    np.testing.assert_allclose(ends[:, 0], PLANS["L"])
    np.testing.assert_array_equal(nearest_wall(plan, ends.mean(axis=1)), np.arange(6))
