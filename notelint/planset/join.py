"""Pieces that belong to one word are joined: split runs, letter-spaced writing, spaced dimensions, letters below one another."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any

from notelint.planset.pieces import GAP, Piece

# In parts of the type height.
_WIDEST_LETTER_GAP = 1.2
_WIDEST_WORD_GAP = 3.2
_SPLIT_OVERLAP = 0.3
_DIMENSION = re.compile(r"\d+'(?:-?\d+(?:\.\d+)?)?\"?|\d+(?:\.\d+|/\d+)?\"")
_DIMENSION_PART = re.compile(r"\d+(?:\.\d+|/\d+)?|['\"-]|''|\d+['\"]|['\"]-|-\d+|'-\d+|\d+'-|\d+'-\d+|-\d+\"|'-\d+\"|\d+\"")


def joined(pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces with those of one word made one; the rest as they are."""
    out: list[Piece] = []
    for line in lines(pieces):
        line = _split_runs(line)
        if any(len(p.text) == 1 for p in line):
            line = _spaced_dimensions(_letter_spaced(line))
        out += line
    return _stacked(out)


def lines(pieces: Sequence[Piece]) -> Iterator[list[Piece]]:
    """Pieces of one turn on one baseline across the sheet, left to right."""
    line: list[Piece] = []
    for piece in sorted(pieces, key=lambda p: (p.turn, p.base)):
        if line and (piece.turn != line[0].turn or piece.base - line[0].base > 0.1 * min(piece.size, line[0].size)):
            yield sorted(line, key=lambda p: p.u0)
            line = []
        line.append(piece)
    if line:
        yield sorted(line, key=lambda p: p.u0)


def union(pieces: Sequence[Piece], text: str, **changes: Any) -> Piece:
    """One piece around all, with the first one's type."""
    return pieces[0]._replace(
        text=text,
        u0=min(p.u0 for p in pieces),
        u1=max(p.u1 for p in pieces),
        v0=min(p.v0 for p in pieces),
        v1=max(p.v1 for p in pieces),
        before_space=pieces[-1].before_space,
        **changes,
    )


def alike(a: Piece, b: Piece) -> bool:
    """Whether two pieces are of one type height."""
    return abs(a.size - b.size) <= 0.12 * max(a.size, b.size)


def _split_runs(line: list[Piece]) -> list[Piece]:
    """Runs that touch though they were drawn apart, as where each glyph is placed by itself in any order."""
    out = line[:1]
    for piece in line[1:]:
        last = out[-1]
        gap = piece.u0 - last.u1
        size = min(piece.size, last.size)
        if -_SPLIT_OVERLAP * size < gap <= GAP * size and alike(piece, last) and not (piece.after_space or last.before_space):
            out[-1] = union([last, piece], last.text + piece.text)
        else:
            out.append(piece)
    return out


def _letter_spaced(line: list[Piece]) -> list[Piece]:
    """`G E N E R A L   N O T E S` to two words."""
    out: list[Piece] = []
    run: list[Piece] = []
    for piece in [*line, None]:
        if run and not (
            piece and len(piece.text) == 1 and alike(piece, run[-1]) and piece.u0 - run[-1].u1 <= _WIDEST_WORD_GAP * piece.size
        ):
            out += _words_of(run, out[-1] if out else None, piece)
            run = []
        if piece and len(piece.text) == 1:
            run.append(piece)
        elif piece:
            out.append(piece)
    return out


def _words_of(run: list[Piece], before: Piece | None, after: Piece | None) -> list[Piece]:
    """Single glyphs set apart: words where the narrow gaps are alike and the wide ones clearly wider; else as they are."""
    if len(run) < 3:
        return run
    gaps = [b.u0 - a.u1 for a, b in pairwise(run)]
    letter_gap = sorted(gaps)[len(gaps) // 4]
    if not 0 < letter_gap <= _WIDEST_LETTER_GAP * run[0].size:
        return run
    # A longer word as near as the glyphs are to one another shows that their gaps are common spaces: `3 X 3 X 1/4`.
    if (before and run[0].u0 - before.u1 <= 1.4 * letter_gap) or (after and after.u0 - run[-1].u1 <= 1.4 * letter_gap):
        return run
    words = [[run[0]]]
    for gap, piece in zip(gaps, run[1:], strict=True):
        if gap > max(1.6 * letter_gap, letter_gap + 0.15 * piece.size):
            words.append([])
        words[-1].append(piece)
    if not any(_reads_as_word("".join(p.text for p in word), letter_gap / run[0].size) for word in words):
        return run
    return [union(word, "".join(p.text for p in word)) for word in words]


def _reads_as_word(text: str, gap: float) -> bool:
    """Whether single glyphs make a word or a dimension rather than a row of marks such as grid letters."""
    if len(text) >= 3 and text.isalpha():
        in_order = all(ord(b) - ord(a) == 1 for a, b in pairwise(text))
        return not in_order and len(set(text)) > 1 and (len(text) > 3 or gap < 0.7)
    return bool(_DIMENSION.fullmatch(text)) or (len(text) >= 4 and gap < 0.7 and sum(c.isalpha() for c in text) >= 2)


def _spaced_dimensions(line: list[Piece]) -> list[Piece]:
    """`20 ' - 0 "` to one word; a foot or inch mark set apart goes to its number."""
    out: list[Piece] = []
    at = 0
    while at < len(line):
        end = _dimension_end(line, at)
        if end > at + 1:
            out.append(union(line[at:end], "".join(p.text for p in line[at:end])))
        else:
            out.append(line[at])
        at = max(end, at + 1)
    return out


def _dimension_end(line: list[Piece], at: int) -> int:
    """End of the longest run of pieces from `at` that together write a dimension; `at` where none does."""
    if not line[at].text[0].isdigit():
        return at
    text, end = line[at].text, at
    for k in range(at + 1, min(at + 8, len(line))):
        if line[k].u0 - line[k - 1].u1 > 0.8 * line[k].size or not _DIMENSION_PART.fullmatch(line[k].text):
            break
        text += line[k].text
        if _DIMENSION.fullmatch(text):
            end = k + 1
    return end


def _stacked(pieces: list[Piece]) -> list[Piece]:
    """Letters set one below another are joined where they make a word; the letters of a drawing frame stand too far apart for it."""
    singles = [p for p in pieces if len(p.text) == 1 and p.text.isalpha()]
    if len(singles) < 4:
        return pieces
    taken: set[int] = set()
    words: list[Piece] = []
    others = [p for p in pieces if len(p.text) > 1 or not p.text.isalpha()]
    for run in _columns(singles):
        for word in _words_below(run, others):
            words.append(word[0]._replace(text="".join(p.text for p in word), **_upright(word)))
            taken.update(id(p) for p in word)
    return [p for p in pieces if id(p) not in taken] + words if words else pieces


def _columns(singles: list[Piece]) -> Iterator[list[Piece]]:
    """Runs of single letters that stand one below another, about a line apart."""
    left = sorted(singles, key=lambda p: (p.turn, p.base))
    while left:
        run, rest = [left[0]], []
        for piece in left[1:]:
            last = run[-1]
            step = (piece.base - last.base) / last.size
            centred = abs((piece.u0 + piece.u1) - (last.u0 + last.u1)) < 0.6 * last.size
            if piece.turn == last.turn and alike(piece, last) and centred and 0.7 <= step <= 2.9:
                run.append(piece)
            else:
                rest.append(piece)
        if len(run) >= 4:
            yield run
        left = rest


def _words_below(run: list[Piece], others: list[Piece]) -> list[list[Piece]]:
    """Words of a column of letters; none where it stands in a table or counts letters off."""
    steps = [b.base - a.base for a, b in pairwise(run)]
    pitch = sorted(steps)[len(steps) // 4]
    letters = "".join(p.text for p in run)
    counted = all(ord(b) - ord(a) == 1 for a, b in pairwise(letters))
    beside = sum(
        o.turn == p.turn and abs(o.base - p.base) < 0.3 * p.size and -6 * p.size < o.u0 - p.u1 < 6 * p.size for p in run for o in others
    )
    if counted or len(set(letters)) < 3 or beside > len(run) // 4 or pitch > 1.9 * run[0].size:
        return []
    words = [[run[0]]]
    for step, piece in zip(steps, run[1:], strict=True):
        if step > 1.5 * pitch:
            words.append([])
        words[-1].append(piece)
    return [w for w in words if len(w) >= 2]


def _upright(word: list[Piece]) -> dict[str, Any]:
    """The box of letters set downwards, in the frame of writing turned a quarter clockwise, which reads downwards too."""
    u0, u1 = min(p.u0 for p in word), max(p.u1 for p in word)
    v0, v1 = min(p.v0 for p in word), max(p.v1 for p in word)
    turn = (word[0].turn + 90) % 360
    return {"u0": v0, "u1": v1, "v0": -u1, "v1": -u0, "base": -u0, "turn": turn}
