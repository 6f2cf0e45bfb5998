"""Words to a passage's text: single spaces, broken words mended at line ends, a spot for each word."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from notelint.model import Box, Spot, Word

_WORD = re.compile(r"[A-Za-z][A-Za-z'-]*[A-Za-z]|[A-Za-z]")
_BROKEN = re.compile(r"^[(\"']?([A-Za-z]+(?:-[A-Za-z]+)*)-$")
_REST = re.compile(r"^([A-Za-z]+(?:-[A-Za-z]+)*)")
# first halves of words that trade usage writes with a hyphen; they keep it at a line's end even where the set writes them nowhere else
_FIRST_HALVES_TEXT = """
    air all anti back built cast clear cold cross cut double end face fire five four free full half heavy high hold hot in
    kiln left long low lag load mid multi nail non off on one open out over point post pre pressure ready right ring screw
    self semi shear short side single six sound steel stick stud sub tie through tight toe top tongue two three under up water
    weather well wide wind wood
"""
_FIRST_HALVES = frozenset(_FIRST_HALVES_TEXT.split())
_DASHES = "-\u2010\u2011\u00ad"


class Placed(NamedTuple):
    """A word with the page it stands on, and whether it is the first of its line."""

    word: Word
    page: int
    first: bool = False


class Known:
    """Words written whole somewhere in the set: they decide whether a hyphen at a line's end belongs to the word."""

    def __init__(self, texts: Iterable[str] = ()) -> None:
        self.words: set[str] = set()
        for text in texts:
            if text[-1:] not in _DASHES:  # a first half is no word
                self.words.update(found.casefold() for found in _WORD.findall(text))

    def whole(self, left: str, right: str) -> bool:
        """True where `left-` and `right` are two halves of one word without a hyphen."""
        left, right = left.casefold(), right.casefold()
        if left + right in self.words:
            return True
        if f"{left}-{right}" in self.words:
            return False
        tail = left.rsplit("-", 1)[-1]
        if len(tail) < 2 or len(right) < 2 or tail in _FIRST_HALVES:
            return False
        return not (tail in self.words and right in self.words)


class Built(NamedTuple):
    """A passage's text and the spots of its words."""

    text: str
    spots: tuple[Spot, ...]


def build(parts: Sequence[Placed], known: Known) -> Built:
    """Join words by single spaces; a word broken at a line's end is made whole. Each word has a spot, a mended one two."""
    text = ""
    spots: list[Spot] = []
    for part in parts:
        word = part.word.text
        if not word:
            continue
        if text and part.first and text[-1] in _DASHES:
            last = text.rsplit(" ", 1)[-1]
            if _mends(last, word, known):
                text = text[:-1]
                shrunk = spots[-1]
                spots[-1] = shrunk._replace(end=max(shrunk.start, shrunk.end - 1))
            elif not _glued(last):
                text += " "
        elif text:
            text += " "
        box = Box(part.word.x0, part.word.top, part.word.x1, part.word.bottom)
        spots.append(Spot(len(text), len(text) + len(word), part.page, box, part.word.sure))
        text += word
    return Built(text, tuple(spots))


def _mends(last: str, word: str, known: Known) -> bool:
    """True where the hyphen at the end of `last` only breaks a word."""
    broken, rest = _BROKEN.match(last), _REST.match(word)
    if last[-1] == "\u00ad":
        return True
    if not broken or not rest or broken[1].isupper() != rest[1].isupper() or (rest[1][0].isupper() and not rest[1].isupper()):
        return False
    return known.whole(broken[1], rest[1])


def _glued(last: str) -> bool:
    """True where the word before a kept hyphen goes on ("HD-" and "3"); a dash on its own does not."""
    return len(last) > 1


def despaced(words: Sequence[Word]) -> str | None:
    """The text of a letter-spaced run (`G E N E R A L   N O T E S`), or None where the run is ordinary.

    Gaps clearly wider than those between letters part the words.
    """
    if len(words) < 4 or sum(len(w.text) for w in words) > 1.35 * len(words):
        return None
    if sum(w.text[:1].isalpha() for w in words) < 0.6 * len(words):
        return None
    along = [(w.top, w.bottom) if w.turn in (90, 270) else (w.x0, w.x1) for w in words]
    gaps = [max(b[0] - a[1], a[0] - b[1]) for a, b in itertools.pairwise(along)]
    usual = sorted(gaps)[len(gaps) // 2]
    out = words[0].text
    for gap, word in zip(gaps, words[1:], strict=True):
        out += (" " if gap > 1.6 * max(usual, 0.5) + 0.5 else "") + word.text
    return out
