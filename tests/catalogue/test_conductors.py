"""Conductor sizes against published tables."""

import pytest

from seatfield.catalogue.conductors import (
    GAUGES,
    IEC_60228_CLASS_5_OHM_PER_KM,
    METRIC,
    STRANDING,
    conductor_size,
    gauge_area_mm2,
    gauge_diameter_mm,
    gauge_size,
    metric_size,
    nearest_in,
)

# NBS Handbook 100, Copper Wire Tables, as a university's physics pages print it: gauge, mm, ohm per 1000 ft at 20 °C.
HANDBOOK_100 = [
    (10, 2.588, 0.9989),
    (11, 2.305, 1.260),
    (12, 2.053, 1.588),
    (13, 1.828, 2.003),
    (14, 1.628, 2.525),
    (15, 1.450, 3.184),
    (16, 1.291, 4.016),
    (17, 1.150, 5.064),
    (18, 1.024, 6.385),
    (19, 0.9116, 8.051),
    (20, 0.8118, 10.15),
]


@pytest.mark.parametrize(("gauge", "diameter_mm", "ohm_per_thousand_feet"), HANDBOOK_100)
def test_gauges_equal_the_copper_wire_tables_within_a_thousandth(gauge, diameter_mm, ohm_per_thousand_feet):
    assert gauge_diameter_mm(gauge) == pytest.approx(diameter_mm, rel=1e-3)
    assert gauge_size(gauge).nominal_ohm_per_m * 304.8 == pytest.approx(ohm_per_thousand_feet, rel=1e-3)


def test_gauge_4_0_is_0_46_inch():
    # ASTM B258 fixes both ends of the series.
    assert gauge_diameter_mm(-3) == pytest.approx(0.46 * 25.4)
    assert gauge_diameter_mm(36) == pytest.approx(0.005 * 25.4)


# IEC 60228:2004, class 5, plain copper, maximum ohm/km at 20 °C, from a cable engineer's reprint of the table.
@pytest.mark.parametrize(
    ("area_mm2", "ohm_per_km"),
    [(0.5, 39.0), (0.75, 26.0), (1, 19.5), (1.5, 13.3), (2.5, 7.98), (4, 4.95), (6, 3.30), (10, 1.91)],
)
def test_metric_sizes_equal_the_cable_standard(area_mm2, ohm_per_km):
    size = metric_size(area_mm2)
    assert size.design_ohm_per_m * 1000 == pytest.approx(ohm_per_km, rel=1e-3)
    assert size.is_maximum
    assert size.nominal_ohm_per_m < size.design_ohm_per_m


def test_flexible_two_and_a_half_square_is_a_14_gauge_not_a_13():
    # 7.98 ohm/km against 8.285 for solid 14 AWG and 6.571 for solid 13 AWG.
    assert nearest_in(GAUGES, metric_size(2.5).design_ohm_per_m).name == "14 AWG"
    assert (
        gauge_size(13).nominal_ohm_per_m
        < metric_size(2.5).design_ohm_per_m
        < gauge_size(14).nominal_ohm_per_m
    )


def test_a_stranded_gauge_resists_more_than_solid_by_the_stated_factor():
    # NEC chapter 9, table 8, 75 °C: 14 AWG solid 3.07, stranded 3.14 ohm per 1000 ft: 2.3 %.
    size = gauge_size(14)
    assert size.design_ohm_per_m / size.nominal_ohm_per_m == pytest.approx(STRANDING)
    assert pytest.approx(3.14 / 3.07, abs=5e-3) == STRANDING
    assert not size.is_maximum


def test_an_unlisted_metric_size_takes_its_limit_from_the_next_smaller():
    assert metric_size(3.0).design_ohm_per_m == pytest.approx(7.98e-3 * 2.5 / 3)
    assert "in proportion" in metric_size(3.0).source


@pytest.mark.parametrize(
    ("name", "area"), [("14 AWG", 2.08), ("2/0 AWG", 67.4), ("2.5 mm2", 2.5), ("0.75 mm2", 0.75)]
)
def test_sizes_are_found_by_the_name_in_the_project_file(name, area):
    size = conductor_size(name, area)
    assert size.name == name
    assert size.area_mm2 == pytest.approx(area, rel=2e-3)


def test_copper_clad_aluminium_of_a_size_resists_half_as_much_again():
    copper, clad = conductor_size("14 AWG", 2.08), conductor_size("14 AWG", 2.08, "copper-clad aluminium")
    assert 1.5 < clad.design_ohm_per_m / copper.design_ohm_per_m < 1.65
    assert "B566" in clad.source


def test_an_unknown_metal_is_named():
    with pytest.raises(ValueError, match=r"'silver' is given; known are copper"):
        conductor_size("14 AWG", 2.08, "silver")


def test_lists_run_from_thin_to_thick():
    for sizes in (GAUGES, METRIC):
        resistances = [size.design_ohm_per_m for size in sizes]
        assert resistances == sorted(resistances, reverse=True)
    assert set(IEC_60228_CLASS_5_OHM_PER_KM) > {size.area_mm2 for size in METRIC}


def test_area_is_that_of_the_gauges_circle():
    assert gauge_area_mm2(10) == pytest.approx(5.261, rel=1e-3)
