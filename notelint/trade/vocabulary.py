"""The trade's words: agreed names with their spellings, read from `shared/vocabulary`.

Source of the words: common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import Any, NamedTuple

import yaml
from pydantic import BaseModel, ConfigDict

from notelint.trade import data_dir

_FILES = (
    "devices", "members", "fasteners", "fastener_types", "acts", "places", "qualifiers", "vague", "delegation", "protection",
    "states", "systems", "codes", "other_trades",
)  # fmt: skip
_BRACES = re.compile(r"\{([^{}]*)\}")


class Spelling(NamedTuple):
    """One way to write a term: its kind, its agreed name, and the words."""

    kind: str
    name: str
    text: str


class Phrase(NamedTuple):
    """A term told by a regular expression over lower-case text: for wordings too many to list."""

    kind: str
    name: str
    pattern: re.Pattern[str]


class ColumnRole(NamedTuple):
    """What a schedule column holds, and the pattern its head matches."""

    role: str
    head: re.Pattern[str]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class _TermEntry(_Strict):
    name: str
    spellings: tuple[str, ...] = ()
    patterns: tuple[str, ...] = ()


class _TermFile(_Strict):
    kind: str
    terms: tuple[_TermEntry, ...]


class _ColumnEntry(_Strict):
    role: str
    heads: tuple[str, ...]


def expand(spelling: str) -> tuple[str, ...]:
    """All texts a spelling with `{a,b}` stands for (braces may stand in braces), blanks tidied, in order and without repeats."""
    return tuple(dict.fromkeys(" ".join(text.split()) for text in _expanded(spelling) if text.strip()))


def _expanded(spelling: str) -> Iterator[str]:
    inner = _BRACES.search(spelling)
    if inner is None:
        yield spelling
        return
    for choice in inner[1].split(","):
        yield from _expanded(spelling[: inner.start()] + choice + spelling[inner.end() :])


def with_hyphens(text: str) -> tuple[str, ...]:
    """`text`, and the same with a space or nothing for each hyphen ("a-clip" keeps its single letter joined)."""
    if "-" not in text:
        return (text,)
    forms = (text, text.replace("-", " "), text.replace("-", ""))
    return forms if not re.match(r"\w-", text) else (forms[0], forms[2])


def _load(name: str) -> Any:
    path = data_dir() / "vocabulary" / name
    with path.open(encoding="utf-8") as stream:
        return yaml.load(stream, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))


@lru_cache(maxsize=1)
def spellings() -> tuple[Spelling, ...]:
    """Every spelling of every term, expanded."""
    found: list[Spelling] = []
    for file in _FILES:
        data = _TermFile.model_validate(_load(f"{file}.yaml"))
        for term in data.terms:
            texts = dict.fromkeys(form for written in term.spellings for text in expand(written) for form in with_hyphens(text))
            found += [Spelling(data.kind, term.name, text) for text in texts]
    return tuple(found)


@lru_cache(maxsize=1)
def phrases() -> tuple[Phrase, ...]:
    """Every term that is told by a regular expression."""
    files = [_TermFile.model_validate(_load(f"{file}.yaml")) for file in _FILES]
    return tuple(
        Phrase(data.kind, term.name, re.compile("|".join(f"(?:{p})" for p in term.patterns)))
        for data in files
        for term in data.terms
        if term.patterns
    )


@lru_cache(maxsize=1)
def column_roles() -> tuple[ColumnRole, ...]:
    """What columns of schedules hold, in the order in which to try them."""
    entries = [_ColumnEntry.model_validate(entry) for entry in _load("columns.yaml")]
    return tuple(ColumnRole(entry.role, re.compile("|".join(entry.heads), re.IGNORECASE)) for entry in entries)


@lru_cache(maxsize=1)
def plain_words() -> frozenset[str]:
    """Everyday words of notes, lower case, that are no misspelt trade words."""
    return frozenset((data_dir() / "vocabulary" / "plain_words.txt").read_text(encoding="utf-8").split())
