"""Checks of connectors as they are called for: by general words that nobody can buy by, and without a place."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from notelint.language.marks import NOT_MARKS
from notelint.loadpath.ties import CONNECTORS, OUTBUILT
from notelint.model import Finding, Requirement
from notelint.rulebook.case import Case, mark_key
from notelint.rulebook.checks.joints import NoParameters
from notelint.rulebook.checks.schedule_marks import OTHER_LETTERS

OTHER_TRADE = re.compile(
    r"\b(?:brick|veneer|stone|gutters?|leaders?|downspouts?|hand ?rails?|guard ?rails?|railings?|rails?\b(?! beam)|newels?|siding|soffit"
    r"|drywall|gyp\w*|plaster|lath|ceiling (?:grid|tile|wire|hanger)s?|insulation|cabinets?|mirrors?|shel(?:f|ves)"
r"|ducts?|ductwork|conduits?"
    r"|cables?|wir(?:e|ing)|pip(?:e|es|ing)|water heaters?|condens\w+|tanks?|flues?|chimneys?|standing.seam|metal roof\w*|shingles?|tiles?"
    r"|shaft ?(?:liners?|walls?)|area separation|break-?away (?:\w+ )?clips?|(?:resilient|sound|isolation) clips?|joins? no fram\w+"
    r"|h[- ]?clips?|panel (?:edge )?clips?|plywood clips?|sheathing clips?|clips? between|shutters?|screens?|awnings?"
r"|flashings?|fences?|gates?"
    r"|door (?:hardware|closers?|hangers?|tracks?)|(?:window|door|buck) (?:clips?|straps?|anchors?)"
r"|windows? (?:and doors? )?(?:are |shall be )?"
    r"(?:fasten|anchor|strap|install)\w*|rebar|reinforc\w+|form ties?|wall ties|vapou?r|house ?wrap|temporary|lifting"
r"|shipping|during erection)\b"
)  # fmt: skip
_OTHER_LEAD = re.compile(
    r"\W*(?:the )?(?:new )?(?:windows?|doors?|skylights?|siding|cladding|veneer|gutters?|cabinets?|railings?|handrails?"
    r"|appliances?|ducts?|pipes?|fixtures?)"
    r"(?:,? (?:and|or|&) \w+)?\s?(?::|-|,| (?:is|are|shall be|to be) )(?![^.;]{0,40}\bheaders?\b)"
)
"""A statement whose subject is another trade's work."""
_SHEATHING_CLIPS = re.compile(r"\b(?:sheathing|plywood|osb|decking|deck|panels?)\b[^.;]{0,40}\bclips\b(?! (?:to|at) (?:each|every|ea))")
_AT_LARGE = re.compile(
    r"\b(?:all|any|every|where|when|if|for)\s+(?:\w+[\s/,]+){0,3}(?:connectors?|straps?|hangers?|hold-?\s?downs?|ties"
r"|anchors?|hardware|clips|rods)\b"
    r"(?!\s+(?:at|on|over|from)\b)|\bsubstitut|\bmarks?\b|\blegend\b|\blisted\b|\bschedules?\b|\bas (?:shown|noted|indicated)\b"
)  # fmt: skip
_SETTING = re.compile(
    r"\b(?:rods?|anchors?|straps?|bolts?|hold-?\s?downs?|connectors?)\b[^.;]{0,40}\b(?:stands?|sits?|set|are set"
r"|is set|placed|located|centered|plumb|project\w*|held|kept|inside|clear of)\b"
)  # fmt: skip
_SET_BEFORE = re.compile(r"\b(?:set|place|position|locate|hold|hang)\b[^.;]{0,60}\b(?:before|prior to|templates?|jig)\b")
_FROM_TRUSS_PLANT = re.compile(r"truss (?:plant|maker|manufacturer|mfr|mfg|fabricator|supplier|company|package)|\bwith the trusses")
_UPLIFT_BY_PANEL = re.compile(
    r"\b(?:sheathing|panels?|plywood|osb)\b[^.;]{0,30}\b(?:is|are|as|serves?|act\w*)\b[^.;]{0,20}\b(?:connection|tie|connector|path)"
)
_OPEN_CHOICE = re.compile(r"approv|secur|firm|solid|well ")


_SIZE = re.compile(
    r"\b\d{1,2}\s?-?(?:ga\b|gauge|gage)[^.;|]{0,40}?\d\s?(?:\"|in\.?|inch(?:es)?)?\s?(?:x|by)\s?\d", re.IGNORECASE
)  # gauge, width and length
_MODEL = re.compile(r"(?<![\w/&.#-])([A-Z]{2,5})-?\d{1,3}[A-Z]?(?![\w/\"']|\.\d|-\d|\s?[x=])")


def statement(case: Case, r: Requirement) -> tuple[int, int]:
    """Start and end of the clauses that a requirement was read from."""
    about = [c for c in case.clauses_of.get(r.passage, ()) if c.start < r.end and r.start < c.end]
    return min([r.start, *(c.start for c in about)]), max([r.end, *(c.end for c in about)])


def statement_words(case: Case, r: Requirement) -> str:
    """The words of `statement` in lower case."""
    start, end = statement(case, r)
    return case.passages[r.passage].text[start:end].lower()


# ---------------------------------------------------------------- hardware by general words


def hardware_not_named(_: NoParameters, case: Case) -> Iterator[Finding]:
    """A connector called for by general words, with no model, mark or size to buy it by. One question a piece and joint."""
    found: dict[str, list[Requirement]] = {}
    together: dict[tuple[str, str], str] = {}
    sized = [o for o in case.duties if not o.named and o.device in CONNECTORS and _partly_sized(o)]
    for r in case.duties:
        if _general(r) and not _answered(case, r, sized) and not _calls_for_none(case, r):
            name = together.setdefault((r.passage, r.quote), _piece_and_joint(case, r))
            found.setdefault(name, []).append(r)
    for name, same in found.items():
        where = tuple(dict.fromkeys(case.where_of(r) for r in same))[:4]
        yield Finding(rule="", subject=name, where=where, values={"subject": str(same[0].device)})


def _piece_and_joint(case: Case, r: Requirement) -> str:
    """What is asked for, in a word or two: a strap in a header's detail is the header's tie."""
    p = case.passages[r.passage]
    title = " ".join(d.title for d in case.layout.details if (d.page, d.number) == (p.page, p.detail)).lower()
    if (
        r.device in {"strap", "angle"}
        and r.joint in {None, "other"}
        and re.search(r"\bheaders?\b|\bhdrs?\b|\blintels?\b|\b(?:window|door|opening)s? heads?\b", title)
    ):
        return "header tie header-to-stud"
    return f"{r.device} {r.joint or ''}".strip()


def _general(r: Requirement) -> bool:
    vague = bool(r.vague) and not _OPEN_CHOICE.search((r.vague or "").lower())
    if r.device not in CONNECTORS or r.mark or r.named or r.kind in {"heading", "title"} or vague:
        return False
    return not _partly_sized(r)


_HOLD_DOWN_ROD = re.compile(r"\bhold-?\s?down (?:anchors?|rods?|bolts?)\b")
_PLATE_STEEL = re.compile(r"\b\d/\d\s?(?:\"|in\.?|inch)?\s?(?:thick\s)?(?:steel|stl|galv\w*\.?|plate|bent|welded)\b")


def _partly_sized(r: Requirement) -> bool:
    """Sized so that it can be priced: gauge or length with its nails, plate by its thickness, a hold-down's rod by its diameter."""
    low = r.quote.lower()
    steel = bool(r.steel and (r.steel.gauge or r.steel.thickness_in or r.steel.length_in or r.steel.width_in))
    fastened = any(f.penny or f.diameter_in or f.number for f in r.fasteners)
    rod = bool(_HOLD_DOWN_ROD.search(low)) and bool(re.search(r"\b\d/\d", low))
    return (steel and (fastened or r.joint == "cut-plate")) or bool(_PLATE_STEEL.search(low)) or rod


def _calls_for_none(case: Case, r: Requirement) -> bool:
    """Words about connectors at large, about how they are set, or of another trade's metal call for no piece of the frame."""
    low = statement_words(case, r)
    quote = r.quote.lower()
    if OTHER_TRADE.search(low) or _OTHER_LEAD.match(low) or _SHEATHING_CLIPS.search(low) or _UPLIFT_BY_PANEL.search(low):
        return True
    if r.see or _AT_LARGE.search(quote) or _FROM_TRUSS_PLANT.search(low) or _furnished(case, r):
        return True
    if (_SETTING.search(quote) or _SET_BEFORE.search(low)) and not re.search(
        r"\b(?:provide|install|use|each|every|ea\.|furnish|add)\b", quote
    ):
        return True
    if r.kind == "callout" and len(quote.split()) < 12:
        return False  # a callout points at the place
    return not (r.each or r.spacing_in or r.place or r.joins or r.joint not in {None, "other"})


def _furnished(case: Case, r: Requirement) -> bool:
    return any(f.passage == r.passage for f in case.facts("furnished-with-trusses"))


def _answered(case: Case, r: Requirement, sized: Sequence[Requirement]) -> bool:
    """Whether the piece of `r`, which its own words do not name, is named: in the same statement, or elsewhere for the same joint of the
    same part of the building; `sized` are pieces without a name that can be priced."""
    beside = case.named_in.get(r.passage, ())
    start, end = statement(case, r)
    if any(o.start < end and start < o.end and o.device in {r.device, None} for o in beside):
        return True
    if any(o.mark and o.device is None and 0 <= o.start - r.end <= 3 for o in beside):
        return True
    if r.device == "rod" and not case.named_as.keys().isdisjoint({"rod", "hold-down"}):
        return True  # the rod of a hold-down stands in its row
    words = case.passages[r.passage].text[start:end]
    if _SIZE.search(words):
        return True
    if any(m.group(1) not in OTHER_LETTERS | NOT_MARKS for m in _MODEL.finditer(words)):
        return True
    if any(_same_piece(case, r, o) for device in CONNECTORS for o in case.named_as.get(device, ())):
        return True
    return any(o.device == r.device and o.id != r.id and _same_piece(case, r, o) for o in sized)


_AT_ENDS = {"hold-down", "rod"}


def _same_piece(case: Case, r: Requirement, o: Requirement) -> bool:
    if (set(r.scope) & OUTBUILT) - set(o.scope) and o.scope:
        return False
    if r.joint == "stud-to-sill" and (r.device in _AT_ENDS) != (o.device in _AT_ENDS):
        return False  # hold-downs at wall ends name no tie along the wall
    if r.joint not in {None, "other"}:
        return o.joint == r.joint and (r.joint != "new-to-existing" or o.device == r.device)
    if o.device != r.device or not r.joins:
        return o.device == r.device
    joined = case.joined_by(o.mark) if o.mark else frozenset(o.joins)
    return not joined or not joined.isdisjoint(r.joins)


# ---------------------------------------------------------------- connectors without a place

_BIDS = re.compile(
    r"\b(?:provide|furnish|install|use|supply|shall be (?:used|provided|installed|furnished)|(?:is|are) (?:required"
    r"|to be (?:used|installed|provided))|required|add|specify)\w*\b"
)
_HARDWARE_LIST = re.compile(r"hardware|connector|\bties?\b|strap|anchor|hold-?\s?down|uplift|wind|clip")
_OF_THE_PIECE = re.compile(
    r"\b(?:each|ea\.?|every|both|either|per|opposite)\s+(?:end|leg|side|member|piece|wing|face|flange|strap|tie|clip"
r"|connector|hold-?\s?down|bolt|nail|hole)s?\b(?!\s+of)"
    r"|\b(?:e\.e\.|b\.e\.|e\.s\.|b\.s\.)(?!\s+of)|\ball holes\b|\bat (?:each|both) ends?\b(?!\s+of)"
)  # fmt: skip
_PLACE_WORDS = re.compile(
    r"\b(?:each|every|ea\.|both|either|all|where|per plan|o\.?\s?c\b|on cent|spaced|along|around|throughout|between"
r"|across|corners?|openings?|jambs?|ends? of|bearing)|@"
)  # fmt: skip


_METAL = re.compile(r"\bgalvan\w*|\bstainless|\bg-?(?:90|185)\b|\bcoated\b|\bcorrosion")


def where_not_stated(_: NoParameters, case: Case) -> Iterator[Finding]:
    """A connector called for with neither spacing nor place."""
    for key, about in _groups(case).items():
        called = [r for r in about if _called(case, r)]
        if not called or any(_placed(case, r) for r in about) or _on_drawing(case, key, called[0]):
            continue
        name = called[0].mark or _mark_by_name(case, called[0]) or called[0].device or key
        yield Finding(rule="", subject=name, where=tuple(case.where_of(r) for r in called[:2]))


def _groups(case: Case) -> dict[str, list[Requirement]]:
    """Requirements of one mark; each alone where there is no mark."""
    found: dict[str, list[Requirement]] = {}
    for r in case.duties:
        if r.device in CONNECTORS or (r.mark and r.device is None):
            mark = r.mark or _mark_by_name(case, r)
            found.setdefault(mark_key(mark) if mark else f"#{r.id}", []).append(r)
    return found


def _mark_by_name(case: Case, r: Requirement) -> str:
    """A tag right before or after the name of the piece, where language took it for no mark of the set ("H-7 wind clips")."""
    text = case.passages[r.passage].text
    for t in _terms(case, r):
        if t.kind == "device":
            m = re.search(
                r"(?<![\w/-])([A-Z]{1,4}-?\d{1,3}[A-Z]?)\s(?:[a-z]+\s){0,2}$", text[max(0, t.start - 30) : t.start], re.IGNORECASE
            )
            if m and m.group(1).isupper():
                return m.group(1)
    return ""


def _called(case: Case, r: Requirement) -> bool:
    """Whether the words call for the connector to be bought and put in, rather than describe it."""
    p, low = case.passages[r.passage], statement_words(case, r)
    bought = r.kind != "row" and _BIDS.match(low)  # "furnish and install straps ST-4, 18 ga": words that define it and call for it
    if r.kind not in {"note", "text", "row"} or (r.defines and not bought) or r.see or r.vague:
        return False
    if (
        OTHER_TRADE.search(low)
        or _SHEATHING_CLIPS.search(low)
        or _FROM_TRUSS_PLANT.search(low)
        or _furnished(case, r)
        or (r.to_maker and not r.fasteners)
    ):
        return False
    listed = (
        r.kind != "row"
        and bool(r.mark)
        and bool(r.fasteners)
        and bool(_HARDWARE_LIST.search(" ".join(p.headings[-1:]).lower()))
        and _no_verb(low)
    )
    bid = _BIDS.search(low) and not re.search(r"\b(?:do not|shall not|not be) (?:use|install)", low)
    return bool(listed or (bid and (r.mark or r.steel or not _AT_LARGE.search(low)) and not _only_protection(r)))


def _no_verb(low: str) -> bool:
    return not re.search(r"\b(?:is|are|shall|take|takes|get|gets|has|have|may|must|to be|resist|means)\b", low)


def _only_protection(r: Requirement) -> bool:
    """Words that say of what metal connectors are, and no more."""
    return bool(r.coating or _METAL.search(r.quote.lower())) and not (r.mark or r.steel or r.fasteners)


def _placed(case: Case, r: Requirement) -> bool:
    """Whether the requirement's words, apart from those about the piece's own ends and nails, say where or how often."""
    if r.spacing_in or (r.joins and not _joins_by_name(r)) or r.scope or r.storeys:
        return True
    low = _OF_THE_PIECE.sub(" ", statement_words(case, r))
    if r.kind == "callout" or (r.kind == "row" and not r.defines and r.mark and not _BIDS.search(low)):
        return True  # a header's or door's row puts the piece there
    if re.search(r"\b(?:shown|indicated|marked|noted|called out|located)\b[^.;]{0,20}\bplans?\b|\bplans?\b", low):
        return _any_callout(case, r)
    if _PLACE_WORDS.search(low):
        return True
    return (r.defines and any(t.kind == "member" for t in _terms(case, r))) or _at_member(case, r)


def _joins_by_name(r: Requirement) -> bool:
    """Members that only the fasteners go into, or that stand in the piece's own name."""
    into = {f.into for f in r.fasteners if f.into}
    return bool(into) and set(r.joins) <= into


def _terms(case: Case, r: Requirement) -> list:  # type: ignore[type-arg]
    start, end = statement(case, r)
    return [t for c in case.clauses_of.get(r.passage, ()) for t in c.terms if start <= t.start < end]


def _at_member(case: Case, r: Requirement) -> bool:
    """A member or place after "at", "to", "on", "over" or the like, before the fasteners begin."""
    text = case.passages[r.passage].text.lower()
    nails = min((f.start for f in r.fasteners), default=10**6)
    return any(
        t.kind in {"member", "place"} and (t.start < nails or not r.fasteners)
        and re.search(r"\b(?:at|to|on|over|from|under|below|above|of|beside|for|with)\s+(?:the\s+|a\s+|its\s+|all\s+|\d\S*\s+"
r"|[a-z]+\s+){0,2}$", text[max(0, t.start - 30) : t.start])
        for t in _terms(case, r)
        if t.name not in {"end", "side"}
    )  # fmt: skip


def _any_callout(case: Case, r: Requirement) -> bool:
    return any(p.kind in {"callout", "title"} and _stands_in(p.text, r.mark or "") for p in case.passages.values()) if r.mark else any(
        o.device == r.device and o.kind == "callout" for o in case.duties
    )  # fmt: skip


def _on_drawing(case: Case, key: str, r: Requirement) -> bool:
    """Whether drawings, schedules of members or other notes put the same piece somewhere."""
    if key.startswith("#"):
        return any(o.kind == "callout" and o.device == r.device and (not o.mark or not r.named) for o in case.duties)
    return any(p.kind in {"callout", "title"} and _stands_in(p.text, r.mark or key) for p in case.passages.values())


def _stands_in(text: str, mark: str) -> bool:
    """Whether the mark stands in the text, however it is spelt."""
    parts = re.findall(r"[A-Z]+|\d+", mark.upper())
    return bool(parts) and bool(re.search(r"(?<![A-Z0-9])" + r"[-\s().]*".join(parts) + r"(?![0-9])", text.upper()))
