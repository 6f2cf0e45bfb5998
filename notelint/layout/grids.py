"""Where ruled tables stand: level rules of one width, one under another, with words between them."""

from __future__ import annotations

import itertools
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from statistics import median
from typing import Any, NamedTuple

import numpy

from notelint.layout.pieces import type_size
from notelint.model import Word

SAME_END = 3.0  # points by which ends of the rules of one table may differ
TALL_ROW = 14.0  # ems; a taller stretch between rules is a drawing's frame unless text fills it
EMPTY_ROWS = 2  # rows in a row that may be blank


class Grid(NamedTuple):
    """A ruled table's outline: its ends, the heights of its full-width rules, and the rules inside."""

    x0: float
    x1: float
    ys: tuple[float, ...]
    inner: tuple[tuple[float, float, float], ...]  # shorter level rules inside: (y, x0, x1)
    upright: tuple[tuple[float, float, float], ...]  # upright rules inside: (x, top, bottom)


class Lined(NamedTuple):
    """Words of a sheet by the height of their middles, for quick looks between two rules."""

    middles: list[float]
    words: list[Word]

    def between(self, top: float, bottom: float, x0: float, x1: float) -> list[Word]:
        """Words whose middle lies in the rectangle."""
        found = self.words[bisect_left(self.middles, top) : bisect_right(self.middles, bottom)]
        return [w for w in found if x0 <= (w.x0 + w.x1) / 2 <= x1]


def lined(words: Sequence[Word]) -> Lined:
    """Level words sorted by height."""
    flat = sorted((w for w in words if w.turn == 0), key=lambda w: (w.top + w.bottom) / 2)
    return Lined([(w.top + w.bottom) / 2 for w in flat], flat)


def grids(across: Any, upright: Any, words: Lined) -> list[Grid]:
    """Outlines of ruled tables among level rules (y, x0, x1) and upright rules (x, top, bottom)."""
    found: list[Grid] = []
    for group in _same_width(across):
        x0, x1 = median(group[:, 1].tolist()), median(group[:, 2].tolist())
        for ys in _runs(_distinct(group[:, 0]), x0, x1, upright, words):
            found.append(_grid(x0, x1, _with_broken(ys, x0, x1, across), across, upright))
    return _outermost(found)


def _same_width(across: Any) -> list[Any]:
    """Level rules grouped by both ends, groups of three and more."""
    groups: list[Any] = []
    for left in _close(across, 1):
        groups.extend(group for group in _close(left, 2) if len(group) >= 3)
    return groups


def _close(lines: Any, column: int) -> list[Any]:
    """Rows parted wherever the sorted values of a column lie further apart than ends of one table do."""
    if not len(lines):
        return []
    lines = lines[numpy.argsort(lines[:, column], kind="stable")]
    cuts = numpy.flatnonzero(numpy.diff(lines[:, column]) > SAME_END) + 1
    return list(numpy.split(lines, cuts))


def _distinct(values: Any) -> list[float]:
    """Sorted heights without doubles (a rule drawn twice, or with two edges)."""
    kept: list[float] = []
    for value in sorted(float(v) for v in values):
        if not kept or value - kept[-1] > 2.5:
            kept.append(value)
    return kept


def _runs(ys: list[float], x0: float, x1: float, upright: Any, words: Lined) -> list[tuple[float, ...]]:
    """Heights cut into tables: a run goes on while rows hold words and no title stands in between."""
    runs: list[tuple[float, ...]] = []
    run: list[float] = []
    blank = 0
    bands = list(itertools.pairwise(ys))
    for at, (top, bottom) in enumerate(bands):
        inside = words.between(top, bottom, x0, x1)
        walls = bool(inside or run) and _walls(upright, x0, x1, top, bottom)
        fits = bool(inside) and _is_row(inside, top, bottom, walls)
        if fits and not walls and at + 1 < len(bands) and _walls(upright, x0, x1, *bands[at + 1]):
            fits = not _prose(inside, x1 - x0)  # text between a letterhead's rule and a table of the same width
        if not inside and walls and run and blank < EMPTY_ROWS and bottom - top < 60:
            blank += 1
            run.append(bottom)
        elif fits:
            blank = 0
            run = [*run, bottom] if run else [top, bottom]
        else:
            runs.append(tuple(run))
            run, blank = [], 0
    runs.append(tuple(run))
    return [r for r in runs if len(r) >= 3]


def _with_broken(ys: tuple[float, ...], x0: float, x1: float, across: Any) -> tuple[float, ...]:
    """The heights of full-width rules with those of rules that a scan broke into pieces: pieces at one height cover most of the width."""
    inside = across[(across[:, 0] > ys[0] + 4) & (across[:, 0] < ys[-1] - 4) & (across[:, 1] > x0 - 4) & (across[:, 2] < x1 + 4)]
    more: list[float] = []
    for y in _distinct(inside[:, 0]):
        pieces = inside[numpy.abs(inside[:, 0] - y) < 1.6]
        covered = float((pieces[:, 2] - pieces[:, 1]).sum())
        ends = pieces[:, 1].min() < x0 + 0.06 * (x1 - x0) and pieces[:, 2].max() > x1 - 0.06 * (x1 - x0)
        if len(pieces) >= 2 and ends and covered > 0.6 * (x1 - x0) and min(abs(y - other) for other in ys) > 4:
            more.append(y)
    return tuple(sorted((*ys, *more)))


def _walls(upright: Any, x0: float, x1: float, top: float, bottom: float) -> bool:
    """True where the table's outer upright rules pass this height."""
    if not len(upright):
        return False
    middle = (top + bottom) / 2
    near = (numpy.abs(upright[:, 0] - x0) < SAME_END) | (numpy.abs(upright[:, 0] - x1) < SAME_END)
    return bool((near & (upright[:, 1] <= middle) & (upright[:, 2] >= middle)).any())


def _is_row(inside: Sequence[Word], top: float, bottom: float, walls: bool) -> bool:
    """True where the words between two rules look like a row: none is crossed, they fill the height, no title stands above them."""
    sizes = sorted(type_size(w) for w in inside)
    em = sizes[len(sizes) // 2]
    tops, bottoms = min(w.top for w in inside), max(w.bottom for w in inside)
    if tops < top - 0.35 * em or bottoms > bottom + 0.45 * em:
        return False
    height = bottom - top
    if height > TALL_ROW * em:
        filled = len({round(w.bottom / (0.8 * em)) for w in inside}) * 1.2 * em
        if filled < 0.5 * height:
            return False
    above, below = tops - top, bottom - bottoms
    return walls or above - below < 1.3 * em


def _prose(inside: Sequence[Word], width: float) -> bool:
    """True where several lines of running text fill the width."""
    rows: dict[int, list[Word]] = {}
    for word in inside:
        rows.setdefault(round(word.bottom / 3), []).append(word)
    full = [r for r in rows.values() if len(r) >= 8 and sum(w.x1 - w.x0 for w in r) > 0.5 * width]
    return len(full) >= 3


def _grid(x0: float, x1: float, ys: tuple[float, ...], across: Any, upright: Any) -> Grid:
    """The outline with the rules inside it."""
    mine = across[(across[:, 0] > ys[0] - 1) & (across[:, 0] < ys[-1] + 1) & (across[:, 1] > x0 - 4) & (across[:, 2] < x1 + 4)]
    short = mine[(mine[:, 1] > x0 + SAME_END) | (mine[:, 2] < x1 - SAME_END)]
    walls = upright[(upright[:, 0] > x0 + SAME_END) & (upright[:, 0] < x1 - SAME_END)]
    walls = walls[(walls[:, 2] > ys[0] + 2) & (walls[:, 1] < ys[-1] - 2)]
    return Grid(x0, x1, ys, tuple((y, a, b) for y, a, b in short.tolist()), tuple((x, a, b) for x, a, b in walls.tolist()))


def _outermost(found: list[Grid]) -> list[Grid]:
    """Grids without those that lie inside another one with more rows or width."""
    found = sorted(found, key=lambda g: -(g.x1 - g.x0) * (g.ys[-1] - g.ys[0]))
    kept: list[Grid] = []
    for grid in found:
        inside = any(grid.x0 > k.x0 - 4 and grid.x1 < k.x1 + 4 and grid.ys[0] > k.ys[0] - 4 and grid.ys[-1] < k.ys[-1] + 4 for k in kept)
        if not inside:
            kept.append(grid)
    return sorted(kept, key=lambda g: (g.ys[0], g.x0))
