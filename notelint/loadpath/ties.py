"""Which requirements tie a joint against uplift, and which only name it."""

from __future__ import annotations

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
MAIN_JOINTS: tuple[Joint, ...] = ("roof-to-wall", "plate-to-stud", "header-to-stud", "floor-to-floor", "stud-to-sill", "sill-to-foundation")


def of_house(r: Requirement) -> bool:
    """Whether the requirement speaks of the house's own walls, not of a porch or deck alone."""
    return not (set(r.scope) and set(r.scope) <= OUTBUILT)


def ties(r: Requirement, joint: Joint) -> bool:
    """Whether this requirement ties the joint against uplift: a connector, or sheathing given as the path."""
    if r.stance != "duty" or r.joint != joint or not of_house(r):
        return False
    if joint == "sill-to-foundation":
        return r.device in {"anchor bolt", "embedded strap", "sill strap", "rod", "hold-down", "strap"}
    return r.device in CONNECTORS or r.device == "sheathing"


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
