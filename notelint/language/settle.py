"""Requirements settled once their whole words are seen: what crosses a floor is a floor-to-floor tie, whatever it is called."""

from __future__ import annotations

import re
from collections.abc import Sequence

from notelint.model import Requirement

_UPPER = r"(?<!every )(?<!each )(?:second|2nd|third|3rd|upper|2nd\.?)"
_LOWER = r"(?:first|1st|second|2nd|lower|ground)"
_STOREY = r"(?:\s+(?:floor|flr?\.?|stor(?:e)?y|level))?"
_PIECE = r"(?:\s+(?:wall\s+)?(?:studs?|posts?|columns?|walls?|plates?))"
_CROSSES = (
    re.compile(rf"\b{_UPPER}{_STOREY}{_PIECE}[^.;|]{{0,25}}\b(?:to|and|with)\b[^.;|]{{0,20}}\b{_LOWER}{_STOREY}{_PIECE}"),
    re.compile(rf"\b{_LOWER}{_STOREY}{_PIECE}[^.;|]{{0,25}}\bto\b[^.;|]{{0,20}}\b{_UPPER}{_STOREY}{_PIECE}"),
    re.compile(r"\bstuds?\b[^.;|]{0,12}\bupper (?:wall|stor(?:e)?y|floor)\b[^.;|]{0,20}\bto\b[^.;|]{0,25}\blower\b"),
    re.compile(r"\bstuds? above[^.;|]{0,20}\bto\b[^.;|]{0,15}\b(?:studs? )?below\b|\bupper (?:and|to) (?:the )?lower (?:studs?|posts?)"),
    re.compile(r"\babove and (?:[\w-]+ ){0,2}below\b[^.;|]{0,12}\bfloor\b|\bthrough (?:the )?(?:second|third|upper|each) floor\b"),
)
_ROOF = {"truss", "rafter", "roof joist"}
_MAY_CROSS = {"strap", "hold-down", "rod", "roof tie", "stud tie", None}
_OPEN_JOINTS = {None, "other", "stud-to-sill", "roof-to-wall", "plate-to-stud"}


def settled(requirements: Sequence[Requirement]) -> list[Requirement]:
    """The same requirements; those whose words join two storeys' studs or posts are floor-to-floor ties."""
    return [_across(r) for r in requirements]


def _across(r: Requirement) -> Requirement:
    if r.device not in _MAY_CROSS or r.joint not in _OPEN_JOINTS or _ROOF & set(r.joins):
        return r
    low = r.quote.lower()
    if not any(p.search(low) for p in _CROSSES) or re.search(r"\b(?:truss|rafter|roof)", low):
        return r
    device = "strap" if r.device in {"roof tie", "stud tie", None} else r.device
    return r.model_copy(update={"joint": "floor-to-floor", "device": device})
