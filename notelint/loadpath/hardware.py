"""The hardware list read from the set: what a builder buys and prices from. Callouts are counted, which is no count of pieces."""

from __future__ import annotations

from collections.abc import Sequence

from notelint.language.rows import role_of_column
from notelint.loadpath.building import BOUND_IN
from notelint.loadpath.ties import CONNECTORS
from notelint.model import Fastener, HardwareLine, Layout, MarkUse, Passage, Reading, Requirement
from notelint.trade.inches import inches

_LISTED = CONNECTORS | {"anchor bolt"}


def hardware_lines(layout: Layout, reading: Reading) -> tuple[HardwareLine, ...]:
    """One line a mark, in the order of marks, for marks of connectors and anchors."""
    passages = {p.id: p for p in layout.passages if p.source not in BOUND_IN}
    by_key: dict[str, list[Requirement]] = {}
    for r in reading.requirements:
        if r.mark and r.passage in passages:
            by_key.setdefault(_key(r.mark), []).append(r)
    uses: dict[str, list[MarkUse]] = {}
    for use in reading.marks:
        if use.passage in passages:
            uses.setdefault(use.key, []).append(use)
    keys = [k for k in {**by_key, **uses} if any(r.device in _LISTED for r in by_key.get(k, []))]
    return tuple(_line(k, by_key.get(k, []), uses.get(k, []), passages) for k in sorted(keys))


def _line(key: str, found: Sequence[Requirement], uses: Sequence[MarkUse], passages: dict[str, Passage]) -> HardwareLine:
    defined = next((r for r in found if r.defines), None)
    shown = defined or found[0]
    fasteners = [f for r in found for f in r.fasteners]
    called = [u for u in uses if not u.defines]
    sheets = dict.fromkeys(str(passages[u.passage].sheet or f"page {passages[u.passage].page}") for u in uses)
    return HardwareLine(
        mark=shown.mark or key,
        device=shown.device,
        item=_item(defined, passages) if defined else "",
        fasteners="; ".join(dict.fromkeys(_with_place(f) for f in (defined.fasteners if defined else fasteners))),
        callouts=sum(1 + len(passages[u.passage].also) for u in called if passages[u.passage].kind == "callout")
        + sum(passages[u.passage].kind != "callout" for u in called),
        sheets=tuple(sheets),
        capacity_lb=next((r.capacity_lb for r in found if r.capacity_lb), None),
        lacks=_lacks(defined, fasteners, called),
    )


def _item(row: Requirement, passages: dict[str, Passage]) -> str:
    """The schedule line's words without its mark, empty cells and figures that stand in columns of their own."""
    p = passages[row.passage]
    if not p.cells:
        return row.quote
    kept = [c for c in p.cells if role_of_column(c.column) not in {"fasteners", "capacity", "demand", "nail count"}]
    cells = [p.text[c.start : c.end].strip() for c in kept]
    return ", ".join(c for c in cells if c.strip(" -.") and c != row.mark)


def _lacks(defined: Requirement | None, fasteners: Sequence[Fastener], called: Sequence[MarkUse]) -> tuple[str, ...]:
    lacks = [] if defined else ["a schedule line that says what it is"]
    fasteners = [f for f in fasteners if f.kind not in {"anchor bolt", "rod"}]
    if not fasteners:
        lacks.append("fasteners")
    else:
        lacks += ["fastener length"] if not any(f.length_in for f in fasteners) else []
        lacks += ["fastener count"] if not any(f.count or f.fill or f.spacing_in for f in fasteners) else []
    if not called:
        lacks.append("a place: no callout uses it")
    return tuple(lacks)


def spoken_fastener(f: Fastener) -> str:
    """A fastener as a letter would write it: "(12) 10d x 2-1/2 in nails"; what is not stated is left out."""
    kind: str = f.kind or "fastener"
    size = f.penny or (f"#{f.number}" if f.number else "")
    if not size and f.diameter_in:
        size = f"{f.diameter_in:g} in dia." if f.diameter_in < 0.2 else f"{inches(f.diameter_in)} in"
    length = f" x {inches(f.length_in)} in" if f.length_in else ""
    kind = f.type if f.type and f.type.endswith(kind) else f"{f.type} {kind}" if f.type else kind
    return " ".join(f"{f'({f.count})' if f.count else ''} {size}{length} {kind}{'' if f.count == 1 else 's'}".split())


def _with_place(f: Fastener) -> str:
    """The fastener with the member it goes into, or what one count is for."""
    return spoken_fastener(f) + (f" to {f.into}" if f.into else f" each {f.per}" if f.per else "")


def _key(mark: str) -> str:
    return "".join(c for c in mark.upper() if c.isalnum())
