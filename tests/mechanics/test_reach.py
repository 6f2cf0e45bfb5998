"""Fasteners, bolts and straps against what they have to pass."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from notelint.mechanics.bolts import bolt_length, embedment_depth, thread_projection
from notelint.mechanics.penetration import comes_through, penetration
from notelint.mechanics.straps import strap_reach
from notelint.mechanics.worked import Layer

SILL = Layer("plate", 1.5)
PLATE_WASHER = Layer("plate washer", 0.229)  # IRC R602.11.1
thicknesses = st.floats(0.25, 12)


def test_penetration_is_length_less_the_side_members() -> None:
    """Published example: 16d common through 1.5 in plate and 0.75 in floor: 1.25 in, 0.972 in needed (NDS 2018 12.1.6.4)."""
    found = penetration(3.5, 0.162, [SILL, Layer("floor panel", 0.75)], into="rim")
    assert found.penetration_in == pytest.approx(1.25)
    assert found.needed_in == pytest.approx(0.972)
    assert found.enough and found.through_in == 0
    assert found.lines[0] == "3-1/2 in fastener - 1-1/2 in plate - 3/4 in floor panel = 1.25 in in the rim"


@pytest.mark.parametrize(
    "length, diameter, sides, enough",
    [
        # NDS 2018 12.1.6.4: 6 D, arithmetic
        (1.5, 0.148, [Layer("gypsum", 0.625), Layer("sheathing", 0.4375)], False),
        (2.5, 0.148, [Layer("gypsum", 0.625), Layer("sheathing", 0.4375)], True),
        (1.5, 0.148, [], True),
        (1.5, 0.148, [Layer("gypsum", 1.5 - 6 * 0.148)], True),  # six diameters to the dot
        (1.5, 0.148, [Layer("shim", 2.0)], False),
    ],
    ids=["two layers", "longer nail", "straight on wood", "just enough", "does not reach"],
)
def test_six_diameters_are_needed(length: float, diameter: float, sides: list[Layer], enough: bool) -> None:
    assert penetration(length, diameter, sides).enough is enough


def test_fastener_that_does_not_reach_is_said_so() -> None:
    assert "does not reach the stud" in penetration(1.0, 0.148, [SILL], into="stud").lines[0]


def test_nail_longer_than_the_members_comes_through() -> None:
    found = penetration(3.5, 0.162, [Layer("strap", 0.06)], holding=Layer("stud", 1.5), behind=[Layer("stud", 1.5)])
    assert found.through_in == pytest.approx(0.44)
    assert "comes 0.44 in through" in found.lines[-1]


@pytest.mark.parametrize("length, out", [(1.5, 0.0), (1.25, 0.0), (2.5, 1.0)])
def test_nail_as_long_as_the_members_does_not_come_through(length: float, out: float) -> None:
    assert comes_through(length, [SILL]) == pytest.approx(out)


@given(st.floats(0.5, 8), st.floats(0.09, 0.3), st.lists(thicknesses, max_size=4), thicknesses)
def test_one_more_side_member_takes_its_thickness(length: float, diameter: float, sides: list[float], more: float) -> None:
    layers = [Layer("side", side) for side in sides]
    before = penetration(length, diameter, layers)
    after = penetration(length, diameter, [*layers, Layer("side", more)])
    assert after.penetration_in == pytest.approx(before.penetration_in - more)
    assert before.enough or not after.enough


def test_bolt_through_one_sill_with_both_washers() -> None:
    """Computed from IRC R403.1.6, R602.11.1, ASME B18.2.2: 7 + 1.5 + 0.229 + 0.109 + 0.4375 + 2/13 = 9.429 in (cut washer from memory)."""
    found = bolt_length(10, 7, 0.5, [SILL], washers=[PLATE_WASHER, Layer("cut washer", 0.109)], threads=2)
    assert found.needed_in == pytest.approx(9.429, abs=0.001)
    assert found.above_in - thread_projection(0.5, 2) == pytest.approx(2.2755)
    assert found.fits and found.short_by_in == 0


def test_bolt_through_a_thick_sill() -> None:
    """Computed, same sources: 7 + 2.5 + 0.229 + 0.134 + 0.547 + 2/11 = 10.592 in: 10 in is short, 12 in fits."""
    washers = [PLATE_WASHER, Layer("cut washer", 0.134)]
    sill = [Layer("sill", 2.5)]
    short = bolt_length(10, 7, 0.625, sill, washers=washers, threads=2)
    assert short.needed_in == pytest.approx(10.592, abs=0.001)
    assert not short.fits and short.short_by_in == pytest.approx(0.592, abs=0.001)
    assert bolt_length(12, 7, 0.625, sill, washers=washers, threads=2).fits


def test_bolt_through_two_plates_is_short_at_ten_inches() -> None:
    """7 + 3.00 + 0.23 + 0.55 = 10.78 in before any thread (IRC R602.11.1 washer, ASME B18.2.2 nut)."""
    found = bolt_length(10, 7, 0.625, [SILL, SILL], washers=[PLATE_WASHER], threads=0)
    assert found.needed_in == pytest.approx(10.78, abs=0.005)
    assert "10.78 in" in found.lines[0] and "0.78 in short" in found.lines[1]


def test_bolt_without_a_stated_washer_counts_a_cut_one_and_says_where_from() -> None:
    found = bolt_length(10, 7, 0.5, [SILL])
    assert found.fits
    assert any("cut washer" in line and "from memory" in line for line in found.lines)
    assert any("ASME B18.2.2" in line for line in found.lines)


def test_bolt_of_no_table_leaves_its_hardware_out_and_says_so() -> None:
    found = bolt_length(9, 7, 1.25, [SILL])
    assert found.needed_in == pytest.approx(8.5) and found.fits
    assert sum("not counted" in line for line in found.lines) == 2


@given(st.floats(4, 24), st.floats(2, 12), st.sampled_from([0.5, 0.625, 0.75]), st.lists(st.just(SILL), max_size=4))
def test_bolt_is_short_by_what_it_lacks(length: float, embedment: float, bolt: float, plates: list[Layer]) -> None:
    found = bolt_length(length, embedment, bolt, plates)
    again = bolt_length(length + found.short_by_in + 1e-9, embedment, bolt, plates)
    assert again.fits
    assert bolt_length(length, embedment, bolt, [*plates, SILL]).needed_in == pytest.approx(found.needed_in + 1.5)


@pytest.mark.parametrize("embedment, concrete, fits", [(7, 6, False), (7, 8, True), (7, 7, True)])
def test_embedment_stays_in_the_concrete(embedment: float, concrete: float, fits: bool) -> None:
    assert embedment_depth(embedment, concrete).fits is fits


FLOOR = [Layer("floor", 14), Layer("sheathing", 0.75), Layer("sole plate", 1.5), Layer("top plates", 3)]


def test_strap_too_short_for_its_nails() -> None:
    """(30 - (14 + 3/4 + 1-1/2 + 3)) / 2 = 5.4 in; ten nails at 2 in take 18 in. Arithmetic."""
    found = strap_reach(30, FLOOR, 10, 2)
    assert found.each_in == pytest.approx(5.375) and found.needed_in == 18
    assert not found.reaches and found.nails_that_fit == 3
    assert (
        found.lines[0]
        == "(30 in - (14 in floor + 3/4 in sheathing + 1-1/2 in sole plate + 3 in top plates)) / 2 = 5.38 in of strap on each stud"
    )


@pytest.mark.parametrize(
    "length, nails, spacing, rows, end, reaches",
    [(60, 10, 2, 1, 0, True), (48, 10, 2, 1, 0, False), (48, 10, 2, 2, 0, True), (55.25, 10, 2, 1, 0, True), (55.25, 10, 2, 1, 1, False)],
    ids=["long", "short", "short but two rows", "to the dot", "to the dot but for end distance"],
)
def test_strap_reaches_where_its_nails_fit(length: float, nails: int, spacing: float, rows: int, end: float, reaches: bool) -> None:
    assert strap_reach(length, FLOOR, nails, spacing, rows=rows, end_distance_in=end).reaches is reaches


def test_end_distance_is_kept_at_both_ends() -> None:
    """Arithmetic: ten nails at 2 in and 1 in free at each end take 20 in."""
    found = strap_reach(60, FLOOR, 10, 2, end_distance_in=1)
    assert found.needed_in == 20
    assert "2 x 1 in end distance = 20 in needed" in found.lines[1]


def test_bolt_that_just_fits_is_not_short() -> None:
    """Arithmetic: 7 + 1.5 + 0.25 in with no nut in the table for 1-1/4 in."""
    found = bolt_length(8.75, 7, 1.25, [SILL], washers=[Layer("plate washer", 0.25)], threads=0)
    assert found.fits and found.short_by_in == 0 and "0 in to spare" in found.lines[1]


def test_strap_shorter_than_the_floor_takes_no_nail() -> None:
    found = strap_reach(18, FLOOR, 4, 2)
    assert found.nails_that_fit == 0 and not found.reaches


@pytest.mark.parametrize("spacing, rows", [(0.0, 1), (-2.0, 1), (2.0, 0)])
def test_strap_with_no_spacing_is_an_error(spacing: float, rows: int) -> None:
    with pytest.raises(ValueError, match="spacing above zero"):
        strap_reach(30, FLOOR, 10, spacing, rows=rows)


@given(st.floats(6, 96), st.integers(1, 30), st.floats(0.5, 4), st.integers(1, 3))
def test_strap_reaches_just_when_all_nails_fit(length: float, nails: int, spacing: float, rows: int) -> None:
    found = strap_reach(length, [Layer("floor", 12)], nails, spacing, rows=rows)
    assert found.reaches is (found.nails_that_fit >= nails)
    assert strap_reach(length + 2, [Layer("floor", 12)], nails, spacing, rows=rows).nails_that_fit >= found.nails_that_fit
