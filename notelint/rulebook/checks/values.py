"""Checks of one item with two values, and of notes about a system the set does not have."""

from __future__ import annotations

import re
from collections.abc import Iterator

from notelint.loadpath.ties import CONNECTORS
from notelint.model import Fact, Finding, Requirement, Where
from notelint.rulebook.case import Case
from notelint.rulebook.checks.joints import NoParameters

_UNLESS = re.compile(r"unless|u\.?n\.?o\.?|u\.?o\.?n\.?|except|elsewhere|otherwise|or as noted|minimum|maximum|at (?:most|least)")
_PLACE_LIMIT = re.compile(r"garage|porch|deck|carport|stair|shear wall|braced|sw-?\d|corner|gable|edge zone|within \d|first|second|third|upper|lower|interior|partition|party|parapet|\(e\)|existing|opening|bath|tall|gable|landing|stoop|driveway|walk")  # fmt: skip


def notes_disagree(_: NoParameters, case: Case) -> Iterator[Finding]:
    """One item with two values in two places, neither said to govern."""
    yield from _facts(case, "wind", "wind speed", "mph")
    yield from _strengths(case)
    yield from _spacings(case)
    yield from _anchor_spacings(case)
    yield from _sheathing(case)


def _facts(case: Case, name: str, item: str, unit: str) -> Iterator[Finding]:
    found = [f for f in case.facts(name) if f.value]
    values = sorted({f.value for f in found if f.value})
    if len(values) > 1:
        a, b = (next(f for f in found if f.value == v) for v in (values[0], values[-1]))
        yield _pair(case, item, a, b, f"{a.value:g} {unit}", f"{b.value:g} {unit}")


def _pair(case: Case, item: str, a: Fact, b: Fact, first: str, second: str) -> Finding:
    return Finding(
        rule="", subject=item, where=(case.where_of(a), case.where_of(b)),
        values={"first": f"{first} ({_at(case, a)})", "second": f"{second} ({_at(case, b)})"},
    )  # fmt: skip


def _at(case: Case, f: Fact | Requirement) -> str:
    p = case.passages[f.passage]
    return f"sheet {p.sheet}, {p.label}" if p.sheet else f"page {p.page}, {p.label}"


def _strengths(case: Case) -> Iterator[Finding]:
    by_subject: dict[str, list[Fact]] = {}
    for f in case.facts("concrete-strength"):
        by_subject.setdefault(f.subject or "", []).append(f)
    for subject, found in by_subject.items():
        pair = _two_values(found)
        if pair and subject != "concrete":
            yield _pair(case, f"{subject} concrete", *pair, f"{pair[0].value:,.0f} psi", f"{pair[1].value:,.0f} psi")
            return


def _two_values(found: list[Fact]) -> tuple[Fact, Fact] | None:
    for i, a in enumerate(found):
        for b in found[i + 1 :]:
            if a.value != b.value and a.passage != b.passage:
                return a, b
    return None


def _spacings(case: Case) -> Iterator[Finding]:
    by_member: dict[str, list[Fact]] = {}
    for f in case.facts("spacing"):
        words = case.passages[f.passage].text.lower()
        if f.text == "main" and f.subject in {"stud", "rafter", "truss"} and not _UNLESS.search(words[max(0, f.start - 30) : f.end + 40]):
            by_member.setdefault(f.subject, []).append(f)
    for member, found in by_member.items():
        for i, a in enumerate(found):
            for b in found[i + 1 :]:
                if a.value == b.value or a.passage == b.passage or _limited(case, a) != _limited(case, b):
                    continue
                if a.storeys and b.storeys and a.storeys != b.storeys:
                    continue
                yield _pair(case, f"{member} spacing", a, b, f"{a.value:g} in", f"{b.value:g} in")
                return


def _limited(case: Case, f: Fact | Requirement) -> str:
    """Words near the value that limit it to a place; empty where nothing does."""
    text = case.passages[f.passage].text.lower()
    found = _PLACE_LIMIT.findall(text[max(0, f.start - 60) : f.end + 60])
    return " ".join(sorted(set(found)))


def _anchor_spacings(case: Case) -> Iterator[Finding]:
    found = [
        r for r in case.duties if r.device == "anchor bolt" and r.joint == "sill-to-foundation" and r.spacing_in and not r.unless_noted
    ]
    for i, a in enumerate(found):
        for b in found[i + 1 :]:
            if abs((a.spacing_in or 0) - (b.spacing_in or 0)) < 0.1 or a.passage == b.passage:
                continue
            if _limited(case, a) or _limited(case, b) or set(a.scope) != set(b.scope) or a.kind == "row" or b.kind == "row":
                continue
            if _UNLESS.search(a.quote.lower()) or _UNLESS.search(b.quote.lower()):
                continue
            yield Finding(
                rule="", subject="anchor bolt spacing", where=(case.where_of(a), case.where_of(b)),
                values={"first": f"{a.spacing_in:g} in ({_at(case, a)})", "second": f"{b.spacing_in:g} in ({_at(case, b)})"},
            )  # fmt: skip
            return


_EDGE_FIELD = re.compile(r"(\d{1,2})\s*(?:\"|in\.?|inches)?\s*(?:o\.?c\.?\s*)?(?:at\s+(?:the\s+)?(?:panel\s+)?)?(?:edges?|e\.?n\.?\b|perimeter)[^.;]{0,25}?(\d{1,2})\s*(?:\"|in\.?|inches)?\s*(?:o\.?c\.?\s*)?(?:at\s+(?:the\s+)?)?(?:in the |in )?(?:field|f\.?n\.?\b|between|intermediate|interior)", re.I)  # fmt: skip
_SHORT = re.compile(r"@?\s*(\d{1,2})\s*\"?\s*/\s*(\d{1,2})\s*\"?(?:\s*o\.?c)?", re.I)


def _sheathing(case: Case) -> Iterator[Finding]:
    """Edge and field nailing of roof, wall and floor sheathing in two places."""
    found: dict[str, list[tuple[str, tuple[int, int], int, int]]] = {}
    for p in case.passages.values():
        low = p.text.lower()
        kind = next(
            (
                k
                for k in ("roof", "floor", "wall")
                if re.search(rf"{k}[^.;|]{{0,40}}(sheath|panel|shtg|deck|cdx|plywood|osb)|(sheath|cdx|panel|shtg)[^.;|]{{0,25}}{k}", low)
            ),
            None,
        )
        if kind is None or p.kind == "row":
            continue
        for m in _EDGE_FIELD.finditer(low):
            if _PLACE_LIMIT.search(low[max(0, m.start() - 60) : m.end() + 40].replace("edge", "")):
                continue
            before = [k for k in ("roof", "floor", "wall") if k in low[: m.start()]]
            if before:
                kind = max(before, key=lambda k: low.rfind(k, 0, m.start()))
            found.setdefault(kind, []).append((p.id, (int(m.group(1)), int(m.group(2))), m.start(), m.end()))
    for kind, said in found.items():
        for i, a in enumerate(said):
            for b in said[i + 1 :]:
                if a[1] != b[1] and a[0] != b[0]:
                    yield Finding(
                        rule="", subject=f"{kind} sheathing nailing", where=(case.where(a[0]), case.where(b[0])),
                        values={"first": f"{a[1][0]} and {a[1][1]} in ({_place(case, a[0])})", "second": f"{b[1][0]} and {b[1][1]} in ({_place(case, b[0])})"},
                    )  # fmt: skip
                    return


def _place(case: Case, passage: str) -> str:
    p = case.passages[passage]
    return f"sheet {p.sheet}, {p.label}" if p.sheet else f"page {p.page}, {p.label}"


# ---------------------------------------------------------------- copied notes


def boilerplate_misfit(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Notes at length about a system the set does not have, where that changes the connectors to buy. One question a system."""
    passages = {p.id: p for p in case.layout.passages}
    for system, ids in case.foreign.items():
        notes = [passages[i] for i in ids]
        main = next((p for p in notes if _NAMES_PIECE.search(p.text.lower())), notes[0])
        notes = [main, *(p for p in notes if p is not main)]
        where = tuple(Where(sheet=p.sheet, page=p.page, label=p.label, quote=p.text, box=p.box()) for p in notes)
        yield Finding(rule="", subject=system, where=where)


_NAMES_PIECE = re.compile(r"\b(?:anchor|tie|strap|connector|clip|hold-?\s?down|bolt)\w*\b")


KINDS = {
    "notes-disagree": (NoParameters, notes_disagree),
    "boilerplate-misfit": (NoParameters, boilerplate_misfit),
}
__all__ = ["CONNECTORS", "KINDS"]
