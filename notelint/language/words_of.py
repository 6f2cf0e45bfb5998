"""A passage with all that was found in it: terms, quantities with their roles, marks."""

from __future__ import annotations

import re
from typing import NamedTuple

from notelint.language.marks import find_letters, find_marks, find_typed, tags_beside, tags_given
from notelint.language.pipeline import Found, find_terms
from notelint.language.plain import plain
from notelint.language.quantities import Quantity, find_quantities
from notelint.language.roles import role_of
from notelint.language.scan import mended
from notelint.model import Passage, Term

GENERAL = frozenset({"clip", "tie", "connector", "anchor"})
_NOUN_AFTER = re.compile(
    r"\s?(?:at|each (?:end|side)|every (?:end|side)|on|from|over|per|with|for|schedules?|sched|schd|list|table|legend|key|across|typ"
    r"|ea\.? (?:end|side)|is|are|shall"
    r"|connection|tie|anchor|w/|@|as|by|in|of|and|or|around|along|between|centered|where|to be)\b"
)
_ACT_AFTER = re.compile(
    r"\s?(?:down\s)?(?:each|ea\.?|all|every|the|to|both|upper|lower|double|top|bottom|ceiling|floor|roof|porch|deck|exterior|first"
    r"|second|rafters?|truss(?:es)?|studs?|headers?|posts?|beams?|sills?|plates?|joists?|walls?|roof|new|\(n\)|it|them|off)\b"
)


_NAILED = re.compile(
    r"\b(?:caps?|bases?)\b|\d{1,2}\s?d\b(?:\sx|\s?com|,|\s?nail|\s)|\d\"? x \d[^;]{0,12}screw|\b(?:roof|wall|floor|stud|plate|rafter"
    r"|truss|header|post|beam|sill)[- ]to[- ](?:\w+ )?(?:wall|floor|foundation|plate|stud|post|sill|slab)",
    re.IGNORECASE,
)


class MarkSpan(NamedTuple):
    """A mark as written in characters start..end."""

    start: int
    end: int
    text: str


class Read(NamedTuple):
    """What was found in a passage."""

    passage: Passage
    low: str
    found: tuple[Found, ...]
    quantities: tuple[tuple[Quantity, str | None], ...]
    marks: tuple[MarkSpan, ...]

    def terms(self, start: int, end: int, kind: str | None = None) -> list[Found]:
        """Vocabulary terms that lie in start..end, of one kind if given."""
        return [f for f in self.found if f.start >= start and f.end <= end and (kind is None or f.kind == kind)]

    def names(self, start: int, end: int, kind: str) -> frozenset[str]:
        """Agreed names of the terms of one kind in start..end."""
        return frozenset(f.name for f in self.terms(start, end, kind))

    def lengths(self, start: int, end: int) -> list[tuple[Quantity, str | None]]:
        """Quantities in start..end with their roles."""
        return [(q, role) for q, role in self.quantities if q.start >= start and q.end <= end]


def read_words(passage: Passage, known: frozenset[str], prefixes: frozenset[str]) -> Read:
    """Finds terms, quantities and marks of `passage`; `known` keys and `prefixes` say what a mark looks like in this set."""
    low = plain(passage.text)
    scanned = any(s.sure < 1.0 for s in passage.spots[:40])
    if scanned:
        low = mended(low)
    found = [_settled(f, low) for f in find_terms(passage.text, low, scanned=scanned)]
    quantities = find_quantities(low)
    marks = marks_of(passage.text, found, known, prefixes)
    found = [
        f
        for f in found
        if f.kind == "maker" or not any(m.start < f.end and f.start < m.end and f.end - f.start <= m.end - m.start for m in marks)
    ]
    return Read(passage, low, tuple(found), tuple((q, role_of(low, q)) for q in quantities), marks)


_SHORT_FOR = re.compile(r"\b(?:galv|ga|mtl|stl|typ|h\.d\.g|s\.s|ea|\d+\s?in|\d+\s?ft)\.$")
_RAFTER_TIE_MEMBER = re.compile(r"^s?\s?(?:are\b|\(?ceiling|2x|1x|=|at \d+|@|,? collar|and collar|\d)")


def _settled(found: Found, low: str) -> Found:
    """The term, or an act: at the head of a statement "strap each header" and "anchor the sill" are no things."""
    if (
        found.name == "roof tie"
        and not re.search(r"[a-z]{1,5}-?\d{1,3},? $", low[: found.start])
        and low.startswith("rafter tie", found.start)
        and (_RAFTER_TIE_MEMBER.match(low[found.end :]) or re.search(r"[12]x\d+ $", low[: found.start]))
    ):
        return found._replace(kind="member", name="collar tie")
    if found.kind != "device" or found.name not in ("strap", "anchor", "tie", "clip") or " " in low[found.start : found.end]:
        return found
    if re.match(r"\s?(?:each|both|ea\.?) (?:side|end|face|leg)", low[found.end :]):
        return found
    before = low[: found.start].rstrip()
    opens = not before or (before[-1] in ".;:" and not _SHORT_FOR.search(before))
    if low[: found.end].endswith("s"):
        return found
    follows = re.search(r"(?:\band|\bshall be|\bshall|\bto|\w+ly|,) $", low[: found.start])
    if (opens or follows) and _ACT_AFTER.match(low[found.end :]):
        return found._replace(kind="act")
    if opens and re.match(r"\s[a-z]{3,}", low[found.end :]) and not _NOUN_AFTER.match(low[found.end :]) and found.name != "clip":
        return found._replace(kind="act")
    return found


def marks_of(text: str, found: list[Found], known: frozenset[str], prefixes: frozenset[str]) -> tuple[MarkSpan, ...]:
    """Marks of the set's own manner, and tags beside device words."""
    spans = {(a, b): t for a, b, t in find_marks(text, known, prefixes)}
    tags = [tag for term in found if term.kind == "device" and term.name != "blocking" for tag in tags_beside(text, term.start, term.end)]
    if (
        any(term.kind == "device" or (term.kind == "act" and term.name in ("tie", "strap", "anchor", "connect", "nail")) for term in found)
        or _NAILED.search(text)
        or re.search(r"\b(?:posts?|columns?)\b", text, re.IGNORECASE)
    ):
        tags += tags_given(text)
    if any(len(key) == 1 or key.isdigit() for key in known):
        typed = (find_typed(text, term.end, known) for term in found if term.kind == "device")
        tags += [tag for tag in typed if tag]
    for start, end, tag in [*tags, *_lettered(text, found, known)]:
        if not any(a < end and start < b for a, b in spans):
            spans[start, end] = tag
    return tuple(MarkSpan(a, b, t) for (a, b), t in sorted(spans.items()))


_LETTERED_DEVICES = frozenset({"hold-down", "post base", "post cap", "hanger", "header tie", "roof tie", "stud tie", "plate tie"})
"""Short forms of these ("HD", "PC") are marks where the set's own schedule defines them."""


_PIECE_BEFORE = re.compile(r"\b(?:straps?|ties?|caps?|bases?|shoes?|hangers?|clips?|hold-?downs?|brackets?)\s\(?$", re.IGNORECASE)


def _lettered(text: str, found: list[Found], known: frozenset[str]) -> list[tuple[int, int, str]]:
    """Marks of letters alone; what the trade's vocabulary reads as a word of its own ("AB") is none."""
    taken = [f for f in found if not (f.kind == "device" and f.name in _LETTERED_DEVICES)]
    return [
        (a, b, tag)
        for a, b, tag in find_letters(text, known)
        if not any(f.start < b and a < f.end for f in taken) or _PIECE_BEFORE.search(text[:a])
    ]


def as_terms(read: Read, start: int, end: int) -> tuple[Term, ...]:
    """All that stands in start..end as the records that other stages read, in order."""
    terms = [Term(kind=f.kind, name=f.name, start=f.start, end=f.end) for f in read.terms(start, end)]
    for quantity, role in read.lengths(start, end):
        terms.append(
            Term(
                kind="quantity",
                name=role or quantity.unit,
                start=quantity.start,
                end=quantity.end,
                value=quantity.value,
                high=quantity.high,
                unit=quantity.unit,
                role=role,
            )
        )
    terms += [Term(kind="mark", name=m.text, start=m.start, end=m.end) for m in read.marks if m.start >= start and m.end <= end]
    return tuple(sorted(terms, key=lambda t: (t.start, -t.end)))
