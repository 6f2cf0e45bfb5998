"""Passages made by hand for the tests of the language stage."""

from __future__ import annotations

from notelint.model import Box, Cell, Passage, PassageKind, Spot


def note(
    text: str, kind: PassageKind = "note", *, id: str = "p1", headings: tuple[str, ...] = (), sheet: str = "S-1", sure: float = 1.0
) -> Passage:
    """A passage of running text; `sure` below 1 makes it one that was read from a scan."""
    spots = (Spot(0, len(text), 1, Box(0, 0, 100, 10), sure),)
    return Passage(id=id, page=1, sheet=sheet, kind=kind, label=kind, text=text, headings=headings, spots=spots)


def row(cells: dict[str, str], title: str = "CONNECTOR SCHEDULE", *, id: str = "p1") -> Passage:
    """A schedule row with its column heads."""
    spans, at = [], 0
    for column, text in cells.items():
        spans.append(Cell(column, at, at + len(text)))
        at += len(text) + 3
    first = next(iter(cells.values()))
    return Passage(
        id=id,
        page=1,
        sheet="S-1",
        kind="row",
        label=f"{title}, row {first}",
        text=" | ".join(cells.values()),
        headings=(title,),
        cells=tuple(spans),
    )
