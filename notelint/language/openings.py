"""Openings whose width is given, 6 ft and wider, in outside walls.

Regular expressions here read fixed notations of sizes (16'-0" x 7'-0", 16-0 x 7-0, 12 ft), not sentences.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from notelint.language.view import View
from notelint.model import Fact

WIDE_IN = 72.0  # 6 ft: what the rulebook calls a wide opening
MOST_IN = 300.0  # wider is a wall, not an opening
_INDOOR = re.compile(
    r"bypass|by-pass|bi-?fold|closet|cased|pocket|interior|shower|\btub\b|attic|access|hatch|louver|knee wall|pantry|stair|vanity|mirror"
)
_LIMIT_BEFORE = re.compile(
    r"(?:\bto|\bover|\bthan|\bexceed\w*|\bunder|\bup to|\babove|\bleast|\bmost|\bmax\w*|\bfrom|\beach|\ball|\bany|\bevery|\bno)\s*$"
)
_LIMIT_AFTER = re.compile(
    r"^\W{0,3}(?:(?:and|or|to|&)\s+)?(?:wider|more|over|greater|larger|less|up|under|max|min|in width or|smaller)\b(?!\s+(?:a|an|the|\d))"
)
_RULED = re.compile(r"\b(?:wider|or more|and over|larger|greater|or less)\b")
_KIND = r"(?:door|window|opening|slider|sgd|sash|glazing|storefront|rough opening|r\.?o|dr)s?"
_FEET = r"(\d{1,2})\s*(?:'|ft\.?|feet|foot)\s*-?\s*(\d{1,2})?\s*(?:\"|in\.?)?"
_SIZE = rf"{_FEET}\s*(?:w(?:ide)?\.?\s*)?(?:x\s*{_FEET}\s*)?"
_OUTER = re.compile(r"\b(?:patio|garage|slid\w*|slide|glass|glazed|door|window|entry|vehicle|overhead|carriage|barn)\s$")
_BEFORE_KIND = re.compile(rf"{_SIZE}(?:wide\s+|clear\s+|rough\s+|high\s+|h\.?\s+|ht\.?\s+)?(?P<what>(?:[a-z.,/\-]+\s+){{0,5}}?{_KIND})\b")
_AFTER_KIND = re.compile(
    rf"(?P<what>{_KIND})(?:\s+units?|\s+is|\s+are|\s+group|\s+header|\s*[:,.(|-])*\s+(?:[a-z]+\s+){{0,2}}?{_FEET}\s*(?:x|wide|by|clear|\()"
)
_DASH_SIZE = re.compile(r"\b(\d{1,2})\s*-\s*(\d{1,2})\s*x\s*\d{1,2}\s*-\s*\d{1,2}\b")
_CELL_FEET = re.compile(rf"^\s*{_FEET}\s*(?:w\.?)?\s*(?:(?:x|by)\s*{_FEET}\s*(?:h\.?)?\s*)?$|^\s*(\d{{1,2}})-(\d{{1,2}})\s*$")
_CODE_SIZE = re.compile(r"\b(1[0-9]|[6-9])(0|2|4|6|8)([6-9])(0|8)\b(?=\s*(?:sgd|sl|slider|sliding|oh|o\.h\.|garage|fr|french|door|gd))")


def opening_facts(view: View) -> Iterator[Fact]:
    """ "Openings 6 ft and wider" is a rule, not an opening; indoor doors and hatches are none in an outside wall."""
    low = view.low
    if _INDOOR.search(low) and view.passage.kind != "note":
        return
    for start, end, width, what in [*_said(low), *_coded(low), *_dashed(low)]:
        near = low[max(0, start - 20) : end + 30]
        if WIDE_IN <= width <= MOST_IN and not _INDOOR.search(near):
            yield view.at("wide-opening", start, end, value=width, subject=what)
    if view.passage.kind == "row":
        yield from _scheduled(view)


def _said(low: str) -> Iterator[tuple[int, int, float, str]]:
    for pattern, at in ((_BEFORE_KIND, 0), (_AFTER_KIND, 1)):
        for found in pattern.finditer(low):
            feet, inches = found.groups()[at : at + 2]
            what = found.group("what").strip()
            limited = _LIMIT_BEFORE.search(low[: found.start()]) or _LIMIT_AFTER.match(low[found.end() :]) or _RULED.search(found.group(0))
            if not limited and (
                what not in {"opening", "openings"} or (at and _OUTER.search(low[max(0, found.start() - 30) : found.start()]))
            ):
                yield found.start(), found.end(), int(feet) * 12 + int(inches or 0), what


def _coded(low: str) -> Iterator[tuple[int, int, float, str]]:
    """Door codes such as 8068: feet, inches, feet, inches."""
    for found in _CODE_SIZE.finditer(low):
        yield found.start(), found.end(), int(found.group(1)) * 12 + int(found.group(2)), "door"


_NAMED_DASH = re.compile(
    rf"{_KIND}(?:\s+units?)?\W{{1,3}}(\d{{1,2}})-(\d{{1,2}})\s*x\s*\d{{1,2}}-\d{{1,2}}\b"
    rf"|\b(\d{{1,2}})-(\d{{1,2}})\s*x\s*\d{{1,2}}-\d{{1,2}}\s(?:[a-z.]+\s){{0,3}}{_KIND}"
)


def _dashed(low: str) -> Iterator[tuple[int, int, float, str]]:
    """Sizes written with dashes alone beside a door or window: "garage door 16-0x7-0"."""
    for found in _NAMED_DASH.finditer(low):
        feet, inches = (found.group(1), found.group(2)) if found.group(1) else (found.group(3), found.group(4))
        yield found.start(), found.end(), int(feet) * 12 + int(inches), "door"


def _scheduled(view: View) -> Iterator[Fact]:
    """Rows of door, window and opening schedules: a size cell, or a width column."""
    p = view.passage
    if not re.search(r"door|window|opening|glazing", view.scope + " " + view.low):
        return
    for found in _DASH_SIZE.finditer(view.low):
        width = int(found.group(1)) * 12 + int(found.group(2))
        if WIDE_IN <= width <= MOST_IN:
            yield view.at("wide-opening", found.start(), found.end(), value=width, subject="opening")
    for column, start, end in p.cells:
        cell = _CELL_FEET.match(view.low[start:end])
        if cell and re.search(r"width|^w\.?$|wide|opening|^(?:unit |r\.?o\.? |rough )?size|w\.? ?x ?h", column.lower()):
            feet, inches = (cell.group(1), cell.group(2)) if cell.group(1) else (cell.group(5), cell.group(6))
            width = int(feet) * 12 + int(inches or 0)
            if WIDE_IN <= width <= MOST_IN:
                yield view.at("wide-opening", 0, len(p.text), value=width, subject="opening")
