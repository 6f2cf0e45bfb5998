"""Pounds a member against pounds a foot of wall. Plain arithmetic."""

from __future__ import annotations

from notelint.mechanics.worked import Amount, plain, pounds
from notelint.trade.inches import inches

_INCHES_A_FOOT = 12


def pounds_per_member(load_plf: float, spacing_in: float) -> Amount:
    """Pounds at each member, from pounds a foot and the members' spacing in inches."""
    value = load_plf * spacing_in / _INCHES_A_FOOT
    line = f"{plain(load_plf, 1)} plf x {inches(spacing_in)} in / 12 = {pounds(value)} at each"
    return Amount(value=value, unit="lb", lines=(line,))


def pounds_per_foot(load_lb: float, spacing_in: float) -> Amount:
    """Pounds a foot of wall, from pounds at each member and their spacing in inches. Raises ValueError for a spacing of 0 or less."""
    if spacing_in <= 0:
        raise ValueError(f"a spacing is above zero, not {spacing_in}")
    value = load_lb * _INCHES_A_FOOT / spacing_in
    line = f"{pounds(load_lb)} x 12 / {inches(spacing_in)} in = {plain(value, 1)} plf"
    return Amount(value=value, unit="plf", lines=(line,))
