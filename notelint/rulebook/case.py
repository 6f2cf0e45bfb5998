"""What a check may look at: one plan set as read, with the look-ups most checks need."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from operator import itemgetter

from notelint.loadpath.foreign import foreign_notes
from notelint.model import (
    Building,
    Clause,
    Fact,
    Layout,
    LoadPath,
    Passage,
    Reading,
    Requirement,
    SheetLine,
    Where,
)

BOUND_IN = {"truss letter", "calculation", "form"}  # pages that are not the designer's requirements


@dataclass(frozen=True)
class Case:
    """One plan set as read. Nothing here changes while rules run."""

    layout: Layout
    reading: Reading
    building: Building
    load_path: LoadPath
    sheets: tuple[SheetLine, ...] = field(default_factory=tuple)
    listed: frozenset[str] = frozenset()
    """Keys of marks that the user's own hardware list says what they are."""

    @cached_property
    def passages(self) -> dict[str, Passage]:
        """Passages by id, bound-in pages and notes of another job left out."""
        foreign = {i for ids in self.foreign.values() for i in ids}
        return {p.id: p for p in self.layout.passages if p.source not in BOUND_IN and p.id not in foreign}

    @cached_property
    def foreign(self) -> dict[str, tuple[str, ...]]:
        """Notes about a system the set does not show, by its name; asked as copied notes, they raise no other question."""
        return foreign_notes(self.layout, self.reading, self.building)

    @cached_property
    def duties(self) -> tuple[Requirement, ...]:
        """Requirements the work must meet, on the designer's own sheets."""
        return tuple(r for r in self.reading.requirements if r.stance == "duty" and r.passage in self.passages)

    @cached_property
    def called(self) -> tuple[Requirement, ...]:
        """Duties, and lines of fill-in sheets with a blank: what is left blank there is not given."""
        return tuple(r for r in self.reading.requirements if r.stance in {"duty", "blank"} and r.passage in self.passages)

    @cached_property
    def marked(self) -> dict[str, tuple[Requirement, ...]]:
        """All of `called` that carry a mark, by the mark's key."""
        found: dict[str, list[Requirement]] = {}
        for r in self.called:
            if r.mark:
                found.setdefault(mark_key(r.mark), []).append(r)
        return {k: tuple(v) for k, v in found.items()}

    @cached_property
    def clauses_of(self) -> dict[str, tuple[Clause, ...]]:
        """Clauses by passage id, in order."""
        found: dict[str, list[Clause]] = {}
        for clause in self.reading.clauses:
            found.setdefault(clause.passage, []).append(clause)
        return {k: tuple(sorted(v, key=lambda c: c.start)) for k, v in found.items()}

    @cached_property
    def definitions(self) -> dict[str, tuple[Requirement, ...]]:
        """Rows and notes that define a mark, by the mark's key."""
        found: dict[str, list[Requirement]] = {}
        for r in self.reading.requirements:
            if r.mark and r.defines and r.passage in self.passages:
                found.setdefault(mark_key(r.mark), []).append(r)
        return {k: tuple(v) for k, v in found.items()}

    @cached_property
    def by_mark(self) -> dict[str, tuple[Requirement, ...]]:
        """All duties that carry a mark, definitions included, by the mark's key."""
        found: dict[str, list[Requirement]] = {}
        for r in self.duties:
            if r.mark:
                found.setdefault(mark_key(r.mark), []).append(r)
        return {k: tuple(v) for k, v in found.items()}

    def joined_by(self, mark: str) -> frozenset[str]:
        """Members that all duties with a mark join."""
        return self._joined_by.get(mark_key(mark), frozenset())

    @cached_property
    def _joined_by(self) -> dict[str, frozenset[str]]:
        return {key: frozenset(m for r in duties for m in r.joins) for key, duties in self.by_mark.items()}

    @cached_property
    def named(self) -> tuple[Requirement, ...]:
        """Duties whose piece is named by a mark or in words."""
        return tuple(r for r in self.duties if r.mark or r.named)

    @cached_property
    def named_as(self) -> dict[str | None, tuple[Requirement, ...]]:
        """The same by what they are."""
        found: dict[str | None, list[Requirement]] = {}
        for r in self.named:
            found.setdefault(r.device, []).append(r)
        return {k: tuple(v) for k, v in found.items()}

    @cached_property
    def named_in(self) -> dict[str, tuple[Requirement, ...]]:
        """The same by passage id."""
        found: dict[str, list[Requirement]] = {}
        for r in self.named:
            found.setdefault(r.passage, []).append(r)
        return {k: tuple(v) for k, v in found.items()}

    @cached_property
    def _facts_by_name(self) -> dict[str, list[tuple[int, Fact]]]:
        """Facts on the designer's own sheets with their place in reading order."""
        found: dict[str, list[tuple[int, Fact]]] = {}
        for at, fact in enumerate(self.reading.facts):
            if fact.passage in self.passages:
                found.setdefault(fact.name, []).append((at, fact))
        return found

    def prepare(self) -> None:
        """Makes the look-ups that nearly every rule takes, so that processes forked from here share them."""
        _ = (
            self.duties,
            self.called,
            self.marked,
            self.clauses_of,
            self.definitions,
            self.by_mark,
            self.named_in,
            self.named_as,
            self._facts_by_name,
        )

    def facts(self, *names: str) -> Iterator[Fact]:
        """Facts of these names on the designer's own sheets, in reading order."""
        found = [pair for name in dict.fromkeys(names) for pair in self._facts_by_name.get(name, ())]
        return (fact for _, fact in sorted(found, key=itemgetter(0)))

    def has(self, *names: str) -> bool:
        """Whether any fact of these names is stated."""
        return any(True for _ in self.facts(*names))

    def where(self, passage: str, start: int = 0, end: int | None = None) -> Where:
        """The place of characters start..end of a passage."""
        p = self.passages[passage]
        end = len(p.text) if end is None else end
        return Where(sheet=p.sheet, page=p.page, label=self.label_of(p), quote=p.text[start:end], box=p.box(start, end))

    def label_of(self, p: Passage) -> str:
        """The passage's label; a callout is told with the detail it belongs to."""
        return f"{p.label}, detail {p.detail}" if p.kind in {"callout", "note"} and p.detail else p.label

    def where_of(self, found: Requirement | Fact | Clause) -> Where:
        """The place of a requirement, fact or clause."""
        if isinstance(found, Requirement):
            label = self.label_of(self.passages[found.passage]) if found.passage in self.passages else found.label
            whole = self.passages.get(found.passage)
            if whole is not None and _breaks_off(found, whole):
                return self.where(found.passage)
            return Where(sheet=found.sheet, page=found.page, label=label, quote=found.quote, box=found.box)
        return self.where(found.passage, found.start, found.end)

    def words_of(self, found: Requirement | Fact | Clause) -> str:
        """The words a record was read from."""
        return self.passages[found.passage].text[found.start : found.end]


SHORT_QUOTE, LONG_ROW = 20, 220  # characters


def _breaks_off(found: Requirement, whole: Passage) -> bool:
    """Whether the quote of a schedule's row stops before its mark, or after a word or two: the row is then quoted as a whole."""
    if whole.kind != "row" or len(whole.text) > LONG_ROW or found.quote == whole.text:
        return False
    mark = mark_key(found.mark or "")
    return (mark not in mark_key(found.quote) and mark in mark_key(whole.text)) or len(found.quote) < SHORT_QUOTE


def mark_key(mark: str) -> str:
    """The mark without what spelling adds: HD3 for "HD-3", "(HD) 3", "hd 3"."""
    return "".join(c for c in mark.upper() if c.isalnum())


def first(items: Iterable[Requirement], test: Callable[[Requirement], bool]) -> Requirement | None:
    """The first requirement that passes `test`."""
    return next((i for i in items if test(i)), None)
