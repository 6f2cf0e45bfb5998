"""Which requirements tie a joint against uplift, and which only name it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from notelint.model import Joint, Reading, Requirement

CONNECTORS = {
    "sill strap", "embedded strap", "hold-down", "strap", "roof tie", "stud tie", "header tie", "post base", "post cap", "hanger",
    "plate tie", "rod", "angle",
}  # fmt: skip
ROOF = {"truss", "rafter", "roof joist"}
STUDS = {"stud", "king stud", "jack stud", "post", "cripple"}
PLATES = {"top plate"}
OUTBUILT = {"porch", "deck", "carport", "stair", "landing", "balcony"}
"""Places outside the house proper: a tie that is limited to them ties nothing of its walls."""


def of_house(r: Requirement) -> bool:
    """Whether the requirement speaks of the house's own walls, not of a porch or deck alone."""
    if set(r.scope) and set(r.scope) <= OUTBUILT:
        return False
    to_beam = "beam" in r.joins and not {"top plate", "plate", "stud", "wall", "header"} & set(r.joins)
    return not (to_beam and re.search(r"\b(?:porch|deck|carport|balcony|patio)\b", r.quote.lower()))


def ties(r: Requirement, joint: Joint) -> bool:
    """Whether this requirement ties the joint against uplift: a connector, or sheathing given as the path."""
    if r.stance != "duty" or r.joint != joint or not of_house(r):
        return False
    if joint == "sill-to-foundation":
        return r.device in {"anchor bolt", "embedded strap", "sill strap", "rod", "hold-down", "strap"}
    if joint == "stud-to-sill" and not _along_the_wall(r):
        return False
    if joint == "header-to-stud" and re.search(r"stair|floor opening|hatch|skylight|chimney|well hole", r.quote.lower()):
        return False  # a header in a floor or roof frame, over no wall opening
    return r.device in CONNECTORS or r.device == "sheathing" or (joint == "roof-to-wall" and _long_screws(r))


_LEAST_SCREW_IN = 4.0  # through two plates into the truss or rafter: 3 in of plates and a hold above them


def _long_screws(r: Requirement) -> bool:
    """Screws driven up through the plates into each roof member are its tie."""
    if "existing" in r.joins or "existing" in r.scope or not PLATES & set(r.joins):
        return False
    return r.device == "nailing" and any(f.kind == "screw" and (f.length_in or 0) >= _LEAST_SCREW_IN for f in r.fasteners)


_SPOTS = re.compile(
    r"corner|\b(?:at|on) (?:each|both) ends?|(?:each|both) ends? of|\bends? of|jamb|opening|garage door|sliding"
    r"|each side of|shear wall|braced|panel end"
)


def _along_the_wall(r: Requirement) -> bool:
    """A tie along the wall, at each stud or a spacing; hold-downs, and straps at corners and openings alone, are none."""
    low = f"{r.quote} {r.place or ''}".lower()
    if r.device == "sheathing":
        return bool(re.search(r"\bsill|mudsill|foundation", low)) and not re.search(r"from (?:the )?sole", low)
    if r.device in {"hold-down", "rod"}:
        return False
    return bool(r.spacing_in or (r.each and not _SPOTS.search(low))) or not _SPOTS.search(low)


def tying(reading: Reading, joint: Joint, known: Iterable[str]) -> Iterator[Requirement]:
    """All requirements on the designer's sheets (`known` passage ids) that tie the joint."""
    ids = set(known)
    return (r for r in reading.requirements if r.passage in ids and ties(r, joint))


def reaches_stud(r: Requirement) -> bool:
    """Whether a roof tie goes past the plates to the stud, so that the joint between plate and stud is tied with it."""
    return r.joint == "roof-to-wall" and bool(ROOF & set(r.joins)) and bool(STUDS & set(r.joins))


def nailed(r: Requirement, joint: Joint) -> bool:
    """Whether the nails of a joint are given by count (or spacing) and size."""
    return r.joint == joint and r.stance == "duty" and any((f.count or f.spacing_in) and (f.penny or f.diameter_in) for f in r.fasteners)


_ORDINALS = {"first": 1, "1st": 1, "ground": 1, "lower": 1, "second": 2, "2nd": 2, "third": 3, "3rd": 3, "fourth": 4, "4th": 4}
_ORDINAL = re.compile(r"\b(first|1st|ground|lower|second|2nd|third|3rd|fourth|4th)\b(?! (?:end|row|nail|hole|member|of|stud\b(?! to)))")
_JOINED = re.compile(r"\b(?:to|and|with|from|into|over|onto|on)\b")


def floor_lines(r: Requirement) -> tuple[int, ...]:
    """The floor lines a floor-to-floor tie is limited to, each by the storey above it (2 = the second floor line); empty = all.

    "Second floor stud to first floor stud" is the second floor line; "at second and third floor lines" are two.
    """
    text = r.quote.lower()
    found = [(m.start(), _ORDINALS[m.group(1)]) for m in _ORDINAL.finditer(text)]
    lines: list[int] = []
    i = 0
    while i < len(found):
        here = found[i][1]
        after = found[i + 1][1] if i + 1 < len(found) else None
        if after is not None and abs(after - here) == 1 and _one_tie(text[found[i][0] : found[i + 1][0]]):
            lines.append(max(here, after))
            i += 2
        else:
            lines += [here] if here >= 2 else []
            i += 1
    return tuple(sorted(set(lines)))


def _one_tie(between: str) -> bool:
    """Whether the words between two storeys join their members, rather than list two lines."""
    return bool(re.search(r"\bto\b|\bover\b|\bbelow\b|\babove\b|\binto\b|\bfrom\b", between)) or not _JOINED.search(between)
