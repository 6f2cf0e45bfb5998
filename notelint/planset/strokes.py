"""Straight lines and round bubbles from a page's drawing instructions.

Asking pdfium for 40,000 path objects one by one takes 0.13 s a sheet, three times as long as reading its words. Rendering the sheet
and looking for dark runs finds hatching and loses thin leaders. So the decoded instructions are scanned here in whole arrays: one
look for operators, one for numbers, and the points fall out by counting (about 25 ms for 40,000 segments).
"""

from __future__ import annotations

import re
from typing import NamedTuple

import numpy
from numpy.typing import NDArray

from notelint.planset.limits import MAX_STATE_CHANGES
from notelint.planset.rounds import rounds

Floats = NDArray[numpy.float64]
Ints = NDArray[numpy.int64]
Matrix = tuple[float, float, float, float, float, float]
SAME: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)

# One look for each kind, each led by its own mark, and only where a sign of it that is rare in drawing is found: alternatives in one
# pattern are four times as slow. Strings first.
_JUNK = tuple(
    (sign, mark, re.compile(pattern, re.DOTALL))
    for sign, mark, pattern in (
        (b"(", b"(", rb"\((?:\\.|[^\\()]|\((?:\\.|[^\\()])*\))*\)"),  # strings, with one level of brackets inside
        (b"<", b"<", rb"<[0-9A-Fa-f\s]*>"),
        (b"%", b"%", rb"%[^\r\n]*"),
        (b"/", b"/", rb"/[^\s/\[\]()<>{}%]*"),
        (b"I", b"BI", rb"BI\s.*?\sID\s.*?\sEI\b"),  # inline pictures
        (b"d", b" d0", rb" d0\b"),
        (b"d", b" d1", rb" d1\b"),
    )
)
_DO = re.compile(rb"/([^\s/\[\]()<>{}%]+)\s+Do\b")
_SPACE = bytes(b if chr(b) in "0123456789+-." or (chr(b).isalpha() and b < 128) or b in b"*'\"" else 32 for b in range(256))
_NUMBERS = bytes(b if chr(b) in "0123456789+-." else 32 for b in range(256))
_BLANK, _POINT = ord(" "), ord(".")
_TENS = 10.0 ** numpy.arange(16)
_EXACT = 1 << 53  # whole numbers below are floats too, and so the quotient with a power of ten is the float nearest to it
_IS_LETTER = numpy.array([(b < 128 and chr(b).isalpha()) or b in b"'\"" for b in range(256)])


def _code(name: str) -> int:
    return ord(name[0]) | (ord(name[1]) << 8 if len(name) > 1 else 0)


_MOVE, _LINE, _CLOSE, _RECT = _code("m"), _code("l"), _code("h"), _code("re")
_CURVES = [_code(n) for n in ("c", "v", "y")]
_CLOSING = [_code(n) for n in ("s", "b", "b*")]
_STROKED = [_code(n) for n in ("S", "B", "B*")] + _CLOSING
_FILLED = [_code(n) for n in ("f", "F", "f*", "B", "B*", "b", "b*")]
_PAINT = sorted({*_STROKED, *_FILLED, _code("n")})
_PATH = [_MOVE, _LINE, _CLOSE, _RECT, *_CURVES, *_CLOSING]
_SAVE, _RESTORE, _CONCAT, _DRAW = _code("q"), _code("Q"), _code("cm"), _code("Do")


def _among(*groups: list[int]) -> NDArray[numpy.uint8]:
    """For every code the groups it is of, a bit each."""
    bits = numpy.zeros(1 << 16, dtype=numpy.uint8)
    for number, group in enumerate(groups):
        bits[group] |= 1 << number
    return bits


_GROUPS = _among(_PATH, _PAINT, _STROKED, _FILLED, [_CLOSE, *_CLOSING], [_SAVE, _RESTORE, _CONCAT])
_IN_PATH, _PAINTS, _STROKES, _FILLS, _CLOSES, _CHANGES = (numpy.uint8(1 << number) for number in range(6))


class Drawn(NamedTuple):
    """What a stream of instructions draws, in its own coordinates; and the form objects it calls, with their matrices."""

    segments: Floats  # (n, 4) xa, ya, xb, yb
    bubbles: Floats  # (n, 4) x0, y0, x1, y1
    outlines: int = 0  # filled shapes of a letter's size
    calls: tuple[tuple[bytes, Matrix], ...] = ()


NOTHING = Drawn(numpy.zeros((0, 4)), numpy.zeros((0, 4)))


def scan(stream: bytes) -> Drawn:
    """Straight lines and bubbles drawn by `stream`; nothing where the instructions cannot be followed."""
    names = _DO.findall(stream) if b"Do" in stream else []
    for sign, mark, pattern in _JUNK:
        if sign in stream:
            stream = _without(stream, mark, pattern)
    unplaced = NOTHING._replace(calls=tuple((name, SAME) for name in names))
    tokens = _tokens(stream)
    if tokens is None:
        return unplaced
    codes, before, numbers = tokens
    matrices = _matrices(codes, before, numbers)
    if matrices is None:
        return unplaced
    changed, stack = matrices
    called = numpy.flatnonzero(codes == _DRAW)
    calls = unplaced.calls
    if len(called) == len(names):
        calls = tuple(
            (name, stack[i]) for name, i in zip(names, (numpy.searchsorted(changed, called, side="right") - 1).tolist(), strict=True)
        )
    return Drawn(*_paths(codes, before, numbers, changed, numpy.array(stack)), calls)


def _without(stream: bytes, mark: bytes, pattern: re.Pattern[bytes]) -> bytes:
    """What matches `pattern`, which begins with `mark`, made a space. Going from mark to mark passes over drawing at once."""
    kept, done, at = [], 0, stream.find(mark)
    while at >= 0:
        found = pattern.match(stream, at)
        if found:
            kept += [stream[done:at], b" "]
            done = found.end()
        at = stream.find(mark, found.end() if found else at + 1)
    return b"".join([*kept, stream[done:]]) if kept else stream


def _tokens(stream: bytes) -> tuple[Ints, Ints, Floats] | None:
    """Operator codes in order, how many numbers stand before each, and the numbers."""
    plain = numpy.frombuffer(stream.translate(_SPACE) + b"   ", dtype=numpy.uint8)
    space = plain == _BLANK
    starts = numpy.flatnonzero(space[1:] < space[:-1]) + 1
    if len(plain) and not space[0]:
        starts = numpy.concatenate([[0], starts])
    first = plain[starts]
    letter = _IS_LETTER[first]
    at = starts[letter]
    before = numpy.cumsum(~letter)[letter]
    second, third = plain[at + 1].astype(numpy.int64), plain[at + 2]
    second[second == _BLANK] = 0
    codes = first[letter].astype(numpy.int64) | (second << 8)
    codes[(second != 0) & (third != _BLANK)] = 0  # operators of three letters draw nothing
    if letter.all():
        return codes, before, numpy.zeros(0)
    many = len(starts) - len(at)
    numbers = _whole_numbers(stream, many)
    if numbers is None:
        numbers = _read(stream.translate(_NUMBERS), numpy.float64)
    return None if numbers is None or len(numbers) != many else (codes, before, numbers)


def _read(figures: bytes, kind: type) -> Floats | None:
    """Numbers with spaces between them; None where anything else stands there."""
    try:
        return numpy.fromstring(figures.decode("ascii"), dtype=kind, sep=" ")
    except (ValueError, DeprecationWarning):
        return None


def _whole_numbers(stream: bytes, many: int) -> Floats | None:
    """All numbers of `stream`, read without their points and divided by powers of ten, to the same values four times as fast.

    None where that cannot be done for sure: where they are not `many`, have more figures than a float holds, or two points.
    """
    figures = numpy.frombuffer(b" " * len(_TENS) + stream.translate(_NUMBERS) + b" ", dtype=numpy.uint8)
    whole = _read(stream.translate(_NUMBERS, b"."), numpy.int64)
    blank = figures == _BLANK
    last = numpy.flatnonzero(blank[1:] > blank[:-1])
    if whole is None or not len(whole) == len(last) == many or max(int(whole.max()), -int(whole.min())) >= _EXACT:
        return None
    points, decimals, inside = numpy.count_nonzero(figures == _POINT), numpy.zeros(many, dtype=numpy.uint8), numpy.ones(many, dtype=bool)
    for count in range(len(_TENS)):
        sign = figures[last - count]
        here = inside & (sign == _POINT)
        decimals += here * numpy.uint8(count)
        points -= numpy.count_nonzero(here)
        if not points:
            return whole / _TENS[decimals]
        inside &= sign > _POINT  # figures alone
    return None


def _matrices(codes: Ints, before: Ints, numbers: Floats) -> tuple[Ints, list[Matrix]] | None:
    """At which operators the matrix changes, and the matrix from there on."""
    at = numpy.flatnonzero(_GROUPS[codes] & _CHANGES)
    if len(at) > MAX_STATE_CHANGES:
        return None
    now, saved = SAME, []
    changed, stack = [-1], [SAME]
    if (codes[at] == _CONCAT).any():
        for index, code, count in zip(at.tolist(), codes[at].tolist(), before[at].tolist(), strict=True):
            if code == _SAVE:
                saved.append(now)
                continue
            if code == _RESTORE:
                new = saved.pop() if saved else now
            else:
                new = _times(numbers[count - 6 : count].tolist(), now) if count >= 6 else now
            if new is not now:
                now = new
                changed.append(index)
                stack.append(now)
    return numpy.array(changed), stack


def _times(m: list[float], n: Matrix) -> Matrix:
    a, b, c, d, e, f = m
    return (
        a * n[0] + b * n[2], a * n[1] + b * n[3], c * n[0] + d * n[2], c * n[1] + d * n[3],
        e * n[0] + f * n[2] + n[4], e * n[1] + f * n[3] + n[5],
    )  # fmt: skip


def multiply(m: Matrix, n: Matrix) -> Matrix:
    """The matrix that applies `m` first and then `n`."""
    return _times(list(m), n)


def moved(points: Floats, matrix: Matrix) -> Floats:
    """(n, 4) pairs of points under `matrix`."""
    if matrix == SAME or not len(points):
        return points
    a, b, c, d, e, f = matrix
    xa, ya, xb, yb = points.T
    return numpy.stack([a * xa + c * ya + e, b * xa + d * ya + f, a * xb + c * yb + e, b * xb + d * yb + f], axis=1)


def _paths(codes: Ints, before: Ints, numbers: Floats, changed: Ints, stack: Floats) -> tuple[Floats, Floats, int]:
    """Segments and bubbles of all painted paths, and how many filled shapes look like outlines of letters."""
    groups = _GROUPS[codes]
    at = numpy.flatnonzero(((groups & _IN_PATH) != 0) & (before >= 2))
    painted = numpy.flatnonzero(groups & _PAINTS)
    if not len(at) or not len(painted):
        return NOTHING.segments, NOTHING.bubbles, 0
    paint = groups[painted[numpy.minimum(numpy.searchsorted(painted, at), len(painted) - 1)]]
    op, count = codes[at], before[at]
    stroked, filled = (paint & _STROKES) != 0, (paint & _FILLS) != 0
    closes = (groups[at] & _CLOSES) != 0
    rect = (op == _RECT) & (count >= 4)
    xy = numpy.stack([numbers[count - 2], numbers[count - 1]], axis=1)
    corner = numpy.stack([numbers[count[rect] - 4], numbers[count[rect] - 3]], axis=1)
    sides = xy[rect].copy()
    xy[rect] = corner
    begins = numpy.maximum.accumulate(numpy.where((op == _MOVE) | rect, numpy.arange(len(op)), 0))
    xy[closes] = xy[begins[closes]]
    if len(stack) > 1:
        which = stack[numpy.searchsorted(changed, at, side="right") - 1]
        xy, corner_at = _apply(xy, which), which[rect]
    else:
        corner_at = numpy.repeat(stack[:1], int(rect.sum()), axis=0)
    lines = numpy.flatnonzero(((op[1:] == _LINE) | closes[1:]) & stroked[1:]) + 1
    segments = [numpy.hstack([xy[lines - 1], xy[lines]])]
    segments += _rectangles(corner, sides, corner_at, stroked[rect], filled[rect])
    everything = numpy.concatenate(segments)
    everything = everything[(everything[:, :2] != everything[:, 2:]).any(axis=1)]
    return everything, rounds(numpy.flatnonzero((op == _MOVE) | (op == _RECT)), xy, stroked), _outlines(op, xy, filled & ~stroked)


def _apply(xy: Floats, matrices: Floats) -> Floats:
    x, y = xy.T
    a, b, c, d, e, f = matrices.T
    return numpy.stack([a * x + c * y + e, b * x + d * y + f], axis=1)


def _rectangles(
    corner: Floats, sides: Floats, matrices: Floats, stroked: NDArray[numpy.bool_], filled: NDArray[numpy.bool_]
) -> list[Floats]:
    """Four sides of each stroked rectangle; the middle line of a filled one that is as thin as a rule."""
    if not len(corner):
        return []
    width, height = sides[:, :1] * [1.0, 0.0], sides[:, 1:] * [0.0, 1.0]
    corners = [_apply(p, matrices) for p in (corner, corner + width, corner + width + height, corner + height)]
    out = [numpy.hstack([corners[i], corners[(i + 1) % 4]])[stroked] for i in range(4)]
    across, up = (numpy.linalg.norm(corners[1] - corners[0], axis=1), numpy.linalg.norm(corners[3] - corners[0], axis=1))
    flat, tall = filled & (up <= RULE) & (across > 3 * up), filled & (across <= RULE) & (up > 3 * across)
    out.append(numpy.hstack([(corners[0] + corners[3]) / 2, (corners[1] + corners[2]) / 2])[flat])
    out.append(numpy.hstack([(corners[0] + corners[1]) / 2, (corners[3] + corners[2]) / 2])[tall])
    return out


RULE = 2.5
"""A filled rectangle this thin, in points, is a rule."""
LETTER = (3.0, 30.0)
"""Outlines of letters are of this size, in points."""
_SHAPES = 8  # a text of some length has more than this many different letters


def _outlines(op: Ints, xy: Floats, filled: NDArray[numpy.bool_]) -> int:
    """How many filled subpaths look like letters: of a letter's size, of several strokes, and of many shapes that come again and again.

    Stipple is of one shape or two; gravel and other loose hatching is of as many shapes as pieces.
    """
    begins = numpy.flatnonzero(op == _MOVE)
    if not len(begins) or not filled.any():
        return 0
    size = numpy.maximum.reduceat(xy, begins) - numpy.minimum.reduceat(xy, begins)
    strokes = numpy.diff(numpy.append(begins, len(op)))
    largest = size.max(axis=1)
    letter = (strokes >= 5) & (largest >= LETTER[0]) & (largest <= LETTER[1]) & filled[begins]
    _, times = numpy.unique(numpy.column_stack([numpy.rint(size[letter] / 0.05), strokes[letter]]), axis=0, return_counts=True)
    times = times[times <= max(_SHAPES, 0.2 * times.sum())]  # no letter makes up a fifth of a text
    many = int(times.sum())
    return many if _SHAPES <= len(times) <= max(_SHAPES, 0.6 * many) else 0
