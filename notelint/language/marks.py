"""Marks of connectors: what a mark is, where it is defined, where it is used."""

from __future__ import annotations

import re

_MARK = re.compile(r"(?<![\w/&.-])\(?([A-Z]{1,6})\)?[- ]?(\d{1,4}(?:\.\d{1,2})?)([A-Z]{0,2})(?:-(\d{1,3}[A-Z]?))?(?![\w/]|\.\d|\"|'|-\d)")
NOT_MARKS = frozenset(
    "NO SIM TYP OC IN FT PSI PSF LB LBS MPH GA MIL X AT TO BY ON OR R U DP UC SDC IRC IBC ASCE ASTM NDS GRADE TYPE NOTE NOTES DETAIL SHEET SECTION TABLE EXP CS MC KD SPF DF SYP PT G W MAX MIN EXPOSURE "
    "STRUCTURAL CLASS ZONE UL EL ELEV AND OF WITH FOR STEP LOT JOB PLAN REV DATE LVL LSL PSL TJI OSB CDX R602 R403 AMP GAL HP EA EACH UNIT COURSE ITEM FIG PAGE DIA CODE ACI AISC AWC TPI F A B C E H I J K M N O Q S V Y Z PVC PEX ABS NEC AFCI GFCI MERV SEER".split()
) - {"CS"}


def key_of(mark: str) -> str:
    """The form under which a mark is found again: "HD3" for "HD-3", "HD 3" and "(HD) 3"."""
    return re.sub(r"[^A-Z0-9.]", "", mark.upper())


def prefix_of(mark: str) -> str:
    """The letters a mark begins with."""
    match = re.match(r"[A-Z]+", key_of(mark))
    return match.group() if match else ""


def looks_like_mark(text: str) -> bool:
    """Whether a whole cell or lead is written as marks are: letters and a number, or a short code."""
    text = text.strip().strip("()[]<>.:").upper()
    return bool(re.fullmatch(r"[A-Z]{1,6}[- ]?\d{1,4}(?:\.\d+)?[A-Z]{0,3}(?:[-/]\w{1,6})*|[A-Z]{1,4}(?:-[A-Z0-9]{1,5})?|\d{1,2}[A-Z]?|[A-Z]{2,6}\d*[A-Z]*(?:[-/][A-Z0-9.]{1,8})*", text)) and len(text) <= 16


def find_marks(text: str, known: frozenset[str], prefixes: frozenset[str]) -> list[tuple[int, int, str]]:
    """Start, end and words of marks in `text`: known keys, and words in their manner (same letters, a number)."""
    if not prefixes:
        return []
    found = []
    for match in _MARK.finditer(text):
        if match[1] in prefixes or key_of(match.group()) in known:
            start, end = match.span()
            if text[start] == "(" and ")" not in match.group():
                start += 1
            found.append((start, end, text[start:end]))
    return found


def tag_beside(text: str, start: int, end: int) -> tuple[int, int, str] | None:
    """A tag of letters and figures just before or after the device words start..end ("CS-7 coil strap", "strap ST-4")."""
    before = re.search(r"(?<![\w/.-])([A-Z]{1,6}[- ]?\d{1,4}[A-Z]{0,2}(?:-\d{1,3})?)(?:\s?[:=,(]\s?|\s(?:type |style |= |is (?:a |an )?)?)(?:[A-Za-z0-9/\"-]+\s){0,2}$", text[max(0, start - 40) : start])
    after = re.match(r"\s?(?:[,(:]\s?|mark(?:ed)? |type |no\. )?([A-Z]{1,6}[- ]?\d{1,4}[A-Z]{0,2}(?:-\d{1,3})?)(?![\w/\"'])", text[end : end + 30])
    for match, offset in ((before, max(0, start - 40)), (after, end)):
        if match and re.match(r"[A-Z]+", match[1]).group() not in NOT_MARKS:  # type: ignore[union-attr]
            a, b = offset + match.start(1), offset + match.end(1)
            return a, b, text[a:b]
    return None
