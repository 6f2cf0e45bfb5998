"""What kind of page a sheet is: a drawing, notes, a schedule, a cover; or bound in: a truss letter, a calculation, a form."""

from __future__ import annotations

from notelint.model import Sheet, SheetKind


def kind_of(sheet: Sheet) -> SheetKind:
    """The kind of page, from its words and how they stand."""
    return sheet.kind
