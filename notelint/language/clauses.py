"""Where one statement of a passage ends and the next begins."""

from __future__ import annotations

import re

_NO_END = (
    r"(?:\b(?:in|ft|dia|diam|com|comm|min|max|typ|no|sq|ga|lb|lbs|o\.c|oc|approx|hdr|ftg|conc|ext|int|pl|dbl|galv|mfr|mfg|vert|horiz"
    r"|cont|ea|sht|shtg|w|etc|est|sim|bldg|fl|flr|reqd|spec|bot|btm|ctr|ctrs|thru|perp|opp|brdg|bldgs|hdrs|jsts|stds|pls|wd|stl|fnd"
    r"|allow|stag|stagg|conn|exist|exst|alt|nom|sched|sch|req|reinf|fast|rftr|trs|blkg|wash|ctrd|prov|att|cond|lev"
    r"|ftgs|cols|bms|emb|embed|adj|dwg|fig|sec|anch|brg|bm|col|jst|fdn|thk|attn|clg|opng|std|struct|incl|u\.n\.o|i\.e|e\.g|[a-z])$)"
)
_NEW_SENTENCE = re.compile(r"[A-Z][a-z]+ |[A-Z]{1,4}-?\d+[A-Z]?:|[A-Z] [a-z]")
_NEVER = re.compile(r"\b(?:no|fig|sec|dwg|mr|st|approx)$")
_NEW_PHRASE = re.compile(
    r"(?:double |dbl\. |top |sole |bottom |rim |ceiling |floor |upper |built-up |wall |roof )?"
    r"(?:stud|plate|joist|rafter|truss|header|rim|sill|beam|post|blocking)e?s? (?:to|are|shall)\b"
)
_MAY_END = re.compile(r"(?:o\.c|\bmax|\bmin|\bin|\blbs?|\btyp|\bsides?|\bends?|u\.n\.o)$")
_NO_VOWEL = re.compile(r"\b[b-df-hj-np-tv-xz]{2,5}$")
_NO_STOP = re.compile(_NO_END)
_STOP = re.compile(r"(?:[.!?]\)?)(?=\s+(?:\S))|;|(?<=\w)\s\|\s")


def split(text: str, written: str) -> list[tuple[int, int]]:
    """Start and end of each statement of `text` (the plain form of `written`), blanks and marks between left out."""
    edges: list[tuple[int, int]] = []
    start = 0
    for match in _STOP.finditer(text):
        if text[match.start()] in ".!?" and not _ends_sentence(text, written, match):
            continue
        edges.append((start, match.end()))
        start = match.end()
    edges.append((start, len(text)))
    return [trimmed for a, b in edges if (trimmed := _trim(text, a, b)) is not None]


def _ends_sentence(text: str, written: str, match: re.Match[str]) -> bool:
    """A full stop ends a statement unless it belongs to an abbreviation that the sentence runs on from."""
    if text.count("(", 0, match.start()) > text.count(")", 0, match.end()) and ")" in text[match.end() : match.end() + 60]:
        return False  # inside brackets
    before = text[max(0, match.start() - 12) : match.start()]
    after = written[match.end() :].lstrip()
    if _MAY_END.search(before) and _NEW_PHRASE.match(text[match.end() :].lstrip()):
        return True
    if _NO_STOP.search(before) or _NO_VOWEL.search(before):
        return bool(_NEW_SENTENCE.match(after)) and not _NEVER.search(before)
    if re.match(r"\d{1,3}[,.)]\s?[A-Z]", after):  # the number of the next note, glued on
        return True
    return not after[:1].isdigit() or bool(re.search(r"[a-z]{4}$|\d$|\)$", before))


def _trim(text: str, start: int, end: int) -> tuple[int, int] | None:
    while start < end and text[start] in " ;|,":
        start += 1
    while end > start and text[end - 1] in " ;|":
        end -= 1
    return (start, end) if end > start else None
