"""Stacked fractions: small raised and lowered digits put together again.

`5'-3` with a small 3 over a small 4 stands in a text layer as `5'-3`, `3`, `4`, `"`; the size and the place of the digits tell.
"""

from __future__ import annotations

from collections.abc import Sequence

from notelint.planset.join import alike, union
from notelint.planset.pieces import Piece

_SMALL = 0.85  # a fraction's digits against the digits beside it
_DENOMINATORS = {"2", "3", "4", "5", "8", "10", "12", "16", "32", "64"}


def with_fractions(pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces with each stacked fraction as one piece, `3/4"`, its inch mark taken along."""
    digits = sorted((p for p in pieces if len(p.text) <= 3 and p.text.strip("/").isdigit()), key=lambda p: p.u0)
    fractions: list[Piece] = []
    taken: set[int] = set()
    for at, upper in enumerate(digits):
        if id(upper) in taken:
            continue
        lower = _lower(upper, digits, at, taken)
        if lower is not None and _beside_larger(upper, lower, pieces):
            fraction = union(
                [upper, lower], f"{upper.text.strip('/')}/{lower.text.strip('/')}", base=lower.base, size=upper.size / 0.6, after_space=True
            )
            taken |= {id(upper), id(lower)} | {id(p) for p in pieces if p.text == "/" and _inside(p, fraction)}
            fractions.append(fraction)
    if not fractions:
        return list(pieces)
    rest = [p for p in pieces if id(p) not in taken]
    return _with_tails(fractions, rest)


def _lower(upper: Piece, digits: list[Piece], at: int, taken: set[int]) -> Piece | None:
    """The denominator that stands below `upper`, or below and to its right."""
    number = upper.text.strip("/")
    for lower in _near(upper, digits, at):
        below = (lower.base - upper.base) / upper.size
        value = lower.text.strip("/")
        if id(lower) in taken or lower is upper or lower.turn != upper.turn or not alike(upper, lower) or value not in _DENOMINATORS:
            continue
        if int(number) >= int(value):
            continue
        shared = min(upper.u1, lower.u1) - max(upper.u0, lower.u0)
        over = shared > 0.4 * min(upper.u1 - upper.u0, lower.u1 - lower.u0) and 0.6 <= below <= 1.7
        aslant = -0.3 * upper.size < lower.u0 - upper.u1 < 0.6 * upper.size and 0.2 <= below <= 1.2
        if over or aslant:
            return lower
    return None


def _near(upper: Piece, digits: list[Piece], at: int) -> list[Piece]:
    """Digits that begin within reach of `upper` along the line; `digits` is sorted by where they begin."""
    reach = 2.0 * upper.size
    first = at
    while first > 0 and digits[first - 1].u0 > upper.u0 - reach:
        first -= 1
    last = at
    while last + 1 < len(digits) and digits[last + 1].u0 < upper.u1 + reach:
        last += 1
    return digits[first : last + 1]


def _beside_larger(upper: Piece, lower: Piece, pieces: Sequence[Piece]) -> bool:
    """Whether larger type stands directly beside the pair on a baseline between its two: a fraction, and no pile of numbers."""
    u0, u1 = min(upper.u0, lower.u0), max(upper.u1, lower.u1)
    for p in pieces:
        if p.turn != upper.turn or upper.size > _SMALL * p.size or upper.size < 0.3 * p.size:
            continue
        level = upper.base - 0.2 * p.size <= p.base - 0.1 * p.size <= lower.base + 0.2 * p.size
        if level and (-0.2 * p.size < u0 - p.u1 < 0.6 * p.size or -0.2 * p.size < p.u0 - u1 < 0.6 * p.size):
            return True
    return False


def _inside(p: Piece, box: Piece) -> bool:
    return p.turn == box.turn and box.u0 - 1 <= (p.u0 + p.u1) / 2 <= box.u1 + 1 and box.v0 - 1 <= (p.v0 + p.v1) / 2 <= box.v1 + 1


def _with_tails(fractions: list[Piece], rest: list[Piece]) -> list[Piece]:
    """An inch mark and whatever is stuck to it follows its fraction."""
    gone: set[int] = set()
    out: list[Piece] = []
    for fraction in fractions:
        tails = [
            p for p in rest
            if id(p) not in gone and p.turn == fraction.turn and p.text[0] in "\"'-”″’′"
            and -0.3 * p.size < p.u0 - fraction.u1 < 0.4 * p.size and fraction.v0 < (p.v0 + p.v1) / 2 < fraction.v1 + 0.3 * p.size
        ]  # fmt: skip
        if tails:
            tail = min(tails, key=lambda p: p.u0)
            gone.add(id(tail))
            fraction = union([fraction, tail], fraction.text + tail.text, size=tail.size, base=tail.base)
        out.append(fraction)
    return [p for p in rest if id(p) not in gone] + [_apart(f, rest) for f in out]


def _apart(fraction: Piece, rest: Sequence[Piece]) -> Piece:
    """Its type height is that of the number before it, where there is one."""
    before = [
        p
        for p in rest
        if p.turn == fraction.turn and abs(p.u1 - fraction.u0) < 0.6 * p.size and fraction.v0 - p.size < p.base < fraction.v1 + p.size
    ]
    host = max(before, key=lambda p: p.size, default=None)
    return fraction if host is None else fraction._replace(size=host.size, base=host.base)
