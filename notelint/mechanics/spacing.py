"""Spacings of members that bear on each other: where they line up, and how far off the rest are. Plain arithmetic; IRC R602.3.3."""

from __future__ import annotations

import math
from fractions import Fraction

from notelint.mechanics.worked import Worked, count_word
from notelint.trade.inches import inches
from notelint.trade.tables import minimum

_FINEST = 1000  # spacings are taken to a thousandth of an inch


class LineUp(Worked):
    """Members above against members below, both laid out from one corner."""

    every_in: float  # they meet this often
    members: int  # members above in one such length
    missing: int  # those of them that land on none below
    worst_in: float  # greatest distance of one above to the nearest below
    all_land: bool
    within_code: bool | None  # IRC R602.3.3, None where the clause does not apply


def line_up(over_in: float, under_in: float, *, over: str = "trusses", under: str = "studs") -> LineUp:
    """Whether members at `over_in` land on members at `under_in`, inches on centre, from a common start.

    IRC R602.3.3: members over 16 in on centre on studs at 24 in bear within 5 in of a stud. Raises ValueError for a spacing that is
    not above zero.
    """
    above, below = _exact(over_in), _exact(under_in)
    period = _common_multiple(above, below)
    count = int(period / above)
    off = [_to_nearest(above * number, below) for number in range(count)]
    missing, worst = sum(distance > 0 for distance in off), float(max(off))
    within = _within_code(over_in, under_in, worst)
    return LineUp(
        every_in=float(period),
        members=count,
        missing=missing,
        worst_in=worst,
        all_land=not missing,
        within_code=within,
        lines=_lines(over_in, under_in, (over, under), period, (count, missing), worst, within),
    )


def common_spacing(a_in: float, b_in: float) -> float:
    """The distance in inches at which two layouts from one corner meet again. Plain arithmetic."""
    return float(_common_multiple(_exact(a_in), _exact(b_in)))


def spaces_in(length_in: float, spacing_in: float) -> int | None:
    """How many whole spaces a length holds (8 on a 96 in panel at 12 in); None where it does not come out whole."""
    count = _exact(length_in) / _exact(spacing_in)
    return int(count) if count.denominator == 1 else None


def _exact(spacing_in: float) -> Fraction:
    if not (math.isfinite(spacing_in) and spacing_in > 0):
        raise ValueError(f"a spacing is above zero, not {spacing_in}")
    exact = Fraction(spacing_in).limit_denominator(_FINEST)
    if exact <= 0:
        raise ValueError(f"a spacing of {spacing_in} in is too small to lay out")
    return exact


def _common_multiple(a: Fraction, b: Fraction) -> Fraction:
    return Fraction(math.lcm(a.numerator * b.denominator, b.numerator * a.denominator), a.denominator * b.denominator)


def _to_nearest(place: Fraction, spacing: Fraction) -> Fraction:
    past = place % spacing
    return min(past, spacing - past)


def _within_code(over_in: float, under_in: float, worst_in: float) -> bool | None:
    if over_in <= minimum("stud-alignment-member-spacing").value or under_in < minimum("stud-alignment-stud-spacing").value:
        return None
    return worst_in <= minimum("stud-alignment").value


def _lines(
    over_in: float, under_in: float, names: tuple[str, str], period: Fraction, counts: tuple[int, int], worst_in: float, within: bool | None
) -> tuple[str, ...]:
    over, under = names
    start = f"{over} at {inches(over_in)} in and {under} at {inches(under_in)} in meet every {inches(float(period))} in"
    count, missing = counts
    if not missing:
        return (f"{start}: each of the {over} lands on one of the {under}",)
    verb = "lands" if missing == 1 else "land"
    miss = f"{start}: {count_word(missing)} of {count_word(count)} {over} {verb} between {under}, up to {inches(worst_in)} in off"
    if within is None:
        return (miss,)
    limit = minimum("stud-alignment")
    held = "within" if within else "over"
    return (miss, f"{inches(worst_in)} in is {held} the {inches(limit.value)} in of {limit.cite}")
