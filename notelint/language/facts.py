"""Statements about the building and the order of work, read from clauses by the terms they hold."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from notelint.abreast import of_each
from notelint.language.design_facts import design_facts
from notelint.language.frame_facts import frame_facts
from notelint.language.value_facts import value_facts
from notelint.language.view import View, views
from notelint.language.work_facts import work_facts
from notelint.model import Clause, Fact, Layout, Requirement

_PER = 16  # passages that a process takes at a time
Reader = Callable[[View], Iterator[Fact]]


def read_facts(layout: Layout, clauses: Sequence[Clause], requirements: Sequence[Requirement], *, beside: bool = False) -> tuple[Fact, ...]:
    """All facts of the passages, in reading order; with `beside` in two processes at most."""
    seen = tuple(views(layout, clauses, requirements))
    found = of_each(lambda i: _facts_of(seen[i]), len(seen), beside=beside, per=_PER)
    return tuple(fact for one in found for fact in one)


def _facts_of(view: View) -> list[Fact]:
    return [fact for reader in (design_facts, frame_facts, work_facts, value_facts) for fact in reader(view)]
