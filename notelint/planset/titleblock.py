"""Sheet number and title from the title block."""

from __future__ import annotations

import re
from collections.abc import Sequence

from notelint.model import Sheet

NUMBER = re.compile(r"[A-Z]{1,3}-?\d{1,3}(?:\.\d{1,2})?[A-Z]?")


def name_sheets(sheets: Sequence[Sheet]) -> list[Sheet]:
    """The sheets with number and title where a title block gives them."""
    return [sheet.model_copy(update={"number": _number(sheet)}) for sheet in sheets]


def _number(sheet: Sheet) -> str | None:
    edge = [w for w in sheet.words if (w.x0 > 0.85 * sheet.width or w.top > 0.85 * sheet.height) and NUMBER.fullmatch(w.text)]
    return max(edge, key=lambda w: w.size).text if edge else None
