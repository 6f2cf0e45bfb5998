"""Marks that no schedule of the set lists, told by their manner and by what stands beside them: nails, or the joint they sit at."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from notelint.language.marks import NOT_MARKS, key_of
from notelint.language.words_of import Read
from notelint.model import Device, Passage, Requirement

_TOKEN = re.compile(r"(?<![\w/&.#-])([A-Z]{1,5})-?(\d{1,3})(?:-(\d{1,2}))?(?![\w/]|\.\d|\"|'|-\d|\s?x\s?\d{1,2}(?!\d|\s?(?:\"|in\b|IN\b)))")
_FASTENED = re.compile(r"\b\d{1,2}\s?d\b|\bnails?\b|\bscrews?\b|\(\d{1,2}\)|\bbolts?\b|\brods?\b|\ba\.?t\.?r\b", re.IGNORECASE)
_SITS = re.compile(r"\b(?:at|ea|each|every|to|per|with|above|below)\b|@|\bw/|\b(?:b\.?\s?s|both sides|either side)\b", re.IGNORECASE)
_UPLIFT = re.compile(r"\buplift\b[^.;]{0,20}\d{3}|\d{3,4}\s?(?:#|lbs?)", re.IGNORECASE)
_PIECE = re.compile(r"\b(?:cap|base|tie|clip|strap|hanger|anchor|hold-?down|connector|angle|seat)s?\b", re.IGNORECASE)
_OTHER_TRADE = re.compile(
    r"\b(?:door|window|room|grid|elev|pipe|panelboard|circuit|light|fixture|lvl|glulam|rebar|footing|beam|joist [A-Z]?\d)\b", re.IGNORECASE
)
_STANDS_AT = re.compile(
    r"\b(?:at|under|to|into|on|over|in|below|above)\s(?:the\s|each\s)?(?:\w+\s)?(?:beam|footing|pier|girder|ftg)s?\b", re.IGNORECASE
)
"""Words that say what a piece is fixed to, not what a letter and number name."""
_AT_EACH = re.compile(
    r"\b(?:each|ea\.?|every|all)\s+(?:other |second |2nd |end of |side of )?(?:roof )?(?:truss|trs|rafter|rftr|stud|header|hdr|post|joist)",
    re.IGNORECASE,
)
_OWNER = re.compile(
    r"\b(?:girder|truss|beam|header|hdr\.?|column|wall|window|door|panel|detail|section|joist|rafter|ridge|grid|line|type)\s*$",
    re.IGNORECASE,
)
_BY_JOINT: dict[str, Device] = {
    "roof-to-wall": "roof tie", "plate-to-stud": "stud tie", "stud-to-sill": "stud tie", "header-to-stud": "header tie",
    "floor-to-floor": "strap", "post-head": "post cap", "post-foot": "post base", "cut-plate": "plate tie",
}  # fmt: skip


def unlisted_marks(words: Sequence[Read], book: Mapping[str, object], sheets: Iterable[str]) -> set[str]:
    """Keys of such marks. One letter and a number is a mark only beside a piece's name; a grid or beam letter is none."""
    known, found = {*book, *sheets}, set()
    found |= {key for read in words for key in _letters_of_pieces(read.passage) if key not in known}
    prefixes = {re.match(r"[A-Z]*", s).group() for s in sheets}  # type: ignore[union-attr]
    for read in words:
        passage = read.passage
        if passage.kind in {"title", "heading", "row"} or not (
            _FASTENED.search(passage.text) or _PIECE.search(passage.text) or _AT_EACH.search(passage.text)
        ):
            continue
        for m in _TOKEN.finditer(passage.text):
            key = key_of(m.group())
            if key not in known and _single_given(passage.text, m):
                found.add(key)
            named_piece = m.group(1) in _UNITS_TOO and "-" in m.group() and _NAMED.match(passage.text, m.end())
            if key in known or (m.group(1) in NOT_MARKS and not named_piece) or (len(m.group(1)) == 1 and "-" not in m.group()):
                continue
            around = passage.text[max(0, m.start() - 25) : m.end() + 70]
            if _OWNER.search(passage.text[: m.start()]) and not _PIECE.search(re.split("[:,;]", passage.text[m.end() : m.end() + 14])[0]):
                continue  # the name of a truss, beam or wall
            single = len(m.group(1)) == 1
            leads = _FASTENED.search(around) and re.match(r"\s?[:=]\s", passage.text[m.end() :])
            placed = leads or _AT_EACH.search(around) or (_FASTENED.search(around) and _SITS.search(around)) or _UPLIFT.search(around)
            if single and (m.group(1) in prefixes or not (_PIECE.search(around) or placed)):
                continue
            if (_PIECE.search(around) or placed) and not _OTHER_TRADE.search(_STANDS_AT.sub(" ", around)[:60]):
                found.add(key)
    return found


_UNITS_TOO = frozenset({"FT", "SD", "DP", "HP", "WS", "MC"})
_NAMED = re.compile(r"\s(?:\w+\s)?(?:post\s)?(?:cap|base|shoe|tie|clip|strap|hanger|hold-?down)s?\b", re.IGNORECASE)
"""Letters that are units or grades too are a mark right before the name of a piece: "FT-44 shoe"."""
_GIVEN_BEFORE = re.compile(r"\b(?:with|w/|using|use|by means of)\s(?:an?\s|one\s|two\s|\(\d\)\s)?$", re.IGNORECASE)
_GIVEN_AFTER = re.compile(r"\s(?:@|at\b|ea\b\.?|each\b|every\b)", re.IGNORECASE)
_MATERIAL = re.compile(r"\s(?:steel|plates?|bolts?|rods?|bars?|galv|coat|zinc|grade|dowels?)", re.IGNORECASE)
_NAILED = re.compile(r"\b\d{1,2}\s?d\b|\bnails?\b|\bscrews?\b|\(\d{1,2}\)\s?(?:#|\.\d|\d)|\.\d{3}\s?x", re.IGNORECASE)


def _single_given(text: str, m: re.Match[str]) -> bool:
    """One letter and a number with the nails it takes, where something is fastened with it or it leads the words: "with N5, six 10d"."""
    letter, number = m.group(1), m.group(2)
    bolt_or_coating = letter == "M" or (letter == "G" and len(number) > 1)
    if len(letter) != 1 or len(number) > 2 or "-" in m.group() or bolt_or_coating or _MATERIAL.match(text, m.end()):
        return False
    leads = (not text[: m.start()].strip() or text[: m.start()].endswith(": ")) and _GIVEN_AFTER.match(text, m.end())
    return bool((leads or _GIVEN_BEFORE.search(text[: m.start()])) and _NAILED.search(text[m.end() : m.end() + 60]))


def named_by_joint(requirements: Sequence[Requirement], keys: set[str]) -> list[Requirement]:
    """The device of an unlisted mark from the joint it sits at, where no word names it."""
    out = []
    for r in requirements:
        if r.mark and (r.device is None or (r.device == "nailing" and key_of(r.mark) in keys)):
            if key_of(r.mark) in keys and r.joint in (None, "other"):
                r = _with_joint(r)
            device = _above_and_below(r) or _BY_JOINT.get(r.joint or "") or _by_piece(r)
            r = r.model_copy(update={"device": device}) if device else r
        out.append(r)
    return out


_LETTERS_OF_PIECE = re.compile(
    r"(?<![\w/&.#-])([A-Z]{2,3}(?:-[A-Z])?)(?= (?:[a-z]+ )?(?:straps?|ties?|caps?|bases?|hangers?|clips?|hold-?downs?|tie-?downs?"
    r"|devices?|brackets?)\b)"
)
_LETTERS_AFTER = re.compile(
    r"\b(?i:straps?|ties?|caps?|bases?|shoes?|hangers?|clips?|hold-?downs?|tie-?downs?"
    r"|brackets?) \(?([A-Z]{2,3}(?:-[A-Z])?)\)?(?=[ ,:;]|$)(?! [A-Z]{2})"
)
_QUOTED_LETTERS = re.compile(
    r"[\"\u201c]([A-Z]{2,3})[\"\u201d]\s(?:\w+\s)?(?:strap|tie|cap|base|shoe|hanger|clip|hold-?down|bracket|seat)s?\b"
    r"|\b(?:strap|tie|cap|base|shoe|hanger|clip|hold-?down|bracket|seat)s?,?\s(?:mark\s|type\s)?[\"\u201c]([A-Z]{2,3})[\"\u201d]",
    re.IGNORECASE,
)
_SIGNED = re.compile(
    r"(?<![\w/&.-])([A-Z]{2,4})\s?=\s?(?=[^.;=]{0,60}\b(?i:strap|tie|cap|base|shoe|hanger|clip|hold-?down|bracket|seat|saddle)s?\b)"
    r"(?=[^.;=]{0,60}(?:\d\s?(?i:ga\b|gauge|in\b|\"|d\b)|\d/\d))"
)
"""A legend's line that says of letters what piece they are and of what size: "PCX = welded saddle, 1/4 in. plate"."""
_WORDS_IN_CAPITALS = frozenset({
    "ABS", "ACQ", "ALL", "ADD", "AC", "ATR", "BOT", "BS", "CAP", "CDX", "CL", "CMU", "CO", "CONC", "DBL", "DF", "END", "EQ", "ES",
    "EXT", "FF", "FND", "FDN", "GA", "GI", "GWB", "GYP", "HDG", "HDR", "HF", "HSS", "ICC", "INT", "LVL", "MAX", "MIN", "MTL", "NEW",
    "NTS", "OC", "OSB", "PSL", "PT", "RO", "SEE", "SET", "SIM", "SPF", "SS", "SST", "STL", "SYP", "TOP", "TYP", "UNO", "USE", "UV",
    "WSP", "HVAC", "GFI", "PVC", "EA",
})  # fmt: skip


def _letters_of_pieces(passage: Passage) -> set[str]:
    """Letters before a piece's name in mixed writing: "RK tie", "TD-A tension device". In capitals throughout they could be any word."""
    if passage.kind in {"title", "heading"}:
        return set()
    found = {m[1] or m[2] for m in _QUOTED_LETTERS.finditer(passage.text)} | {m[1] for m in _SIGNED.finditer(passage.text)}
    if not passage.text.isupper():
        found |= {m[1] for pattern in (_LETTERS_OF_PIECE, _LETTERS_AFTER) for m in pattern.finditer(passage.text)}
    return {key_of(f) for f in found if f.isupper() and f.split("-")[0] not in NOT_MARKS | _WORDS_IN_CAPITALS}


_ENDS_OF_HEADER = re.compile(
    r"(?:ea\.?|each|both) (?:end of )?(?:\w+ )?(?:hdr|header)s?\b|(?:hdr|header)s?\.? (?:ea\.? |each )?ends?\b"
    r"|\b(?:hdr|header)\b[^.;]{0,30}\b(?:each|both|ea\.?) (?:ends?|jambs?|sides?)\b",
    re.IGNORECASE,
)
_FOOT = re.compile(r"\b(?:base|foot|bottom|bot\.?|btm\.?) of\b|\bstuds? (?:base|foot|feet|bottom)s?\b", re.IGNORECASE)
_HEAD = re.compile(r"\b(?:top|head) of\b|\bstuds? (?:top|head)s?\b", re.IGNORECASE)


def _with_joint(r: Requirement) -> Requirement:
    """A mark at each truss or rafter, with no other member named, ties it to the wall; one at header ends ties the header."""
    joins = set(r.joins) - {"wall"}
    if joins and joins <= {"truss", "rafter", "roof joist"} and _AT_EACH.search(r.quote):
        return r.model_copy(update={"joint": "roof-to-wall"})
    if joins == {"header"} and _ENDS_OF_HEADER.search(r.quote):
        return r.model_copy(update={"joint": "header-to-stud"})
    if joins == {"stud"} and bool(_FOOT.search(r.quote)) != bool(_HEAD.search(r.quote)):
        return r.model_copy(update={"joint": "stud-to-sill" if _FOOT.search(r.quote) else "plate-to-stud"})
    return r


def _above_and_below(r: Requirement) -> Device | None:
    """A piece above and one below the floor, joined by a rod, are hold-downs and no strap."""
    crosses = r.joint == "floor-to-floor" and re.search(r"above (?:and|&) below", r.quote, re.IGNORECASE)
    return "hold-down" if crosses else None


def _by_piece(r: Requirement) -> Device | None:
    """ "WC-6 CAP": the piece's bare name right after the mark."""
    found = re.search(rf"{re.escape(r.mark or '')}\W{{0,3}}(cap|base|hanger|strap|angle|hold-?down)\b", r.quote, re.IGNORECASE)
    names: dict[str, Device] = {"cap": "post cap", "base": "post base", "hanger": "hanger", "strap": "strap", "angle": "angle"}
    return names.get(found.group(1).lower(), "hold-down") if found else None
