"""Checks of placing and order: bolt length, setting of cast-in anchors, order of nailing straps, strap reach."""

from __future__ import annotations

import re
from collections.abc import Iterator

from notelint.mechanics.bolts import bolt_length, embedment_depth
from notelint.mechanics.straps import strap_reach
from notelint.mechanics.worked import Layer
from notelint.model import Fastener, Finding, Requirement
from notelint.rulebook.case import Case, mark_key
from notelint.rulebook.checks.joints import NoParameters
from notelint.rulebook.checks.penetration import value_of
from notelint.trade.tables import lumber

_THICK_SILL = re.compile(
    r"\b(?:\(?(2|two|double|dbl\.?)\)?[ -])?\s*([234])\s*x\s*(\d{1,2})\b[^.;|]{0,40}?\bsill|\bsills?\b[^.;"
    r"|]{0,40}?\b(?:(double|two|2|dbl\.?)[ -])?([234])\s*x\s*(\d{1,2})",
    re.I,
)
_WASHER = re.compile(
    r"(0?\.\d+|\d+(?:-\d/\d)?|\d/\d)\s*(?:\"|in\.?)?\s*x\s*(\d+(?:-\d/\d)?|\d/\d)\s*(?:\"|in\.?)?\s*x\s*(\d/\d+|0?\.\d+)\s*(?:\"|in\.?)?",
    re.I,
)


def bolt_too_short(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Embedment + plates + washer + nut + thread against the bolt's length; an embedment deeper than its concrete."""
    short = []
    for r in case.duties:
        if r.device != "anchor bolt" or "existing" in r.scope or r.joint not in {"sill-to-foundation", None, "other"}:
            continue
        embedment = r.embedment_in or _embedment_in_words(case, r) or _embedment_elsewhere(case, r)
        washers = _washer(case, r)
        for f in r.fasteners:
            if f.kind in {"anchor bolt", "bolt", "rod"} and f.length_in and f.diameter_in and embedment:
                result = bolt_length(f.length_in, embedment, f.diameter_in, _plates(case, r), washers=washers)
                if not result.fits:
                    short.append((washers is None, r, f.length_in, result))
    short.sort(key=lambda s: s[0])  # arithmetic with the stated washer before one with a washer assumed
    if short:
        length, result = short[0][2:]
        where = tuple(case.where_of(one) for _, one, _, _ in short[:4])
        said = f"Embedment, plates, washer, nut and thread add up to {result.needed_in:.1f} in, and the bolt is {length:g} in long."
        values = {"first": f"{length:g} in", "second": f"{result.needed_in:.1f} in", "answer": said}
        yield Finding(rule="", subject="anchor bolts", where=where, arithmetic=result.lines, values=values)
    yield from _deeper_than_concrete(case)


def _embedment_elsewhere(case: Case, r: Requirement) -> float | None:
    """An embedment said once for the set's sill anchors, where this callout gives none."""
    said = {o.embedment_in for o in case.duties if o.device == "anchor bolt" and o.joint == r.joint and o.embedment_in}
    return said.pop() if len(said) == 1 else None


_WORDS = {"five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10, "twelve": 12}
_DEPTH_WORDS = re.compile(
    r"\b(\d{1,2}(?:-\d/\d)?|" + "|".join(_WORDS) + r")\s*(?:\"|in\.?|inch(?:es)?)\s*(?:min\.?\s*|minimum\s*)?(?:in(?:to)?\b|embed|deep in)"
)


def _embedment_in_words(case: Case, r: Requirement) -> float | None:
    """An embedment in the bolt's own words, where the requirement carries none: "seven inches into the stem wall"."""
    p = case.passages[r.passage]
    for column, start, end in p.cells:
        if re.search(r"embed|in(?:to)? conc", column.lower()) and (m := re.match(r"\s*(\d{1,2}(?:-\d/\d)?)", p.text[start:end])):
            return value_of(m.group(1))
    m = _DEPTH_WORDS.search(r.quote.lower())
    return None if m is None else float(_WORDS.get(m.group(1)) or value_of(m.group(1)))


_DOUBLED = re.compile(
    r"\b(?:doubled?|dbl\.?|two|\(2\)|2|(?:a )?pair of|twin|two-ply)[ -]?\s*(?:treated |p\.?t\.? "
    r"|pressure treated )*(?:2\s?x\s?[468]\s*)?(?:treated "
    r"|p\.?t\.? )*(?:sill|mudsill|plates)|sills? (?:is|are) doubled"
    r"|\b(?:mud)?sills?(?: plates?)?:?\s+(?:are |is |of |to be )?(?:\(2\)|2 -|two|doubled?|dbl\.?)[ -]?\s*2\s?x\s?[468]\b"
)


def _plates(case: Case, r: Requirement) -> list[Layer]:
    """The sill plates a bolt passes: those of its own words, else the thickest stack the set states, else one 1-1/2 in plate."""
    own = case.passages[r.passage].text
    thickness, count = _thickest([own], own_words=True), 2 if _DOUBLED.search(own.lower()) else 1
    if thickness is None and count == 1:
        thickness = _thickest([p.text for p in case.passages.values()], own_words=False)
        count = (
            2
            if case.has("sill-plates") or any(_DOUBLED.search(p.text.lower()) and "sill" in p.text.lower() for p in case.passages.values())
            else 1
        )
    return [Layer("sill plate", thickness or 1.5)] * count


def _thickest(texts: list[str], *, own_words: bool) -> float | None:
    found: list[float] = []
    for text in texts:
        for m in _THICK_SILL.finditer(text):
            row = lumber(f"{m.group(2) or m.group(5)}x{m.group(3) or m.group(6)}")
            found += [row.thickness_in] if row else []
        if own_words:
            for m in re.finditer(r"\b([34])\s*x\s*([468])\b(?=[^.;|]{0,12}(?:p\.?t|treated|sill|plate|\())", text.lower()):
                row = lumber(f"{m.group(1)}x{m.group(2)}")
                found += [row.thickness_in] if row else []
    return max(found, default=None)


def _washer(case: Case, r: Requirement) -> list[Layer] | None:
    p = case.passages[r.passage]
    m = _WASHER.search(p.text)
    if not m or "washer" not in (p.text + " ".join(c.column for c in p.cells)).lower():
        return None
    return [Layer("plate washer", min(value_of(g) for g in m.groups()))]


_CONCRETE_DEPTH = re.compile(
    r"(\d{1,2}(?:-1/2)?)\s*(?:\"|in\.?|inch(?:es)?)?\s*(?:thick|deep)?\s*(?:concrete\s*)?(?:slab|footing|pad)\b", re.I
)


_FOOTING = re.compile(
    r"x\s*(\d{1,2})\s*(?:\"|in\.?)?\s*(?:deep|thick)?\s*(?:thk\.?)?\s*(?:conc\.?|concrete)?\s*(?:footing|ftg|pad|pier)"
    r"|(\d{1,2})\s*(?:\"|in\.?|inch)\s*(?:deep|thick)\s*(?:conc\.?|concrete)?\s*(?:footing|ftg|pad)"
    r"|(?:footing|ftg\.?|pad|pier)s?,?\s*(\d{1,2})\s*(?:\"|in\.?|inch)\s*(?:deep|thick)"
    r"|(?:edge|turn-?\s?down|haunch|grade beam)s?,?\s*(\d{1,2})\s*(?:\"|in\.?|inch)\s*(?:deep|thick|overall|total|in all|high)"
    r"|(\d{1,2})\s*(?:\"|in\.?|inch)\s*(?:deep|thick|overall)\s*(?:thickened )?(?:slab )?(?:edge|turn-?\s?down|haunch)"
)


def _concrete_depth(case: Case, r: Requirement) -> float | None:
    """Depth of the concrete an anchor is set in: in its own words, or in another callout of its detail. None where not stated."""
    if r.mark:
        uses = [u.passage for u in case.reading.marks if u.key == mark_key(r.mark) and u.passage in case.passages]
        found = [d for u in uses if u != r.passage if (d := _depth_beside(case, u)) is not None]
        if found:
            return min(found)
    return _depth_beside(case, r.passage)


def _depth_beside(case: Case, passage: str) -> float | None:
    p = case.passages[passage]
    same = [q.text.lower() for q in case.passages.values() if q.id == p.id or (p.detail and (q.page, q.detail) == (p.page, p.detail))]
    low = p.text.lower()
    if not p.detail and not re.search(r"footing|ftg|pad|pier|slab", low):
        return None
    if m := _CONCRETE_DEPTH.search(low):
        if not re.search(r"turned|edge|thicken|stem|grade beam", low):
            return value_of(m.group(1).replace("-1/2", ".5"))
        return None
    for text in same:
        if m := _FOOTING.search(text):
            return float(next(g for g in m.groups() if g))
    return None


def _deeper_than_concrete(case: Case) -> Iterator[Finding]:
    for r in case.duties:
        if not r.embedment_in or r.device not in {"anchor bolt", "rod", "embedded strap", "hold-down", "post base"}:
            continue
        depth = _concrete_depth(case, r)
        if depth is None:
            continue
        result = embedment_depth(r.embedment_in, depth)
        if not result.fits:
            yield Finding(
                rule="", subject=f"{r.mark or r.device} embedment", where=(case.where_of(r),), arithmetic=result.lines,
                values={"first": f"{r.embedment_in:g} in embedment", "second": f"{depth:g} in of concrete",
                        "answer": f"The embedment is {r.embedment_in:g} in, and the concrete is {depth:g} in deep."},
            )  # fmt: skip


# ---------------------------------------------------------------- cast-in anchors


def embedded_placement(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Straps or hold-down anchors cast into concrete, and no dimension, edge distance, template or rule for setting them."""
    cast = [r for r in case.duties if _cast_in(case, r)]
    marks = {mark_key(r.mark) for r in cast if r.mark}
    if not cast or any(_governs(case, f.passage, f.start, f.end, marks) for f in case.facts("setting")):
        return
    shown = sorted(cast, key=lambda r: (r.kind != "note", r.page))
    names = list(dict.fromkeys(r.mark or str(r.device) for r in cast))
    yield Finding(
        rule="", subject="cast-in anchors", where=tuple(case.where_of(r) for r in shown[:4]), values={"subject": ", ".join(names[:5])}
    )


_ON_PILES = re.compile(r"\bpiles?\b|\bpilings?\b", re.IGNORECASE)


def _cast_in(case: Case, r: Requirement) -> bool:
    if "existing" in r.scope:
        return False
    if r.device == "embedded strap":
        return True
    text = r.quote.lower()
    into_concrete = bool(re.search(r"embed|cast|concrete|footing|stem|slab|grade beam|\bpier", text)) or bool(r.embedment_in)
    if not into_concrete and case.building.foundation == "piers" and any(_ON_PILES.search(p.text) for p in case.passages.values()):
        return False  # a rod through the girder, with a nut below it
    if re.search(r"epox|adhesive|drilled|post-?installed|expansion|wedge", text):
        return False
    if r.device in {"hold-down", "rod"}:
        anchored = any(f.kind in {"anchor bolt", "rod"} and (f.length_in or r.embedment_in) for f in r.fasteners)
        return (
            bool(r.embedment_in)
            or anchored
            or bool(re.search(r"embed|cast|into (?:the )?(?:concrete|footing|stem|slab|grade)", text))
            or (r.device == "hold-down" and _on_concrete(case, r))
        )
    return False


def _on_concrete(case: Case, r: Requirement) -> bool:
    """A hold-down called out on a foundation plan stands over an anchor in concrete."""
    p = case.passages[r.passage]
    return "found" in f"{p.place or ''} {p.label}".lower()


def _governs(case: Case, passage: str, start: int, end: int, marks: set[str]) -> bool:
    """Whether a setting instruction speaks of hold-down anchors, straps or rods (or of anchors at large), not of something else."""
    p = case.passages[passage]
    text = p.text[start:end].lower()
    whole = f"{' '.join(p.headings)} {p.text}".lower()
    if re.search(r"submit|to be furnished|by contractor to|layout (?:by|to be)", text) and not re.search(r"template", text):
        return False
    if re.search(r"hold-?down|holdown|tie-?down|strap|rod|anchor|\bhd", text):
        return True
    if any(u.passage == passage and u.key in marks for u in case.reading.marks):
        return True
    return bool(re.search(r"hold-?down|holdown|tie-?down|strap|rods?\b|anchor|\bhd", whole)) and not re.search(r"footing dowel", text)


# ---------------------------------------------------------------- straps across floors


def strap_nailing_order(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Straps across a floor line, and neither an order of nailing nor dry lumber."""
    if case.has("strap-order", "moisture-limit"):
        return
    crossing = [r for r in case.duties if r.device in {"strap", "embedded strap", "sill strap"} and _crosses(r)]
    if crossing:
        names = list(dict.fromkeys(r.mark or "strap" for r in crossing))
        shown = sorted(crossing, key=lambda r: (r.defines, r.page))
        green = [case.where_of(f) for f in list(case.facts("green-lumber"))[:1]]
        yield Finding(
            rule="",
            subject="strap nailing",
            where=(*(case.where_of(r) for r in shown[:3]), *green),
            values={"subject": ", ".join(names[:4])},
        )


def _crosses(r: Requirement) -> bool:
    if r.joint == "floor-to-floor":
        return True
    return r.joint == "stud-to-sill" and bool(
        {"rim", "joist"} & set(r.joins) or re.search(r"across (?:the )?(?:rim|floor)|past (?:the )?rim|\brim\b", r.quote.lower())
    )


_ROWS = re.compile(r"\b(one|single|1|two|2|double|three|3)\s+rows?\b|\bstagger", re.I)
_INCHES = r"(\d+(?:[- ]\d/\d)?|\d/\d|\d?\.\d+)\s*(?:\"|in\.?|inch(?:es)?)"
_AT = re.compile(
    rf"(?:\bat|@|\bspac(?:ing|ed)(?: of| is)?:?)\s*{_INCHES}|{_INCHES}\s*(?:apart\b|nail spacing|spacing of nails|between nails)", re.I
)
_FLOOR_DEPTH = re.compile(
    rf"\b(?:floor (?:framing |assembly |structure )?(?:depth|thickness)|depth of (?:the )?floor(?: framing)?"
    rf"|(?:the )?floor is)\s?(?:of|:|=|is)?\s?{_INCHES}"
    r"(?P<whole>[^.;|]{0,30}\b(?:total|overall|plate to plate|in all|including|over ?all)\b)?",
    re.I,
)
_STUD_TO_STUD = re.compile(
    rf"\bstuds? to studs?\W{{0,3}}(?:is |of )?{_INCHES}\s*(?:cl(?:ea)?r\b|gap|apart|between)"
    rf"|{_INCHES}\s*(?:clear\b\s*|clr\.?\s*|gap\s*)?(?:between (?:the )?studs|from stud to stud)",
    re.I,
)
"""What lies between the stud below and the stud above, plates and all."""
_DEPTH = re.compile(
    r"\b(\d{1,2}(?:-\d/\d)?)\s*(?:\"|in\.?|inch)?\s*(?:deep\s*)?(?:open[- ]web\s*|web\s*|wood\s*|parallel "
    r"chord\s*)*(?:i-?joists?|lvl|floor trusses|floor joists|joists?|rim(?: board)?|truss floor|web truss)\b",
    re.I,
)


def strap_reach_check(_: NoParameters, case: Case) -> Iterator[Finding]:
    """(Strap length - floor depth, sheathing, plates) / 2 on each stud against the room its nails need."""
    groups = dict(case.by_mark)
    groups |= {f"#{r.id}": (r,) for r in case.duties if not r.mark and r.joint == "floor-to-floor" and r.device == "strap"}
    floor: list[Layer] | None = None
    for key, about in groups.items():
        if not any(r.joint == "floor-to-floor" for r in about) or any(r.device not in {"strap", None} for r in about):
            continue
        length = next((r.steel.length_in for r in about if r.steel and r.steel.length_in), None)
        about = (*about, *_nails_beside(case, about))
        nails = next((f for r in about for f in r.fasteners if f.count and f.kind in {"nail", "screw", None}), None)
        spacing = _nail_spacing(case, about, nails)
        if not length or not nails or not spacing:
            continue
        floor = _floor(case) if floor is None else floor
        if not floor:
            continue
        result = strap_reach(length, floor, nails.count or 0, spacing, rows=_rows(case, about))
        if not result.reaches:
            shown = [case.where_of(r) for r in sorted(about, key=lambda r: (not r.defines, not r.fasteners, not r.steel))[:2]]
            name = about[0].mark or f"the {length:g} in strap"
            yield Finding(
                rule="",
                subject=name if not key.startswith("#") else f"strap {length:g}",
                where=tuple(shown),
                arithmetic=result.lines,
                values={"first": f"{result.each_in:.1f} in", "second": f"{result.needed_in:.1f} in", "subject": name},
            )


def _nails_beside(case: Case, about: tuple[Requirement, ...]) -> list[Requirement]:
    """Nails that a callout of their own gives in the strap's detail, where the strap's words give none."""
    if any(r.fasteners for r in about):
        return []
    places = {(r.page, case.passages[r.passage].detail) for r in about if case.passages[r.passage].detail}
    nailed = [r for r in case.duties if r.device == "nailing" and r.joint == "other" and not r.joins]
    return [r for r in nailed if (r.page, case.passages[r.passage].detail) in places]


def _nail_spacing(case: Case, about: tuple[Requirement, ...], nails: Fastener | None) -> float | None:
    if nails and nails.spacing_in:
        return nails.spacing_in
    for r in about:
        if r.kind == "row" and r.spacing_in and r.spacing_in <= 4:
            return r.spacing_in  # a strap table's spacing this close is its nails'
        for m in _AT.finditer(case.words_of(r)):
            value = value_of(next(g for g in m.groups() if g))
            if value <= 4:
                return value
    return None


def _rows(case: Case, about: tuple[Requirement, ...]) -> int:
    for r in about:
        if m := _ROWS.search(case.words_of(r)):
            word = (m.group(1) or "two").lower()
            return {"one": 1, "single": 1, "1": 1, "three": 3, "3": 3}.get(word, 2)
    return 1


def _floor(case: Case) -> list[Layer]:
    """Floor members a strap crosses: joists, panel, sole plate and double top plate. Empty where the floor's depth is not stated."""
    depths: list[tuple[float, str]] = []
    for p in case.passages.values():
        if m := _STUD_TO_STUD.search(p.text):
            clear = value_of(next(g for g in m.groups() if g))
            if 9 <= clear <= 40:
                return [Layer("floor, stud to stud", clear)]
        if m := _FLOOR_DEPTH.search(p.text):
            depth = value_of(m.group(1))
            whole = m["whole"] or re.search(r"\b(?:total|overall)\b[^.;|]{0,20}$", p.text[: m.start()].lower())
            if 9 <= depth <= 36:
                return [Layer("floor, plate to plate", depth)] if whole else _layers(depth)
    for p in case.passages.values():
        low = p.text.lower()
        if re.search(r"roof|ceiling|(?<![\d\"] )(?<!in\. )deck|porch|header|landing|(?<!rim )stair", low) and "floor" not in low:
            continue
        for m in _DEPTH.finditer(low):
            near = low[max(0, m.start() - 30) : m.end() + 12]
            if not re.search(r"roof|ceiling|ridge|hanger|header", near):
                depths.append((value_of(m.group(1)), p.id))
        for m in re.finditer(
            r"(?:i-?joists?|floor joists?|floor trusses|joists?) (?:are |shall be )?(\d{1,2}(?:-\d/\d)?)\s*(?:\"|in\.?|inch)\s*deep"
            r"|\b(?:floor |flr\.? )?joist depth\s?(?:of|:|=|is)?\s?(\d{1,2}(?:-\d/\d)?)\s*(?:\"|in\.?|inch)",
            low,
        ):
            depths.append((value_of(m.group(1) or m.group(2)), p.id))
        for m in re.finditer(r"\bfloor (?:joists?|framing):? (?:are |of |is |to be )?2\s*x\s*(8|10|12)\b", low):
            if row := lumber(f"2x{m.group(1)}"):
                depths.append((row.width_in, p.id))
        for m in re.finditer(r"\b2\s*x\s*(8|10|12)\b(?=[^.;|]{0,30}\b(?:floor )?(?:joist|rim|second floor))", low):
            if not re.search(r"roof|ceiling|ridge|rafter|deck|porch", low[max(0, m.start() - 30) : m.end() + 30]) and (
                row := lumber(f"2x{m.group(1)}")
            ):
                depths.append((row.width_in, p.id))
    depths = [d for d in depths if 7 <= d[0] <= 30]
    if not depths:
        return []
    counted: dict[float, int] = {}
    for d, _ in depths:
        counted[d] = counted.get(d, 0) + 1
    depth = max(counted, key=lambda d: (counted[d], d))
    return _layers(depth)


def _layers(joist_in: float) -> list[Layer]:
    """A floor of joists `joist_in` inches deep with the panel and the plates above and below."""
    return [Layer("floor joist", joist_in), Layer("floor panel", 0.75), Layer("sole plate", 1.5), Layer("double top plate", 3.0)]


KINDS = {
    "bolt-too-short": (NoParameters, bolt_too_short),
    "embedded-placement": (NoParameters, embedded_placement),
    "strap-nailing-order": (NoParameters, strap_nailing_order),
    "strap-reach": (NoParameters, strap_reach_check),
}
__all__ = ["KINDS", "mark_key"]
