"""A passage with its clauses, as the readers of facts look at it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from notelint.language.sayings import Saying, find_sayings
from notelint.model import Clause, Fact, Layout, Passage, Requirement, Term

ORDINALS = {"first": 1, "1st": 1, "ground": 1, "main": 1, "second": 2, "2nd": 2, "third": 3, "3rd": 3, "fourth": 4, "4th": 4}


@dataclass(frozen=True)
class View:
    """One passage, its clauses and the requirements read from it."""

    passage: Passage
    clauses: tuple[Clause, ...]
    requirements: tuple[Requirement, ...]

    @cached_property
    def low(self) -> str:
        """The passage's text in lower case; same offsets."""
        return self.passage.text.lower()

    @cached_property
    def scope(self) -> str:
        """Headings above the passage, lower case."""
        return " / ".join(self.passage.headings).lower()

    @cached_property
    def said(self) -> tuple[Saying, ...]:
        """Statements of the word lists that stand in the passage."""
        return tuple(find_sayings(self.low))

    def states(self, clause: Clause, *names: str) -> bool:
        """Whether a statement of one of the names begins in the clause."""
        return any(s.name in names and clause.start <= s.start < clause.end for s in self.said)

    @cached_property
    def names(self) -> frozenset[tuple[str, str]]:
        """(kind, name) of all terms of the passage."""
        return frozenset((t.kind, t.name) for c in self.clauses for t in c.terms)

    def says(self, kind: str, *names: str) -> bool:
        """Whether the passage holds a term of the kind with one of the names."""
        return any((kind, n) in self.names for n in names)

    def fact(self, name: str, clause: Clause, **values: object) -> Fact:
        """A fact that quotes the clause."""
        return Fact.model_validate({"name": name, "passage": self.passage.id, "start": clause.start, "end": clause.end, **values})

    def at(self, name: str, start: int, end: int, **values: object) -> Fact:
        """A fact that quotes characters start..end."""
        return Fact.model_validate({"name": name, "passage": self.passage.id, "start": start, "end": end, **values})


def views(layout: Layout, clauses: Sequence[Clause], requirements: Sequence[Requirement]) -> Iterator[View]:
    """A view of every passage, those without a clause too."""
    by_clause: dict[str, list[Clause]] = {}
    for clause in clauses:
        by_clause.setdefault(clause.passage, []).append(clause)
    by_requirement: dict[str, list[Requirement]] = {}
    for r in requirements:
        by_requirement.setdefault(r.passage, []).append(r)
    for p in layout.passages:
        own = by_clause.get(p.id) or [Clause(passage=p.id, start=0, end=len(p.text))]
        yield View(p, tuple(own), tuple(by_requirement.get(p.id, ())))


def has(clause: Clause, kind: str, *names: str) -> bool:
    """Whether the clause holds a term of the kind, with one of the names where any are given."""
    return any(t.kind == kind and (not names or t.name in names) for t in clause.terms)


def members(clause: Clause) -> set[str]:
    """Agreed names of the members the clause names."""
    return {t.name for t in clause.terms if t.kind == "member"}


def quantities(clause: Clause, unit: str, role: str | None = None) -> list[Term]:
    """The clause's quantities of a unit, and of a role where one is given."""
    return [t for t in clause.terms if t.kind == "quantity" and t.unit == unit and t.value is not None and (role is None or t.role == role)]


def storeys_in(clause: Clause, text: str) -> tuple[int, ...]:
    """Storeys the clause is limited to; empty where it names none or all."""
    found: set[int] = set()
    for t in clause.terms:
        if t.kind == "place" and t.name == "all storeys":
            return ()
        if t.kind == "place" and t.name in {"first storey", "second storey", "third storey"}:
            found.add({"first storey": 1, "second storey": 2, "third storey": 3}[t.name])
        if t.kind == "member" and t.name in {"upper stud", "lower stud"}:
            words = re.match(r"(second|2nd|third|3rd|main|ground|first)\b", text[max(0, t.start - clause.start) : t.end - clause.start])
            found |= {ORDINALS[words.group(1)]} if words else set()
    return tuple(sorted(found))
