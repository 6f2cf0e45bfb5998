"""What was read on the sheets, written out as passages."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from notelint.layout.callouts import is_dimension
from notelint.layout.notes import CONTINUED, Column, Item
from notelint.layout.pieces import Piece, box_of
from notelint.layout.sheet import Read
from notelint.layout.tables import Row, Table
from notelint.layout.text import Built, Known, Placed, build, despaced
from notelint.model import Box, Cell, Passage, Spot

LEAD_MOST = 240  # characters of a parent note kept as a heading of its list items


class Maker:
    """Numbers passages in the order in which they are made."""

    def __init__(self, known: Known) -> None:
        self.known = known
        self.made: list[Passage] = []

    def add(self, read: Read, kind: str, label: str, built: Built, **more: object) -> Passage | None:
        """Append a passage; one without words is left out."""
        if not built.text.strip():
            return None
        page = built.spots[0].page if built.spots else read.sheet.page
        passage = Passage(
            id=f"p{len(self.made) + 1}",
            page=page,
            sheet=read.sheet.number,
            kind=kind,
            label=label,
            text=built.text,
            spots=built.spots,
            source=read.sheet.kind,
            **more,
        )
        self.made.append(passage)
        return passage


def placed(pieces: Iterable[Piece], page: int) -> list[Placed]:
    """Words of lines, each line's first word marked."""
    return [Placed(word, page, i == 0) for piece in pieces for i, word in enumerate(piece.words)]


def item_parts(item: Item, page: int) -> list[Placed]:
    """An item's words without its number."""
    parts: list[Placed] = []
    at = 0
    for word, first in item.words:
        if at + len(word.text) > item.skip:
            cut = max(item.skip - at, 0)
            parts.append(Placed(word._replace(text=word.text[cut:]) if cut else word, page, first))
        at += len(word.text) + 1
    return parts


def item_label(item: Item, parents: Sequence[Item]) -> str:
    """What a letter calls it: "note 7", "note 21 A", "note 'Anchor bolts'"."""
    names: list[str] = []
    for one in (*parents, item):
        if one.label is not None and one.label.name:
            if one.label.style == "decimal":
                names = [one.label.name]
            else:
                names.append(one.label.name)
    if names:
        return "note " + " ".join(names)
    if item.lead:
        return f"note '{item.lead.strip(' .:')}'"
    return "note"


def add_column(maker: Maker, read: Read, column: Column, extra: dict[int, list[Placed]]) -> None:
    """Passages of a column; `extra` holds words that continue an item in another column or on another sheet."""
    texts: dict[int, str] = {}
    for index, item in enumerate(column.items):
        parts = item_parts(item, read.sheet.page) + extra.get(index, [])
        built = build(parts, maker.known)
        if item.heading:
            shown = despaced([w for w, _ in item.words])
            maker.add(read, "heading", "heading", _spaced_out(built, shown), headings=item.headings[:-1])
            continue
        parents = [column.items[i] for i in item.parents]
        above = tuple(texts[i][:LEAD_MOST] for i in item.parents if texts.get(i))
        texts[index] = built.text
        maker.add(read, "note", item_label(item, parents), built, headings=item.headings + above)


def _spaced_out(built: Built, shown: str | None) -> Built:
    """A letter-spaced heading with its spacing closed; its letters' spots keep their order."""
    if shown is None:
        return built
    spots: list[Spot] = []
    at = 0
    for spot in built.spots:
        letters = built.text[spot.start : spot.end]
        at = shown.find(letters, at) if shown.find(letters, at) >= 0 else at
        spots.append(spot._replace(start=at, end=min(at + len(letters), len(shown))))
        at += len(letters)
    return Built(shown, tuple(spots))


def add_table(maker: Maker, read: Read, table: Table) -> None:
    """A passage for each row of a schedule, and one of kind heading for its title."""
    title = " ".join(despaced(p.words) or p.text for p in table.title).strip(" :")
    title = CONTINUED.sub("", title).strip(" :-") or title
    if table.title and not table.inherits:
        built = build(placed(table.title, read.sheet.page), maker.known)
        maker.add(read, "heading", "schedule title", _spaced_out(built, title if built.text != title else None))
    for row in table.rows:
        built, cells = row_text(row, table.heads, read.sheet.page, maker.known)
        first = built.text[cells[0].start : cells[0].end] if cells else ""
        name = f"{title or 'table'}, row {first}"
        headings = tuple(h for h in (title, row.under) if h)
        maker.add(read, "row", name, built, headings=headings, cells=cells)
    for across in table.notes:
        maker.add(read, "note", "note", build(placed(across, read.sheet.page), maker.known), headings=(title,) if title else ())


def row_text(row: Row, heads: Sequence[str], page: int, known: Known) -> tuple[Built, tuple[Cell, ...]]:
    """Cells joined by " | ", with their column heads."""
    text = ""
    spots: list[Spot] = []
    cells: list[Cell] = []
    for column, cell in enumerate(row.cells):
        if not cell:
            continue
        built = build(placed(cell, page), known)
        if text:
            text += " | "
        cells.append(Cell(heads[column] if column < len(heads) else "", len(text), len(text) + len(built.text)))
        spots.extend(s._replace(start=s.start + len(text), end=s.end + len(text)) for s in built.spots)
        text += built.text
    return Built(text, tuple(spots)), tuple(cells)


def add_titles(maker: Maker, read: Read) -> None:
    """Drawing titles."""
    for title in sorted(read.titles, key=lambda t: (t.piece.middle, t.piece.x0)):
        built = build(placed([title.piece], read.sheet.page), maker.known)
        label = f"detail {title.number}" if title.number else "title"
        shown = despaced(title.piece.words) or (title.text if built.text != title.text else None)
        maker.add(read, "title", label, _spaced_out(built, shown), detail=title.number)


def add_callouts(maker: Maker, read: Read) -> None:
    """Callouts, those with the same words on one drawing once, with their further places."""
    first: dict[tuple[str, str | None, str | None], int] = {}
    for group, tip in read.callouts:
        built = build(placed(group, read.sheet.page), maker.known)
        if len(group) == 1:
            built = _spaced_out(built, despaced(group[0].words))
        if sum(c.isalnum() for c in built.text) < 2 or is_dimension(built.text):
            continue
        box = box_of(w for piece in group for w in piece.words)
        if _sheets_own(read, built.text, box):
            continue
        title = read.places.title(*(tip or ((box.x0 + box.x1) / 2, (box.top + box.bottom) / 2)))
        key = (built.text.casefold(), title.number if title else None, title.text if title else None)
        if key in first:
            old = maker.made[first[key]]
            maker.made[first[key]] = old.model_copy(update={"also": (*old.also, (read.sheet.page, box))})
            continue
        kind = "note" if _prose(built.text) else "callout"
        first[key] = len(maker.made)
        maker.add(read, kind, kind, built, detail=title.number if title else None, place=title.text if title else None)


def _sheets_own(read: Read, text: str, box: Box) -> bool:
    """The sheet's own number or title along its border, left over from its title block."""
    sheet = read.sheet
    names = {name.casefold() for name in (sheet.number, sheet.title) if name}
    border = box.top < 0.1 * sheet.height or box.bottom > 0.9 * sheet.height or box.x0 < 0.1 * sheet.width or box.x1 > 0.86 * sheet.width
    return border and text.casefold() in names


def _prose(text: str) -> bool:
    """Sentences set beside a drawing are a note rather than a callout."""
    return len(text.split()) >= 10 and text.rstrip().endswith(".") and text.upper() != text


def place_box(spots: Sequence[Spot], start: int, end: int) -> Box:
    """The box around the words at characters start..end."""
    boxes = [s.box for s in spots if s.start < end and s.end > start]
    if not boxes:
        return Box(0.0, 0.0, 0.0, 0.0)
    return Box(min(b.x0 for b in boxes), min(b.top for b in boxes), max(b.x1 for b in boxes), max(b.bottom for b in boxes))
