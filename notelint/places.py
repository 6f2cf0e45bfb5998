"""How a place of a plan set is said in a sentence: one way for every stage."""

from __future__ import annotations

from typing import Protocol


class Placed(Protocol):
    """What has a place in the set: a Where, a requirement, a passage."""

    @property
    def sheet(self) -> str | None:
        """The sheet's number, where it was read."""

    @property
    def page(self) -> int:
        """The page of the PDF, from 1; below 1 where the place is in no set."""

    @property
    def label(self) -> str:
        """ "note 7", "STRAP SCHEDULE, row ST-3" """


def spoken_sheet(sheet: str | None, page: int) -> str:
    """ "sheet S-5", or "page 3" where the sheet's number is not known."""
    return f"sheet {sheet}" if sheet else f"page {page}"


def spoken_place(placed: Placed) -> str:
    """ "sheet S-5, STRAP SCHEDULE, row ST-3" """
    if placed.page < 1:
        return placed.label
    sheet = spoken_sheet(placed.sheet, placed.page)
    return f"{sheet}, {placed.label}" if placed.label else sheet
