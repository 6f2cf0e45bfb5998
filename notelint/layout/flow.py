"""Notes that go on: in the next column, or on the next sheet."""

from __future__ import annotations

from collections.abc import Sequence

from notelint.layout.labels import Label, follows
from notelint.layout.notes import CONTINUED, ENDS, GOES_ON, Column, Item
from notelint.layout.passages import item_parts
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
    items = tuple(
        column.items[i]._replace(parents=tuple(moved[p] for p in column.items[i].parents if p in moved)) for i in keep
    )  # fmt: skip
    return column._replace(items=items)


def _text(item: Item) -> str:
    return " ".join(w.text for w, _ in item.words)


def _carry(before: Carried, column: Column, read: Read, next_sheet: bool) -> Column:
    """Give a column the words' and headings' continuation of the column before, where it goes on."""
    earlier, extra = before
    lead = 0
    continued = False
    if column.items[0].heading and CONTINUED.search(_text(column.items[0])):
        continued, lead = True, 1
    rest = column.items[lead:]
    if not rest or rest[0].heading:
        return column
    last = _last_note(earlier)
    if last is None:
        return column
    first = rest[0]
    scope = earlier.items[-1].headings
    if first.label is None and first.lead is None and (continued or _unfinished(earlier.items[last]) or _hangs(column, lead)) and first.open_start:
        if next_sheet and not continued and not _unfinished(earlier.items[last]):
            return column
        extra.setdefault(last, []).extend(item_parts(first, read.sheet.page))
        column = _drop(column, lead)
        return _scoped(column, scope, lead, continued)
    if first.label is not None and _goes_on(earlier, first.label) and (continued or not column.headed):
        return _scoped(column, scope, lead, continued)
    if continued:
        return _scoped(column, scope, lead, continued)
    return column


def _last_note(column: Column) -> int | None:
    for i in range(len(column.items) - 1, -1, -1):
        if not column.items[i].heading:
            return i
    return None


def _unfinished(item: Item) -> bool:
    return not ENDS.search(item.words[-1][0].text)


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


def _scoped(column: Column, scope: tuple[str, ...], lead: int, continued: bool) -> Column:
    """Items before the column's first own heading stand under the headings of the column before."""
    items = list(column.items)
    own = items[0].headings if continued and lead and items else ()
    for i in range(lead, len(items)):
        if items[i].heading:
            break
        items[i] = items[i]._replace(headings=scope)
    if scope and not own:
        outer = scope[:-1]
        for i in range(lead, len(items)):
            if items[i].headings and items[i].headings[: len(outer)] != outer and items[i].headings != scope:
                items[i] = items[i]._replace(headings=outer + items[i].headings)
    return column._replace(items=tuple(items))
