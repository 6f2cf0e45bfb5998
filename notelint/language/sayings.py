"""Statements of the building and the order of work, told by the word lists of shared/vocabulary/statements.yaml.

A spelling such as "carried {by,on} the beam" stands for each of its readings; it holds plain words and choices only, so that matching
is bounded. Statements may overlap trade terms, which is why they are matched on their own.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import Any, NamedTuple

import yaml

from notelint.trade import data_dir

_CHOICE = re.compile(r"\{([^{}]*)\}")


class Saying(NamedTuple):
    """A statement found in characters start..end."""

    name: str
    start: int
    end: int


@lru_cache(maxsize=1)
def sayings() -> tuple[tuple[str, tuple[str, ...], re.Pattern[str]], ...]:
    """Each statement's name, words of which its every spelling holds one, and the pattern of all its spellings."""
    with (data_dir() / "vocabulary" / "statements.yaml").open(encoding="utf-8") as stream:
        data: dict[str, Any] = yaml.load(stream, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))
    return tuple(
        (t["name"], tuple(dict.fromkeys(_needed(s) for s in t["spellings"])), re.compile("|".join(_pattern(s) for s in t["spellings"])))
        for t in data["terms"]
    )


def find_sayings(low: str) -> Iterator[Saying]:
    """Statements in a text in lower case, in order of the list."""
    for name, needed, pattern in sayings():
        if not any(word in low for word in needed):
            continue
        for m in pattern.finditer(low):
            yield Saying(name, m.start(), m.end())


def _needed(spelling: str) -> str:
    """The longest word outside the choices, which every reading of the spelling holds."""
    return max(_CHOICE.sub(" ", spelling).split(), key=len, default="")


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
