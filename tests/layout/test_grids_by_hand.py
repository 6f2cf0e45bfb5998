"""Rules drawn with a wavering hand."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy

from notelint.layout.rules import rules


def _wavering(x0: float, x1: float, y: float, drift: float) -> list[tuple[float, float, float, float]]:
    steps = [(x0 + (x1 - x0) * i / 12, y + drift * math.sin(2.1 * i)) for i in range(13)]
    return [(*a, *b) for a, b in pairwise(steps)]


def test_a_wavering_rule_is_one_straight_rule() -> None:
    """Strokes that waver by a point or two about one height are one rule, level or upright."""
    level = _wavering(100, 580, 200, 1.4)
    upright = [(b, a, d, c) for a, b, c, d in _wavering(50, 350, 120, 1.4)]
    found = rules(numpy.array(level + upright))
    assert any(abs(y - 200) < 1 and abs(x0 - 100) < 1 and abs(x1 - 580) < 1 for y, x0, x1 in found.level)
    assert any(abs(x - 120) < 1 and abs(top - 50) < 1 and abs(bottom - 350) < 1 for x, top, bottom in found.upright)


def test_a_curve_is_no_rule() -> None:
    """An arch rises too far from its middle to be a rule."""
    curve = [(100 + 20 * i, 300 - 0.6 * i * (20 - i), 120 + 20 * i, 300 - 0.6 * (i + 1) * (19 - i)) for i in range(20)]
    assert not any(x1 - x0 > 200 for _, x0, x1 in rules(numpy.array(curve)).level)
