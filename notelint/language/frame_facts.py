"""What the set says of the frame: spacings, what stands over what, posts, headers, openings."""

from __future__ import annotations

import re
from collections.abc import Iterator

from notelint.language.openings import opening_facts
from notelint.language.view import ORDINALS, View, has, members, quantities, storeys_in
from notelint.model import Clause, Fact, Term

SPACED = {"truss", "rafter", "roof joist", "stud", "joist", "ceiling joist", "upper stud", "lower stud"}
_BETWEEN = {"device", "fastener", "mark"}
_OUTBUILT = ("porch", "deck", "carport", "stair", "landing", "balcony", "parapet", "gable", "outlook", "garage")
_INTERIOR = re.compile(r"\b(interior|partitions?|closets?|inside|non-?bearing|carry nothing|party)\b")
_OTHER_OFFSET = re.compile(
    r"nail|joint|splice|\blap|stagger|property|easement|street|lot line|setback line|plate breaks|receptacle|outlet|hold-?down|strap"
    r"|pipe|no offset|without offset"
)
_LIKE_THE_OLD = re.compile(r"\bmatch(?:es|ing)?\s+(?:the\s+)?(?:\(e\)|existing)")
_PATIO_ROOF = re.compile(r"\bpatio (?:cover|roof)|\bcovered patio|\bpergola")
_LEAST_SPACING, _MOST_SPACING = 11.0, 96.0  # inches: closer is nails, wider is posts or blocking
_BEAM_OVER_OPENING = re.compile(
    r"\bbeams? (?:over|above|across|at) (?:the |each |all |every )?(?:[\w'\"-]+ ){0,2}?(?:opening|opng"
    r"|door|window|slider)s?\b"
)
_LUMBER_WALL = re.compile(r"\b2\s?x\s?[468]\b")


def frame_facts(view: View) -> Iterator[Fact]:
    """Facts of the frame stated in one passage."""
    for clause in view.clauses:
        yield from _spacings(view, clause)
        yield from _stacking(view, clause)
        yield from _members(view, clause)
    yield from opening_facts(view)
    yield from _wall_rows(view)
    yield from _header_rows(view)
    yield from _spaced_rows(view)


_MOST_STUD_SPACING = 24  # inches; studs of a wall stand no wider (common practice, no source)


def _spacings(view: View, clause: Clause) -> Iterator[Fact]:
    """Member spacings: a spacing whose nearest member word before it has no connector or fastener between; else the member after it."""
    if clause.stance == "denied":
        return
    terms = sorted(clause.terms, key=lambda t: t.start)
    for i, q in enumerate(terms):
        if q.kind != "quantity" or q.role != "spacing" or q.unit != "in" or not q.value:
            continue
        member = _spaced_member(terms, i) or _spaced_wall(terms, i, view.low)
        if member is None:
            continue
        left = max(view.low.rfind(mark, clause.start, member.start) for mark in (";", ".", ",")) + 1
        near = view.low[max(clause.start, left, member.start - 60) : q.end + 45].split(";")[0]
        whole = view.low[clause.start : clause.end]
        if not _LEAST_SPACING <= q.value <= _MOST_SPACING:
            continue
        subject = (
            "stud"
            if member.kind == "place" or member.name == "wall"
            else {"upper stud": "stud", "lower stud": "stud"}.get(member.name, member.name)
        )
        if subject == "stud" and q.value > _MOST_STUD_SPACING:
            continue  # a connector's at every so many studs
        yield view.at(
            "spacing", min(member.start, q.start), max(member.end, q.end), value=q.value, subject=subject,
            text=_spacing_scope(near), storeys=storeys_in(clause, whole),
        )  # fmt: skip


def _spaced_member(terms: list[Term], at: int) -> Term | None:
    for t in reversed(terms[:at]):
        if t.kind == "mark":
            return None  # "F-3 at 32 in. o.c., stud to stud": the spacing is the connector's
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


def _spaced_wall(terms: list[Term], at: int, low: str) -> Term | None:
    """ "Exterior walls 2x6 at 16 in.": the wall whose lumber stands between it and the spacing is spaced by its studs."""
    for t in reversed(terms[:at]):
        if t.kind in _BETWEEN or (t.kind == "quantity" and t.unit in {"penny", "screw number", "plf"}):
            return None
        if (t.kind == "place" and t.name.endswith("wall")) or (t.kind, t.name) == ("member", "wall"):
            return t if _LUMBER_WALL.search(low[t.start : terms[at].start]) else None
        if t.kind == "member" and t.name in SPACED | {"blocking", "sheathing", "wall sheathing"}:
            return None
    return None


def _header_rows(view: View) -> Iterator[Fact]:
    """Rows of a header schedule whose column names a tie or strap for its ends."""
    p = view.passage
    if p.kind == "row" and re.search(r"header|lintel|opening", view.scope):
        for column, start, end in p.cells:
            cell = view.low[start:end].strip(" -.")
            if cell and re.search(r"\bties?\b|strap|clip|connector|uplift|hold", column.lower()) and not re.search(r"^none|^n/?a$", cell):
                yield view.at("header-tie", 0, len(p.text))
            if cell and re.search(r"\bheaders?\b|\blintels?\b|\bhdr\b", column.lower()) and re.search(r"\d", cell):
                yield view.at("header", 0, len(p.text))


def _wall_rows(view: View) -> Iterator[Fact]:
    """Rows of a wall schedule: lumber and a spacing, by storey."""
    p = view.passage
    if p.kind != "row" or "wall" not in view.scope or re.search(r"shear|brace", view.scope) or "stud" in view.low:
        return
    spacing = re.search(r"(\d{1,2}(?:\.\d)?)\s*(?:\"|in\.?)?\s*(?:o\.?\s?c|on cent)", view.low)
    if not spacing or not _LUMBER_WALL.search(view.low):
        return
    storeys = tuple(n for word, n in ORDINALS.items() if re.search(rf"\b{word} (?:floor|stor|level)", view.low))
    scope = "interior" if _INTERIOR.search(view.low) and "bearing" not in view.low else "main"
    yield view.at("spacing", 0, len(p.text), value=float(spacing.group(1)), subject="stud", text=scope, storeys=storeys)


_BARE_INCHES = re.compile(r"\W*(\d{1,2}(?:\.\d)?)\s*(?:\"|in\.?|inches)?\W*")


def _spaced_rows(view: View) -> Iterator[Fact]:
    """Rows of a framing table: a member, and a bare figure under a head of spacings."""
    p = view.passage
    if p.kind != "row" or re.search(r"shear|nail|fasten|strap|connect|\btie|hold|anchor|bolt", view.scope):
        return
    named = members(view.clauses[0]) & SPACED if view.clauses else set()
    for column, start, end in p.cells:
        found = _BARE_INCHES.fullmatch(view.low[start:end])
        spaced = len(named) == 1 and re.search(r"spac|o\.?\s?c\b|centers|centres", column.lower())
        if found and spaced and _LEAST_SPACING <= float(found.group(1)) <= _MOST_SPACING:
            subject = next(iter(named)).replace("upper ", "").replace("lower ", "")
            yield view.at("spacing", 0, len(p.text), value=float(found.group(1)), subject=subject, text=_spacing_scope(view.low))


def _spacing_scope(near: str) -> str:
    """ "main" for the house's own bearing frame; else what the spacing is limited to."""
    for word in _OUTBUILT:
        if word in near and not (word == "garage" and "house" in near):
            return word
    if _INTERIOR.search(near):
        return "bearing" if "bearing" in near and "non" not in near else "interior"
    if re.search(r"\(e\)|existing", _LIKE_THE_OLD.sub(" ", near)):
        return "existing"
    return "main"


def _stacking(view: View, clause: Clause) -> Iterator[Fact]:
    if clause.stance == "legend":
        return
    named = members(clause)
    text = view.low[clause.start : clause.end]
    denied = clause.stance == "denied"
    if has(clause, "state", "stacked") and not denied and not _under_a_beam(view, clause):
        named = _stacked_members(view, clause) or named
        roof = named & {"truss", "rafter", "roof joist"}
        floors = {"stud", "upper stud", "lower stud", "post", "wall", "king stud", "jack stud"} & named or has(
            clause, "place", "bearing wall", "exterior wall"
        )
        if roof:
            yield view.fact("roof-aligned", clause)
        if "joist" in named:
            yield view.fact("joist-aligned", clause)
        whole = (floors and not (roof and "joist" not in named and _only_roof(text))) or "framing" in text
        if whole and "lumber" not in text and "panel" not in text:
            yield view.fact("stacks", clause)
    if view.states(clause, "stacks") and not denied and not named & {"truss", "rafter", "roof joist"}:
        yield view.fact("stacks", clause)
    said = has(clause, "state", "offset") or view.states(clause, "offset")
    if said and re.search(r"\b(?:walls?|studs?|posts?|beams?|columns?)\b", text) and not _OTHER_OFFSET.search(text):
        yield view.fact("offset", clause)
    for name in ("carried", "added support", "bearing allowance", "through floor", "stands on floor"):
        if view.states(clause, name) and (not denied or (name == "added support" and _WHERE_NOT.search(text))):
            yield view.fact(name.replace(" ", "-"), clause, subject=_subject(named), storeys=storeys_in(clause, text))


_WHERE_NOT = re.compile(r"\b(?:where|wherever|when|if|that|which)\b[^.;]{0,50}\b(?:do|does|is|are|will) not\b")
"""Denied is only where the case arises: "where trusses do not fall on a stud add one"."""
_BEAM_NEXT = re.compile(
    r"\s(?:the |each |every |all |any )?(?:\w+ )?(?:girder|beam|header|ridge|hip|point load|concentrated|bearing point)"
)


def _under_a_beam(view: View, clause: Clause) -> bool:
    """Whether "directly below" speaks of what stands under a beam or girder, and no more is said of stacking."""
    stacked = [t for t in clause.terms if (t.kind, t.name) == ("state", "stacked")]
    return all(view.low.startswith("directly", t.start) and _BEAM_NEXT.match(view.low, t.end) for t in stacked)


_SPACING_ENDS = re.compile(r"o\.\s?c\.\s")


def _stacked_members(view: View, clause: Clause) -> set[str]:
    """Members of the sentence that stacks where "o.c." ends the one before it: "... at 24 in. o.c. Studs and posts stack"; else empty."""
    stacked = next(t for t in clause.terms if (t.kind, t.name) == ("state", "stacked"))
    ends = [m.end() for m in _SPACING_ENDS.finditer(view.low, clause.start, stacked.start)]
    subjects = {t.name for t in clause.terms if ends and t.kind == "member" and ends[-1] <= t.start < stacked.start}
    later = {t.name for t in clause.terms if t.kind == "member" and t.start > stacked.start}
    return subjects | later if subjects else set()


def _only_roof(text: str) -> bool:
    return not re.search(r"second|upper|floor|stor(?:e)?y|stories|below|above", text)


def _subject(named: set[str]) -> str | None:
    for name in ("post", "truss", "rafter", "joist", "stud", "wall"):
        if name in named:
            return name
    return None


_STANDS_ON = re.compile(r"\bposts?\b[^.;]{0,60}\b(?:on|to) (?:the |a |concrete |round |masonry )*(?:piers?|pads?|footings?|slab)\b")


def _members(view: View, clause: Clause) -> Iterator[Fact]:
    if clause.stance in {"legend", "denied"}:
        return
    named = members(clause)
    text = view.low[clause.start : clause.end]
    in_floor = "joist" in named and re.search(r"stair|floor opening|trimmer|hatch|chimney|well", text)
    if ("header" in named or _BEAM_OVER_OPENING.search(text)) and not in_floor:
        yield view.fact("header", clause)
    if "post" in named or "beam" in named:
        for place in ("porch", "deck", "carport", "landing", "balcony", "crawl space"):
            labelled = (len(view.low) < 80 or _STANDS_ON.search(text)) and re.search(
                rf"\b{place}\b", " ".join(view.passage.headings[-1:]).lower()
            )
            named_so = bool(labelled) or (place in {"porch", "carport"} and has(clause, "place", place))
            if (
                named_so
                or re.search(rf"(?<!floor )(?<!5/4 )\b{place}s?\b(?! boards?)", text)
                or (place == "porch" and _PATIO_ROOF.search(text))
            ):
                yield view.fact("post-at" if "post" in named else "beam-at", clause, subject=place)
    if "post" in named:
        yield view.fact(
            "post",
            clause,
            text="in wall"
            if re.search(r"in(?:side)?\s+(?:the\s+)?(?:framed\s+)?walls?|stud|guard|newel|rail|king|trimmer|hd|hold", text)
            else None,
        )
    if _SILLS.search(text) and "sill plate" in named:
        yield view.fact("sill-plates", clause, value=2)
    for found in re.finditer(r"\b(double|doubled|dbl\.?|two|2)\b[ -]{0,2}(?:2 ?x ?[468] )?(?:treated |p\.?t\.? )?(?:sill|mudsill)", text):
        yield view.at("sill-plates", clause.start + found.start(), clause.start + found.end(), value=2)


_SILLS = re.compile(
    r"\b(?:two|double|doubled|2-2x|\(2\) ?2x|dbl\.?)\b"
    r"(?:(?!\b(?:rows?|nails?|bolts?|screws?|anchors?|straps?|ties?|clips?|courses?|lines?|into|per|each|\d+d)\b)[^.,;]){0,20}\bsill"
)
"""Two sills, not two rows of nails into one."""


__all__ = ["frame_facts", "quantities"]
