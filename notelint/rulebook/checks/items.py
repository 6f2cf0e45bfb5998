"""Connectors as a buyer sees them: one item a mark (or an unmarked requirement), with all that is said of its fasteners anywhere."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from notelint.loadpath.ties import CONNECTORS
from notelint.model import Fastener, Requirement, Where
from notelint.rulebook.case import Case, mark_key

ANCHOR_KINDS = {"anchor bolt", "rod"}
SHAFT_DEVICES = {"rod", "anchor bolt"}


@dataclass(frozen=True)
class Item:
    """A connector: its name for a person, every requirement about it, and the fasteners said of it anywhere."""

    name: str
    about: tuple[Requirement, ...]
    defined: bool

    @property
    def fasteners(self) -> tuple[Fastener, ...]:
        """Nails, screws and bolts through the connector; anchors and rods left out."""
        return tuple(f for r in self.about for f in r.fasteners if f.kind not in ANCHOR_KINDS)

    @property
    def device(self) -> str | None:
        """The device as its schedule line or the first words about it have it."""
        return next((r.device for r in sorted(self.about, key=lambda r: not r.defines) if r.device), None)

    @property
    def to_maker(self) -> Requirement | None:
        """The requirement that leaves its fasteners to the maker, if one does."""
        return next((r for r in self.about if r.to_maker), None)


def items(case: Case) -> Iterator[Item]:
    """Every connector of the set. Rods and anchor bolts have no fasteners of their own and are left out."""
    for key, about in case.marked.items():
        device = next((r.device for r in sorted(about, key=lambda r: not r.defines) if r.device), None)
        if device in CONNECTORS - SHAFT_DEVICES:
            name = next((r.mark for r in about if r.defines and r.mark), about[0].mark or key)
            yield Item(name, about, key in case.definitions)
    for r in case.called:
        if not r.mark and r.device in CONNECTORS - SHAFT_DEVICES:
            yield Item(_unmarked_name(r), (r,), r.named)


def _unmarked_name(r: Requirement) -> str:
    return f"{r.device}, {r.joint}" if r.joint and r.joint != "other" else str(r.device)


def blanket_fasteners(case: Case) -> tuple[Fastener, ...]:
    """Fasteners said of all connectors ("all connector nails 10d x 1-1/2 in."), in a note that names none."""
    found = []
    for r in case.duties:
        if r.kind == "row" or r.mark or not r.fasteners:
            continue
        if "all connectors" in r.scope:
            found += list(r.fasteners)
            continue
        low = r.quote.lower()
        every = re.search(r"\b(all|every|each|unless|u\.n\.o|typ)", low) or r.unless_noted
        if every and re.search(r"connector|hardware|strap|\bties\b|\btie\b|hanger|hold-?down|metal", low) and r.joint in {None, "other"}:
            found += list(r.fasteners)
    return tuple(found)


def sized(f: Fastener) -> bool:
    """Whether the fastener has a size: a penny, number or diameter."""
    return bool(f.penny or f.number or f.diameter_in)


def places(case: Case, found: Iterator[Requirement] | tuple[Requirement, ...] | list[Requirement], most: int = 3) -> tuple[Where, ...]:
    """The places of requirements, schedule rows first, and of those the ones that give fasteners."""
    return tuple(case.where_of(r) for r in sorted(found, key=lambda r: (not r.defines, not r.fasteners, r.page))[:most])


def key_of(r: Requirement) -> str:
    """The key of a requirement's mark; empty where it has none."""
    return mark_key(r.mark) if r.mark else ""
