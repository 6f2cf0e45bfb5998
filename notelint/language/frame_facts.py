"""What the set says of the frame: spacings, what stands over what, posts, headers, openings."""

from __future__ import annotations

import re
from collections.abc import Iterator

from notelint.language.view import View, has, members, quantities, storeys_in
from notelint.model import Clause, Fact, Term

SPACED = {"truss", "rafter", "roof joist", "stud", "joist", "ceiling joist", "upper stud", "lower stud"}
_BETWEEN = {"device", "fastener", "mark"}
_OUTBUILT = ("porch", "deck", "carport", "stair", "landing", "balcony", "parapet", "gable", "outlook", "garage")
_INTERIOR = re.compile(r"\b(interior|partition|closet|inside|non-?bearing|carry nothing|party)\b")
_WIDE = 72.0  # 6 ft, RULEBOOK `opening-hold-down`
_INDOOR = re.compile(r"bypass|bi-?fold|closet|cased|pocket|interior|shower|tub|attic|access|hatch|louver|knee wall|pantry")
_LIMIT_BEFORE = re.compile(r"(?:to|over|than|exceed\w*|under|up to|above|least|most|max\w*|from|each|all|any|every)\s*$")
_LIMIT_AFTER = re.compile(
    r"^\W{0,3}(?:and|or|to|&)?\s*(?:wider|more|over|greater|larger|less|up|under|max|min|in width or|or so|above|smaller)\b"
)
_OPEN_WORD = r"(?:garage|overhead|o\.?h\.?|sliding|slider|sgd|patio|french|glass|entry|folding|roll-?up|double|picture|ganged|mulled)?\s*(?:door|window|opening|slider|sgd|sash)s?"
_FEET = r"(\d{1,2})\s*(?:'|ft\.?|feet|foot)\s*-?\s*(\d{1,2})?\s*(?:\"|in\.?)?"
_OPENING = re.compile(rf"{_FEET}\s*(?:x\s*{_FEET}\s*)?(?:wide\s+|clear\s+|rough\s+)?(?P<what>(?:[a-z.\-]+\s+){{0,4}}?{_OPEN_WORD})\b", re.I)
_OPENING_AFTER = re.compile(
    rf"(?P<what>{_OPEN_WORD})(?:\s+units?|\s+openings?|\s+is|\s+are|\s+group|\s+header|\s*[:,(|-])*\s+(?:[a-z]+\s+){{0,2}}?{_FEET}\s*(?:x|wide|by|clear|\()",
    re.I,
)
_DASH_SIZE = re.compile(r"\b(\d{1,2})\s*-\s*(\d{1,2})\s*x\s*\d{1,2}\s*-\s*\d{1,2}\b", re.I)


def frame_facts(view: View) -> Iterator[Fact]:
    """Facts of the frame stated in one passage."""
    for clause in view.clauses:
        yield from _spacings(view, clause)
        yield from _stacking(view, clause)
        yield from _members(view, clause)
    yield from _openings(view)


def _spacings(view: View, clause: Clause) -> Iterator[Fact]:
    """Member spacings: a spacing whose nearest member word before it has no connector or fastener between; else the member after it."""
    if clause.stance == "denied":
        return
    terms = sorted(clause.terms, key=lambda t: t.start)
    for i, q in enumerate(terms):
        if q.kind != "quantity" or q.role != "spacing" or q.unit != "in" or not q.value:
            continue
        member = _spaced_member(terms, i)
        if member is None:
            continue
        near = view.low[max(clause.start, member.start - 60) : q.end + 45]
        whole = view.low[clause.start : clause.end]
        subject = {"upper stud": "stud", "lower stud": "stud"}.get(member.name, member.name)
        yield view.at(
            "spacing", min(member.start, q.start), max(member.end, q.end), value=q.value, subject=subject,
            text=_spacing_scope(near, whole, view.scope), storeys=storeys_in(clause, whole),
        )  # fmt: skip


def _spaced_member(terms: list[Term], at: int) -> Term | None:
    for t in reversed(terms[:at]):
        if t.kind in _BETWEEN or (t.kind == "quantity" and t.unit in {"penny", "screw number", "plf"}):
            break
        if t.kind == "quantity" and t.role == "spacing":
            break
        if t.kind == "member":
            return t if t.name in SPACED else None
    for t in terms[at + 1 : at + 3]:
        if t.kind == "member" and t.name in SPACED:
            return t
        if t.kind in _BETWEEN:
            return None
    return None


def _spacing_scope(near: str, whole: str, scope: str) -> str:
    """ "main" for the house's own bearing frame; else what the spacing is limited to."""
    for word in _OUTBUILT:
        if word in near and not (word == "garage" and "house" in near):
            return word
    if _INTERIOR.search(near):
        return "bearing" if "bearing" in near and "non" not in near else "interior"
    if "(e)" in near or "existing" in near:
        return "existing"
    return "main"


def _stacking(view: View, clause: Clause) -> Iterator[Fact]:
    if clause.stance == "legend":
        return
    named = members(clause)
    text = view.low[clause.start : clause.end]
    denied = clause.stance == "denied"
    if has(clause, "state", "stacked") and not denied:
        roof = named & {"truss", "rafter", "roof joist"}
        floors = {"stud", "upper stud", "lower stud", "post", "wall", "king stud", "jack stud"} & named or has(
            clause, "place", "bearing wall", "exterior wall"
        )
        if roof:
            yield view.fact("roof-aligned", clause)
        if "joist" in named:
            yield view.fact("joist-aligned", clause)
        if (floors and not (roof and "joist" not in named and _only_roof(text))) or "framing" in text:
            if "lumber" not in text and "panel" not in text:
                yield view.fact("stacks", clause)
    if has(clause, "state", "offset") and (
        named & {"wall", "stud", "post", "beam"} or has(clause, "place", "bearing wall", "interior wall", "exterior wall")
    ):
        if not has(clause, "state", "cut") and "nail" not in text and "joint" not in text and "splice" not in text and not denied:
            yield view.fact("offset", clause)
    for name in ("carried", "added support", "bearing allowance", "through floor", "stands on floor"):
        if view.states(clause, name) and not denied:
            yield view.fact(name.replace(" ", "-"), clause, subject=_subject(named), storeys=storeys_in(clause, text))


def _only_roof(text: str) -> bool:
    return not re.search(r"second|upper|floor|stor(?:e)?y|stories|below|above", text)


def _subject(named: set[str]) -> str | None:
    for name in ("post", "truss", "rafter", "joist", "stud", "wall"):
        if name in named:
            return name
    return None


def _members(view: View, clause: Clause) -> Iterator[Fact]:
    if clause.stance in {"legend", "denied"}:
        return
    named = members(clause)
    text = view.low[clause.start : clause.end]
    in_floor = "joist" in named and re.search(r"stair|floor opening|trimmer|hatch|chimney|well", text)
    if "header" in named and not in_floor:
        yield view.fact("header", clause)
    if "post" in named or "beam" in named:
        for place in ("porch", "deck", "carport", "landing", "balcony", "crawl space"):
            if has(clause, "place", place) or place in text:
                yield view.fact("post-at" if "post" in named else "beam-at", clause, subject=place)
    if "post" in named:
        yield view.fact(
            "post",
            clause,
            text="in wall"
            if re.search(r"in(?:side)?\s+(?:the\s+)?(?:framed\s+)?walls?|stud|guard|newel|rail|king|trimmer|hd|hold", text)
            else None,
        )
    if re.search(r"\b(?:two|double|doubled|2-2x|\(2\) ?2x|dbl\.?)\b[^.]{0,20}\bsill", text) and "sill plate" in named:
        yield view.fact("sill-plates", clause, value=2)
    for found in re.finditer(r"\b(double|doubled|dbl\.?|two|2)\b[ -]{0,2}(?:2 ?x ?[468] )?(?:treated |p\.?t\.? )?(?:sill|mudsill)", text):
        yield view.at("sill-plates", clause.start + found.start(), clause.start + found.end(), value=2)


def _openings(view: View) -> Iterator[Fact]:
    """Openings whose width is given, 6 ft and wider, in outside walls. "Openings 6 ft and wider" is a rule, not an opening."""
    low = view.low
    if _INDOOR.search(low) and view.passage.kind != "note":
        return
    for pattern in (_OPENING, _OPENING_AFTER):
        for found in pattern.finditer(low):
            if _INDOOR.search(low[max(0, found.start() - 20) : found.end() + 30]):
                continue
            groups = found.groups()
            feet, inches = (groups[0], groups[1]) if pattern is _OPENING else (groups[1], groups[2])
            width = int(feet) * 12 + int(inches or 0)
            limited = _LIMIT_BEFORE.search(low[: found.start()]) or _LIMIT_AFTER.match(low[found.end() :])
            ruled = re.search(r"wider|or more|and over|over|larger|greater", found.group(0))
            if width >= _WIDE and width <= 300 and not limited and not ruled and "opening" != found.group("what").strip():
                yield view.at("wide-opening", found.start(), found.end(), value=width, subject=found.group("what").strip())
    if view.passage.kind == "row" and re.search(r"door|window|opening", low + view.scope):
        for found in _DASH_SIZE.finditer(low):
            width = int(found.group(1)) * 12 + int(found.group(2))
            if width >= _WIDE and not _INDOOR.search(low):
                yield view.at("wide-opening", found.start(), found.end(), value=width, subject="opening")


__all__ = ["frame_facts", "quantities"]
