"""Fraction signs in lines read from a picture: a reader gives the small digits of `½` or `¼` besides the sign itself.

The digits of one sign stand much closer together than digits of the line do; that tells `2½` read as `21½` from a true `21½`.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from notelint.planset.ocr import Line

_NARROW = 0.6  # parts of the line's usual step from letter to letter
_SIGNS = {
    ("1", "2"): "\u00bd", ("1", "4"): "\u00bc", ("3", "4"): "\u00be",
    ("1", "8"): "\u215b", ("3", "8"): "\u215c", ("5", "8"): "\u215d", ("7", "8"): "\u215e",
}  # fmt: skip


def with_true_fractions(line: Line) -> Line:
    """The line with each fraction sign read once: `11½4` whose last three stand as close as one sign is `1¼`."""
    if "\u00bd" not in line.text:
        return line
    least = _NARROW * _usual_step(line)
    kept: list[tuple[str, float, float]] = []
    skip = False
    for i, char in enumerate(line.text):
        if skip:
            skip = False
            continue
        if char != "\u00bd":
            kept.append((char, line.at[i], line.sure[i]))
            continue
        after = line.text[i + 1 : i + 2]
        skip = after in {"4", "8"} and line.at[i + 1] - line.at[i] < least
        upper, lower = "1", after if skip else "2"
        before = kept[-1] if kept else ("", 0.0, 0.0)
        if (before[0], lower) in _SIGNS and line.at[i] - before[1] < least:
            upper = kept.pop()[0]
        kept.append((_SIGNS[upper, lower], line.at[i], line.sure[i]))
    return line._replace(text="".join(c for c, _, _ in kept), at=tuple(a for _, a, _ in kept), sure=tuple(s for _, _, s in kept))


def _usual_step(line: Line) -> float:
    """The middle one of the steps from a letter or figure to the next within words."""
    steps: Sequence[float] = sorted(
        b - a for (c, a), (d, b) in pairwise(zip(line.text, line.at, strict=True)) if c.isalnum() and d.isalnum()
    )
    return steps[len(steps) // 2] if steps else 0.0
