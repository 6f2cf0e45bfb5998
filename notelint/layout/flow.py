"""Notes that go on: in the next column, or on the next sheet."""

from __future__ import annotations

from collections.abc import Sequence

from notelint.layout.labels import Label, follows
from notelint.layout.notes import CONTINUED, GOES_ON, Column, Item, may_go_on
from notelint.layout.passages import item_parts
from notelint.layout.shapes import FULL_STOP
from notelint.layout.sheet import Read
from notelint.layout.text import Placed

Carried = tuple[Column, dict[int, list[Placed]]]


def flow(reads: Sequence[Read]) -> list[list[Carried]]:
    """For each sheet its columns in reading order, with words and headings carried over from column to column."""
    out: list[list[Carried]] = []
    tail: tuple[int, int] | None = None  # sheet and column in `out` whose last note may go on
    for at, read in enumerate(reads):
        mine: list[Carried] = []
        out.append(mine)
        for column in reading_order(read.columns):
            column = _without_signposts(column)
            if not column.items:
                continue
            if tail is not None and (near := out[tail[0]]) and tail[1] < len(near):
                column = _carry(near[tail[1]], column, read, tail[0] != at)
            if column.items:
                mine.append((column, {}))
                tail = (at, len(mine) - 1)
    return out


def reading_order(columns: Sequence[Column]) -> list[Column]:
    """Columns left to right, those that stand one under another top to bottom."""
    strips: list[list[Column]] = []
    for column in sorted(columns, key=lambda c: (c.block.x0, c.block.top)):
        for strip in strips:
            x0, x1 = strip[0].block.x0, strip[0].block.x1
            overlap = min(x1, column.block.x1) - max(x0, column.block.x0)
            if overlap > 0.5 * min(x1 - x0, column.block.x1 - column.block.x0):
                strip.append(column)
                break
        else:
            strips.append([column])
    return [c for strip in strips for c in sorted(strip, key=lambda c: c.block.top)]


def _without_signposts(column: Column) -> Column:
    """Without "notes continue on sheet ..." and the like."""
    if not any(GOES_ON.match(_text(item)) for item in column.items):
        return column
    keep = [i for i, item in enumerate(column.items) if not GOES_ON.match(_text(item))]
    moved = {old: new for new, old in enumerate(keep)}
    items = tuple(column.items[i]._replace(parents=tuple(moved[p] for p in column.items[i].parents if p in moved)) for i in keep)
    return column._replace(items=items)


def _text(item: Item) -> str:
    return " ".join(w.text for w, _ in item.words)


def _carry(before: Carried, column: Column, read: Read, next_sheet: bool) -> Column:
    """Give a column the words' and headings' continuation of the column before, where it goes on."""
    earlier, extra = before
    continued = column.items[0].heading and bool(CONTINUED.search(_text(column.items[0])))
    lead = 1 if continued else 0
    last = _last_note(earlier)
    if last is None or len(column.items) <= lead:
        return column
    first = column.items[lead]
    if first.heading:
        return _under_outer(earlier, column) if not next_sheet or continued else column
    scope = earlier.items[-1].headings
    if _is_rest(earlier, last, column, lead, continued, next_sheet):
        extra.setdefault(last, []).extend(item_parts(first, read.sheet.page))
        return _scoped(_drop(column, lead), scope, lead)
    if continued or (first.label is not None and _goes_on(earlier, first.label)) or _same_page_style(earlier, column, next_sheet):
        return _scoped(column, scope, lead)
    return column


def _is_rest(earlier: Column, last: int, column: Column, lead: int, continued: bool, next_sheet: bool) -> bool:
    """True where the column's first item is the rest of the note before.

    It has no number or lead of its own. Besides, it stands in as the rest of a note does, or begins in mid-sentence, or the next
    number of the list follows it; on another sheet the note before must be unfinished too, unless the heading says "continued".
    """
    first = column.items[lead]
    if first.label is not None or first.lead is not None or not first.open_start:
        return False
    if continued:
        return True
    open_end = not FULL_STOP.search(earlier.items[last].words[-1][0].text)
    small = first.words[0][0].text[:1].islower()
    after = next((i.label for i in column.items[lead + 1 :] if i.label is not None), None)
    in_list = after is not None and earlier.items[last].label is not None and _goes_on(earlier, after)
    leads = earlier.items[last].lead is not None and any(i.lead is not None for i in column.items)
    hangs = _hangs(column, lead)
    if next_sheet:
        return open_end and (hangs or small or in_list or leads)
    on = may_go_on(earlier, earlier.items[last].words[-1][0].text, first.words[0][0])
    return hangs or small or in_list or (open_end and leads) or (on and _level(earlier, column))


def _level(earlier: Column, column: Column) -> bool:
    """True where a column begins beside the top of the one before, in the same type and no wider."""
    a, b = earlier.items[-1], column.items[0]
    alike = abs(a.size - b.size) < 0.05 * max(a.size, 1.0)
    narrow = column.block.x1 - column.block.x0 < 1.1 * (earlier.block.x1 - earlier.block.x0)
    return alike and narrow and abs(earlier.block.top - column.block.top) < 3 * a.size


def _same_page_style(earlier: Column, column: Column, next_sheet: bool) -> bool:
    """Leads without numbers go on under the last heading when the next column or page is set in the same type, without a heading."""
    a, b = earlier.items[-1], column.items[0]
    leads = a.lead is not None and b.lead is not None and a.label is None and b.label is None
    alike = abs(a.size - b.size) < 0.04 * max(a.size, 1.0)
    return leads and alike and (not next_sheet or abs(earlier.block.x0 - column.block.x0) < 2 * max(a.size, 1.0))


def _under_outer(earlier: Column, column: Column) -> Column:
    """A column that begins with a heading of lower rank stands under the outer headings of the column before."""
    if abs(earlier.block.top - column.block.top) > 200 or column.block.x0 - earlier.block.x1 > 120:
        return column
    ranks: list[tuple[float, str]] = []
    for item in earlier.items:
        if item.heading:
            while ranks and ranks[-1][0] <= item.size + 0.3:
                ranks.pop()
            ranks.append((item.size, item.headings[-1]))
    first = next(i for i in column.items if i.heading)
    outer = tuple(text for rank, text in ranks if rank > first.size + 0.3 and rank < 2.2 * first.size)
    if not outer or column.items[0].headings[: len(outer)] == outer:
        return column
    return column._replace(items=tuple(i._replace(headings=outer + i.headings) for i in column.items))


def _last_note(column: Column) -> int | None:
    for i in range(len(column.items) - 1, -1, -1):
        if not column.items[i].heading:
            return i
    return None


def _hangs(column: Column, index: int) -> bool:
    """True where the column's first line stands in from its numbers, as the rest of a note does."""
    first = column.items[index]
    numbers = [i.x0 for i in column.items[index + 1 :] if i.label is not None and not i.parents]
    return bool(numbers) and first.x0 > min(numbers) + 0.6 * max(first.size, 1.0)


def _goes_on(earlier: Column, label: Label) -> bool:
    return any(item.label is not None and follows(item.label, label) for item in earlier.items[-8:])


def _drop(column: Column, index: int) -> Column:
    items = list(column.items)
    del items[index]
    shifted = tuple(i._replace(parents=tuple(p - (p > index) for p in i.parents if p != index)) for i in items)
    return column._replace(items=shifted)


def _scoped(column: Column, scope: tuple[str, ...], lead: int) -> Column:
    """Items before the column's first own heading stand under the headings of the column before, later ones under its outer headings."""
    items = list(column.items)
    outer = scope[:-1]
    own = False
    for i in range(lead, len(items)):
        own = own or items[i].heading
        if not own:
            items[i] = items[i]._replace(headings=scope)
        elif outer and items[i].headings[: len(outer)] != outer and len(items[i].headings) == 1:
            items[i] = items[i]._replace(headings=outer + items[i].headings)
    return column._replace(items=tuple(items))
