"""Words that belong to the sheet and not to its content: title blocks, frame letters, text printed twice."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence

from notelint.layout.pieces import level
from notelint.model import Box, Sheet, Word

EDGE = 30.0  # points from the sheet's edge within which single letters and digits are the frame's
MARGIN = 0.14  # share of the sheet along its sides and lower edge where a title block stands
STRIP = 0.075  # share along the upper edge where running heads stand
_FAR = 1e6  # points; no word stands as far off
SAME = 3.0  # points two sheets may differ in where a word stands


def content_words(sheets: Sequence[Sheet]) -> list[list[Word]]:
    """For each sheet the words that are its content, each printed once."""
    repeated = _repeated(sheets)
    usual = _usual_blocks(sheets)
    return [_content(sheet, usual.get(_size(sheet), sheet.block) if sheet.block else None, repeated) for sheet in sheets]


def _size(sheet: Sheet) -> tuple[int, int]:
    return round(sheet.width), round(sheet.height)


def _usual_blocks(sheets: Sequence[Sheet]) -> dict[tuple[int, int], Box]:
    """The title block of most sheets of a size, where most agree: a sheet on which it was found in part has it too."""
    found: dict[tuple[int, int], list[Box]] = defaultdict(list)
    for sheet in sheets:
        if sheet.block is not None:
            found[_size(sheet)].append(sheet.block)
    usual: dict[tuple[int, int], Box] = {}
    for size, blocks in found.items():
        best = max(blocks, key=lambda b: sum(_alike(b, other) for other in blocks))
        if 2 * sum(_alike(best, other) for other in blocks) > len(blocks):
            usual[size] = best
    return usual


def _alike(a: Box, b: Box) -> bool:
    return all(abs(x - y) < 6 for x, y in zip(a, b, strict=True))


def _content(sheet: Sheet, block: Box | None, repeated: set[tuple[str, int, int, int, int]]) -> list[Word]:
    words = [w for w in sheet.words if _finite(w) and w.text.strip()]
    if block is not None:
        block = _to_strip(sheet, block, [w for w in words if _key(sheet, w) in repeated])
        words = [w for w in words if not _inside(w, block) and not (_running(sheet, w) and _key(sheet, w) in repeated)]
    else:
        found = [w for w in words if _key(sheet, w) in repeated]
        block = _block_of(sheet, found)
        words = [w for w in words if _key(sheet, w) not in repeated and not (block and _inside(w, block))]
    return once(_without_frame(sheet, words))


def _to_strip(sheet: Sheet, block: Box, found: Sequence[Word]) -> Box:
    """The block, or the whole strip along the lower edge where it was found as a corner of one that repeats right across the sheets."""
    low = block.bottom > (1 - 0.02) * sheet.height and block.top > (1 - MARGIN) * sheet.height
    if not low or block.x1 - block.x0 > 0.9 * sheet.width:
        return block
    strip = _block_of(sheet, [w for w in found if w.top > block.top - 4])
    reaches = strip is not None and strip.x1 - strip.x0 >= sheet.width and strip.top > (1 - MARGIN) * sheet.height
    left = [w for w in found if w.x1 < block.x0 and w.top > block.top - 4]
    return strip._replace(top=min(strip.top, block.top)) if strip is not None and reaches and left else block


def _finite(word: Word) -> bool:
    _, x0, top, x1, bottom, size, *_ = word
    return -_FAR < x0 < _FAR and -_FAR < top < _FAR and -_FAR < x1 < _FAR and -_FAR < bottom < _FAR and -_FAR < size < _FAR


def _inside(word: Word, box: Box) -> bool:
    x, y = (word.x0 + word.x1) / 2, (word.top + word.bottom) / 2
    return box.x0 <= x <= box.x1 and box.top <= y <= box.bottom


def _without_frame(sheet: Sheet, words: list[Word]) -> list[Word]:
    """Words without the letters and digits of the drawing frame: alone on the border, with no other word beside them."""
    letters = [w for w in words if _frame_letter(sheet, w)]
    gone = {id(w) for w in letters if not any(_next_to(w, other) for other in words if other is not w)}
    return [w for w in words if id(w) not in gone]


def _next_to(word: Word, other: Word) -> bool:
    level_with = abs((word.top + word.bottom) - (other.top + other.bottom)) < 8
    return level_with and max(other.x0 - word.x1, word.x0 - other.x1) < 24


def _frame_letter(sheet: Sheet, word: Word) -> bool:
    if not ((len(word.text) == 1 and word.text.isalpha()) or (len(word.text) <= 2 and word.text.isdecimal())):
        return False
    x, y = (word.x0 + word.x1) / 2, (word.top + word.bottom) / 2
    return min(x, y, sheet.width - x, sheet.height - y) < EDGE and word.size <= 14


def once(words: Sequence[Word]) -> list[Word]:
    """Words without copies printed on (nearly) the same place, as bold-by-shifting and repeated labels leave them."""
    kept: list[Word] = []
    last: dict[tuple[str, int], list[Word]] = defaultdict(list)
    for word in sorted(words, key=lambda w: (w.top, w.x0)):
        near = last[word.text, word.turn]
        if any(abs(n.x0 - word.x0) < 2.0 and abs(n.top - word.top) < 2.0 for n in near[-8:]):
            continue
        near.append(word)
        kept.append(word)
    return kept


def _key(sheet: Sheet, word: Word) -> tuple[str, int, int, int, int]:
    x0, top, _, _ = level(word)
    return word.text, round(x0 / SAME), round(top / SAME), round(sheet.width), round(sheet.height)


def _repeated(sheets: Sequence[Sheet]) -> set[tuple[str, int, int, int, int]]:
    """Words in the margins that stand on the same place of most sheets of one size (three or more)."""
    sizes = Counter((round(s.width), round(s.height)) for s in sheets if s.words)
    counts: Counter[tuple[str, int, int, int, int]] = Counter()
    for sheet in sheets:
        if sizes[round(sheet.width), round(sheet.height)] >= 3:
            counts.update({_key(sheet, w) for w in sheet.words if _in_margin(sheet, w) and _finite(w)})
    return {key for key, count in counts.items() if count >= 0.6 * sizes[key[3], key[4]] and count >= 3}


def _in_margin(sheet: Sheet, word: Word) -> bool:
    _, x0, top, x1, bottom, *_ = word
    x, y = (x0 + x1) / 2, (top + bottom) / 2
    return x > (1 - MARGIN) * sheet.width or y > (1 - MARGIN) * sheet.height or x < MARGIN * sheet.width or y < STRIP * sheet.height


def _running(sheet: Sheet, word: Word) -> bool:
    """True for a word where running heads and feet stand."""
    y = (word.top + word.bottom) / 2
    return y < STRIP * sheet.height or y > (1 - STRIP) * sheet.height


def _block_of(sheet: Sheet, found: Sequence[Word]) -> Box | None:
    """The strip along a side or the lower edge that the repeated words span, when they are many enough to be a title block."""
    right = [w for w in found if w.x0 > (1 - MARGIN) * sheet.width]
    if len(right) >= 5 and max(w.bottom for w in right) - min(w.top for w in right) > 0.4 * sheet.height:
        return Box(min(w.x0 for w in right) - 8, 0.0, sheet.width, sheet.height)
    left = [w for w in found if w.x1 < MARGIN * sheet.width]
    if len(left) >= 5 and max(w.bottom for w in left) - min(w.top for w in left) > 0.4 * sheet.height:
        return Box(0.0, 0.0, max(w.x1 for w in left) + 8, sheet.height)
    low = [w for w in found if w.top > (1 - MARGIN) * sheet.height]
    if len(low) >= 5 and max(w.x1 for w in low) - min(w.x0 for w in low) > 0.4 * sheet.width:
        return Box(0.0, min(w.top for w in low) - 4, sheet.width, sheet.height)
    return None
