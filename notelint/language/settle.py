"""Requirements settled once their whole words are seen: what crosses a floor is a floor-to-floor tie, whatever it is called."""

from __future__ import annotations

import re
from collections.abc import Sequence

from notelint.language.marks import key_of
from notelint.model import Requirement

_UPPER = r"(?<!every )(?<!each )(?:second|2nd|third|3rd|upper|2nd\.?)"
_LOWER = r"(?:first|1st|second|2nd|lower|ground)"
_STOREY = r"(?:\s+(?:floor|flr?\.?|stor(?:e)?y|level))?"
_PIECE = r"(?:\s+(?:wall\s+|jack\s+|king\s+)?(?:studs?|posts?|columns?|walls?|plates?|jacks?|kings?|trimmers?))"
_CROSSES = (
    re.compile(rf"\b{_UPPER}{_STOREY}{_PIECE}[^.;|]{{0,25}}\b(?:to|and|with)\b[^.;|]{{0,20}}\b{_LOWER}{_STOREY}{_PIECE}"),
    re.compile(rf"\b{_LOWER}{_STOREY}{_PIECE}[^.;|]{{0,25}}\bto\b[^.;|]{{0,20}}\b{_UPPER}{_STOREY}{_PIECE}"),
    re.compile(r"\bstuds?\b[^.;|]{0,12}\bupper (?:wall|stor(?:e)?y|floor)\b[^.;|]{0,20}\bto\b[^.;|]{0,25}\blower\b"),
    re.compile(r"\bstuds? above[^.;|]{0,20}\bto\b[^.;|]{0,15}\b(?:studs? )?below\b|\bupper (?:and|to) (?:the )?lower (?:studs?|posts?)"),
    re.compile(r"\babove and (?:[\w-]+ ){0,2}below\b[^.;|]{0,12}\bfloor\b|\bthr(?:ough|u) (?:the )?(?:second|third|upper|each) floor\b"),
)
_ROOF = {"truss", "rafter", "roof joist"}
_MAY_CROSS = {"strap", "hold-down", "rod", "roof tie", "stud tie", None}
_OPEN_JOINTS = {None, "other", "stud-to-sill", "roof-to-wall", "plate-to-stud"}


def settled(requirements: Sequence[Requirement]) -> list[Requirement]:
    """The same requirements: what joins two storeys is a floor-to-floor tie, a "tie" with no roof member no roof tie, and a mark
    whose own words name less than two members stands at the joint that its schedule line gives it."""
    first = [_without_roof(_across(r)) for r in requirements]
    lines: dict[str, Requirement] = {}
    for r in first:
        if r.mark and r.defines and r.joint:
            lines.setdefault(key_of(r.mark), r)
    return [_as_scheduled(r, lines.get(key_of(r.mark))) if r.mark and not r.defines else r for r in first]


def _as_scheduled(r: Requirement, line: Requirement | None) -> Requirement:
    if line is None or r.joint == line.joint or r.joint is None or len(set(r.joins) - _PASSED) >= 2:
        return r
    if line.joint in {"other", None} and r.joint != "roof-to-wall":
        return r
    if line.joint == "roof-to-wall" or r.joint in {"roof-to-wall", "plate-to-stud", "stud-to-sill"}:
        return r.model_copy(update={"joint": line.joint, "device": line.device or r.device})
    return r


_PASSED = {"existing", "new", "wall"}
_BELOW = {"beam", "pier", "foundation", "footing", "slab", "stem wall", "joist", "ledger"}


def _without_roof(r: Requirement) -> Requirement:
    """A "girder tie" at a pier is a strap: nothing of the roof stands in its words."""
    if (
        r.device != "roof tie"
        or r.joint != "roof-to-wall"
        or not r.joins
        or _ROOF & set(r.joins)
        or re.search(r"truss|rafter|roof", r.quote.lower())
    ):
        return r
    return r.model_copy(update={"device": "strap", "joint": "other"}) if set(r.joins) <= _BELOW | {"post"} else r


def _across(r: Requirement) -> Requirement:
    if r.device not in _MAY_CROSS or r.joint not in _OPEN_JOINTS or _ROOF & set(r.joins):
        return r
    low = r.quote.lower()
    if not any(p.search(low) for p in _CROSSES) or re.search(r"\b(?:truss|rafter|roof)", low):
        return r
    device = "strap" if r.device in {"roof tie", "stud tie", None} else r.device
    return r.model_copy(update={"joint": "floor-to-floor", "device": device})
