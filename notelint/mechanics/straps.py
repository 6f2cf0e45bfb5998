"""Straps across a floor: what is left of a strap on each stud, against its nails."""

from __future__ import annotations

import math
from collections.abc import Sequence

from notelint.mechanics.worked import Layer, Worked, named, plain, plural, total
from notelint.trade.inches import inches

_ROUNDING_IN = 1e-6


class StrapReach(Worked):
    """Strap on each stud in inches, against the length its nails take up."""

    each_in: float
    needed_in: float
    nails_that_fit: int
    reaches: bool


def strap_reach(
    length_in: float, crossing: Sequence[Layer], nails_each_end: int, spacing_in: float, *, rows: int = 1, end_distance_in: float = 0.0
) -> StrapReach:
    """(length - what the strap crosses) / 2 on each stud, against the nails of one end at their spacing. Plain arithmetic.

    `crossing` holds the floor's depth, its sheathing and the plates; nails stand in `rows` side by side; `end_distance_in` is kept
    free at the strap's end and again at the stud's end. Inches. Raises ValueError for a spacing or row count of zero or less.
    """
    if spacing_in <= 0 or rows < 1:
        raise ValueError(f"nails stand at a spacing above zero in at least one row, not {spacing_in} in, {rows} rows")
    clear = total(crossing)
    each = (length_in - clear) / 2
    spaces = max(0, math.ceil(nails_each_end / rows) - 1)
    needed = spaces * spacing_in + 2 * end_distance_in
    fit = _nails_that_fit(each, spacing_in, rows, end_distance_in)
    reaches = fit >= nails_each_end
    lines = (
        f"({inches(length_in)} in - ({' + '.join(named(layer) for layer in crossing)})) / 2 = {plain(each)} in of strap on each stud",
        _needed_line(nails_each_end, spacing_in, rows, end_distance_in, spaces, needed),
        f"{plain(max(each, 0.0))} in takes {plural(fit, 'nail')} of {nails_each_end}" if not reaches else "the nails fit",
    )
    return StrapReach(each_in=each, needed_in=needed, nails_that_fit=fit, reaches=reaches, lines=lines)


def _nails_that_fit(each_in: float, spacing_in: float, rows: int, end_distance_in: float) -> int:
    room = each_in - 2 * end_distance_in
    if room < -_ROUNDING_IN or each_in <= 0:
        return 0
    return (math.floor(room / spacing_in + _ROUNDING_IN) + 1) * rows


def _needed_line(nails: int, spacing_in: float, rows: int, end_in: float, spaces: int, needed_in: float) -> str:
    ranks = "in one row" if rows == 1 else f"in {rows} rows"
    ends = f" + 2 x {inches(end_in)} in end distance" if end_in else ""
    sums = f"{spaces} x {inches(spacing_in)} in{ends}"
    return f"{plural(nails, 'nail')} at {inches(spacing_in)} in {ranks}: {sums} = {plain(needed_in)} in needed"
