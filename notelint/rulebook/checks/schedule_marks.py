"""Which letters are a schedule's marks in a set, where such marks stand, and whether the set says what a mark is.

A mark that is none of a schedule's ("B-1" of a beam, "102" of a door) is no matter here: its own row, list or drawing says what it is,
or it belongs to another trade.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from notelint.language.marks import find_marks, key_of, looks_like_mark, prefix_of
from notelint.language.rows import is_connector_schedule, is_legend, title_of
from notelint.loadpath.ties import CONNECTORS
from notelint.model import Passage, Requirement, Term
from notelint.rulebook.case import Case

_UNITS = re.compile(r"^\s*(?:ga\b|gage|gauge|in\b|ft\b|psf|psi|lb|o\.?\s?c|d\b|\"|'|mil\b|%|x\s?\d)", re.IGNORECASE)
_ANNOUNCED = (
    re.compile(r"\bmarks?\s+[\"']?([A-Z]{1,4})[\"']?(?:[-# ]?(?:n|x|no\.|\d+))?[\"']?\s+(?:are|is|=|denotes?|indicates?"
r"|means?)\b(?P<of>[^.;]{0,40})"),
    re.compile(r"\b(?P<of>hold-?\s?downs?|straps?|ties?|connectors?|clips?|anchors?|hangers?|shear walls?"
r"|panels?)\s+(?:are\s+)?(?:marked|tagged|labell?ed|designated|noted"
r"|called)\s+[\"']?([A-Z]{1,4})[\"']?(?:[-# ](?:n|x|\d)?)?\b", re.IGNORECASE),
)  # fmt: skip
_PIECE = re.compile(r"hold-?\s?down|strap|tie|connector|clip|anchor|hanger|shear|panel|brac")
_SEE_SCHEDULE = re.compile(
    r"\b(?:see|per|in|from|of|by|to|on|refer to)\s+(?:the\s+)?(?P<name>hold-?\s?downs?|straps?|ties?|tie-?downs?"
    r"|connectors?|hardware|shear walls?|shear panels?|uplift|anchors?)\s+schedule\b",
    re.IGNORECASE,
)
OTHER_LETTERS = frozenset({
    "A", "B", "C", "D", "E", "F", "H", "J", "N", "R", "W", "FB", "RB", "HB", "GB", "DB", "TB", "SB", "BM", "GT", "GR", "FJ", "RJ",
    "CJ", "DJ", "TJ", "RR", "COL", "FTG", "WF", "CF", "SF", "PF", "LT", "LTL", "WD", "DR", "RM", "WIN", "WN", "EX", "NO", "TYP",
    "EQ", "AHU", "RTU", "FCU", "ERV", "HRV", "VAV", "WHU", "WH", "AH", "AC", "HP", "CU", "EF", "FD", "SD", "CO", "WP", "SC", "UP",
    "AFF", "CL", "DN", "REF", "DW", "WC", "LAV", "TUB", "SH",
})  # fmt: skip
"""Letters that by custom mark other things than connectors: beams, joists, footings, lintels, doors, windows, rooms, equipment."""
_PLACED = re.compile(r"^\s*(?:,\s*)?(?:at|ea\.?|each|every|to|both|b\.s\.|@|on|over|from|across)(?:\s|$)", re.IGNORECASE)
_INSTALL = re.compile(r"(?:provide|install|use|add|with|w/|and|&|nail|fasten|place)\s*(?:an?\s+|one\s+|two\s+|\(\d+\)\s*)?$", re.IGNORECASE)
_ALONE = re.compile(
    r"(?:\(?\d+\)?\s*[-x]?\s*)?(?P<marks>[A-Z]{1,4}[- ]?\d{1,3}[A-Z]?(?:\s*(?:&|,|/|\+"
    r"|and)\s*[A-Z]{1,4}[- ]?\d{1,3}[A-Z]?)*)\s*[,.]?\s*(?:\(?(?:typ\.?|sim\.?|ea\.?|each|u\.n\.o\.?)\)?\s*)*",
    re.IGNORECASE,
)


class Called(NamedTuple):
    """A mark called out in characters start..end of a passage."""

    mark: str
    key: str
    passage: str
    start: int
    end: int


def marks_without_definition(case: Case) -> dict[str, list[Called]]:
    """Marks in the manner of a schedule's marks that nothing in the set says what they are, by the letters they begin with."""
    families, defined = scheduled_letters(case), defined_keys(case)
    announced = dict.fromkeys(_announced(case))
    found: dict[str, dict[str, list[Called]]] = {}
    for called in [*_of_families(case, {**families, **announced}), *_typed(case), *_of_no_family(case, families), *_schedule_absent(case)]:
        if called.key in defined or called in found.get(prefix_of(called.key), {}).get(called.key, ()):
            continue
        found.setdefault(prefix_of(called.key), {}).setdefault(called.key, []).append(called)
    kept: dict[str, list[Called]] = {}
    for letters, by_key in found.items():
        for key, uses in by_key.items():
            if not _says_what(case, key, letters in families or _is_typed(key)) and not (letters not in families and _is_model(case, key)):
                kept.setdefault(letters, []).extend(uses)
    return kept


def scheduled_letters(case: Case) -> dict[str, str | None]:
    """The letters that marks of connector and shear wall schedules begin with, and of marks that notes define as connectors."""
    found: dict[str, str | None] = {}
    for rows in case.definitions.values():
        r = rows[0]
        passage = case.passages[r.passage]
        schedule = r.kind == "row" and bool(passage.cells) and is_connector_schedule(passage) and not is_legend(passage)
        if (schedule or r.device in CONNECTORS) and re.search(r"\d|-", r.mark or ""):
            found.setdefault(prefix_of(r.mark or ""), r.device)
    found.pop("", None)
    return found


def defined_keys(case: Case) -> set[str]:
    """Keys of marks that a schedule, list, key or title of the set defines, of connectors or not."""
    keys = {key_of(r.mark) for rows in case.definitions.values() for r in rows if r.mark}
    keys |= {key_of(u.mark) for u in case.reading.marks if u.defines and u.passage in case.passages}
    for p in case.passages.values():
        keys |= set(_in_row(p)) if p.kind == "row" else set(_by_sign(p.text))
    return keys | {key_of(s.number) for s in case.sheets if s.number} | case.listed


def _in_row(p: Passage) -> Iterator[str]:
    """The mark that a row of a table begins with, or holds under a head of marks; the row says what it is."""
    for i, cell in enumerate(p.cells):
        text = p.text[cell.start : cell.end].strip()
        lead = re.split(r"[\s,:]", text, maxsplit=1)[0] if text else ""
        under_marks = re.fullmatch(r"(?:mark|sym\w*|tag|type|no\.?|key|id|#)", cell.column.strip().lower())
        if (i == 0 or under_marks) and lead and looks_like_mark(lead) and len(p.text) > cell.end - cell.start:
            yield key_of(lead)


def _by_sign(text: str) -> Iterator[str]:
    for m in re.finditer(
        r"(?<![\w/])([A-Z]{1,4}[- ]?\d{1,3}[A-Z]?)[\"')]*\s*(?:=|:(?!\d)|\bdenotes\b|\bindicates\b|\bis (?:an?|the)\b)\s*\S", text
    ):
        yield key_of(m.group(1))


# ---------------------------------------------------------------- where marks stand


def _bare(p: Passage) -> list[str]:
    """The marks of a callout that holds nothing else; empty for any other text."""
    m = _ALONE.fullmatch(p.text.strip().strip("()[]<>"))
    if p.kind not in {"callout", "text"} or not m:
        return []
    return re.findall(r"[A-Z]{1,4}[- ]?\d{1,3}[A-Z]?", m.group("marks"))


def _of_families(case: Case, families: dict[str, str | None]) -> Iterator[Called]:
    """Marks with the letters of a schedule; one letter alone only where the callout is the mark, or a piece is named beside it."""
    long = frozenset(letters for letters in families if len(letters) > 1)
    short = frozenset(letters for letters in families if len(letters) == 1)
    for p in case.passages.values():
        if p.kind == "heading":
            continue
        for start, end, mark in find_marks(p.text, frozenset(), long):
            if not _UNITS.match(p.text[end:]) and not _in_first_cell(p, start):
                yield Called(mark, key_of(mark), p.id, start, end)
        alone = {key_of(m) for m in _bare(p)}
        for start, end, mark in find_marks(p.text, frozenset(), short) if short else ():
            named = _noun_beside(case, p, start, end) and p.kind != "row"
            opens = not p.text[:start].strip(" (") or bool(_INSTALL.search(p.text[:start]))
            named = named or (p.kind != "row" and opens and bool(_PLACED.match(p.text[end:])) and _at_member(case, p, end))
            if (key_of(mark) in alone or named) and not _UNITS.match(p.text[end:]) and not _in_first_cell(p, start):
                yield Called(mark, key_of(mark), p.id, start, end)


def _is_typed(key: str) -> bool:
    return key.isdigit() or len(key) == 1


def _typed(case: Case) -> Iterator[Called]:
    """One letter or a bare figure after the name of a piece, in a set whose schedule has such marks: "holdown type D"."""
    for use in case.reading.marks:
        if _is_typed(use.key) and not use.defines and use.passage in case.passages and case.passages[use.passage].kind != "row":
            yield Called(use.mark, use.key, use.passage, use.start, use.end)


def _in_first_cell(p: Passage, start: int) -> bool:
    return p.kind == "row" and bool(p.cells) and start < p.cells[0].end


_ANY_MARK = re.compile(r"(?<![\w/&.-])([A-Z]{2,4})(?:-?|(?<=[B-DF-HJ-NP-TV-Z]{3}) )(\d{1,3})([A-Z]?)(?![\w/\"']|\.\d|-\d|\s?[x=])")


def _of_no_family(case: Case, families: dict[str, str | None]) -> Iterator[Called]:
    """Marks with letters of no schedule that are put at a member of the frame: "TC-9 AT END OF BEAM".

    Only where the set has a schedule of such marks: without one a mark is a maker's model, which can be bought by its number. And only
    without fasteners: with them the words say what it does there.
    """
    if not families:
        return
    fastened = {key_of(r.mark) for r in case.duties if r.mark and r.fasteners}
    for p in case.passages.values():
        if p.kind not in {"callout", "note", "text"}:
            continue
        for m in _ANY_MARK.finditer(p.text):
            letters = m.group(1)
            before = p.text[: m.start()]
            opens = not before.strip(" (") or before.endswith(": ") or _INSTALL.search(before)
            if letters in families or letters in OTHER_LETTERS or not opens or not _PLACED.match(p.text[m.end() :]):
                continue
            if key_of(m.group()) not in fastened and _at_member(case, p, m.end()):
                yield Called(m.group(), key_of(m.group()), p.id, m.start(), m.end())


def _at_member(case: Case, p: Passage, after: int) -> bool:
    terms = [t for c in case.clauses_of.get(p.id, ()) for t in c.terms]
    return any(t.kind == "member" and 0 <= t.start - after < 60 for t in terms) or bool(
        re.match(
            r"\W{0,2}(?:(?:ea\.?|each|both)\s+(?:ends?|sides?)\b|.{0,24}\b(?:end of|ends of)\s+[a-z]{1,2}-?\d)", p.text[after:].lower()
        )
    )


def _announced(case: Case) -> Iterator[str]:
    """Letters that a note calls a connector's: "marks V are hold-downs"."""
    for p in case.passages.values():
        if p.kind in {"note", "text", "callout"}:
            for pattern in _ANNOUNCED:
                for m in pattern.finditer(p.text):
                    letters = next(g for g in m.groups() if g and g != m.group("of"))
                    if letters.isupper() and _PIECE.search(m.group("of").lower()):
                        yield letters


def _schedule_absent(case: Case) -> Iterator[Called]:
    """Bare marks on the drawings, where words send the reader to a connector schedule that the set does not hold."""
    titles = " / ".join(
        {title_of(p) for p in case.passages.values() if p.kind == "row"}
        | {p.text.lower() for p in case.passages.values() if p.kind == "heading"}
    )
    sent = {m.group("name").lower() for p in case.passages.values() for m in _SEE_SCHEDULE.finditer(p.text)}
    stems = {re.sub(r"[\s-]|s$", "", name) for name in sent}
    squeezed = re.sub(r"[\s-]", "", titles)
    if not stems or any(stem in squeezed for stem in stems) or re.search(r"connector|hardware|strap|hold|tie", squeezed):
        return
    for p in case.passages.values():
        if _SEE_SCHEDULE.search(p.text):
            for m in _ANY_MARK.finditer(p.text):
                if m.group(1) not in OTHER_LETTERS:
                    yield Called(m.group(), key_of(m.group()), p.id, m.start(), m.end())
        for mark in _bare(p):
            if prefix_of(mark) not in OTHER_LETTERS:
                start = p.text.find(mark)
                yield Called(mark, key_of(mark), p.id, start, start + len(mark))


# ---------------------------------------------------------------- whether words say what a mark is


def _says_what(case: Case, key: str, scheduled: bool) -> bool:
    """Whether any words of the set describe the mark: its steel, or the name of the piece beside it.

    Where a schedule lists that kind of mark and not this one, the name alone is no description; with its fasteners it is.
    """
    about = [r for r in case.duties if r.mark and key_of(r.mark) == key]
    if any(r.steel and (r.steel.gauge or r.steel.thickness_in) for r in about):
        return True
    named = any(_named(case, r) for r in about) or _titled(case, key)
    return named and (not scheduled or any(r.fasteners for r in about))


def _is_model(case: Case, key: str) -> bool:
    """Whether the mark stands in a row of a connector schedule, as the model of the piece it lists."""
    rows = (p for p in case.passages.values() if p.kind == "row" and p.cells and is_connector_schedule(p))
    return any(key in {key_of(w) for w in re.findall(r"[A-Z][\w.-]*\d[\w.-]*", p.text)} for p in rows)


def _named(case: Case, r: Requirement) -> bool:
    p = case.passages[r.passage]
    at = p.text.find(r.mark or "", r.start)
    return at >= 0 and _noun_beside(case, p, at, at + len(r.mark or ""))


def _titled(case: Case, key: str) -> bool:
    return any(
        key_of(mark) == key and _noun_beside(case, p, start, end)
        for p in case.passages.values()
        if p.kind == "title"
        for start, end, mark in find_marks(p.text, frozenset({key}), frozenset({prefix_of(key)}))
    )


_LINK = re.compile(
    r"^[\s(,:\"']*(?:(?:type|style|model|mark|no\.|wind|metal|steel|galv\.?|stud|plate|coil|floor|ridge|header|truss"
    r"|rafter|beam|post|joist|girder|porch|stair)\s+){0,3}[\s()\"']*$",
    re.IGNORECASE,
)


def _noun_beside(case: Case, p: Passage, start: int, end: int) -> bool:
    """Whether the name of a piece stands right before or after characters start..end, with no "at", "to" or the like between."""
    for clause in case.clauses_of.get(p.id, ()):
        for t in clause.terms:
            if _is_piece(t) and (
                (t.start >= end and _LINK.match(p.text[end : t.start]))
                or (t.end <= start and _LINK.match(p.text[t.end : start].lstrip("s")))
            ):
                return True
    return False


def _is_piece(t: Term) -> bool:
    return t.kind == "device" and t.name in CONNECTORS | {"anchor bolt", "connector", "tie", "clip", "anchor"}
