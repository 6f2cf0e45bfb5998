"""Which joints have nothing said of them but vague words."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from notelint.language.marks import prefix_of
from notelint.loadpath.ties import CONNECTORS
from notelint.model import Joint, Passage, Requirement, Term
from notelint.rulebook.case import Case
from notelint.rulebook.checks.schedule_marks import OTHER_LETTERS
from notelint.rulebook.checks.sentences import parts

OUTSIDE = {"porch", "deck", "carport", "stair", "landing", "garage", "existing"}
_CONNECTS = re.compile(
    r"\b(?:tied?|ties|tying|anchor\w*|strap(?:ped)?|connect\w*|connections?|conn'?n?|fasten\w*|attach\w*|secur(?:e"
r"|ed|ing|ely)|bolt(?:ed|ing)?|nail(?:ed|ing)?"
    r"|screwed|join(?:ed|s|ing)?|held down|hold down|hang(?:ers?|s)?|hung|uplift)\b"
)  # fmt: skip
_NEAR = 45  # characters within which "adequate" or "properly" must stand beside the connecting word it speaks of
_BACK = 220  # characters before a part within which the members it leaves out may be named
_REFERRED = re.compile(
    r"^\s*(?:by|per|in|on|under|from)\s+(?:the\s+)?(?:note|detail|det\b|section|schedule|table|sheet|code|irc|ibc"
r"|r\d{3}|chapter|manufacturer|maker|mfr|truss|window|door|supplier|fabricator|plan|legend"
    r"|[a-z]?-?\d{1,3}\s?/|\d)|^\s*(?:by|per)\s+(?:the\s+)?(?:\w+\s+){0,2}(?:manufacturer|maker|plant|fabricator"
r"|supplier|schedule|note|detail)"
)  # fmt: skip
_OTHER_WORK = re.compile(
    r"\bwindows?\b(?! opening)|\bdoors?\b(?! opening)|\bflash\w*|\bcaulk|\bseal(?:ed|ant|er)?\b|\bgutters?|\bcabinet"
r"|\bshel(?:f|ves|ving)|\btrim\b|\bdrain\w*|\bgrad(?:e|ing)\b(?! beam)|\bvent\w*|\bduct|\bpip(?:e|es|ing)\b"
    r"|\bwir(?:e|ing)|\binsulat|\bdrywall|\bgyp|\btile|\bsiding|\bveneer|\brailing|\bguard|\bhandrail|\bscaffold"
r"|\bshor(?:e|ing)|\btemporar|\bbrac(?:e|ing)\b(?! to)|\bduring (?:erection|construction)"
    r"|\bfireblock|\bblocking\b(?=[^.;]{0,30}(?:cabinet|fixture|rail|shelf|grab))|\bcur(?:e|ing)\b|\bcompact|\bwater\b"
r"|\bcounter|\bequipment|\bfixture|\brebar|\breinforc"
)  # fmt: skip
_DRAWN_BY_OTHERS = re.compile(r"\b(?:design|drawings?|engineer\w*|layout|submittals?|calculations?|supplied|furnished)\b[^.;]{0,40}$")
_SIZED = re.compile(
    r"\b\d{1,2}\s?-?d\b|\(\d{1,2}\)|\b\d{1,2}\s?-\s?\d{1,2}d\b|\b0?\.\d{3}\b|\d/\d\s?(?:\"|in)?[^.;]{0,12}\b(?:bolt"
    r"|lag|screw|anchor|rod)|\b\d{2}\s?(?:ga\b|gauge)"
)


class VaguePart(NamedTuple):
    """A part of a passage that says nothing of a joint but vague words."""

    passage: str
    start: int
    end: int
    words: str
    joint: Joint | None
    members: frozenset[str]
    scope: frozenset[str]


def definite(r: Requirement) -> bool:
    """Whether a requirement says how: a device, or fasteners with a size."""
    return r.vague is None and (r.device is not None or any(f.penny or f.diameter_in for f in r.fasteners))


def along_the_wall(r: Requirement) -> bool:
    """Whether a definite requirement can speak for the whole joint: hold-downs at wall ends are no tie from stud to sill."""
    return r.joint != "stud-to-sill" or r.device not in {"hold-down", "rod"}


def vague_about(case: Case, joint: Joint) -> list[Requirement]:
    """Requirements that are all that is said of a joint and say it vaguely; empty where something definite stands elsewhere."""
    about = [r for r in case.duties if r.joint == joint]
    parts = [part for part in vague_parts(case) if part.joint == joint and not said_definitely(case, part)]
    if not parts or any(definite(r) and along_the_wall(r) for r in about):
        return []
    ids = {part.passage for part in parts}
    return [r for r in about if r.passage in ids]


_MEMBER_MARK = re.compile(r"(?<![\w/&.-])[A-Z]{1,3}-?\d{1,2}[A-Z]?(?![\w/\"'])")


def _same_member(case: Case, r: Requirement, text: str) -> bool:
    """Whether a requirement speaks of the very beam or post that the text names by its mark."""
    return any(m.group() in case.passages[r.passage].text for m in _MEMBER_MARK.finditer(text))


def vague_parts(case: Case) -> Iterator[VaguePart]:
    """Statements of the designer's sheets that join members of the frame by vague words alone."""
    for p in case.passages.values():
        if p.kind in {"title", "heading"}:
            continue
        terms = [t for c in case.clauses_of.get(p.id, ()) for t in c.terms]
        if not any(t.kind == "vague" for t in terms):
            continue
        for start, end in parts(p.text):
            found = next((t for t in terms if t.kind == "vague" and start <= t.start < end and _says_how(p.text, start, end, t)), None)
            if found is not None and not _says_more(case, p, start, end, found) and not _general_piece(case, p, start, end, found):
                part = _part(case, p, start, end, found, terms)
                if part is not None:
                    yield part


def said_definitely(case: Case, part: VaguePart) -> bool:
    """Whether something definite is said elsewhere of the same joint, at the same part of the building."""
    here = part.scope & OUTSIDE
    sayings = [r for r in case.duties if definite(r) and not (r.passage == part.passage and r.start < part.end and part.start < r.end)]
    sayings += [r for r in case.duties if definite(r) and r.mark and r.passage == part.passage and r.end <= part.start]
    if part.joint in {None, "other", "new-to-existing"}:
        return len(part.members) > 1 and any(part.members <= set(r.joins) and (set(r.scope) & OUTSIDE) == here for r in sayings)
    text = case.passages[part.passage].text[part.start : part.end]
    if part.joint in {"post-head", "post-foot"} and _MEMBER_MARK.search(text):
        return any(r.joint == part.joint and (set(r.scope) & OUTSIDE) == here and _same_member(case, r, text) for r in sayings)
    return any(r.joint == part.joint and along_the_wall(r) and (set(r.scope) & OUTSIDE) == here for r in sayings)


def _says_how(text: str, start: int, end: int, vague: Term) -> bool:
    """Whether the vague word says how members are joined, rather than refers elsewhere or speaks of other things."""
    low, name = text[start:end].lower(), vague.name
    at, after = vague.start - start, vague.end - start
    words = low[at:after]
    if _REFERRED.match(low[after:]) or words in {"secure", "a.r."}:
        return False
    near = low[max(0, at - _NEAR) : after + _NEAR]
    if name in {"as required", "good practice"}:
        return bool(_CONNECTS.search(low))
    if name == "by others":
        return bool(
            re.search(r"\b(?:conn\w*|attach\w*|anchor\w*|fasten\w*|ties?|hold-?downs?|straps?|uplift)\b", low[:at])
        ) and not _DRAWN_BY_OTHERS.search(low[:at])
    if name == "approved":
        return bool(re.search(r"connect|fasten|anchor|hardware|manner|means|method", near)) and bool(_CONNECTS.search(low))
    return bool(_CONNECTS.search(low[max(0, at - _NEAR) : at] + " / " + re.sub(r"^\w*", "", low[after : after + _NEAR])))


def _phrase(low: str, at: int) -> str:
    """What stands between the commas around character `at`, where that has its connecting word; else all of it."""
    begin = max(low.rfind(c, 0, at) for c in ",:") + 1
    stop = min((i for c in ",:" if (i := low.find(c, at)) >= 0), default=len(low))
    return low[begin:stop] if _CONNECTS.search(low[begin:stop]) else low


def _says_more(case: Case, p: Passage, start: int, end: int, vague: Term) -> bool:
    """Whether the part is of other work, or gives a mark, a size or a place to look besides."""
    low = p.text[start:end].lower()
    if (
        _OTHER_WORK.search(_phrase(low, vague.start - start))
        or _SIZED.search(low)
        or re.search(r"\bsee\b|\bper\b (?:detail|plan|schedule|\d)|\d\s?/\s?[a-z]-?\d", low)
    ):
        return True
    if any(u.passage == p.id and start <= u.start < end and prefix_of(u.mark) not in OTHER_LETTERS for u in case.reading.marks):
        return True
    return any(
        r.passage == p.id and r.start < end and start < r.end and r.named and start <= p.text.find(r.mark or "\0") < end
        for r in case.duties
    )


def _general_piece(case: Case, p: Passage, start: int, end: int, vague: Term) -> bool:
    """An approved clip, a strap that is securely nailed: the piece is what is not named, and that is asked."""
    pieces = (r for r in case.duties if r.passage == p.id and r.start < end and start < r.end and r.device in CONNECTORS)
    return vague.name in {"approved", "securely"} and any(True for _ in pieces)


_FRAME = {
    "truss", "rafter", "roof joist", "joist", "ceiling joist", "top plate", "plate", "sole plate", "sill plate", "stud", "upper stud",
    "lower stud", "king stud", "jack stud", "header", "post", "beam", "ridge", "ridge beam", "ledger", "rim", "wall", "girder", "existing",
    "foundation", "slab", "footing", "stem wall", "pier", "column", "blocking",
}  # fmt: skip
_MAIN = {
    "truss",
    "rafter",
    "roof joist",
    "joist",
    "top plate",
    "sill plate",
    "stud",
    "header",
    "post",
    "beam",
    "ledger",
    "wall",
    "existing",
    "ridge",
}


def _part(case: Case, p: Passage, start: int, end: int, vague: Term, terms: list[Term]) -> VaguePart | None:
    """The part with what it joins; its own members, with those of what stands before it where it names fewer than two."""
    own = {t.name for t in terms if t.kind == "member" and start <= t.start < end} & _FRAME
    places = {t.name for t in terms if t.kind == "place" and start <= t.start < end}
    begin = start
    for earlier in reversed([a for a, b in parts(p.text) if b <= start and start - a < _BACK]):
        if len(own) > 1:
            break
        begin = earlier
        own |= {t.name for t in terms if t.kind == "member" and begin <= t.start < start} & _FRAME
    about = [r for r in case.duties if r.passage == p.id and r.start < end and start < r.end]
    joint = next((r.joint for r in about if r.vague and r.joint and not r.mark), None)
    if not own & _MAIN and joint in {None, "other"} and not re.search(r"\bwalls?\b", p.text[begin:end].lower()):
        return None
    scope = frozenset(places | {s for r in about for s in r.scope} | ({"existing"} if "existing" in own else set()))
    lead = len(p.text[begin:end]) - len(p.text[begin:end].lstrip())
    words = p.text[vague.start : vague.end]
    return VaguePart(p.id, begin + lead, end, words, joint, frozenset(own), scope)
