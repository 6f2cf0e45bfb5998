"""Statements about the building and the order of work, read from clauses by the terms they hold."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from notelint.language.design_facts import design_facts
from notelint.language.frame_facts import frame_facts
from notelint.language.value_facts import value_facts
from notelint.language.view import View, views
from notelint.language.work_facts import work_facts
from notelint.model import Clause, Fact, Layout, Requirement

Reader = Callable[[View], Iterator[Fact]]


def read_facts(layout: Layout, clauses: Sequence[Clause], requirements: Sequence[Requirement]) -> tuple[Fact, ...]:
    """All facts of the passages, in reading order."""
    found: list[Fact] = []
    for view in views(layout, clauses, requirements):
        for reader in (design_facts, frame_facts, work_facts, value_facts):
            found += reader(view)
    return tuple(found)
