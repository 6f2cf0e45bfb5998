"""Checks of one item with two values in two places, and of notes about a system the set does not have."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from typing import NamedTuple

from notelint.loadpath.ties import CONNECTORS
from notelint.model import Fact, Finding, Joint, Requirement, Where
from notelint.places import spoken_place
from notelint.rulebook.case import Case
from notelint.rulebook.checks.joints import NoParameters
from notelint.rulebook.checks.sentences import part_around

_UNLESS = re.compile(
    r"\bunless\b|\bu\.?\s?n\.?\s?o\b|\bu\.?o\.?n\b|\bexcept\b|\belsewhere\b|\botherwise\b|\bor as (?:noted|shown)\b|\bwhere noted\b"
)
_LIMIT = (
    r"(?:min(?:imum)?|max(?:imum)?|at (?:most|least)|or (?:less|closer|better|more|stronger)|not (?:more|less|over)(?: than)?"
    r"|no (?:more|less) than|up to)"
)
_LIMIT_AFTER = re.compile(rf"^[\s.,]*(?:o\.?\s?c\.?|on cent(?:er|re)s?|psi|apart|spacing|strength)?[\s.,(]*\b{_LIMIT}\b")
_LIMIT_BEFORE = re.compile(rf"\b{_LIMIT}\b[\s.,]*(?:[a-z']+\s+){{0,4}}(?:of\s+|=\s*)?$")
_AFTER = 40  # characters after a requirement in which its sentence may still limit it
_PLACES = re.compile(
    r"\b(?:garage|porch|deck|carport|stairs?|shear walls?|braced|sw-?\d|corners?|gables?|edge zones?|interior"
r"|partitions?|party|parapet|existing|openings?|jambs?"
    r"|baths?|tall|landing|stoop|driveway|walks?|addition|retrofit|epoxy|adhesive|ledger|posts?|columns?|beams?|girder"
r"|chimney|basement|crawl|hold-?downs?)\b"
    r"|\(e\)|\b(?:first|second|third|upper|lower|1st|2nd|3rd) (?:floor|stor(?:e)?y|level)|\b(?:north|south|east|west"
r"|front|rear|left|right)\b(?! of)|\bthis wall\b|\bgrid\b|\bline [a-z0-9]\b"
)  # fmt: skip


class Value(NamedTuple):
    """One value of an item with its place, and what limits it to a part of the building."""

    said: str
    value: float | str
    passage: str
    start: int
    end: int
    limits: str = ""
    storeys: tuple[int, ...] = ()


def notes_disagree(_: NoParameters, case: Case) -> Iterator[Finding]:
    """One item with two values in two places, neither said to govern."""
    for reader in (_design, _strengths, _layouts, _anchor_spacings, _edge_nails, _marks):
        for item, values in reader(case):
            pair = _conflict(case, values)
            if pair:
                yield _finding(case, item, *pair)
    yield from _offset_walls(case)


Items = Iterator[tuple[str, list[Value]]]


def _conflict(case: Case, values: list[Value]) -> tuple[Value, Value] | None:
    """The first two values of one item that differ, for the same part of the building, with neither said to give way."""
    for i, a in enumerate(values):
        for b in values[i + 1 :]:
            if a.value == b.value or a.passage == b.passage or a.limits != b.limits:
                continue
            if (a.storeys and b.storeys and not set(a.storeys) & set(b.storeys)) or _gives_way(case, a) or _gives_way(case, b):
                continue
            if not _governed(case, a, b):
                return a, b
    return None


_FIELD_OF_PANEL = re.compile(r"\b\d{1,2}\s?(?:in\b\.?|\"|inches)?\s?(?:[\[(][^\])]{1,12}[\])]\s)?(?:apart |o\.?c\.? )?elsewhere\b")
"""The spacing of nails within a panel: "12 in apart elsewhere" leaves the edges as they are."""


def _gives_way(case: Case, v: Value) -> bool:
    """Whether the statement around a value leaves room for another: unless noted otherwise, a minimum, a maximum."""
    text = case.passages[v.passage].text.lower()
    start, stop = part_around(text, v.start, v.end)
    before, after = text[max(start, v.start - 70) : v.start], text[v.end : min(stop, v.end + 50)]
    after = _FIELD_OF_PANEL.sub(" ", after)
    within = text[v.start : v.end]
    return bool(_UNLESS.search(f"{before}{within}{after}") or _LIMIT_AFTER.search(after) or _LIMIT_BEFORE.search(before))


def _governed(case: Case, a: Value, b: Value) -> bool:
    """Whether the set says which of the two places governs, or that the stricter does."""
    kinds = [case.passages[v.passage].kind for v in (a, b)]
    return any(f.text == "strict" or kinds.count(f.text or "") == 1 for f in case.facts("governs"))  # type: ignore[arg-type]


def _finding(case: Case, item: str, a: Value, b: Value) -> Finding:
    where = (case.where(a.passage, *_whole(case, a)), case.where(b.passage, *_whole(case, b)))
    values = {"first": f"{a.said} ({spoken_place(where[0])})", "second": f"{b.said} ({spoken_place(where[1])})"}
    return Finding(rule="", subject=item, where=where, values=values)


def _whole(case: Case, v: Value) -> tuple[int, int]:
    return part_around(case.passages[v.passage].text, v.start, v.end)


def _of_fact(f: Fact, said: str, value: float | str, limits: str = "") -> Value:
    return Value(said, value, f.passage, f.start, f.end, limits, f.storeys)


def _grouped(facts: Iterable[Fact], key: Callable[[Fact], str]) -> dict[str, list[Fact]]:
    found: dict[str, list[Fact]] = {}
    for f in facts:
        found.setdefault(key(f), []).append(f)
    return found


# ---------------------------------------------------------------- items


def _design(case: Case) -> Items:
    """Wind speed, exposure category, edition of the code."""
    yield "the design wind speed", [_of_fact(f, f"{f.value:g} mph", f.value or 0) for f in case.facts("wind") if f.value]
    yield "the exposure category", [_of_fact(f, f"Exposure {f.text}", f.text or "") for f in case.facts("exposure")]
    codes = [f for f in case.facts("code") if re.search(r"\d{4}", f.text or "")]
    for name, same in _grouped(codes, lambda f: re.sub(r"\W*\d{4}.*", "", f.text or "").upper()).items():
        if name == "IRC":
            yield "the edition of the IRC", [_of_fact(f, f.text or "", f.text or "") for f in same]


def _strengths(case: Case) -> Items:
    """Concrete, element by element; what is said of all concrete is said of each."""
    facts = list(case.facts("strength"))
    by_element = _grouped(facts, lambda f: f.subject or "")
    general = by_element.pop("concrete", [])
    whole = [f for f in general if f.text == "all"]
    for element, same in by_element.items():
        yield f"{element} concrete", [_of_fact(f, f"{f.value:,.0f} psi", f.value or 0) for f in [*whole, *same]]
    yield "concrete strength", [_of_fact(f, f"{f.value:,.0f} psi", f.value or 0) for f in general]


def _layouts(case: Case) -> Items:
    """Spacing of studs, rafters, trusses and joists; members of two sizes are two items."""
    facts = list(case.facts("laid-out"))
    for member, same in _grouped(facts, lambda f: f.subject or "").items():
        sizes = sorted({_size(f) for f in same} - {""})
        for size in sizes or [""]:
            of_size = [f for f in same if _size(f) in {size, ""}] if len(sizes) < 2 else [f for f in same if _size(f) == size]
            yield f"{member} spacing", [_of_fact(f, f"{f.value:g} in", f.value or 0, _limits_of(f)) for f in of_size]


def _size(f: Fact) -> str:
    first = (f.text or "").split(" ")[0]
    return first if re.match(r"\d", first) else ""


def _limits_of(f: Fact) -> str:
    return (f.text or "")[len(_size(f)) :].strip()


_ANCHOR_LABEL = re.compile(r"(?:sill |mudsill |foundation )?(?:anchor(?: bolt)?s?|a\.?b\.?'?s?) \|")
"""A data table's row of the anchors; rows of a shear wall schedule space them by wall type."""


def _anchor_spacings(case: Case) -> Items:
    bolts = [
        r for r in case.duties
        if r.device == "anchor bolt" and r.joint == "sill-to-foundation" and r.spacing_in and not r.unless_noted
        and (r.kind != "row" or (not r.mark and _ANCHOR_LABEL.match(r.quote.lower())))
    ]  # fmt: skip
    diameters = sorted({_diameter(r) for r in bolts} - {0.0}) or [0.0]
    for diameter in diameters:
        same = [r for r in bolts if _diameter(r) in {diameter, 0.0}]
        yield "anchor bolt spacing", [_of_requirement(case, r, _length(r.spacing_in), round(r.spacing_in or 0, 1)) for r in same]


def _diameter(r: Requirement) -> float:
    """Diameter of the bolts, inches; 0 where it is not said. Bolts of two diameters are two items."""
    return next((f.diameter_in for f in r.fasteners if f.diameter_in), 0.0)


def _length(inches: float | None) -> str:
    """Feet where they come out even and long, else inches."""
    value = inches or 0
    return f"{value / 12:g} ft" if value >= 36 and value % 12 == 0 else f"{value:g} in"


def _of_requirement(case: Case, r: Requirement, said: str, value: float | str) -> Value:
    """A requirement's spacing, where it stands; limited by the places its own sentence names, not by "see the shear wall schedule"."""
    text = case.passages[r.passage].text
    terms = [t for c in case.clauses_of.get(r.passage, ()) for t in c.terms if r.start <= t.start < r.end]
    found = [t for t in terms if t.role == "spacing" and abs((t.value or 0) - (r.spacing_in or 0)) < 0.1]  # inches; reading rounds
    at = (found[0].start, found[0].end) if found else (r.start, r.end)
    start, end = part_around(text, *at)
    limits = set(_PLACES.findall(text[max(start, r.start) : min(end, r.end + _AFTER)].lower()))
    return Value(said, value, r.passage, *at, " ".join(sorted(limits)), r.storeys)


def _edge_nails(case: Case) -> Items:
    for kind, same in _grouped(case.facts("edge-nails"), lambda f: f.subject or "").items():
        same = [*same, *_of_thickness(case, kind)]
        yield f"{kind} sheathing nails at panel edges", [_of_fact(f, f"{f.value:g} in", f.value or 0, f.text or "") for f in same]


def _of_thickness(case: Case, kind: str) -> list[Fact]:
    """Nails of panels whose words name no part of the house, where the set has panels of that thickness on this part alone."""
    told = [(f.subject, (f.text or "").split("|")) for f in case.facts("panel-nails")]
    mine = {thick for subject, (thick, _) in told if subject == kind} - {
        thick for subject, (thick, _) in told if subject not in {kind, None}
    }
    bare = [f for f in case.facts("panel-nails") if f.subject is None and (f.text or "").split("|")[0] in mine]
    return [f.model_copy(update={"text": (f.text or "").split("|")[1]}) for f in bare]


_LEAST_SPACING = 12  # inches; connectors along a wall stand a stud bay or more apart, a smaller figure is a distance from an end


def _marks(case: Case) -> Items:
    """Spacing and steel of one mark; its fasteners are another rule's."""
    for same in case.by_mark.values():
        own = [r for r in same if r.device in CONNECTORS]
        name = next((r.mark for r in own if r.mark), "")
        if len(own) < 2:
            continue
        spaced = [r for r in own if (r.spacing_in or 0) >= _LEAST_SPACING]
        joints: list[Joint | None] = [*sorted({r.joint for r in spaced if r.joint})]
        for joint in joints or [None]:
            at = [r for r in spaced if r.joint in {joint, None}]
            values = [_of_requirement(case, r, _length(r.spacing_in), round(r.spacing_in or 0, 1)) for r in at]
            yield f"{name} spacing", values
        gauges = [r for r in own if r.steel and r.steel.gauge]
        yield (
            f"the steel of {name}",
            [Value(f"{r.steel.gauge} ga.", r.steel.gauge or 0, r.passage, r.start, r.end) for r in gauges if r.steel],
        )
        long = [r for r in own if r.steel and r.steel.length_in]
        yield (
            f"the length of {name}",
            [Value(f"{r.steel.length_in:g} in", r.steel.length_in or 0, r.passage, r.start, r.end) for r in long if r.steel],
        )


_TRANSFERS = re.compile(r"\btransfer\w*|\bcarr(?:y|ied|ies)\b|\bsupported\b|\bpicks? up\b|\bpicked up\b|\bbeam\b|\bgirder\b|\bborne\b")


_ONLY_SOME = re.compile(r"\boutside\b|\bexterior\b|\bunless|\bexcept|\bu\.?n\.?o\b|\bwhere\b|\botherwise|\bif\b|\bthat (?:do|are)\b")


def _offset_walls(case: Case) -> Iterator[Finding]:
    """A wall drawn offset, its load transferred, against a note by which walls or studs stack without exception."""
    offset = [f for f in case.facts("offset") if _TRANSFERS.search(case.passages[f.passage].text.lower())]
    stacks = [
        f for f in case.facts("stacks")
        if case.passages[f.passage].kind in {"note", "text"}
        and re.search(r"\bwalls?\b|\ball\b|\bevery\b", case.words_of(f).lower())
        and not _ONLY_SOME.search(case.words_of(f).lower())
    ]  # fmt: skip
    pair = next(((s, o) for s in stacks for o in offset if s.passage != o.passage), None)
    if pair is None:
        return
    where = (case.where_of(pair[0]), case.where_of(pair[1]))
    said = [f"\u201c{w.quote.rstrip('.')}\u201d ({spoken_place(w)})" for w in where]
    yield Finding(rule="", subject="walls that stand over one another", where=where, values={"first": said[0], "second": said[1]})


# ---------------------------------------------------------------- copied notes

_NAMES_PIECE = re.compile(r"\b(?:anchor|tie|strap|connector|clip|hold-?\s?down|bolt)\w*\b")


def boilerplate_misfit(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Notes at length about a system the set does not have, where that changes the connectors to buy. One question a system."""
    passages = {p.id: p for p in case.layout.passages}
    for system, ids in case.foreign.items():
        notes = [passages[i] for i in ids]
        main = next((p for p in notes if _NAMES_PIECE.search(p.text.lower())), notes[0])
        notes = [main, *(p for p in notes if p is not main)]
        where = tuple(Where(sheet=p.sheet, page=p.page, label=p.label, quote=p.text, box=p.box()) for p in notes)
        yield Finding(rule="", subject=system, where=where)


KINDS = {
    "notes-disagree": (NoParameters, notes_disagree),
    "boilerplate-misfit": (NoParameters, boilerplate_misfit),
}
