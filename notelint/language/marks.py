"""Marks of connectors: what a mark is, where it is defined, where it is used."""

from __future__ import annotations

import re

_MARK = re.compile(
    r"(?<![\w/&.-])\(?([A-Z]{1,6})\)?(?:[- ]?\d{1,4}(?:\.\d{1,2})?[A-Z]{0,2}|-[A-Z])(?:-\d{1,3}[A-Z]?)?(?:(?![\w/]|\.\d|\"|'|-\d)"
    r"|(?=(?:at|each|to|on)\b))"
)
NOT_MARKS = frozenset({
    "A", "ABS", "ACI", "AFCI", "AISC", "AMP", "AND", "ASCE", "ASTM", "AT", "AWC", "B", "BY", "C", "CDX", "CLASS", "CODE", "COURSE",
    "DATE", "DETAIL", "DF", "DIA", "DP", "E", "EA", "EACH", "EIGHT", "EL", "ELEV", "ELEVEN", "EXP", "EXPOSURE", "F", "FIG", "FIVE",
    "FOR", "FOUR", "FT", "G", "GA", "GAL", "GFCI", "GRADE", "H", "HP", "I", "IBC", "IN", "IRC", "ITEM", "J", "JOB", "K", "KD", "LB",
    "LBS", "LOT", "LSL", "LVL", "M", "MAX", "MC", "MERV", "MIL", "MIN", "MPH", "N", "NDS", "NEC", "NINE", "NO", "NOTE", "NOTES",
    "O", "OC", "OF", "ON", "ONE", "OR", "OSB", "PAGE", "PEX", "PLAN", "PSF", "PSI", "PSL", "PT", "PVC", "Q", "R", "R403", "R602",
    "REV", "S", "SD", "SDC", "SECTION", "SEER", "SEVEN", "SHEET", "SIM", "SIX", "SPF", "STEP", "STRUCTURAL", "SYP", "TABLE", "TEN",
    "THREE", "TO", "TPI", "TWELVE", "TWENTY", "TWO", "TYP", "TYPE", "U", "UC", "UL", "UNIT", "V", "W", "WITH", "WS", "X", "Y", "Z",
    "ZONE",
})  # fmt: skip
"""Letters that stand before a figure without being a mark: units, grades, codes, words."""


def key_of(mark: str) -> str:
    """The form under which a mark is found again: "HD3" for "HD-3", "HD 3" and "(HD) 3"."""
    return re.sub(r"[^A-Z0-9.]", "", mark.upper())


_BY_LETTERS = {"HD": "hold-down", "PB": "post base", "PC": "post cap", "JH": "hanger"}


def device_by_letters(mark: str) -> str | None:
    """What the letters of a mark say by common use, where nothing else says what it is."""
    letters = prefix_of(mark)
    return _BY_LETTERS.get(letters) or ("hold-down" if letters.startswith("HD") else None)


def prefix_of(mark: str) -> str:
    """The letters a mark begins with."""
    match = re.match(r"\W*([A-Z]+)", mark.upper())
    return match[1] if match else ""


def looks_like_mark(text: str) -> bool:
    """Whether a whole cell or lead is written as marks are: letters and a number, or a short code."""
    text = text.strip().strip("()[]<>.:").upper()
    return (
        bool(
            re.fullmatch(
                r"[A-Z]{1,6}[- ]?\d{1,4}(?:\.\d+)?[A-Z]{0,3}(?:[-/]\w{1,6})*|[A-Z]{1,4}(?:-[A-Z0-9]{1,5})?|\d{1,2}[A-Z]?"
                r"|[A-Z]{2,6}\d*[A-Z]*(?:[-/][A-Z0-9.]{1,8})*",
                text,
            )
        )
        and len(text) <= 16
    )


_LETTERS = re.compile(r"(?<![\w/&.\-])[A-Z]{2,3}(?![\w/.\-])")


_TYPED = re.compile(
    r"s?,?\s(?:(?:TYPE|MARK|NO\.|STYLE)\s\"?([A-Z]|\d{1,2})|\"?([A-Z]|\d{1,2}))\"?(?![\w/.'-]|\s?\d|\s[A-Z][a-z])", re.IGNORECASE
)


def find_typed(text: str, end: int, known: frozenset[str]) -> tuple[int, int, str] | None:
    """A mark of one letter or a bare figure after the device that ends at `end`: "holdown type D", where the schedule has such marks."""
    match = _TYPED.match(text, end)
    if match is None:
        return None
    group = 1 if match[1] else 2
    mark = match[group]
    if not mark.isupper() and not mark.isdigit():
        return None
    alike = any(len(key) <= 2 and key.isdigit() == mark.isdigit() and (key.isdigit() or len(key) == 1) for key in known)
    return (*match.span(group), mark) if alike and (group == 1 or mark in known) else None


def find_letters(text: str, known: frozenset[str]) -> list[tuple[int, int, str]]:
    """Marks of letters alone, where the set's own schedule defines them: "rafter tie RA"."""
    return [(*m.span(), m.group()) for m in _LETTERS.finditer(text) if m.group() in known and m.group() not in NOT_MARKS]


_SMALL = re.compile(r"(?<![\w/&.-])([A-Z][a-z]{1,5})[- ](\d{1,3})(?![\w/]|\.\d|\"|'|-\d| ?(?:ft|feet|in\b|inch))")


def _spelt_small(text: str, known: frozenset[str]) -> list[tuple[int, int, str]]:
    """Known marks written as a word and a number: "Tie 5"."""
    return [(*m.span(), m.group()) for m in _SMALL.finditer(text) if key_of(m.group()) in known]


def find_marks(text: str, known: frozenset[str], prefixes: frozenset[str]) -> list[tuple[int, int, str]]:
    """Start, end and words of marks in `text`: known keys, and words in their manner (same letters, a number)."""
    if not prefixes and not known:
        return []
    found = [] if text.isupper() else _spelt_small(text, known)
    for match in _MARK.finditer(text):
        numbered = any(c.isdigit() for c in match.group())
        if (match[1] in prefixes and numbered) or key_of(match.group()) in known:
            start, end = match.span()
            if text[start] == "(" and ")" not in match.group():
                start += 1
            found.append((start, end, text[start:end]))
    return found


_TAG = r"(?:[A-Z]{1,6}-?\d{1,4}[A-Z]{0,2}(?:-\d{1,3})?(?!\.?\d|/\d)|[A-Z]{2,4}-[A-Z](?![\w-]))"
_TAG_BEFORE = re.compile(rf"(?<![\w/.-])({_TAG})(?:\s?[:=,(]\s?|\s(?:type |style |= |is (?:a |an )?)?)((?:[A-Za-z0-9/\"-]+\s){{0,2}})$")
_TAG_AFTER = re.compile(
    rf"\s?(?:[,(:]\s?)?(?:(?:[Mm]ark(?:ed)?|MARK|[Tt]ype|TYPE|[Nn]o\.|NO\.|[Mm]odel|MODEL|[Pp]art|PART)\s)?({_TAG})(?![\w/\"'])"
)
_TAG_JOINED = re.compile(rf"(?<![\w/.-])({_TAG})(?:,| or| and|,? &| /)\s?$")
_TAG_SHORT = re.compile(rf"(?<![\w/.-])({_TAG})(?=\s(?:\w+\s)?(?:caps?|bases?)\b)", re.IGNORECASE)
_LETTERS_OF_PIECE = re.compile(r"\b(?:[Pp]ost )?([Bb]ases?|[Cc]aps?)\s([A-Z]{2,4})(?![\w/-]|\.\w)")
_TAG_GIVEN = re.compile(
    rf"\b(?:with|w/|use|using|install|provide|by|nail|set)\s(?:an?\s|one\s|two\s|\(\d\)\s|each\s)?({_TAG})(?![\w/\"'])", re.IGNORECASE
)
_TAG_LEADS = re.compile(
    rf"(?:^|[.;:]\s(?:\(\d\)\s)?|\(\w\)\s)({_TAG})(?=,?\s(?:at|@|each|ea\.?|every|from|on|w/|with|\()(?:\W|$))", re.IGNORECASE
)
_SHEET_LETTERS = frozenset("SADEMPCGLFTNX")


def _is_tag(tag: str, *, beside: bool) -> bool:
    letters = prefix_of(tag)
    if len(letters) == 1:
        return beside and not (letters in _SHEET_LETTERS and "-" in tag)
    return tag[0].isupper() and letters not in NOT_MARKS


_SEE = re.compile(r"(?:\bsee|\bon|\bsheet|\bper|\bnote|\bdetail|/)\s?$", re.IGNORECASE)


_MEMBER_NAMED = re.compile(r"\b(?:girder|truss|beam|header|hdr\.?|column|wall|window|door|lintel|joist)\s+$", re.IGNORECASE)
"""Words before a tag that make it the name of a member: "girder truss GT-1"."""


def tags_beside(text: str, start: int, end: int) -> list[tuple[int, int, str]]:
    """Tags of letters and figures beside the device words start..end: "CS-7 coil strap", "strap ST-4", "ST-4 or ST-6 straps"."""
    found: list[tuple[int, int, str]] = []
    offset = max(0, start - 40)
    head = text[:start]
    before = [m for i in range(offset, start) if head[i].isupper() and (m := _TAG_BEFORE.match(head, i))]
    named = text[: before[-1].start(1)] if before else ""
    if before and not _SEE.search(named) and not _MEMBER_NAMED.search(named) and _is_tag(before[-1][1], beside=not before[-1][2]):
        a, b = before[-1].span(1)
        found.append((a, b, text[a:b]))
        joined = _TAG_JOINED.search(text[max(0, a - 20) : a])
        if joined and _is_tag(joined[1], beside=True):
            a = max(0, a - 20) + joined.start(1)
            found.append((a, a + len(joined[1]), joined[1]))
    after = _TAG_AFTER.match(text[end : end + 30])
    if not found and after and _is_tag(after[1], beside=True):
        found.append((end + after.start(1), end + after.end(1), after[1]))
    return found


def tags_given(text: str) -> list[tuple[int, int, str]]:
    """Tags that something is to be done with: "strap studs to plate with ST-6"."""
    found = [
        (m.start(1), m.end(1), m[1])
        for pattern in (_TAG_GIVEN, _TAG_SHORT, _TAG_LEADS)
        for m in pattern.finditer(text)
        if len(prefix_of(m[1])) > 1 and _is_tag(m[1], beside=False)
    ]
    if not text.isupper():
        found += [(m.start(2), m.end(2), m[2]) for m in _LETTERS_OF_PIECE.finditer(text) if m[2] not in NOT_MARKS]
    return found
