"""Lateral values against the cells printed in NDS 2018 and published worked examples."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from notelint.mechanics.lateral import (
    SideMember,
    bolt_lateral,
    concrete_bearing,
    gauge_side,
    nail_lateral,
    steel_side,
    wood_side,
)
from notelint.mechanics.yielding import Bearing, reduction_term, wood_bearing_psi, yield_modes

DF_L, SOUTHERN_PINE, SPF = 0.50, 0.55, 0.42  # NDS 2018 Table 12.3.3A

# NDS 2018 Table 12N, as printed: nail, shank diameter (in), side member (in), specific gravity, Z (lb).
TABLE_12N = [
    ("6d common", 0.113, 0.75, DF_L, 72),
    ("8d common", 0.131, 0.75, DF_L, 90),
    ("10d common", 0.148, 0.75, DF_L, 105),
    ("16d common", 0.162, 0.75, DF_L, 121),
    ("6d common", 0.113, 1.5, DF_L, 72),
    ("8d common", 0.131, 1.5, DF_L, 97),
    ("10d common", 0.148, 1.5, DF_L, 118),
    ("16d common", 0.162, 1.5, DF_L, 141),
    ("16d common", 0.162, 1.5, SOUTHERN_PINE, 154),
    ("16d common", 0.162, 1.5, SPF, 120),
    ("8d box", 0.113, 0.75, DF_L, 72),
    ("16d box", 0.135, 0.75, DF_L, 94),
    ("10d sinker", 0.120, 0.75, DF_L, 80),
    ("16d box", 0.135, 1.5, DF_L, 103),
]
LONG_IN = 6.0  # long enough for a penetration of 10 diameters, as the tables assume


@pytest.mark.parametrize(
    "diameter, side, gravity, printed", [row[1:] for row in TABLE_12N], ids=[f"{r[0]}-{r[2]}-{r[3]}" for r in TABLE_12N]
)
def test_nail_in_wood_is_the_printed_cell(diameter: float, side: float, gravity: float, printed: float) -> None:
    """NDS 2018 Table 12N, within 1 percent."""
    found = nail_lateral(diameter, LONG_IN, gravity, wood_side(side, gravity))
    assert found is not None and found.value_lb == pytest.approx(printed, rel=0.01)


@pytest.mark.parametrize("diameter, gauge, printed", [(0.162, 16, 138), (0.131, 10, 117)], ids=["16d-16ga", "8d-10ga"])
def test_nail_through_sheet_steel_is_the_printed_cell(diameter: float, gauge: int, printed: float) -> None:
    """NDS 2018 Table 12P, G = 0.50, within 1 percent."""
    side = gauge_side(gauge)
    assert side is not None
    found = nail_lateral(diameter, LONG_IN, DF_L, side)
    assert found is not None and found.value_lb == pytest.approx(printed, rel=0.01)


@pytest.mark.parametrize(
    "diameter, gravity, printed",
    [(0.5, DF_L, 650), (0.5, SPF, 590), (0.625, DF_L, 930), (0.625, SPF, 850)],
    ids=["half-DF-L", "half-SPF", "five-eighths-DF-L", "five-eighths-SPF"],
)
def test_sill_bolt_is_the_printed_cell(diameter: float, gravity: float, printed: float) -> None:
    """NDS 2018 Table 12E: 1-1/2 in sill, 6 in embedment, load along the grain; printed to 10 lb."""
    found = bolt_lateral(diameter, concrete_bearing(6), wood_side(1.5, gravity))
    assert found.value_lb == pytest.approx(printed, rel=0.01)


def test_sill_bolts_along_a_wall_under_wind() -> None:
    """650 lb x 1.6 = 1,040 lb; at 6 ft 173.3 plf. NDS 2018 Tables 12E and 2.3.2."""
    found = bolt_lateral(0.5, concrete_bearing(6), wood_side(1.5, DF_L), duration=1.6)
    assert found.value_lb == pytest.approx(1040, rel=0.01)
    assert found.value_lb is not None and found.value_lb / 6 == pytest.approx(173.3, rel=0.01)


def test_bolt_across_the_grain_holds_less() -> None:
    """NDS 2018 Tables 12.3.3 and 12.3.1B."""
    along = bolt_lateral(0.5, concrete_bearing(6), wood_side(1.5, DF_L))
    across = bolt_lateral(0.5, concrete_bearing(6), wood_side(1.5, DF_L), side_angle_deg=90)
    assert along.value_lb and across.value_lb and across.value_lb < 0.7 * along.value_lb


def test_all_six_modes_of_a_published_example() -> None:
    """Published check of NDS 2018 Table 12.3.1A: 16d common, SPF to SPF, unrounded Fe."""
    modes = yield_modes(0.162, Bearing(2.0, 3364.24), Bearing(1.5, 3364.24), 90_000)
    printed = {"Im": 495.5, "Is": 371.6, "II": 182.7, "IIIm": 179.3, "IIIs": 142.5, "IV": 119.84}
    assert modes._asdict() == pytest.approx(printed, rel=0.001)
    assert modes.governing == "IV" and modes.least == pytest.approx(119.84, rel=0.001)


def test_steel_side_and_wood_main_keep_their_own_ratio() -> None:
    """k2 holds (1 + 2 Re), not (2 + Re), in NDS 2018 Table 12.3.1A: they differ where Re is not 1."""
    modes = yield_modes(0.5, Bearing(3.0, 5600), Bearing(0.25, 87_000), 45_000)
    ratio = 5600 / 87_000
    k2 = -1 + (2 * (1 + ratio) + 2 * 45_000 * (1 + 2 * ratio) * 0.25 / (3 * 5600 * 9)) ** 0.5
    assert modes.IIIm == pytest.approx(k2 * 0.5 * 3.0 * 5600 / ((1 + 2 * ratio) * 3.2))


def test_published_awc_example_of_a_10d_common() -> None:
    """AWC solved example: 10d common, 3/4 in side, DF-L, 105.1 lb."""
    bearing = 16600 * 0.5**1.84
    modes = yield_modes(0.148, Bearing(2.25, bearing), Bearing(0.75, bearing), 90_000)
    assert modes.least == pytest.approx(105.1, rel=0.001)


def test_sole_plate_nail_through_a_floor() -> None:
    """Published example (IBC 2006, NDS 2005): 16d common, 1.5 in plate and 0.75 in floor: 1.25 in, ratio 0.7716, 174 lb under wind."""
    found = nail_lateral(0.162, 3.5, DF_L, wood_side(2.25, DF_L), duration=1.6)
    assert found is not None
    assert found.penetration_factor == pytest.approx(0.7716, rel=0.001)
    assert found.value_lb == pytest.approx(174, rel=0.01)
    assert any("0.77" in line and "174 lb" in line for line in found.lines)


def test_lumber_strap_of_a_portal_frame() -> None:
    """Seven 10d common at each end, DF-L, wind: 1,322 lb. APA portal frame guidance, NDS 2018 Table 12N."""
    found = nail_lateral(0.148, LONG_IN, DF_L, wood_side(1.5, DF_L), duration=1.6)
    assert found is not None and found.value_lb is not None
    assert 7 * found.value_lb == pytest.approx(1322, rel=0.01)


@pytest.mark.parametrize(
    "gravity, diameter, printed",
    [
        (0.36, 0.2, 2550),
        (0.42, 0.2, 3350),
        (0.43, 0.2, 3500),
        (0.46, 0.2, 4000),
        (0.50, 0.2, 4650),
        (0.55, 0.2, 5550),
        (0.42, 0.5, 4700),
        (0.43, 0.5, 4800),
        (0.46, 0.5, 5150),
        (0.50, 0.5, 5600),
        (0.55, 0.5, 6150),
    ],
)
def test_bearing_strength_is_the_printed_one(gravity: float, diameter: float, printed: float) -> None:
    """NDS 2018 Table 12.3.3, psi: dowels under 1/4 in, then 1/4 in and more along the grain."""
    assert wood_bearing_psi(gravity, diameter) == printed


@pytest.mark.parametrize("angle, strength", [(0, 5600), (90, 3150), (45, 2 * 5600 * 3150 / (5600 + 3150))])
def test_bearing_strength_turns_with_the_grain(angle: float, strength: float) -> None:
    """NDS 2018 Table 12.3.3, 6100 x 0.50^1.45 / 0.5^0.5 to 50 psi across the grain; 12.3.4 between."""
    assert wood_bearing_psi(0.50, 0.5, angle) == pytest.approx(strength)


@pytest.mark.parametrize("angle, turn", [(0, 1.0), (90, 1.25), (45, 1.125)])
def test_bolt_modes_are_reduced_by_mode_and_angle(angle: float, turn: float) -> None:
    """NDS 2018 Table 12.3.1B from 1/4 in: 4 K, 3.6 K, 3.2 K with K = 1 + 0.25 (angle / 90). Equal members: k1 is (8^0.5 - 2) / 2."""
    member = Bearing(1.5, 5600)
    modes = yield_modes(0.5, member, member, 45_000, angle)
    assert modes.Im == modes.Is == pytest.approx(0.5 * 1.5 * 5600 / (4 * turn))
    second = (8**0.5 - 2) / 2 * 0.5 * 1.5 * 5600 / (3.6 * turn)
    fourth = 0.5**2 / (3.2 * turn) * (2 * 5600 * 45_000 / 6) ** 0.5
    found = (modes.II, modes.IV)
    assert found == pytest.approx((second, fourth))


@pytest.mark.parametrize("diameter, term", [(0.113, 2.2), (0.17, 2.2), (0.177, 2.27), (0.192, 2.42), (0.2, 2.5)])
def test_reduction_term_of_small_dowels(diameter: float, term: float) -> None:
    """NDS 2018 Table 12.3.1B: 2.2 to 0.17 in, then 10 D + 0.5."""
    assert reduction_term(diameter) == pytest.approx(term)


def test_toe_nail_takes_its_factor_and_its_geometry() -> None:
    """NDS 2018 12.5.4: 0.83; 12.3.10.2: side member L/3. A 3/4 in side is under L/3, so only the factor tells."""
    straight = nail_lateral(0.113, LONG_IN, DF_L, wood_side(0.75, DF_L))
    toed = nail_lateral(0.113, LONG_IN, DF_L, wood_side(0.75, DF_L), toe_nail=True)
    assert straight and toed and straight.value_lb
    assert toed.value_lb == pytest.approx(0.83 * straight.value_lb)


def test_toe_nail_reaches_by_its_angle() -> None:
    """NDS 2018 12.1.6.3 and 12.3.10.2: 2.5 cos 30 - 2.5 / 3 = 1.332 in in the main member; the side counts as 2.5 / 3 at most."""
    thick = nail_lateral(0.131, 2.5, SPF, wood_side(1.5, SPF), toe_nail=True)
    third = nail_lateral(0.131, 2.5, SPF, wood_side(2.5 / 3, SPF), toe_nail=True)
    assert thick and third and thick.value_lb == third.value_lb
    assert thick.penetration_factor == 1.0
    short = nail_lateral(0.162, 2.5, SPF, wood_side(1.5, SPF), toe_nail=True)
    assert short and short.penetration_factor == pytest.approx(1.3317 / 1.62, abs=1e-4)


def test_nail_tip_is_taken_off_the_bearing_length() -> None:
    """NDS 2018 12.3.5.3: bearing is the penetration less half of a tip of 2 D: 10 D - D; mode Im shows it."""
    found = nail_lateral(0.162, LONG_IN, DF_L, wood_side(1.5, DF_L))
    assert found is not None
    whole = yield_modes(0.162, Bearing(9 * 0.162, 4650), Bearing(1.5, 4650), 90_000)
    assert f"Im {whole.Im:,.0f}," in " ".join(found.lines)


def test_too_little_penetration_has_no_value() -> None:
    """NDS 2018 12.1.6.4: 6 diameters at least."""
    found = nail_lateral(0.148, 2.3, DF_L, wood_side(1.5, DF_L))
    assert found is not None and found.value_lb is None
    assert "no value" in found.lines[-1]


def test_nail_outside_the_bending_bands_has_no_value() -> None:
    assert nail_lateral(0.072, 2.0, DF_L, wood_side(0.75, DF_L)) is None


def test_side_member_must_be_something() -> None:
    with pytest.raises(ValueError, match="thicker"):
        nail_lateral(0.148, 3.0, DF_L, wood_side(0.0, DF_L))
    with pytest.raises(ValueError, match="specific gravity"):
        nail_lateral(0.148, 3.0, DF_L, SideMember(1.5))


def test_gauge_of_no_table_gives_no_side_plate() -> None:
    assert gauge_side(17) is None


def test_plate_of_a_quarter_inch_counts_as_plate_steel() -> None:
    """NDS 2018 Table 12B footnote 2 and Table 12P footnote 2."""
    assert (steel_side(0.25).steel_psi, steel_side(0.105).steel_psi) == (87_000, 61_850)


gravities = st.floats(0.35, 0.7)
diameters = st.sampled_from([0.099, 0.113, 0.120, 0.128, 0.131, 0.135, 0.148, 0.162, 0.177, 0.192, 0.207])


@given(st.sampled_from([0.113, 0.131, 0.148, 0.162]), gravities, gravities, st.floats(0.5, 3))
def test_denser_wood_never_holds_less(diameter: float, one: float, other: float, side: float) -> None:
    low, high = sorted((one, other))
    soft = nail_lateral(diameter, LONG_IN, low, wood_side(side, low))
    hard = nail_lateral(diameter, LONG_IN, high, wood_side(side, high))
    assert soft and hard and soft.reference_lb <= hard.reference_lb + 1e-6


@given(diameters, gravities, st.floats(0.3, 3), st.floats(0.3, 3))
def test_thicker_side_never_holds_less_by_yielding(diameter: float, gravity: float, one: float, other: float) -> None:
    thin, thick = sorted((one, other))
    first = nail_lateral(diameter, LONG_IN, gravity, wood_side(thin, gravity))
    second = nail_lateral(diameter, LONG_IN, gravity, wood_side(thick, gravity))
    assert first and second and first.reference_lb <= second.reference_lb + 1e-6


@given(diameters, gravities, st.floats(2, 6), st.floats(2, 6))
def test_longer_nail_never_holds_less(diameter: float, gravity: float, one: float, other: float) -> None:
    short, long = sorted((one, other))
    first = nail_lateral(diameter, short, gravity, wood_side(1.5, gravity))
    second = nail_lateral(diameter, long, gravity, wood_side(1.5, gravity))
    assert first and second and (first.value_lb or 0) <= (second.value_lb or 0) + 1e-6


@given(st.floats(0.1, 0.24), st.floats(0.5, 4), st.floats(2000, 8000), st.floats(0.5, 4), st.floats(2000, 8000))
def test_swapping_the_members_swaps_the_modes(diameter: float, lm: float, fm: float, ls: float, fs: float) -> None:
    """NDS 2018 Table 12.3.1A: which member is called main makes no difference to Z in wood to wood."""
    here = yield_modes(diameter, Bearing(lm, fm), Bearing(ls, fs), 90_000)
    there = yield_modes(diameter, Bearing(ls, fs), Bearing(lm, fm), 90_000)
    assert (here.Im, here.IIIm) == pytest.approx((there.Is, there.IIIs))
    assert (here.II, here.IV, here.least) == pytest.approx((there.II, there.IV, there.least))
