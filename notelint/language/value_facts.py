"""Values that a set may give twice: layout of members, nailing of panels, strength of concrete, and which paper governs.

Regular expressions here read notations ("2x6 @ 16", "8d at 6 in. edges"); what a value is limited to is kept beside it, so that two
values of two places are not taken for one item.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from notelint.language.plain import plain
from notelint.language.view import View, storeys_in
from notelint.model import Clause, Fact

_FIGURES = {
    "three": 3, "four": 4, "five": 5, "six": 6, "eight": 8, "ten": 10, "twelve": 12, "sixteen": 16, "nineteen": 19, "twenty-four": 24,
    "twenty four": 24, "twentyfour": 24,
}  # fmt: skip
_N = r"(?P<{name}>\d{{1,2}}(?:\.\d)?|three|four|five|six|eight|ten|twelve|sixteen|twenty[- ]?four)"
_IN = r"\s*(?:\"|''|\u201d|in\b\.?|inch(?:es)?\b)?"
_OC = r"\s*(?:o\.?\s?/?\s?c\b\.?|oc\b|on\s+cent(?:er|re)s?|apart)?"
_MODULES = {12.0, 16.0, 19.2, 24.0}
"""Spacings, in inches, that framing is laid out on; any other figure beside a stud belongs to nails, blocks or ties."""

# ---------------------------------------------------------------- layout of members

_BETWEEN = (
    r"(?:(?!\b(?:nail|tie|strap|clip|bolt|screw|block|anchor|connector|hold|sheath|panel|\d+-?\s?d\b|to|from|into|each"
    r"|every|per|with)|[.;|:])[^;|]|\d\.\d|no\. ?\d|spf\.|(?<=[a-z]{2})\. (?=no))"
)
_LAYOUT = re.compile(
    rf"(?<![\w-])(?:(?P<size>[23]\s?x\s?\d{{1,2}}|\(?2\)?\s?x\(?\s*\d{{1,2}}\s*\)?)\s+)?(?P<member>stud|rafter|truss"
    rf"|roof truss|floor truss|ceiling joist|floor joist|joist)(?:e?s)?\b"
    rf"(?P<gap>{_BETWEEN}{{0,46}}?)(?:@|\bat\b|\bspaced(?:\s+at)?\b|\bon\b|\bset at\b|(?=\s\d\d(?:\"|\s?in\b\.?"
    rf"|\s?inches)?\s?(?:o\.?\s?/?\s?c\b|on\s+cent)))\s*{_N.format(name='value')}{_IN}(?P<oc>{_OC})(?![\w/\-]|\s?x"
    rf"|\s?psf|\s?ft|')",
)
_NOT_LAID = re.compile(
    r"\b(?:nail|built-?\s?up|double|doubled|king|jack|cripple|added|add|tie|strap|clip|bolt|screw|to|from|into|each"
    r"|every|under|over|of|between|at|per)\s+(?:[a-z0-9\"/.-]*[a-z0-9\"]\s+){0,1}$"
)
_LIMITS = re.compile(
    r"\b(?:garage|porch|deck|carport|stair|interior|inside|partitions?|closets?|party|parapet|gable|knee|balloon|tall"
r"|rake|dormer|landing|non-?bearing|wet|plumbing"
    r"|bath\w*|attic|storage|shed|existing|addition|outlook\w*|lookout\w*|over ?build|valley|shear wall|furr\w*"
r"|basement|crawl|upper|lower|loft)\b|\(e\)|\bwalls? over \d+"
)  # fmt: skip


def _layouts(view: View, low: str) -> Iterator[Fact]:
    """A member and the spacing it is laid out on; `text` is its size and what it is limited to."""
    if view.passage.kind == "row" and not re.search(r"stud|wall|rafter|truss|joist|fram", low[:40]):
        return
    for m in _LAYOUT.finditer(low):
        value = _number(m["value"])
        explicit = bool(m["oc"].strip()) or value in _MODULES
        if value not in _MODULES or not explicit or _NOT_LAID.search(low[max(0, m.start() - 24) : m.start()]):
            continue
        member = {"roof truss": "truss"}.get(m["member"], m["member"])
        if member == "truss" and re.search(r"\b(?:fl(?:oo)?r\.?|floor|open[- ]web)\s(?:\w+\s)?$", low[: m.start("member")]):
            member = "floor truss"
        clause = _clause(view, m.start())
        near = low[max(clause.start if clause else 0, m.start() - 60) : _stop(low, m.end(), 50)]
        size = m["size"] or next(iter(re.findall(r"\b[23]\s?x\s?\d{1,2}\b", m["gap"])), "")
        text = " ".join([re.sub(r"[\s()]", "", size), *sorted(set(_LIMITS.findall(near)))]).strip()
        storeys = _storeys(view, clause, near)
        yield view.at("laid-out", m.start(), m.end(), value=value, subject=member, text=text, storeys=storeys)
    yield from _walls_laid_out(view, low)


_WALL_OF = re.compile(
    rf"\b(?P<place>(?:ext(?:erior|\.)?|interior|int\.|bearing|partition)\s+)?walls?\b[\s:=,-]*"
    rf"(?:are\s+|shall be\s+|to be\s+|of\s+|framed\s+|with\s+)*"
    rf"(?P<size>2\s?x\s?[468])\b(?:\s*,)?\s*(?:@|\bat\b)\s*{_N.format(name='value')}{_IN}(?P<oc>{_OC})(?![\w/\-]|\s?x|\s?psf|\s?ft|')"
)


def _walls_laid_out(view: View, low: str) -> Iterator[Fact]:
    """Walls by the size and spacing of their studs, the word "stud" left out: "exterior walls 2x6 at 16"."""
    for m in _WALL_OF.finditer(low):
        value = _number(m["value"])
        if value not in _MODULES:
            continue
        clause = _clause(view, m.start())
        near = low[max(clause.start if clause else 0, m.start() - 60) : _stop(low, m.end(), 50)]
        text = " ".join([re.sub(r"\s", "", m["size"]), *sorted(set(_LIMITS.findall(near)))]).strip()
        yield view.at("laid-out", m.start(), m.end(), value=value, subject="stud", text=text, storeys=_storeys(view, clause, near))


def _storeys(view: View, clause: Clause | None, near: str) -> tuple[int, ...]:
    """Storeys a value is limited to, by its own words or, on a drawing, by the drawing's title."""
    if re.search(r"\b(?:both|all|each|every)\s+(?:\w+\s+)?(?:floors?|stor(?:e)?ys?|stories|levels)", near):
        return ()
    own = storeys_in(clause, view.low) if clause else ()
    if not own and view.passage.kind == "callout" and view.passage.place:
        place = view.passage.place.lower()
        own = tuple(
            n
            for word, n in (("first", 1), ("1st", 1), ("second", 2), ("2nd", 2), ("third", 3), ("3rd", 3))
            if re.search(rf"\b{word}\b", place)
        )
    return own


# ---------------------------------------------------------------- nailing of panels

_EDGE = (
    r"(?:(?:at|on|along|@)\s+)?(?:(?:all|the|panel|supported|sheet|each|every)\s+){0,2}(?:edges?|e\.?\s?n\.?(?![a-z])"
    r"|perimeters?|boundar(?:y|ies))"
)
_EDGE_AFTER = re.compile(rf"{_N.format(name='value')}{_IN}{_OC}\s*(?:nailing\s+)?{_EDGE}(?!\s*(?:distance|of))")
_EDGE_BEFORE = re.compile(
    rf"\b(?:edge\s+nail(?:s|ing)|edges?|e\.n\.)\s*[:=]?\s*(?:\d+d\b\s*(?:common|box|com\.?)?\s*)?(?:@|at)\s*{_N.format(name='value')}{_IN}"
)
_EDGE_SLASH = re.compile(r"\d+d\b[^.;|]{0,20}?(?:@|at)\s*(?P<value>\d{1,2})\"?\s*(?:o\.?c\.?)?\s*/\s*(?P<field>\d{1,2})\"?(?!\s?\d|/|\")")
_PANEL = re.compile(r"\b(?:sheath\w*|shtg|shth\w*|panels?|osb|plywood|plyw|ply|wsp|cdx|deck(?:ing)?|wood structural)\b")
_NOT_PANEL = re.compile(r"gyp|drywall|siding|cement|insulat|lath|underlayment|shower|glass|veneer|guard|balcony|drip|slab edge")
_KINDS = (
    ("roof", re.compile(r"\broof\w*\b|\bdeck\b(?!ing of porch)")),
    ("floor", re.compile(r"\b(?:sub)?floor\w*\b")),
    ("wall", re.compile(r"\bwalls?\b|\bexterior\b|\bext\.|\bshear\b")),
)
_ZONE = re.compile(
    r"within \d|\bzones?\b|\bgables?\b|\bridge\b|\beaves?\b|\bhips?\b|\bcorners?\b|\bshear wall|\bsw-?\d|\bbraced"
r"|\bgarage|\bporch|\bdeck\b(?= (?:floor|joist))|\bparapet|\bpart(?:y|ition)"
    r"|\binterior|\bpanel type|\bdiaphragm (?:a|b|1|2)|\bblocked|\bportal|\bplates?\b|\bsills?\b|\brim\b"
)  # fmt: skip


def _edge_nailing(view: View, low: str) -> Iterator[Fact]:
    """Spacing of nails along panel edges; subject roof, wall or floor."""
    if view.passage.kind == "row" or (_NOT_PANEL.search(low) and not re.search(r"sheath|osb|plywood|panels", low)):
        return
    for pattern in (_EDGE_AFTER, _EDGE_BEFORE, _EDGE_SLASH):
        for m in pattern.finditer(low):
            value = _number(m["value"])
            kind = _panel_kind(view, low, m.start())
            thick = _THICK.search(low)
            if (kind is None and not (thick and _PANEL.search(low))) or not 2 <= value <= 12:
                continue
            start = max(low.rfind(". ", 0, m.start()) + 1, low.rfind(";", 0, m.start()) + 1, m.start() - 50, 0)
            zone = " ".join(sorted({z.group() for z in _ZONE.finditer(low[start : _stop(low, m.end(), 24)])} - {"blocked"}))
            if kind is not None:
                yield view.at("edge-nails", m.start(), m.end(), value=value, subject=kind, text=zone, storeys=())
            if thick:
                yield view.at("panel-nails", m.start(), m.end(), value=value, subject=kind, text=f"{thick[1]}|{zone}")


_THICK = re.compile(r"(?<![\d/])(\d{1,2}/(?:8|16|32))\s?(?:\"|in\b\.?|inch)?")


def _panel_kind(view: View, low: str, at: int) -> str | None:
    """Roof, floor or wall panels: the last of these words before the nails in the passage, else after them, else in its heading."""
    if not _PANEL.search(low):
        return None
    for text in (low[:at], low[at:]):
        found = [(m.end() if text is not low[at:] else -m.start(), kind) for kind, pattern in _KINDS for m in pattern.finditer(text)]
        if found:
            return max(found)[1]
    return next((kind for kind, pattern in _KINDS if pattern.search(f"{view.scope} {view.passage.place or ''}".lower())), None)


# ---------------------------------------------------------------- strength of concrete

_PSI = re.compile(r"(?P<value>\d{1,2},?\d{3})\s*(?:p\.?s\.?i\b|pounds per square inch|#/in)")
_KSI = re.compile(r"f'?c\s*=?\s*(?P<value>\d(?:\.\d)?)\s*ksi")
_CONCRETE = re.compile(r"concrete|\bconc\b|\bftgs?\b|f'?\s?c\b|footing|slab|grade beam|foundation|stem wall|pier|mix\b|slump|28 days")
_NOT_CONCRETE = re.compile(
    r"\b(?:grout|mortar|block|masonry|cmu|soil|bearing|lvl|psl|lsl|glulam|lumber|f[bvet]\s*=|steel|weld|water|air test|plumb\w*|gas)\b"
)
_ELEMENTS = (
    ("grade beam", re.compile(r"\bgrade\s?beams?\b|\bg\.b\.")),
    ("garage slab", re.compile(r"\bgarage\b")),
    (
        "porch slab",
        re.compile(r"\bporch|\bpatio|\bwalks?\b|\bstoop|\bdriveway|\bsteps?\b|\bexterior (?:slab|flat|concrete)|\boutside\b"),
    ),
    ("footing", re.compile(r"\bfootings?\b|\bftgs?\b|\bslab edge")),
    ("wall", re.compile(r"\b(?:stem|foundation|basement|poured) walls?\b|\bwalls?\b")),
    ("pier", re.compile(r"\bpiers?\b|\bcaissons?\b")),
    ("column", re.compile(r"\bcolumns?\b|\bpedestals?\b")),
    ("slab", re.compile(r"\bslabs?\b(?! edge)")),
)


def _strengths(view: View, low: str) -> Iterator[Fact]:
    """Strength of concrete in psi, one fact an element: "footings and slab 3,000 psi" says it of both; `text` is "all" or "least"."""
    for m in [*_PSI.finditer(low), *_KSI.finditer(low)]:
        value = float(m["value"].replace(",", ""))
        value = value * 1000 if value < 20 else value
        part = low[_start(low, m.start()) : _stop(low, m.end(), 60)]
        if not 2000 <= value <= 8000 or _NOT_CONCRETE.search(part) or not _CONCRETE.search(f"{part} {view.scope} {low[:40]}"):
            continue
        if re.search(r"\b(?:above|over|exceed\w*|inspect\w*|than)\s+(?:[a-z]+\s+)?$", low[: m.start()]):
            continue
        names = _elements(low, m.start(), m.end()) or ["concrete"]
        all_of = names == ["concrete"] and bool(re.search(r"\ball\b", part))
        text = "all" if all_of else "least" if re.search(r"\bmin(?:imum)?\b|\bat least\b|\bor (?:better|more)\b", part) else ""
        for name in names:
            yield view.at("strength", m.start(), m.end(), value=value, subject=name, text=text)


def _elements(low: str, start: int, end: int) -> list[str]:
    """Concrete elements a strength is said of: right after "psi for ...", else those before it since the last strength, else after it."""
    begin = max([_start(low, start), *(m.end() for m in _PSI.finditer(low) if m.end() <= start)])
    stop = _stop(low, end, 45)
    following = next((m.start() for m in _PSI.finditer(low, end, stop)), stop)
    before, after = _named(low[begin:start]), _named(re.split(r",(?=[^,]*$)", low[end:following])[0] if following < stop else low[end:stop])
    directly = re.match(
        r"\s*(?:at (?:28|twenty)[^,;.]{0,14}\s)?(?:for|at|in|exterior|garage|foundation|footings?|slabs?|elsewhere)\b", low[end:]
    )
    return after if directly and after else before or (after if directly else [])


def _named(part: str) -> list[str]:
    found = [name for name, pattern in _ELEMENTS if pattern.search(part)]
    return [n for n in found if n != "slab" or not {"garage slab", "porch slab"} & set(found) or "house slab" in part]


# ---------------------------------------------------------------- which paper governs

_GOVERNS = re.compile(r"\b(?:govern|prevail|control|take (?:precedence|priority)|supersede|shall be (?:used|followed))s?\b")
_DIFFER = re.compile(r"\b(?:differ|conflict|disagree|discrepanc|contradict)\w*\b")
_PAPERS = (
    ("strict", re.compile(r"\bmost (?:stringent|restrictive|strict)|\bmore (?:stringent|restrictive|strict)|\bstricter|\b(?:greater|larger"
r"|closer|heavier|higher) (?:value|requirement|one|spacing|size)\b")),
    ("row", re.compile(r"\bschedules?\b|\btables?\b")), ("callout", re.compile(r"\bplans?\b|\bdetails?\b|\bdrawings?\b|\bsections?\b")),
    ("note", re.compile(r"\bnotes?\b|\bspecifications?\b")),
)  # fmt: skip
_SCALE = re.compile(r"\bscale|\blayout|\bdimension|\bfigures?\b|\belevation")


def _governs(view: View, low: str) -> Iterator[Fact]:
    """Which paper governs where two differ: `text` is "strict", "row", "callout" or "note". Rules about scale and dimensions are none."""
    for m in _GOVERNS.finditer(low):
        start, stop = _start(low, m.start(), ".;"), _stop(low, m.end(), 60)
        part = low[start:stop]
        if _SCALE.search(part) and not _DIFFER.search(part):
            continue
        said = low[start : m.start()].rsplit(",", 1)[-1]
        name = next((name for name, pattern in _PAPERS if pattern.search(said) or (name == "strict" and pattern.search(part))), None)
        if name:
            yield view.at("governs", start, stop, text=name)


# ---------------------------------------------------------------- all


def value_facts(view: View) -> Iterator[Fact]:
    """Facts of values that another place of the set may give otherwise. Titles and headings state none."""
    if view.passage.kind in {"title", "heading"}:
        return
    low = _filled(plain(view.passage.text))
    yield from _layouts(view, low)
    yield from _edge_nailing(view, low)
    yield from _strengths(view, low)
    yield from _governs(view, low)


def _filled(low: str) -> str:
    """Brackets of a fill-in sheet around a value made blanks, so that "( 16 ) O.C." reads as "16 O.C."; offsets stay."""
    return re.sub(r"\(\s*([\w./'\"-]{1,12})\s*\)", lambda m: " " * (m.start(1) - m.start()) + m.group(1) + " " * (m.end() - m.end(1)), low)


def _number(text: str) -> float:
    return float(_FIGURES.get(text) or (24 if text.startswith("twenty") else text))


def _start(low: str, at: int, marks: str = ".;|") -> int:
    """Where the part of the sentence before `at` begins."""
    found = [
        m.end()
        for m in re.finditer(
            r"(?<!\bno)(?<!\bin)(?<!\bconc)(?<!\bftg)(?<!\bfdn)(?<!\d)[.](?=\s)|[;|]" if "." in marks else r"[;|]", low[:at]
        )
    ]
    return found[-1] if found else 0


def _stop(low: str, at: int, most: int) -> int:
    """Where the part of the sentence after `at` ends, at most `most` characters on."""
    m = re.search(r"(?<!\bin)(?<!\bo\.c)[.](?=\s)|[;|]", low[at : at + most])
    return at + m.start() if m else min(len(low), at + most)


def _clause(view: View, at: int) -> Clause | None:
    return next((c for c in view.clauses if c.start <= at < c.end), None)
