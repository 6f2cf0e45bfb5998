"""What the set says of the design: wind, exposure, code, storeys, roof, foundation, pitch, openings, strengths.

Regular expressions here read fixed notations (a code's year, an exposure letter, a door size), not sentences.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from notelint.language.view import ORDINALS, View, has, quantities
from notelint.model import Clause, Fact

_WIND = re.compile(
    r"\bmph\W{0,4}exp|\bexp\w*\.?\s\W?[bcd]\b\W{1,4}\d{2,3}\s?mph|\bv\s*=\s*\d{2,3}\s*m\.?p|\bwind|\bv\s*-?\s*ult"
    r"|\bvasd|\bgust|\bultimate\b|basic speed|\bvult"
)
_MPH = re.compile(
    r"(\d{2,3})(?:\s*-\s*(?:m\.?p\.?h|mile))?\s*(?:m\.?\s?p\.?\s?h\b|miles per hour|miles an hour)|\b(?:vult"
    r"|v\s?ult\.?)\s*[=:]?\s*(\d{2,3})\b",
    re.I,
)
_ALLOWABLE = re.compile(r"allowable|asd|nominal|stress|service")
_EXPOSURE = re.compile(
    r"""\bexp(?:osure|os|\.)?(?:\s+(?:category|cat\.?|class|type))?  # "EXP.", "Exposure category"
        (?:[\s.:=|_\-]|is\b|of\b)*                                   # what joins label and value: dots, a colon, a cell's edge
        ["'(]?([bcd])\b["')]?(?!/)""",
    re.I | re.X,
)
_EXPOSURE_AFTER = re.compile(
    r"\b(?:category|cat\.?)\s+[\"']?([bcd])[\"']?\s+exposure|[\"'(]([bcd])[\"')]\s+exposure\b|\b([bcd])\s+exposure\b", re.I
)
_EXPOSURE_BESIDE_SPEED = re.compile(
    r"\bm\.?p\.?h\b\.?(?:\s*(?:ult\w*\.?|3[- ]sec\w*\.?(?: gust)?))?\s*[,;/-]\s*([BCD])(?=\s*(?:[;,.)/]|$))", re.I
)
_CODE_NAME = r"((?:[a-z.]+\s+){0,4}?(?:residential|building)\s+code|i\.?r\.?c\b\.?|i\.?b\.?c\b\.?|[a-z]rc\b|[a-z]{2}rc\b)"
_CODES = (
    re.compile(rf"\b(?P<year>(?:19|20)\d\d)\s+(?:edition\s+(?:of\s+)?(?:the\s+)?)?(?P<name>{_CODE_NAME})", re.I),
    re.compile(rf"\b(?P<name>{_CODE_NAME})\s*(?:[,(|:\-]\s*)?(?:edition\s+(?:of\s+)?)?(?P<year>(?:19|20)\d\d)\b", re.I),
    re.compile(rf"\b(?P<name>{_CODE_NAME})[,:(\s]*(?:residential|building)?[,:(\s]*(?P<year>\d{{1,2}}(?:st|nd|rd|th))\s+edition", re.I),
    re.compile(rf"\b(?P<name>{_CODE_NAME})[^.;]{{0,40}}?\b(?P<year>(?:19|20)\d\d)\s+(?:edition|printing|issue|version)", re.I),
)
_EDITION = re.compile(r"19\d\d|20\d\d|edition|printing", re.I)  # one of which every code is named with
_NUMBERS = {"one": 1, "single": 1, "two": 2, "double": 2, "three": 3, "four": 4, "1": 1, "2": 2, "3": 3, "4": 4}
_STOREYS = re.compile(
    r"\b(one|single|two|three|four|[1-4])\s*[- ]\s*(?:stor(?:e)?y|stories|storeys|level)\b(?!\s+(?:above|below|line))", re.I
)
_STOREY_NUMBER = re.compile(r"\b(?:no\.?|number) of (?:stories|storeys)\s*[:|=]?\s*(one|two|three|[1-4])\b", re.I)
_BOTH = re.compile(r"\b(both|all two|all three|all four)\s+(?:stories|storeys|floors|levels)", re.I)
_OVER = re.compile(r"(?:over|than|up to|exceed\w*|above|below|under|least|existing|\(e\))\s+(?:a\s+|the\s+)?$")
_FLOOR = re.compile(
    r"\b(first|second|third|fourth|1st|2nd|3rd|4th|ground|main|upper|lower)\s+(?:floor|flr\.?|fl\.|stor(?:e)?y|level)\b", re.I
)
_LEVEL = re.compile(r"\blevel\s+(one|two|three|[1-3])\b|\b(upper)\s+(?:floor|flr\.?|level|plan)\b(?!\s+(?:deck|roof|patio|balcony))")
_PITCH = re.compile(r"\b(\d{1,2}(?:-1/2|\.\d)?)\s*(?::|/|in|on)\s*12\b(?!\s*(?:in|\"|'|o\.?c))", re.I)
_SPAN = re.compile(
    r"\bspan\w*[^.;]{0,40}?\b(\d{2})\s*(?:ft|feet|'|foot)|(\d{2})\s*(?:ft|feet|'|foot)\.?\s*(?:clear\s+)?span"
    r"|across the building is (\d{2})",
    re.I,
)


def design_facts(view: View) -> Iterator[Fact]:
    """Facts of the design stated in one passage."""
    yield from _wind(view)
    yield from _exposure(view)
    yield from _code(view)
    yield from _storeys(view)
    yield from _roof_shape(view)
    yield from _uplift(view)
    for clause in view.clauses:
        yield from _systems(view, clause)
        yield from _strength(view, clause)


def _wind(view: View) -> Iterator[Fact]:
    low = _unbracketed(view.low)
    about = " ".join([view.scope, *(c.column.lower() for c in view.passage.cells)])
    if not _WIND.search(low) and not _WIND.search(about) and not re.search(r"climatic|design criteria|design data", about):
        return
    for found in _MPH.finditer(low):
        value = float(found.group(1) or found.group(2))
        if not 60 <= value <= 250:
            continue
        after = low[found.end() : found.end() + 28].split(",")[0].split(";")[0]
        near = after + low[max(0, found.start() - 12) : found.start()]
        asd = bool(_ALLOWABLE.search(near.split("(")[0] if "ult" in near else near)) and "ult" not in after[:12]
        rated = re.search(r"\b(door|window|rated|shingle|roofing)\b", low[max(0, found.start() - 40) : found.start()])
        name = "wind-allowable" if asd else "wind-rating" if rated and "design" not in low else "wind"
        yield view.at(name, found.start(), found.end(), value=value)


def _unbracketed(text: str) -> str:
    """The text with round and square brackets blanked, offsets kept: fill-in sheets bracket the values filled in."""
    return re.sub(r"[()\[\]]", " ", text)


def _exposure(view: View) -> Iterator[Fact]:
    for pattern in (_EXPOSURE, _EXPOSURE_AFTER, _EXPOSURE_BESIDE_SPEED):
        for found in pattern.finditer(_unbracketed(view.passage.text)):
            letter = next(g for g in found.groups() if g)
            if (
                letter.islower()
                and "categ" not in found.group(0).lower()
                and not re.search(rf"exposure\W{{1,4}}{letter}$", found.group(0).lower())
            ):
                continue
            yield view.at("exposure", found.start(), found.end(), text=letter.upper())
            return


def _code(view: View) -> Iterator[Fact]:
    if not _EDITION.search(view.passage.text):
        return
    for pattern in _CODES:
        for found in pattern.finditer(view.passage.text):
            name, year = found.group("name").strip(), found.group("year")
            yield view.at("code", found.start(), found.end(), text=f"{_short_code(name)} {year}")
            return


def _short_code(name: str) -> str:
    low = name.lower().replace(".", "")
    if "irc" in low.split() or "international residential" in low:
        return "IRC"
    if "ibc" in low.split() or "international building" in low:
        return "IBC"
    if low in {"residential code", "the residential code"}:
        return "IRC"
    return " ".join(w for w in name.split() if w.lower() not in {"the", "of", "to", "with", "by", "under"})


def _storeys(view: View) -> Iterator[Fact]:
    low = view.low
    for found in list(_STOREYS.finditer(low)) + list(_STOREY_NUMBER.finditer(low)):
        if not _OVER.search(low[: found.start()]):
            yield view.at("storeys", found.start(), found.end(), value=_NUMBERS[found.group(1).lower()])
    for found in _BOTH.finditer(low):
        word = found.group(1).split()[-1]
        yield view.at("storeys", found.start(), found.end(), value={"both": 2, "two": 2, "three": 3, "four": 4}[word])
    drawn = view.passage.kind in {"title", "callout", "heading"}
    for found in _LEVEL.finditer(low) if drawn and "plan" in low else ():
        word = found.group(1) or found.group(2)
        yield view.at("floor-named", found.start(), found.end(), value=_NUMBERS.get(word, 2), text=view.passage.kind)
    for found in _FLOOR.finditer(low):
        value = ORDINALS.get(found.group(1).lower())
        if value:
            name = "floor-named" if drawn or "plan" in low[found.end() : found.end() + 20] else "floor-said"
            yield view.at(name, found.start(), found.end(), value=value, text=view.passage.kind)


def _roof_shape(view: View) -> Iterator[Fact]:
    for found in _PITCH.finditer(view.low):
        value = float(found.group(1).replace("-1/2", ".5"))
        if value <= 24:
            subject = "porch" if re.search(r"porch|carport|shed|stair", view.low) else None
            yield view.at("pitch", found.start(), found.end(), value=value, subject=subject)
    if "span" in view.low or "across the building" in view.low:
        for found in _SPAN.finditer(view.low):
            feet = next(g for g in found.groups() if g)
            yield view.at("roof-span", found.start(), found.end(), value=float(feet) * 12)


_OF_FLOOR = re.compile(r"\bfl(?:oo)?r\b\.?")
_ROOF_NAMES = {"truss": "trusses", "rafter": "rafters", "roof joist": "roof joists"}


_LOAD = re.compile(
    r"(?<![\d.])(\d{1,3}(?:,\d{3})+|\d{2,5})\s*(plf|lbs?\.?(?:\s*(?:per|/)\s*(?:lin\w*\.?\s*)?(?:ft|foot))?"
    r"|pounds?(?:\s*per\s*(?:lin\w* )?foot)?|#)(?![\w/])"
)
_ASKED = re.compile(r"uplift|\blifts?\b(?! slab)|\bpulls? up\b|net |reaction|demand|delivers|asks? for|required")
_GOOD_FOR = re.compile(
    r"rated|allow(?:able|\.|\b)|capacit|good for|resists?|resistance|holds|carries|strength|minimum capacity|strap|hold-?down"
    r"|(?<!un)tied? |ties "
)


def _uplift(view: View) -> Iterator[Fact]:
    """Uplift the roof or wall asks of its ties: "net uplift at each truss bearing 980 lb", "310 plf at each level"."""
    low = view.low
    if view.passage.kind == "row" or not _ASKED.search(low):
        return
    for clause in view.clauses:
        text = low[clause.start : clause.end]
        for found in _LOAD.finditer(text):
            near = text[max(0, found.start() - 70) : found.end() + 30]
            if (
                not _ASKED.search(near)
                or _GOOD_FOR.search(near)
                or re.search(r"gravity|dead load|live load|snow|soil|bearing pressure", near)
            ):
                continue
            value = float(found.group(1).replace(",", ""))
            per_foot = "plf" in found.group(2) or "ft" in found.group(2) or "foot" in found.group(2)
            if value >= 40:
                member = next((m for m in ("truss", "rafter", "joist") if m in low), None)
                yield view.fact("uplift-demand", clause, value=value, text="plf" if per_foot else "lb", subject=member)


def _systems(view: View, clause: Clause) -> Iterator[Fact]:
    if clause.stance in {"denied", "legend"}:
        return
    for t in clause.terms:
        words = view.low[t.start : t.end]
        of_roof = t.kind == "member" and t.name in _ROOF_NAMES and not _OF_FLOOR.search(view.low[max(0, t.start - 12) : t.end])
        if of_roof and (t.name != "roof joist" or "joist" in words):
            yield view.at("roof", t.start, t.end, text=_ROOF_NAMES[t.name])
        if (t.kind, t.name) in {("place", "crawl space"), ("system", "crawl space")}:
            yield view.at("foundation", t.start, t.end, text="crawl space")
        elif (t.kind, t.name) == ("system", "basement"):
            yield view.at("foundation", t.start, t.end, text="basement")
        elif (t.kind, t.name) == ("member", "slab") or (t.kind, t.name) == ("system", "slab on grade"):
            outside = {"porch", "garage", "carport", "deck", "landing"} & {x.name for x in clause.terms if x.kind == "place"}
            if not outside and not re.search(r"porch|garage|patio|walk", words):
                yield view.at("foundation", t.start, t.end, text="slab")
        elif (t.kind, t.name) == ("member", "pier"):
            around = f"{view.low[max(0, t.start - 12) : t.end]} {view.passage.place or ''}".lower()
            if re.search(r"\b(?:deck|porch|patio|stair|carport|column|pergola)\b", around):
                continue
            yield view.at("foundation", t.start, t.end, text="piers")


def _strength(view: View, clause: Clause) -> Iterator[Fact]:
    for q in quantities(clause, "psi"):
        if q.value and 2000 <= q.value <= 8000:
            yield view.at("concrete-strength", q.start, q.end, value=q.value, subject=_nearest_concrete(view, clause, q.start))


def _nearest_concrete(view: View, clause: Clause, at: int) -> str:
    """The concrete element a strength is said of: the nearest one before it in its sentence, else the first after."""
    kinds = {"footing", "slab", "stem wall", "foundation", "pier"}
    found = [t for t in clause.terms if t.kind == "member" and t.name in kinds]
    elements = [t for t in found if not view.low[t.start : t.end].strip(".").endswith(("concrete", "conc"))]
    found = elements or found  # "footing concrete" is the footing's
    before = [t for t in found if t.start < at]
    chosen = before[-1] if before else next(iter(found), None)
    if chosen is None:
        return "concrete"
    words = view.low[chosen.start : chosen.end]
    return (
        "grade beam"
        if "grade beam" in words or words.startswith("g.b")
        else words
        if "garage" in words or "porch" in words
        else chosen.name
    )


__all__ = ["design_facts", "has"]
