"""Blocks to notes: numbers, bold leads, paragraphs, nested lists and the headings they stand under."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, NamedTuple

from notelint.layout.blocks import Block, Line
from notelint.layout.labels import Label, alone, follows, read_label, same_kind, starts
from notelint.layout.numbered import beside, chained, number_edges, numbered_lines
from notelint.layout.shapes import ENDS, LEAD, bold_lead, finished, heading_text, is_heading, shape_of, written_lead
from notelint.model import Word

SECTION = re.compile(r"^(?:SECTION\s+|DIVISION\s+)?\d{1,2}(?:\.\d)?[.:]?\s+(?=[A-Z(])", re.IGNORECASE)
CONTINUED = re.compile(r"[\s,(-]*\bcont(?:inued|'?d|\.)?\b[.)\s]*$", re.IGNORECASE)
GOES_ON = re.compile(
    r"^\(?(?:general\s+|structural\s+)*notes?\s+(?:are\s+)?continued?s?\b.*\b(?:on|next|sheet)\b|^continued? on\b", re.IGNORECASE
)


class Item(NamedTuple):
    """A note, list item or paragraph before it becomes a passage."""

    words: tuple[tuple[Word, bool], ...]  # word, first of its line
    skip: int  # characters of the first word(s) that are the number
    label: Label | None
    lead: str | None
    headings: tuple[str, ...]
    parents: tuple[int, ...]  # indices of the items it is nested in, outermost first
    x0: float
    heading: bool = False
    size: float = 0.0
    open_start: bool = False  # starts its column without number or lead: may go on from the column before


class Column(NamedTuple):
    """A block read as notes."""

    items: tuple[Item, ...]
    block: Block
    headed: bool  # begins with a heading of its own


class _Reader:
    """Reads a block line by line; keeps the open list levels and headings."""

    def __init__(self, block: Block, across: Any, context: Sequence[Label]) -> None:
        self.block, self.across = block, across
        self.shape = shape_of(block)
        self.edges = number_edges(block)
        marked = numbered_lines(block, context)
        self.numbered = {id(line): label for label, line in marked}
        self.chained = chained(marked) | {id(line) for label, line in marked if _firm(label, line) and beside(label, context)}
        self.hang = self._hanging()
        self.headings = {id(line) for line in block.lines if is_heading(line, self.shape, across)}
        body = [line for line in block.lines if id(line) not in self.headings]
        self.right = max((line.piece.x1 for line in body), default=block.x1)
        self.items: list[Item] = []
        self.heads: list[tuple[float, str]] = []
        self.levels: list[tuple[Label, float, int]] = []  # label, x0, index of the item
        self.outer: Label | None = None  # the last number of the outermost list, which may run on past headings
        self.last: Line | None = None
        self.colons = sum((lead := LEAD.match(line.piece.text)) is not None and lead[2] == ":" for line in block.lines)
        self.leads = sum(bold_lead(line.piece.words) is not None for line in block.lines) >= 2

    def _hanging(self) -> float | None:
        """Left edge of the text beside hanging numbers, where lines without a number stand in line with it."""
        plain = sorted(line.x0 for line in self.block.lines if not (line.label or read_label(line.piece.text)))
        return plain[len(plain) // 2] if plain else None

    def read(self) -> Column:
        for line in self.block.lines:
            self._line(line)
        self._take_back_empty()
        self._join_marks()
        headed = bool(self.items) and self.items[0].heading
        return Column(tuple(self.items), self.block, headed)

    def _take_back_empty(self) -> None:
        """A 'number' that no text followed was the end of the note before ("RISK CATEGORY" / "II."): nothing read is dropped."""
        for i in range(len(self.items) - 1, 0, -1):
            item, before = self.items[i], self.items[i - 1]
            if item.label is None or item.heading or before.heading:
                continue
            whole = sum(len(w.text) + 1 for w, _ in item.words) - 1
            if item.skip >= whole and not any(i in other.parents for other in self.items):
                self.items[i - 1] = before._replace(words=before.words + item.words)
                del self.items[i]
                self.items[i:] = [o._replace(parents=tuple(p - (p > i) for p in o.parents)) for o in self.items[i:]]

    def _join_marks(self) -> None:
        """A mark alone on its line leads the paragraph under it, where a list of such marks says what each is."""
        led = [i for i in range(len(self.items) - 1) if _is_mark(self.items[i]) and _is_prose(self.items[i], self.items[i + 1])]
        if len(led) < 2:
            return
        for i in reversed(led):
            mark, prose = self.items[i], self.items[i + 1]
            self.items[i : i + 2] = [mark._replace(words=mark.words + prose.words, lead=mark.words[0][0].text.rstrip(":.-"))]
            self.items[i + 1 :] = [o._replace(parents=tuple(p - (p > i) for p in o.parents)) for o in self.items[i + 1 :]]

    def _line(self, line: Line) -> None:
        gap = (line.piece.middle - self.last.piece.middle) if self.last else 0.0
        if self._same_height(line):
            self._extend(line, first=False)
            return
        if (id(line) in self.headings and not self._mid_sentence(line, gap)) or self._stands_alone(line):
            self._heading(line)
        else:
            label = self._label(line, gap)
            if label is not None:
                self._open(line, label)
            elif self._new_paragraph(line, gap):
                self._open(line, None)
            else:
                self._extend(line)
        self.last = line

    def _same_height(self, line: Line) -> bool:
        if self.last is None or not self.items:
            return False
        return abs(line.piece.middle - self.last.piece.middle) < 0.3 * line.size and line.x0 > self.last.x0

    def _mid_sentence(self, line: Line, gap: float) -> bool:
        """A line of capitals or bold that only goes on with the sentence above."""
        if self.last is None or not self.items or self.items[-1].heading:
            return False
        text = self.last.piece.text
        same = abs(line.size - self.last.size) < (0.3 if self.shape.rough else 0.06) * line.size and line.piece.bold == self.last.piece.bold
        return same and not ENDS.search(text) and gap < 1.25 * self.shape.step

    def _stands_alone(self, line: Line) -> bool:
        """A short line of capitals out at the numbers' edge, between notes: a heading in the notes' own type."""
        text = line.piece.text
        if id(line) in self.numbered or not self.numbered or text.upper() != text or len(line.piece.words) > 5 or text[-1] in ".,;:":
            return False
        if sum(c.isdigit() for c in text) > 0 or sum(c.isalpha() for c in text) < 4:
            return False
        em = self.shape.size
        at_edge = any(abs(line.x0 - x) < 0.6 * em for x in self.edges)
        indented = self.hang is not None and line.x0 < self.hang - 0.5 * em
        before = self.last is None or bool(ENDS.search(self.last.piece.text)) or bool(self.items and self.items[-1].heading)
        lines = self.block.lines
        here = next(i for i, other in enumerate(lines) if other is line)
        after = here + 1 < len(lines) and id(lines[here + 1]) in self.numbered
        return at_edge and before and after and (indented or self.last is None)

    def _label(self, line: Line, gap: float) -> Label | None:
        """The line's number where it is one: it stands at a numbers' edge, and follows or starts a list."""
        label = self.numbered.get(id(line))
        if label is None:
            return None
        em = self.shape.size
        at_edge = any(abs(line.x0 - x) < 0.8 * em for x in self.edges) or not self.edges
        if not at_edge:
            return None
        expected = any(follows(open_label, label) for open_label, _, _ in self.levels) or (
            self.outer is not None and follows(self.outer, label)
        )
        hanging = self.hang is not None and line.x0 < self.hang - 0.5 * em
        last_text = self.last.piece.text if self.last else ""
        ended = not last_text or bool(ENDS.search(last_text)) or bool(self.items and self.items[-1].heading)
        if line.label is not None and (label.close or label.style in {"decimal", "bullet"} or expected or starts(label) or not self.items):
            return label
        if starts(label) and label.close and self.items and self.items[-1].heading:
            return label
        if id(line) in self.chained and (hanging or ended or gap > 1.15 * self.shape.step):
            return label
        strong = label.close in {".", ")", "),", ").", ".)", "()", "().", ":"} or label.style in {"decimal", "bullet"}
        if expected and (hanging or ended or gap > 1.15 * self.shape.step or strong):
            return label
        if hanging and strong and label.style in {"number", "decimal", "upper"}:
            return label
        if starts(label) and (strong or hanging) and (ended or gap > 1.15 * self.shape.step):
            return label
        if not self.items and (strong or hanging or alone(line.piece.text)):
            return label
        if hanging and label.style in {"number", "decimal"} and (ended or not self.levels) and label.close:
            return label
        return None

    def _new_paragraph(self, line: Line, gap: float) -> bool:
        if not self.items or self.items[-1].heading:
            return True
        em = self.shape.size
        words = line.piece.words
        last_text = self.last.piece.text if self.last else ""
        ended = bool(ENDS.search(last_text))
        if bold_lead(words) is not None and (ended or gap > 1.15 * self.shape.step) and self.leads:
            return True
        if self.levels:
            _label, x0, _ = self.levels[-1]
            text_x = self.hang if self.hang is not None else x0
            outdented = line.x0 < x0 - 0.5 * em
            return (gap > 1.9 * self.shape.step and ended and line.x0 < text_x + 0.5 * em) or (outdented and ended)
        if gap > 1.32 * self.shape.step and (ended or gap > 1.8 * self.shape.step):
            return True
        lead = LEAD.match(line.piece.text)
        if ended and written_lead(line.piece.text, self.shape.caps) and gap > 1.1 * self.shape.step:
            return True
        if lead and lead[2] == ":" and self.colons >= 3 and self.items[-1].lead and len(lead[1].split()) <= 4:
            return True
        return self._broken_off(line, ended)

    def _broken_off(self, line: Line, ended: bool) -> bool:
        """True where the line before stopped though this line's first word had room: a paragraph's end, or a line of a list."""
        assert self.last is not None
        word = line.piece.words[0]
        room = self.right - self.last.piece.x1
        fresh = word.text[:1].isupper() or word.text[:1] in '("#' or word.text[:1].isdigit()
        if not fresh or room < (word.x1 - word.x0) + 2.5 * self.shape.size or word.turn:
            return False
        return ended or (room > 0.35 * self.shape.width and room > 8 * self.shape.size)

    def _heading(self, line: Line) -> None:
        text = heading_text(line.piece)
        rank = line.size + (0.4 if line.piece.bold else 0.0)
        close = self.last is not None and bool(self.items) and self.items[-1].heading
        if close and self.last is not None and self._two_line_heading(line):
            old = self.items.pop()
            text = f"{old.headings[-1]} {text}"
            self.heads.pop()
        label = read_label(text)
        numbered = label is not None and not label.weak and len(text) > label.end  # "(E)" and "(N)" are words of the heading
        shown = text[label.end :].strip() if label and numbered else SECTION.sub("", text)
        shown = CONTINUED.sub("", shown).strip(" :-") or shown
        slack = 0.3 * rank if self.shape.rough else 0.3
        while self.heads and self.heads[-1][0] <= rank + slack:
            self.heads.pop()
        self.heads.append((rank, shown))
        self.levels = []
        words = tuple((w, i == 0) for i, w in enumerate(line.piece.words))
        self.items.append(Item(words, 0, label, None, tuple(h for _, h in self.heads), (), line.x0, heading=True, size=rank))

    def _two_line_heading(self, line: Line) -> bool:
        assert self.last is not None
        gap = line.piece.middle - self.last.piece.middle
        same = abs(line.size - self.last.size) < 0.05 * line.size and line.piece.bold == self.last.piece.bold
        return same and gap < 1.35 * line.size and abs(line.piece.centre - self.last.piece.centre) < 1.5 * line.size

    def _open(self, line: Line, label: Label | None) -> None:
        words = tuple((w, i == 0) for i, w in enumerate(line.piece.words))
        index = len(self.items)
        parents: tuple[int, ...] = ()
        if label is not None:
            self._nest(label, line.x0)
            parents = tuple(i for _, _, i in self.levels)
            self.levels.append((label, line.x0, index))
            self.outer = self.levels[0][0]
        else:
            self.levels = []
        text = line.piece.text
        skip = _label_span(line, label)
        lead = bold_lead(_after(line.piece.words, skip)) or (written_lead(text, self.shape.caps) if label is None else None)
        fresh = label is None and bold_lead(line.piece.words) is None and not any(not i.heading for i in self.items)
        self.items.append(
            Item(words, skip, label, lead, tuple(h for _, h in self.heads), parents, line.x0, size=line.size, open_start=fresh)
        )

    def _nest(self, label: Label, x0: float) -> None:
        """Close the levels that end where this number begins."""
        em = self.shape.size
        while self.levels:
            open_label, open_x, _ = self.levels[-1]
            if label.style == "decimal" and open_label.style == "decimal":
                if len(label.parts) > len(open_label.parts) and label.parts[: len(open_label.parts)] == open_label.parts:
                    return
            elif not same_kind(open_label, label) and not follows(open_label, label) and x0 > open_x - 0.3 * em:
                inside = x0 > open_x + 0.4 * em or starts(label)
                outer = any(follows(other, label) and abs(ox - x0) < 1.2 * em for other, ox, _ in self.levels[:-1])
                if inside and not outer:
                    return
            elif same_kind(open_label, label) and x0 > open_x + 1.2 * em and starts(label):
                return
            self.levels.pop()

    def _extend(self, line: Line, first: bool = True) -> None:
        words = tuple((w, first and i == 0) for i, w in enumerate(line.piece.words))
        self.items[-1] = self.items[-1]._replace(words=self.items[-1].words + words)


_MARK = re.compile(r"[A-Z]{1,5}-?\d{1,4}[A-Z]?[:.-]?")


def _is_mark(item: Item) -> bool:
    """True for a line that is a mark and nothing else: "RT-5"."""
    return not item.heading and item.label is None and len(item.words) == 1 and bool(_MARK.fullmatch(item.words[0][0].text))


def _is_prose(mark: Item, item: Item) -> bool:
    """True for a paragraph that stands below a mark, in line with it or set in."""
    plain = not item.heading and item.label is None and item.parents == mark.parents and item.headings == mark.headings
    return plain and len(item.words) > 4 and mark.x0 - 0.5 * mark.size < item.x0 < mark.x0 + 6 * mark.size


def _label_span(line: Line, label: Label | None) -> int:
    """Characters at the start of the line (words with single spaces) that are the number."""
    if label is None:
        return 0
    if line.label is not None and line.text_x0 is not None:
        count = 0
        for word in line.piece.words:
            if word.x0 >= line.text_x0 - 0.1 and word.turn == 0 and count:
                return count
            count += len(word.text) + 1
        return min(label.end, len(line.piece.text))
    return label.end


def _after(words: Sequence[Word], skip: int) -> list[Word]:
    """Words that begin at or after a number of characters."""
    out, at = [], 0
    for word in words:
        if at >= skip or at + len(word.text) > skip:
            out.append(word)
        at += len(word.text) + 1
    return out


def _firm(label: Label, line: Line) -> bool:
    """True for a number that no quantity at a line's start looks like: closed by a mark, of a series, or standing apart."""
    return bool(label.close) or label.style in {"series", "decimal"} or line.label is not None


def read_block(block: Block, across: Any, context: Sequence[Label] = ()) -> Column:
    """Read a note-like block; `context` holds the numbers of all notes on the sheet."""
    return _Reader(block, across, context).read()


def may_go_on(column: Column, last: str, word: Word) -> bool:
    """True where a column's last note, which ends with `last`, may go on with `word` in another place.

    It begins small, or the last line was full (the word had no room there) and does not end a sentence for certain.
    """
    if word.text[:1].islower():
        return True
    line = column.block.lines[-1].piece
    full = column.block.x1 - line.x1 < (word.x1 - word.x0) + 0.6 * line.size
    return full and not finished(last)
