"""Spacings, shrinkage, and loads a foot or a member."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from notelint.mechanics.chain import fasteners_capacity, link_check, needs_connectors, tie_demand, wall_uplift
from notelint.mechanics.conversions import pounds_per_foot, pounds_per_member
from notelint.mechanics.shrinkage import dried_size, floor_shrinkage, shrinkage_from_green_percent
from notelint.mechanics.spacing import common_spacing, line_up, spaces_in
from notelint.mechanics.worked import Layer
from notelint.trade.tables import roof_uplift, shrinkage_coefficient

modules = st.sampled_from([8.0, 12.0, 13.5, 16.0, 19.2, 24.0, 32.0, 48.0, 72.0])


@pytest.mark.parametrize(
    "a, b, every",
    [(12, 16, 48), (16, 24, 48), (12, 24, 24), (16, 19.2, 96), (19.2, 24, 96), (12, 19.2, 96)],
)
def test_layouts_meet_at_their_common_multiple(a: float, b: float, every: float) -> None:
    """Arithmetic: least common multiple of the two spacings, in."""
    assert common_spacing(a, b) == every == common_spacing(b, a)


@pytest.mark.parametrize("spacing, spaces", [(12, 8), (16, 6), (19.2, 5), (24, 4)])
def test_module_divides_an_eight_foot_panel(spacing: float, spaces: int) -> None:
    """Arithmetic: whole spaces on a 96 in panel."""
    assert spaces_in(96, spacing) == spaces


def test_spacing_that_does_not_divide_is_none() -> None:
    assert spaces_in(96, 20) is None


@pytest.mark.parametrize(
    "over, under, every, missing, members, worst",
    [
        (24, 16, 48, 1, 2, 8),
        (16, 16, 16, 0, 1, 0),
        (48, 16, 48, 0, 1, 0),
        (24, 12, 24, 0, 1, 0),
        (32, 16, 32, 0, 1, 0),
        (16, 24, 48, 2, 3, 8),
        (12, 16, 48, 3, 4, 8),
        (12, 24, 24, 1, 2, 12),
        (19.2, 24, 96, 4, 5, 9.6),
        (19.2, 16, 96, 4, 5, 6.4),
    ],
)
def test_members_above_land_on_members_below(over: float, under: float, every: float, missing: int, members: int, worst: float) -> None:
    """Arithmetic; 16 and 19.2 over 24 are the published worst distances 8 and 9.6 in."""
    found = line_up(over, under)
    assert (found.every_in, found.missing, found.members) == (every, missing, members)
    assert found.worst_in == pytest.approx(worst)
    assert found.all_land is (missing == 0)


def test_trusses_over_studs_are_put_in_words() -> None:
    words = line_up(24, 16).lines[0]
    assert words == "trusses at 24 in and studs at 16 in meet every 48 in: one of two trusses lands between studs, up to 8 in off"


@pytest.mark.parametrize(
    "over, under, within",
    [(19.2, 24, False), (24, 24, True), (48, 24, True), (16, 24, None), (24, 16, None)],
)
def test_five_inch_limit_where_the_clause_applies(over: float, under: float, within: bool | None) -> None:
    """IRC R602.3.3: members over 16 in on centre on studs at 24 in."""
    assert line_up(over, under).within_code is within


@pytest.mark.parametrize("spacing", [0.0, -16.0, float("nan"), float("inf"), 1e-9])
def test_spacing_must_be_above_zero(spacing: float) -> None:
    with pytest.raises(ValueError, match="spacing"):
        line_up(spacing, 16)


@given(modules, modules)
def test_lining_up_is_a_matter_of_the_quotient(over: float, under: float) -> None:
    found = line_up(over, under)
    assert found.all_land is (spaces_in(over, under) is not None)
    assert found.worst_in <= under / 2 + 1e-9
    assert found.missing < found.members
    assert found.every_in == common_spacing(under, over)


@given(modules, modules, st.integers(2, 5))
def test_larger_layout_of_the_same_shape_misses_as_many(over: float, under: float, times: int) -> None:
    small, large = line_up(over, under), line_up(over * times, under * times)
    assert (small.missing, small.members) == (large.missing, large.members)
    assert large.every_in == pytest.approx(small.every_in * times)


def test_joist_by_the_rule_of_one_percent_for_four() -> None:
    """Western Lumber Grading Rules 1991, 4.00: 2x10 from 19 to 8 percent loses 0.254 in."""
    assert floor_shrinkage([Layer("joist", 9.25)], 19, 8).value == pytest.approx(0.254, abs=0.001)


def test_joist_by_the_width_equation() -> None:
    """FPL-RP-489 (1989): the same joist is 9.0269 in at 8 percent."""
    assert dried_size(9.25, 19, 8).value == pytest.approx(9.0269, abs=0.0001)


@pytest.mark.parametrize("face, percent", [("width", 2.806), ("thickness", 2.347)])
def test_green_lumber_at_fifteen_percent(face: str, percent: float) -> None:
    """FPL-RP-489 (1989), check values; PS 20-70 gives 2.8 and 2.35."""
    assert shrinkage_from_green_percent(15, face=face) == pytest.approx(percent, abs=0.001)


def test_one_platform_by_the_average_coefficient() -> None:
    """0.002 a percent (mean of the FPL-RP-489 equations): 2x10 and three plates from 19 to 12 percent lose 0.1925 in."""
    average = shrinkage_coefficient("framing lumber, average", "across the grain")
    assert average is not None and average.verified
    found = floor_shrinkage([Layer("joist", 9.25), Layer("plates", 4.5)], 19, 12, average)
    assert found.value == pytest.approx(0.1925)


def test_douglas_fir_coefficient_is_the_published_one() -> None:
    """USDA Wood Handbook GTR-190 Table 13-5: 0.00267 tangential."""
    found = shrinkage_coefficient("Douglas-fir, coast", "tangential")
    assert found is not None and found.verified and found.per_percent == 0.00267


def test_moisture_above_fiber_saturation_does_not_count() -> None:
    """FPL-RP-489: fiber saturation 28 percent."""
    floor = [Layer("joist", 9.25)]
    wet = floor_shrinkage(floor, 40, 12)
    assert wet.value == pytest.approx(floor_shrinkage(floor, 28, 12).value)
    assert "not counted" in wet.lines[-1]


@given(st.floats(0.5, 24), st.floats(5, 35), st.floats(5, 35))
def test_drying_and_wetting_are_opposite(size: float, one: float, other: float) -> None:
    floor = [Layer("joist", size)]
    assert floor_shrinkage(floor, one, other).value == pytest.approx(-floor_shrinkage(floor, other, one).value)


def test_roof_uplift_a_foot_and_a_truss() -> None:
    """FLASH Blueprint for Safety: 50 psf less 10 psf on half of 30 ft is 600 plf, 1,200 lb at trusses 2 ft apart."""
    plf = (50 - 10) * 30 / 2
    found = pounds_per_member(plf, 24)
    assert (plf, found.value, found.unit) == (600, 1200, "lb")
    assert found.lines == ("600 plf x 24 in / 12 = 1,200 lb at each",)


def test_code_chain_from_the_uplift_table_to_the_wall_below() -> None:
    """IRC 2018 Table R802.11 and R602.3.5: 240 lb at 24 in is 120 plf, over 100; 60 plf under one full wall."""
    cell = roof_uplift(115, "B", 24, 36, steep=False)
    assert cell is not None
    top, below = wall_uplift(cell.uplift_lb, cell.spacing_in), wall_uplift(cell.uplift_lb, cell.spacing_in, walls_above=1)
    assert (top.value, below.value) == (120, 60)
    assert needs_connectors(top.value) and not needs_connectors(below.value)
    assert not needs_connectors(100)


def test_wall_uplift_is_never_below_zero() -> None:
    assert wall_uplift(100, 24, walls_above=3).value == 0


def test_demand_scales_with_the_ties_that_are_left_out() -> None:
    """Arithmetic: 620 lb at 24 in is 1,240 lb where every second member is tied."""
    found = tie_demand(620, 24, 48)
    assert found.value == 1240
    assert found.lines == ("620 lb x 48 in / 24 in = 1,240 lb at each tie",)


@pytest.mark.parametrize(
    "capacity, demand, tie, member, enough, short",
    [(700, 620, None, None, True, 0), (600, 620, None, None, False, 20), (700, 620, 48, 24, False, 540), (620, 620, 24, 24, True, 0)],
)
def test_link_is_checked_at_its_own_spacing(
    capacity: float, demand: float, tie: float | None, member: float | None, enough: bool, short: float
) -> None:
    found = link_check(capacity, demand, tie_spacing_in=tie, member_spacing_in=member)
    assert found.enough is enough and found.short_by_lb == pytest.approx(short)


def test_equal_fasteners_add_up() -> None:
    assert fasteners_capacity(7, 188.8).value == pytest.approx(1321.6)


@pytest.mark.parametrize("spacing", [0.0, -24.0])
def test_loads_need_a_spacing(spacing: float) -> None:
    with pytest.raises(ValueError, match="above zero"):
        pounds_per_foot(100, spacing)
    with pytest.raises(ValueError, match="above zero"):
        tie_demand(100, 24, spacing)


@given(st.floats(0, 5000), st.floats(1, 96))
def test_pounds_a_foot_and_pounds_a_member_are_one_load(load: float, spacing: float) -> None:
    assert pounds_per_member(pounds_per_foot(load, spacing).value, spacing).value == pytest.approx(load)
