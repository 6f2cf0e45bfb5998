"""Checks of wording: joints that have nothing but vague words, and the design basis."""

from __future__ import annotations

import re
from collections.abc import Iterator

from notelint.model import Finding, Requirement
from notelint.rulebook.case import Case
from notelint.rulebook.checks.joints import NoParameters, spoken_list
from notelint.rulebook.checks.vague import along_the_wall, definite


def vague_wording(_: NoParameters, case: Case) -> Iterator[Finding]:
    """A joint of which only "as required", "adequately" or the like is said. One question a joint."""
    asked: set[str] = set()
    for r in case.duties:
        if not r.vague or definite(r) or _left_open(r):
            continue
        if _said_definitely(case, r):
            continue
        name = r.joint if r.joint and r.joint != "other" else r.passage
        if name in asked:
            continue
        asked.add(name)
        yield Finding(rule="", subject=f"{r.joint or ''} {r.quote[:40]}".strip(), where=(case.where_of(r),), values={"lacks": r.vague})


def _left_open(r: Requirement) -> bool:
    """New to existing and left to "verify": the joint's own rule asks."""
    return r.joint == "new-to-existing" and bool(re.search(r"verif|v\.?i\.?f", r.quote.lower()))


def _said_definitely(case: Case, r: Requirement) -> bool:
    if r.joint in {None, "other"}:
        members = set(r.joins)
        return any(definite(o) and members and members <= set(o.joins) for o in case.duties if o.id != r.id)
    return any(definite(o) and along_the_wall(o) and o.joint == r.joint and _same_place(r, o) for o in case.duties if o.id != r.id)


def _same_place(a: Requirement, b: Requirement) -> bool:
    outside = {"porch", "deck", "carport", "stair", "landing", "garage", "existing"}
    return (set(a.scope) & outside) == (set(b.scope) & outside)


def design_basis(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Design wind speed, exposure category and code edition; one question names what lacks."""
    b = case.building
    lacks = [
        *(["the design wind speed"] if b.wind_mph is None else []),
        *(["the exposure category"] if b.exposure is None else []),
        *(["the governing code and its edition"] if b.code is None else []),
    ]
    if lacks:
        said = [f.where for f in b.facts if f.where is not None and f.name in {"wind_mph", "exposure", "code"}]
        yield Finding(rule="", subject="design basis", where=tuple(said[:2]), values={"lacks": spoken_list(lacks)})


KINDS = {
    "vague-wording": (NoParameters, vague_wording),
    "design-basis": (NoParameters, design_basis),
}
