"""Which joints have nothing said of them but vague words."""

from __future__ import annotations

from notelint.model import Joint, Requirement
from notelint.rulebook.case import Case


def definite(r: Requirement) -> bool:
    """Whether a requirement says how: a device, or fasteners with a size."""
    return r.vague is None and (r.device is not None or any(f.penny or f.diameter_in for f in r.fasteners))


def along_the_wall(r: Requirement) -> bool:
    """Whether a definite requirement can speak for the whole joint: hold-downs at wall ends are no tie from stud to sill."""
    return r.joint != "stud-to-sill" or r.device not in {"hold-down", "rod"}


def vague_about(case: Case, joint: Joint) -> list[Requirement]:
    """Requirements that are all that is said of a joint and say it vaguely; empty where something definite stands elsewhere."""
    about = [r for r in case.duties if r.joint == joint]
    vague = [r for r in about if r.vague]
    if not vague or any(definite(r) and along_the_wall(r) for r in about):
        return []
    return vague
