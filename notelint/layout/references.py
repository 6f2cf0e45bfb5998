"""References to details and sheets in running text, and the sheet index."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

_SHEET = r"[A-Z]{1,2}[-.]?\d{1,3}(?:\.\d{1,2})?"
SHEET = re.compile(rf"\b({_SHEET})(?![\w/]|\.\d)")
_SLASH = re.compile(rf"(?<![\w/.\-])(\d{{1,2}}[A-Z]?|[A-VX-Z](?=/))((?:\s?[&,]\s?\d{{1,2}}[A-Z]?)*)\s?/\s?({_SHEET})(?![\w/])")
_DETAIL = re.compile(
    rf"\b(?:DETAILS?|DET\.?|DTLS?\.?|SECTIONS?|SECT\.?)\s+(\d{{1,2}}[A-Z]?|[A-Z])(?![\w]|\.\d)((?:\s?(?:,|&|AND)\s?\d{{1,2}}[A-Z]?)*)"
    rf"(?:(?:\s*,\s*|\s+)(?:(?:ON|OF|IN|,)\s*)?(?:SHEETS?\s+|SHT\.?\s+|DWG\.?\s+)?({_SHEET})(?![\w/]))?",
    re.IGNORECASE,
)
_SHEET_ALONE = re.compile(
    rf"\b(?:(?:SEE|REFER\s+TO)\s+(?:SHEETS?\s+|SHT\.?\s+|DWG\.?\s+)?|(?:SHEETS?|SHT\.?|DWG\.?)\s+)({_SHEET})(?![\w/])"
    r"|\b(?:SHEETS?|SHT\.?)\s+(\d{1,2}\.\d{1,2})(?![\w/])",
    re.IGNORECASE,
)
_DETAILED = re.compile(
    rf"\b(?:(?:AS\s+)?(?:DETAILED|SHOWN|DRAWN|BUILT)|SEE|REFER\s+TO|PER)\s+(?:(?:AT|IN|BY|AS"
    rf"|PER)\s+)?(\d{{1,2}}[A-Z]?)(?:,\s*|\s+(?:ON|OF|IN|,)\s*)"
    rf"(?:SHEETS?\s+|SHT\.?\s+|DWG\.?\s+)?({_SHEET})(?![\w/])",
    re.IGNORECASE,
)
_MORE = re.compile(r"\d{1,2}[A-Z]?")
LIST_LEAD = re.compile(
    r"^(?:the\s+)?(?:sheets?|drawings?|plans?|sheet\s+(?:index|list)|drawing\s+(?:index|list)|index(?:\s+of\s+(?:sheets"
    r"|drawings))?|list\s+of\s+(?:sheets|drawings)"
    r"|this\s+set|contents)\b[^.:;]{0,40}?[.:]\s*",
    re.IGNORECASE,
)
INDEX_TITLE = re.compile(
    r"\b(?:sheet|drawing|plan)s?\s+(?:index|list|schedule)\b|\b(?:index|list)\s+of\s+(?:sheets|drawings|plans)\b|^index$"
    r"|^drawings$|^sheets$|^contents$"
    r"|\bindex\s+to\s+(?:sheets|drawings)\b|^drawing\s+index|^table\s+of\s+contents$",
    re.IGNORECASE,
)
_SET = re.compile(
    r"\b(?:make|makes|making|made)\s+up\b|\b(?:consists?|comprised)\s+of\b|\b(?:comprises?|contains?|includes?|forms?)\b"
    r"|\bare\s+(?:in|part\s+of)\b",
    re.IGNORECASE,
)
_THIS_SET = re.compile(r"\b(?:this|the|plan|drawing|permit)\s+(?:\w+\s+)?set\b", re.IGNORECASE)
_RANGE = re.compile(rf"({_SHEET})\s*(?:thru|through|to|\u2013|\u2014|-)\s*({_SHEET})", re.IGNORECASE)


class Found(NamedTuple):
    """A reference in a text: detail, sheet, and where it stands."""

    detail: str | None
    target: str | None
    start: int
    end: int


class Listed(NamedTuple):
    """A sheet named in a list: number, title, where it stands."""

    number: str
    title: str
    start: int
    end: int


def text_references(text: str, prefixes: frozenset[str]) -> list[Found]:
    """References in running text: "4/S4", "3&4/S4", "DETAIL 7/S-5", "SEE DETAIL 3 ON S-5", "SEE DETAIL 4"."""
    found: list[Found] = []
    for hit in _SLASH.finditer(text):
        if sheet_prefix(hit[3]) in prefixes:
            found.extend(Found(number, hit[3], hit.start(), hit.end()) for number in (hit[1], *_MORE.findall(hit[2])))
    spans = [(f.start, f.end) for f in found]
    for hit in _DETAIL.finditer(text):
        if any(a < hit.end() and hit.start() < b for a, b in spans):
            continue
        after = text[hit.end() : hit.end() + 1]
        if after in {'"', "'", "/", "-"} or (hit[3] is None and hit[1].isalpha() and not hit[1].isupper()):
            continue
        if hit[3] is not None and sheet_prefix(hit[3]) not in prefixes:
            continue
        found.extend(Found(number.upper(), hit[3], hit.start(), hit.end()) for number in (hit[1], *_MORE.findall(hit[2])))
    spans = [(f.start, f.end) for f in found]
    for hit in _DETAILED.finditer(text):
        if sheet_prefix(hit[2]) in prefixes and not any(a < hit.end() and hit.start() < b for a, b in spans):
            found.append(Found(hit[1].upper(), hit[2], hit.start(), hit.end()))
    spans = [(f.start, f.end) for f in found]
    for hit in _SHEET_ALONE.finditer(text):
        number = hit[1] or hit[2]
        known = hit[2] is not None or sheet_prefix(number) in prefixes
        if known and not any(a < hit.end() and hit.start() < b for a, b in spans):
            found.append(Found(None, number, hit.start(), hit.end()))
    return found


def sheet_prefix(number: str) -> str:
    """The letters a sheet number begins with: "S" of "S-4"."""
    found = re.match(r"[A-Za-z]+", number)
    return found[0].upper() if found else ""


def listed(text: str, *, titled: bool = False) -> list[Listed]:
    """Sheets of a one-line list ("Sheets: A-0 notes, A-1 floor plan, ..."); empty where the text is none.

    It is one when it begins as one ("Sheets: ...") or says what makes up the set, and names two sheets or more; `titled` says that it
    stands under the title of an index, where any sheets it names are the list.
    """
    start, end = (0, len(text)) if titled else _list_span(text)
    hits = [hit for hit in SHEET.finditer(text, start) if hit.start() < end]
    if len(hits) < 2:
        return []
    out: list[Listed] = []
    for i, hit in enumerate(hits):
        after = text[hit.end() : hits[i + 1].start() if i + 1 < len(hits) else end]
        out.append(Listed(hit[1], _title_of(after), hit.start(), hit.end()))
    return _with_ranges(text, out)


def _list_span(text: str) -> tuple[int, int]:
    """Where the list of sheets stands: after "Sheets:" up to the end, or the sentence that says what makes up the set."""
    lead = LIST_LEAD.match(text)
    if lead is not None and (first := SHEET.search(text, lead.end())) and first.start() - lead.end() <= 3:
        return lead.end(), len(text)
    start = 0
    for stop in re.finditer(r"[.;](?=\s|$)", text):
        sentence = text[start : stop.end()]
        if _SET.search(sentence) and _THIS_SET.search(sentence):
            return start, stop.end()
        start = stop.end()
    return len(text), len(text)


def _title_of(after: str) -> str:
    title = re.split(r"[;.]\s|[;.]$", after)[0]
    return re.sub(r"^[\s,:;=-]+|[\s,;:.&-]+$|\s*\b(?:and|thru|through|to)$", "", title.strip()).strip(" ,;")


def _with_ranges(text: str, out: Sequence[Listed]) -> list[Listed]:
    """Lists with "S-1 thru S-5" written out."""
    full: list[Listed] = []
    for i, item in enumerate(out):
        full.append(item)
        after = out[i + 1] if i + 1 < len(out) else None
        if after is not None and _RANGE.match(text[item.start : after.end]):
            full.extend(Listed(n, "", item.start, after.end) for n in between(item.number, after.number))
    return full


def between(first: str, last: str) -> list[str]:
    """Sheet numbers between two of one series, both left out; empty where they are not of one series."""
    a, b = re.match(r"(.*?)(\d+)$", first), re.match(r"(.*?)(\d+)$", last)
    if not a or not b or a[1].upper() != b[1].upper() or not 0 < int(b[2]) - int(a[2]) < 60:
        return []
    width = len(a[2]) if a[2].startswith("0") else 0
    return [f"{a[1]}{n:0{width}d}" if width else f"{a[1]}{n}" for n in range(int(a[2]) + 1, int(b[2]))]


def index_line(text: str, numeric: bool = False) -> Listed | None:
    """A line of an index list: sheet number, then its title. Bare figures ("2.0") count only where `numeric` says so."""
    number = rf"{_SHEET}|\d{{1,2}}(?:\.\d{{1,2}})?" if numeric else _SHEET
    hit = re.match(rf"^(?:SHEET\s+)?({number})(?![\w/])[\s.:,\u2013\u2014-]*(.*)$", text)
    return Listed(hit[1], hit[2].strip(), hit.start(1), hit.end(1)) if hit else None
