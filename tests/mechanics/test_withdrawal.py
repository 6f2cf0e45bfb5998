"""Withdrawal against NDS 2018 and published worked examples."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from notelint.mechanics.withdrawal import lag_withdrawal, nail_withdrawal, screw_withdrawal


@pytest.mark.parametrize("gravity, diameter, printed", [(0.50, 0.131, 32), (0.42, 0.162, 26)])
def test_nail_withdrawal_is_the_printed_cell(gravity: float, diameter: float, printed: float) -> None:
    """NDS 2018 Table 12.2C, lb/in, printed to 1 lb."""
    assert round(nail_withdrawal(gravity, diameter, 1.0).value) == printed


@pytest.mark.parametrize(
    "gravity, each",
    [
        # NDS 2018 Eq. 12.2-3, unrounded, lb/in: 8d, 10d, 16d common
        (0.55, (40.56, 45.82, 50.15)),
        (0.50, (31.96, 36.10, 39.52)),
        (0.46, (25.94, 29.31, 32.08)),
        (0.43, (21.92, 24.76, 27.11)),
        (0.42, (20.67, 23.35, 25.56)),
    ],
)
def test_nail_withdrawal_by_the_equation(gravity: float, each: tuple[float, ...]) -> None:
    found = [nail_withdrawal(gravity, diameter, 1.0).value for diameter in (0.131, 0.148, 0.162)]
    assert found == pytest.approx(each, abs=0.01)


def test_8d_through_steel_into_spf() -> None:
    """AWC solved example E2.1a: 2.395 in of an 8d common in SPF, 49.5 lb."""
    found = nail_withdrawal(0.42, 0.131, 2.5 - 0.105)
    assert found.value == pytest.approx(49.5, rel=0.001)
    assert "20.67 lb/in" in found.lines[0]


def test_8d_of_roof_sheathing_under_wind() -> None:
    """FEMA P-55 (2011) Example 9.1: 66 lb a nail, 2 in in wood of G = 0.42, times 1.6."""
    assert nail_withdrawal(0.42, 0.131, 2.0, duration=1.6).value == pytest.approx(66, rel=0.01)


def test_half_inch_lag_in_southern_pine() -> None:
    """AWC solved example E2.3: 2-3/16 in of thread, 955 lb."""
    assert lag_withdrawal(0.55, 0.5, 4 - 1.5 - 0.3125).value == pytest.approx(955.0, rel=0.001)


def test_wood_screw_by_the_equation() -> None:
    """NDS 2018 Eq. 12.2-2: 2850 x 0.50^2 x 0.190 = 135.4 lb/in."""
    assert screw_withdrawal(0.50, 0.190, 1.0).value == pytest.approx(135.4, abs=0.05)


def test_toe_nail_holds_two_thirds() -> None:
    """NDS 2018 12.5.4: 0.67."""
    assert nail_withdrawal(0.5, 0.131, 1.5, toe_nail=True).value == pytest.approx(0.67 * nail_withdrawal(0.5, 0.131, 1.5).value)


def test_no_depth_holds_nothing() -> None:
    assert nail_withdrawal(0.5, 0.131, -0.25).value == 0


@given(st.floats(0.3, 0.7), st.floats(0.09, 0.3), st.floats(0, 3), st.floats(0, 3))
def test_deeper_holds_more_in_proportion(gravity: float, diameter: float, one: float, other: float) -> None:
    together = nail_withdrawal(gravity, diameter, one + other).value
    apart = nail_withdrawal(gravity, diameter, one).value + nail_withdrawal(gravity, diameter, other).value
    assert together == pytest.approx(apart)
