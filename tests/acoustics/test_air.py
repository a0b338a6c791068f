"""Air against tabulated values."""

import numpy as np
import pytest

from seatfield.acoustics import air_density, speed_of_sound


def test_speed_of_sound_is_that_of_iso_9613():
    """ISO 9613-1 gives 331.286, 337.296, 343.200, 346.114 and 349.005 m/s at 0, 10, 20, 25 and 30 °C."""
    speed = speed_of_sound([0, 10, 20, 25, 30])
    np.testing.assert_allclose(speed, [331.286, 337.296, 343.2, 346.114, 349.005], atol=6e-4)


def test_density_is_that_of_dry_air():
    """CIPM-81/91: 1.2930, 1.2046 and 1.1647 kg/m³ for dry air at 0, 20 and 30 °C; an ideal gas is within 0.1 %."""
    np.testing.assert_allclose(air_density([0, 20, 30]), [1.2930, 1.2046, 1.1647], rtol=1e-3)


def test_a_temperature_in_kelvin_is_refused():
    """A temperature outside the formula's range is refused with the range."""
    with pytest.raises(ValueError, match="from −20 to 50 °C"):
        speed_of_sound(293)
