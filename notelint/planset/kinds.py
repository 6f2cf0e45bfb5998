"""What kind of page a sheet is: a drawing, notes, a schedule, a cover; or bound in: a truss letter, a calculation, a form.

Pages that are bound in speak of uplift and anchors too, but they are no requirements of the designer, so they are told apart before
their words are believed. The words looked for are common practice on such pages; no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from statistics import median

import numpy

from notelint.model import Sheet, SheetKind, Word
from notelint.planset.runs import Run, runs_of

_TYPED_PAGE = (9.0 * 72, 14.6 * 72)  # letter and legal paper, either way up
_LONG_LINE = 6  # words

_TRUSS = (
    r"TRUSS (?:DESIGN|ENGINEER|PACKAGE|PLACEMENT|DRAWING|LAYOUT|CALC|MANUFACTUR|FABRICAT|COMPANY|SHOP|REACTIONS)"
    r"|ROOF TRUSSES|TRUSS (?:MARK|ID|LABEL|TYPE)",
    r"\bTC ?[LD]L\b|\bBC ?[LD]L\b|TOP CHORD|BOT(?:TOM)? CHORD|\bWEBS?\b",
    r"\bPLATES? (?:SIZE|OFFSETS?|INCREASE)|\bPLY\b|\bCSI\b|L/DEFL|\bTPI\b",
    r"REACTIONS?\b|MAX\.? UPLIFT|\bUPLIFT\b",
    r"\b\d{1,2}-\d{2}-\d{2}\b|\b\d+=-?\d+\b",
    r"SEAL(?:ED)?\b|THIS LETTER|DEAR\b|SINCERELY|ENCLOSED\b|QTY\b",
)
_CALCULATION = (
    r"CALC(?:ULATION|S\b|\.)",
    r"\bALLOWABLE\b|\bCAPACITY\b|\bDEMAND\b|\bRESIST(?:ANCE|ING)\b",
    r"OVERTURNING|TRIBUTARY|\bMOMENT\b|BASE SHEAR|DEFLECTION",
    r"\b(?:PSF|PLF|LBS?|KIPS?|FT-LB|PSI)\b",
    r"\bO\.?K\.?\b|<=?|>=?|\bCHECK\b|\bD/C\b|RATIO",
    r"\bASCE\b|\bNDS\b|\bEQ(?:UATION|N)?\.? ?\d",
)
_FORM = (
    r"APPLICATION|PERMIT\b|AFFIDAVIT|CHECKLIST|INSPECTION (?:CARD|RECORD|REQUEST)|COMPLIANCE CERTIFICATE|\bFORM\b",
    r"SIGNATURE|SIGNED|NOTARY|HEREBY|PRINT NAME",
    r"(?:OWNER|APPLICANT|CONTRACTOR)(?:'S)? ?(?:NAME|ADDRESS|PHONE|LICENSE)?\s*:",
    r"PARCEL|VALUATION|\bFEES?\b|LICENSE (?:NO|NUMBER)|TAX MAP|ZONING",
    r"_{4,}|\[ ?[XxVv]? ?\]|\bCHECK (?:ONE|ALL)\b|\bYES\b.{0,12}\bNO\b",
    r"OFFICE USE|DATE (?:ISSUED|RECEIVED|APPROVED)|FOR DEPARTMENT",
)


def kind_of(sheet: Sheet) -> SheetKind:
    """The kind of page, from its words, its title and how its lines stand."""
    if sheet.kind == "blank" or not sheet.words:
        return sheet.kind
    return _bound_in(sheet) or _own(sheet)


def _in_block(sheet: Sheet, x: float, y: float) -> bool:
    b = sheet.block
    return b is not None and b.x0 <= x <= b.x1 and b.top <= y <= b.bottom


def _is_typed(sheet: Sheet) -> bool:
    short, long = sorted((sheet.width, sheet.height))
    return short <= _TYPED_PAGE[0] and long <= _TYPED_PAGE[1]


def _bound_in(sheet: Sheet) -> SheetKind | None:
    """A page bound in behind the designer's sheets: it bears no sheet number, and speaks as such pages do."""
    if sheet.number is not None and not (_is_typed(sheet) and sheet.number.isdigit()):
        return None
    runs = runs_of([w for w in sheet.words if w.turn == 0])
    text = " ".join(run.text for run in runs).upper()
    heads = _heads(runs)
    marks = {
        "truss letter": _TRUSS if text.count("TRUSS") >= 2 else (),
        "calculation": _CALCULATION if text.count("=") >= 6 else _CALCULATION[:1],
        "form": _FORM,
    }
    points = {
        kind: sum(bool(re.search(p, text)) for p in patterns) + bool(patterns and re.search(patterns[0], heads))
        for kind, patterns in marks.items()
    }
    least = 3 if _is_typed(sheet) else 4
    best = max(points, key=lambda kind: points[kind])
    if points[best] < least:
        return None
    return {"truss letter": "truss letter", "calculation": "calculation", "form": "form"}[best]  # type: ignore[return-value]


def _heads(runs: list[Run]) -> str:
    """The larger type of a page, which says what it is."""
    if not runs:
        return ""
    usual = median(run.size for run in runs)
    return " ".join(run.text for run in runs if run.size > 1.15 * usual).upper()


def _own(sheet: Sheet) -> SheetKind:
    """The kind of one of the designer's own sheets, from its title first."""
    title = (sheet.title or "").upper()
    drawn = bool(re.search(r"PLAN|DETAIL|SECTION|ELEVATION|FRAMING|FOUNDATION|LAYOUT|DIAGRAM", title))
    if re.search(r"\bCOVER|TITLE (?:SHEET|PAGE)", title):
        return "cover"
    if re.search(r"SCHEDULE|CONNECTOR LIST|\bTABLES?\b", title) and not drawn and not re.search(r"NOTES|SPECIFICATION", title):
        return "schedule"
    if re.search(r"NOTES|SPECIFICATION", title) and not drawn:
        return "notes"
    in_lines = _words_in_long_lines([w for w in sheet.words if w.turn == 0 and not _in_block(sheet, w.x0, w.top)])
    worded = in_lines >= 0.75 * len(sheet.words) and (in_lines >= 250 or _is_typed(sheet))
    return "notes" if worded else "drawing"


def _words_in_long_lines(words: Sequence[Word]) -> int:
    """How many words stand in lines of six or more without a wide gap."""
    if not words:
        return 0
    table = numpy.array([(w.x0, w.x1, w.bottom, w.size) for w in words])
    table = table[numpy.lexsort((table[:, 0], numpy.round(table[:, 2])))]
    gap = table[1:, 0] - table[:-1, 1]
    broken = (numpy.abs(table[1:, 2] - table[:-1, 2]) > 0.3 * table[1:, 3]) | (gap > 1.2 * table[1:, 3]) | (gap < -table[1:, 3])
    starts = numpy.concatenate([[0], numpy.flatnonzero(broken) + 1, [len(table)]])
    length = numpy.diff(starts)
    return int(length[length >= _LONG_LINE].sum())
