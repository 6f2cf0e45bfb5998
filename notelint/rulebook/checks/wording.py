"""Checks of wording: joints that have nothing but vague words, and the design basis."""

from __future__ import annotations

import re
from collections.abc import Iterator

from notelint.model import Finding
from notelint.rulebook.case import Case
from notelint.rulebook.checks.joints import NoParameters, spoken_list
from notelint.rulebook.checks.vague import VaguePart, said_definitely, vague_parts


def vague_wording(_: NoParameters, case: Case) -> Iterator[Finding]:
    """A joint of which only "as required", "adequately" or the like is said. One question a joint."""
    found: dict[str, list[VaguePart]] = {}
    for part in vague_parts(case):
        words = case.passages[part.passage].text[part.start : part.end].lower()
        if _left_open(part, words) or said_definitely(case, part):
            continue
        main = part.joint if part.joint not in {None, "other", "new-to-existing"} else f"{part.passage} {part.start}"
        found.setdefault(str(main), []).append(part)
    for name, parts in found.items():
        where = tuple(case.where(part.passage, part.start, part.end) for part in parts[:6])
        subject = name if parts[0].joint == name else where[0].quote[:60]
        yield Finding(rule="", subject=subject, where=where, values={"lacks": parts[0].words})


def _left_open(part: VaguePart, words: str) -> bool:
    """New to existing and left to "verify": the joint's own rule asks."""
    return "existing" in part.members and bool(re.search(r"verif|v\.?i\.?f", words))


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
