"""Statements of the building and the order of work, told by the word lists of shared/vocabulary/statements.yaml.

A spelling such as "carried {by,on} the beam" stands for each of its readings; it holds plain words and choices only, so that matching
is bounded. Statements may overlap trade terms, which is why they are matched on their own. Groups of words under `together` find a
statement in any order of words within one sentence.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise
from typing import Any, NamedTuple

import yaml

from notelint.trade import data_dir

_CHOICE = re.compile(r"\{([^{}]*)\}")


class Saying(NamedTuple):
    """A statement found in characters start..end."""

    name: str
    start: int
    end: int


Needed = tuple[tuple[str, ...], ...]
"""Groups of words; a text that says what is looked for holds one of each group."""


class Together(NamedTuple):
    """Groups of words, each of which one sentence must hold one of, and words that it must not hold."""

    groups: tuple[re.Pattern[str], ...]
    without: re.Pattern[str] | None
    needed: Needed


_SENTENCE = re.compile(
    r"(?<!\bin)(?<!\bft)(?<!\bea)\.(?=\s|$)|[;!?](?=\s|$)|\s\|\s"
    r"|(?<=\bin|\bft|\bea)\.(?=\s*$|\s(?!(?:in|of|off|from|behind|ahead|over|past|beyond|apart|wide|long|deep|thick|high|square|on|at|and"
    r"|x|into|clear|above|below|inside|outside|to|max|min|back|end|side|post|stud|floor|wall)\b))"
)
"""Where a sentence ends. A full stop after "in" or "ft" ends none where the words go on: "8 in. in front of"."""


@lru_cache(maxsize=1)
def _together() -> tuple[tuple[str, Together], ...]:
    out = []
    for term in _data()["terms"]:
        without = _any_of(term["without"]) if term.get("without") else None
        for groups in term.get("together", ()):
            needed = tuple(tuple(_longest(word.rstrip("*")) for word in group) for group in groups)
            out.append((term["name"], Together(tuple(_any_of(group) for group in groups), without, needed)))
    return tuple(out)


def _any_of(words: list[str]) -> re.Pattern[str]:
    return re.compile(
        r"(?<![\w-])(?:" + "|".join(_words(w.rstrip("*")) + (r"\w*" if w.endswith("*") else "") for w in words) + r")(?![\w])"
    )


@lru_cache(maxsize=1)
def _data() -> dict[str, Any]:
    with (data_dir() / "vocabulary" / "statements.yaml").open(encoding="utf-8") as stream:
        data: dict[str, Any] = yaml.load(stream, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))
    return data


@lru_cache(maxsize=1)
def sayings() -> tuple[tuple[str, tuple[Needed, ...], re.Pattern[str]], ...]:
    """Each statement's name, the words that each of its spellings needs, and the pattern of all its spellings."""
    return tuple(
        (t["name"], tuple(_needed(s) for s in t["spellings"]), re.compile("|".join(_pattern(s) for s in t["spellings"])))
        for t in _data()["terms"]
    )


def find_sayings(low: str) -> Iterator[Saying]:
    """Statements in a text in lower case, in order of the list."""
    for name, needed, pattern in sayings():
        if any(_may_stand(spelling, low) for spelling in needed):
            for m in pattern.finditer(low):
                yield Saying(name, m.start(), m.end())
    yield from _said_together(low)


def _may_stand(needed: Needed, low: str) -> bool:
    """Whether every group has a word in the text: said without a pattern, which is slow on texts that say nothing of the kind."""
    for words in needed:
        for word in words:
            if word in low:
                break
        else:
            return False
    return True


def _said_together(low: str) -> Iterator[Saying]:
    """Statements made by words of several groups in one sentence."""
    sentences: list[tuple[int, int]] | None = None
    for name, words in _together():
        if not _may_stand(words.needed, low) or not all(group.search(low) for group in words.groups):
            continue
        sentences = sentences if sentences is not None else _sentences(low)
        for start, end in sentences:
            part = low[start:end]
            hits = [group.search(part) for group in words.groups]
            if all(hits) and not (words.without and words.without.search(part)):
                yield Saying(name, start + min(h.start() for h in hits if h), end)


def _sentences(low: str) -> list[tuple[int, int]]:
    """Start and end of each sentence. A full stop after an abbreviation parts one in two, which finds less and never more."""
    cuts = [0, *(m.end() for m in _SENTENCE.finditer(low)), len(low)]
    return [(a, b) for a, b in pairwise(cuts) if b > a]


def _needed(spelling: str) -> Needed:
    """Each word outside the choices, and for each choice the longest word of every reading; a choice of nothing needs nothing."""
    outside = [(word,) for word in _CHOICE.sub(" ", spelling).split()]
    choices = [tuple(_longest(choice) for choice in m.group(1).split(",")) for m in _CHOICE.finditer(spelling)]
    groups = [*outside, *(words for words in choices if all(words))]
    return tuple(sorted(groups, key=lambda words: (len(words), -len(words[0]))))


def _longest(words: str) -> str:
    return max(words.split(), key=len, default="")


def _pattern(spelling: str) -> str:
    """A spelling as a pattern: choices become alternatives, blanks any run of white space, ends stand at words' ends."""
    parts, at = [], 0
    for m in _CHOICE.finditer(spelling):
        parts.append(_words(spelling[at : m.start()]))
        parts.append("(?:" + "|".join(_words(choice) for choice in m.group(1).split(",")) + ")")
        at = m.end()
    parts.append(_words(spelling[at:]))
    return r"(?<![\w-])(?:" + "".join(parts) + r")(?![\w-])"


def _words(text: str) -> str:
    return re.sub(r"(?:\\ |\s)+", r"[\\s,]+", re.escape(text))
