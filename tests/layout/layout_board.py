"""A drawing board for tests: text, tables and rules placed in points, handed over as a sheet of words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy
from reportlab.pdfbase.pdfmetrics import stringWidth

from notelint.layout import lay_out
from notelint.model import Box, Layout, Passage, Sheet, SheetKind, Word

A = "Anchor bolts shall be five eighths inch in diameter and set seven inches into the concrete."
B = "Sill plates shall be pressure treated southern pine laid on closed cell sill sealer without gaps."
C = "Studs in exterior walls are two by six at sixteen inches on center in both stories."
D = "Roof trusses are at twenty four inches on center and bear on the exterior walls only."
E = "Each truss shall have one tie at each end installed on the outside face of the wall."
F = "Headers have one strap at each end from the header to the king stud with eight nails."
SIX = [A, B, C, D, E, F]


def width(text: str, size: float, bold: bool = False) -> float:
    """Width of a text in points."""
    return stringWidth(text, "Helvetica-Bold" if bold else "Helvetica", size)


@dataclass
class Board:
    """One sheet; y runs down, text stands on the baseline given."""

    number: str | None = "S-1"
    page: int = 1
    wide: float = 1728.0
    high: float = 1296.0
    kind: SheetKind = "drawing"
    block: Box | None = None
    words: list[Word] = field(default_factory=list)
    segments: list[tuple[float, float, float, float]] = field(default_factory=list)
    circles: list[Box] = field(default_factory=list)

    def text(self, x: float, y: float, text: str, size: float = 10.0, bold: bool = False, turn: int = 0, sure: float = 1.0) -> float:
        """Write a line at x, y; returns where it ends."""
        at = x if turn == 0 else y
        for word in text.split(" "):
            w = width(word, size, bold)
            if word:
                box = (at, y - 0.75 * size, at + w, y + 0.22 * size)
                if turn == 270:  # reads upwards: x is the baseline, y where it starts
                    box = (x - 0.75 * size, 2 * y - at - w, x + 0.22 * size, 2 * y - at)
                elif turn == 90:
                    box = (x - 0.22 * size, at, x + 0.75 * size, at + w)
                self.words.append(Word(word, *box, size=size, turn=turn, sure=sure, bold=bold))
            at += w + width(" ", size, bold)
        return at - width(" ", size, bold)

    def lines(self, text: str, room: float, size: float = 10.0) -> list[str]:
        """A text broken into lines no wider than `room`."""
        out, line = [], ""
        for word in text.split(" "):
            trial = f"{line} {word}".strip()
            if line and width(trial, size) > room:
                out.append(line)
                line = word
            else:
                line = trial
        return [*out, line]

    def para(self, x: float, y: float, text: str, room: float, size: float = 10.0, lead: float = 12.2) -> float:
        """A wrapped paragraph with its first baseline at y; returns the baseline after the last."""
        for line in self.lines(text, room, size):
            self.text(x, y, line, size)
            y += lead
        return y

    def notes(
        self, x: float, y: float, items: Sequence[tuple[str, str]], room: float, size: float = 10.0, hang: float = 24.0, gap: float = 5.0
    ) -> float:
        """Numbered notes (number, text) with hanging numbers; a number of "h" is a heading; "" goes on without a number."""
        for number, text in items:
            if number == "h":
                self.text(x, y + 6, text, size * 1.2, bold=True)
                y += 6 + 1.2 * size * 1.4
                continue
            if number:
                self.text(x, y, number, size)
            y = self.para(x + hang, y, text, room - hang, size) + gap
        return y

    def rule(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """A straight line."""
        self.segments.append((x0, y0, x1, y1))

    def bubble(self, x: float, y: float, number: str, sheet: str | None = None, radius: float = 13.0) -> None:
        """A circle with a number, over a sheet number where one is given."""
        self.circles.append(Box(x - radius, y - radius, x + radius, y + radius))
        size = 8.0 if sheet else 11.0
        self.text(x - width(number, size, True) / 2, y - (4 if sheet else -4), number, size, bold=True)
        if sheet:
            self.text(x - width(sheet, 7) / 2, y + 9, sheet, 7)

    def table(
        self,
        x: float,
        y: float,
        columns: Sequence[float],
        rows: Sequence[Sequence[str]],
        title: str | None = None,
        ruled: str = "grid",
        size: float = 9.0,
        pad: float = 4.0,
    ) -> float:
        """A schedule with its first rule at y; ruled "grid", "level" (level rules only) or "none". First row is the head (bold)."""
        if title:
            self.text(x, y - 8, title, size * 1.3, bold=True)
        xs = [x]
        for column in columns:
            xs.append(xs[-1] + column)
        if ruled != "none":
            self.rule(x, y, xs[-1], y)
        for i, row in enumerate(rows):
            cells = [self.lines(cell, column - 2 * pad, size) for cell, column in zip(row, columns, strict=True)]
            height = max(len(cell) for cell in cells) * size * 1.18 + 2 * pad
            for cell, left in zip(cells, xs, strict=False):
                at = y + pad + 0.85 * size
                for line in cell:
                    if line:
                        self.text(left + pad, at, line, size, bold=i == 0)
                    at += size * 1.18
            if ruled == "grid":
                for edge in xs:
                    self.rule(edge, y, edge, y + height)
            y += height
            if ruled != "none":
                self.rule(x, y, xs[-1], y)
        return y

    def callout(self, x: float, y: float, lines: Sequence[str], tip: tuple[float, float] | None = None, size: float = 9.0) -> float:
        """Text with a leader from its first line to `tip`; returns the baseline after the last line."""
        if tip:
            self.rule(x - 4, y - 3, x - 16, y - 3)
            self.rule(x - 16, y - 3, *tip)
        for line in lines:
            self.text(x, y, line, size)
            y += 1.2 * size
        return y

    def sheet(self) -> Sheet:
        """The board as a sheet."""
        return Sheet(
            page=self.page,
            width=self.wide,
            height=self.high,
            text="vector",
            words=tuple(self.words),
            segments=numpy.array(self.segments, dtype=numpy.float32).reshape(-1, 4),
            circles=tuple(self.circles),
            number=self.number,
            kind=self.kind,
            block=self.block,
        )


def read(*boards: Board) -> Layout:
    """The boards laid out as one set."""
    return lay_out([board.sheet() for board in boards])


def texts(layout: Layout, kind: str) -> list[str]:
    """Texts of all passages of a kind, in order."""
    return [p.text for p in layout.passages if p.kind == kind]


def one(layout: Layout, text: str) -> Passage:
    """The only passage with this text."""
    found = [p for p in layout.passages if p.text == text]
    assert len(found) == 1, (text, [p.text for p in layout.passages])
    return found[0]


def rows(layout: Layout) -> list[Passage]:
    """Passages that are rows of schedules."""
    return [p for p in layout.passages if p.kind == "row"]


def joined(table: list[list[str]]) -> list[str]:
    """The texts that the rows below a table's head should have."""
    return [" | ".join(cell for cell in row if cell) for row in table[1:]]


def numbered(items: list[str], start: int = 1, form: str = "{}.") -> list[tuple[str, str]]:
    """Texts with their numbers, for `Board.notes`."""
    return [(form.format(i), text) for i, text in enumerate(items, start)]
