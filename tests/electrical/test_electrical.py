"""Cable resistance and its effect, against worked examples and closed forms."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatfield.catalogue.conductors import gauge_area_mm2
from seatfield.electrical import (
    COPPER,
    COPPER_CLAD_ALUMINIUM,
    at_temperature_ohm,
    cold_reading,
    damping_factor,
    inductance_loss_db,
    level_loss_db,
    longest_run_m,
    loop_resistance_ohm,
    lowest_impedance_ohm,
    parallel_ohm,
    resistance_ohm_per_m,
    ripple_db,
)

SIXTEEN_OHM_PER_M = resistance_ohm_per_m(gauge_area_mm2(16))


def test_ten_metres_of_solid_16_awg_lose_what_the_worked_example_says():
    # Worked by hand from ASTM B258 and IEC 60028: 0.2635 ohm there and back; 0.281, 0.350, 0.554 and 0.687 dB.
    loop = loop_resistance_ohm(10, SIXTEEN_OHM_PER_M)
    assert loop == pytest.approx(0.2635, rel=1e-3)
    losses = [level_loss_db(loop, load) for load in (8, 6.4, 4, 3.2)]
    assert losses == pytest.approx([0.281, 0.350, 0.554, 0.687], abs=6e-4)


def test_damping_at_the_loudspeaker_counts_amplifier_and_cable():
    # IEC 60268-3's definition: 8 / (0.04 + 0.2635) = 26.4.
    assert damping_factor(8, 0.04, 0.2635) == pytest.approx(26.4, abs=0.05)


def test_ripple_of_a_load_that_swings_is_the_worked_example():
    # 0.4 ohm of cable, load from 6.4 to 40 ohm: 20 lg(6.8/6.4) − 20 lg(40.4/40) = 0.440 dB.
    assert ripple_db(0.4, 6.4, 40) == pytest.approx(0.440, abs=5e-4)


def test_inductance_of_ten_metres_adds_little_at_twenty_kilohertz():
    # 0.6 µH/m × 10 m is 0.754 ohm at 20 kHz and adds 0.036 dB to the 0.281 dB of resistance.
    added = inductance_loss_db(0.2635, 6e-6, 8, 20e3) - level_loss_db(0.2635, 8)
    assert added == pytest.approx(0.036, abs=6e-4)


def test_inductance_loss_without_inductance_is_the_level_loss():
    assert inductance_loss_db(0.3, 0, 6.4, 1e3) == pytest.approx(level_loss_db(0.3, 6.4))


def test_parallel_loads_add_as_conductances():
    # Closed form: 8‖8 = 4 and 8‖6 = 24/7.
    assert parallel_ohm(8, 8) == pytest.approx(4)
    assert parallel_ohm(8, 6) == pytest.approx(24 / 7)


def test_a_short_among_parallel_loads_is_refused():
    with pytest.raises(ValueError, match=r"each above zero"):
        parallel_ohm(8, 0)


def test_lowest_impedance_follows_the_loudspeaker_standard():
    # IEC 60268-5, clause 16.1: 8 → 6.4 and 4 → 3.2 ohm.
    assert [lowest_impedance_ohm(z) for z in (8, 4)] == pytest.approx([6.4, 3.2])


def test_hot_copper_resists_more_by_its_temperature_coefficient():
    # NEC chapter 9, table 8: solid 14 AWG has 3.07 ohm per 1000 ft at 75 °C; ASTM B258 gives 2.525 at 20 °C.
    per_thousand_feet = resistance_ohm_per_m(gauge_area_mm2(14)) * 304.8
    assert at_temperature_ohm(per_thousand_feet, 75) == pytest.approx(3.07, rel=2e-3)


def test_correction_to_sixty_degrees_agrees_with_the_cable_standard():
    # IEC 60228, correction table: 0.862 at 60 °C and 1.042 at 10 °C, rounded coefficients.
    assert 1 / at_temperature_ohm(1, 60) == pytest.approx(0.862, abs=3e-3)
    assert 1 / at_temperature_ohm(1, 10) == pytest.approx(1.042, abs=3e-3)


def test_copper_clad_aluminium_resists_more_in_the_ratio_of_conductivities():
    # ASTM B566 class 10A: at least 62.9 % of annealed copper; a mill's table gives 0.02743 ohm mm²/m for it.
    ratio = resistance_ohm_per_m(1, COPPER_CLAD_ALUMINIUM) / resistance_ohm_per_m(1, COPPER)
    assert ratio == pytest.approx(1 / 0.629)
    assert resistance_ohm_per_m(1, COPPER_CLAD_ALUMINIUM) == pytest.approx(0.02743, rel=1e-3)


@pytest.mark.parametrize(
    ("area", "stranding", "match"), [(0, 1, "cross-section"), (1, 0.9, "stranding factor")]
)
def test_impossible_conductors_are_refused(area, stranding, match):
    with pytest.raises(ValueError, match=match):
        resistance_ohm_per_m(area, stranding=stranding)


def test_longest_run_of_18_awg_by_five_per_cent():
    # The trade's table has 16, 24 and 32 ft for 4, 6 and 8 ohm; computed 4.77, 7.16 and 9.55 m.
    per_m = resistance_ohm_per_m(gauge_area_mm2(18))
    runs = [longest_run_m(per_m, load, 0.05) for load in (4, 6, 8)]
    assert runs == pytest.approx([4.77, 7.16, 9.55], abs=6e-3)
    assert [run / 0.3048 for run in runs] == pytest.approx([16, 24, 32], rel=0.05)


@given(st.floats(1e-4, 0.1), st.floats(2, 16), st.floats(0.01, 0.2))
def test_a_run_at_its_longest_has_exactly_the_share(per_m, load, share):
    longest = longest_run_m(per_m, load, share)
    assert loop_resistance_ohm(longest, per_m) / load == pytest.approx(share)


@given(st.floats(0.001, 5), st.floats(2, 8), st.floats(0, 60))
def test_loss_grows_with_cable_and_ripple_is_never_negative(cable, lowest, rise):
    assert level_loss_db(cable * 1.1, lowest) > level_loss_db(cable, lowest) > 0
    assert ripple_db(cable, lowest, lowest + rise) >= 0


def test_cold_reading_uses_the_loudspeakers_own_resistance_where_known():
    reading = cold_reading(0.4, nominal_ohm=8, dc_ohm=5.6)
    assert (reading.low_ohm, reading.high_ohm) == pytest.approx((0.4 + 5.04, 0.4 + 6.16))


def test_cold_reading_of_an_unknown_loudspeaker_is_a_share_of_its_nominal_impedance():
    # Common practice: 0.6 to 0.85 of nominal.
    reading = cold_reading(0.2, nominal_ohm=8)
    assert (reading.low_ohm, reading.high_ohm) == pytest.approx((5.0, 7.0))


def test_a_capacitor_fed_loudspeaker_reads_open():
    reading = cold_reading(0.2, nominal_ohm=8, dc_ohm=5.6, series_capacitor=True)
    assert reading.low_ohm is None
    assert reading.high_ohm is None
