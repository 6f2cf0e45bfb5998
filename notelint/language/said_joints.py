"""The joints that a stretch of words names, for the device it is about."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from notelint.language.joints import ROOF, chains, default_joint, joint_of
from notelint.language.pipeline import Found
from notelint.language.words_of import Read
from notelint.model import Joint

_MADE_FOR_ONE = frozenset(
    {
        "anchor bolt",
        "sill strap",
        "embedded strap",
        "hold-down",
        "roof tie",
        "header tie",
        "post base",
        "post cap",
        "hanger",
        "nailing",
        "sheathing",
    }
)
_UNDER = re.compile(r"\b(?:under|below|beneath)\s(?:(?:a|an|any|each|every|ea\.?|the|all)\s)?$")
_AT_UNDER = re.compile(r"\bstuds?\b[^.;,]{0,12}\b(?:under|below|beneath|supporting|carrying)\b")
_BOTH_ENDS = re.compile(
    r"\b(?:top|head)s?\b(?: of)?(?: \w+){0,3},? (?:and|&)(?: at| one at)?(?: the)?(?: \w+)? ?\b(?:bottom|bot\b\.?|foot|base)\b"
    r"|\b(?:bottom|foot)s?\b(?: \w+){0,3} (?:and|&)(?: at)?(?: the)? (?:top|head)\b|\b(?:each|both|ea\.) ends? of "
    r"(?:each |every |ea\. |all )?(?:\w+ )?studs?\b"
)
FLOOR_DEVICE = re.compile(
    r"\b(?:floor|story|storey|interstory|band|rim)(?:[- ]to[- ](?:floor|story|storey))?[- ](?:span )?(?:strap|tie|connector|anchor|hold)"
)
_FOOT_DEVICE = re.compile(r"\b(?:base|bottom|foot|sill|wall[- ]base|stud[- ]base) (?:strap|tie|clip|connector|piece)s?\b")
_HEAD_DEVICE = re.compile(r"\b(?:top|head|stud[- ]head) (?:strap|tie|clip|connector|piece)s?\b")
_ENDS_OF_STUD = frozenset({"strap", "tie", "clip", "connector", "stud tie"})
_AT_POSTS = frozenset({"connector", "strap", "tie", "anchor", "clip", "angle", "post base", "post cap"})
_ENDS_OF_POST = re.compile(
    r"\b(?:each|both|ea\.?|either) ends?\b(?! of (?:the )?(?:porch|deck|beam|wall|run|row))|\btop (?:and|&) (?:bottom|bot\b|foot)"
    r"|\b(?:head|foot|bottom) (?:and|&) (?:foot|head|top)\b"
    r"|\babove and below\b"
)


class Context(NamedTuple):
    """What stands around the words: states said in the same statement, and the title of the detail."""

    states: frozenset[str] = frozenset()
    title: str = ""
    members: frozenset[str] = frozenset()
    places: frozenset[str] = frozenset()
    title_states: frozenset[str] = frozenset()


NO_CONTEXT = Context()


class Subject(NamedTuple):
    """Who a requirement is about: device as the vocabulary names it, mark, and what is known of the mark."""

    device: str | None
    mark: str | None = None
    known_joint: Joint | None = None


def joints_in(read: Read, start: int, end: int, subject: Subject, context: Context) -> list[tuple[Joint | None, tuple[str, ...], int]]:
    """Each joint that the words name with the members it joins and where that begins; one entry without a joint if none."""
    low = read.low[start:end]
    members = joinable(read, start, end)
    places = read.names(start, end, "place")
    states = read.names(start, end, "state") | (context.states if subject.device in ("blocking", "plate tie") else frozenset())
    if subject.device in ("strap", "tie", "connector", "hold-down") and FLOOR_DEVICE.search(low):
        places |= {"floor line"}
    if (
        (subject.device in ("stud tie", "clip", "connector", "tie") or (subject.device is None and subject.mark))
        and "stud" in low
        and _BOTH_ENDS.search(low)
        and not read.names(start, end, "member") & {"cripple", "header"}
    ):
        return [("plate-to-stud", ("top plate", "stud"), start), ("stud-to-sill", ("stud", "sill plate"), start)]
    if subject.device in _AT_POSTS and _post_ends(read, end, low):
        return [("post-foot", ("post",), start), ("post-head", ("post",), start)]
    if subject.device in _ENDS_OF_STUD and {m.name for m in members} <= {"wall", "stud"} and not places & {"floor line"}:
        if _FOOT_DEVICE.search(low):
            return [("stud-to-sill", ("stud",), start)]
        if _HEAD_DEVICE.search(low):
            return [("plate-to-stud", ("top plate", "stud"), start)]
    if "plate" in {m.name for m in members} and "foot" in context.places:
        places |= {"foot"}
    out: list[tuple[Joint | None, tuple[str, ...], int]] = []
    strung = [
        c
        for c in chains(read.low, members)
        if len({m.name for m in c} - {"new", "existing", "wall"}) > 1 or len(c) > 2 or _to_itself(read.low, c)
    ]
    for chain in strung:
        names = _joined(chain)
        words = read.low[chain[0].start : chain[-1].end]
        joint = joint_of(frozenset(names), subject.device, words, places, states)
        if joint and joint not in [j for j, _, _ in out]:
            out.append((joint, names, chain[0].start))
        if joint == "stud-to-sill" and "top plate" in names and subject.device not in ("sheathing", "nailing", "hold-down"):
            out.append(("plate-to-stud", names, chain[0].start))
    if not out or all(j == "other" for j, _, _ in out):
        apart = [m for m in members if not any(m in chain for chain in strung)] if not out else members
        names = _joined(apart or members)
        joint = joint_of(frozenset(names) | _inside_device(read, start, end, subject), subject.device, low, places, states)
        said_where = not set(names) - ROOF - {"wall"} or (not strung and _AT_UNDER.search(low))
        if joint == "roof-to-wall" and subject.known_joint and said_where:
            joint = subject.known_joint  # a roof member alone says where, not what it is tied to
        if joint and joint != "other":
            out = [(joint, names, start)]
        elif not out:
            out = [(subject.known_joint or joint or _by_context(frozenset(names), subject, places, context), names, start)]
    return _kept(out, subject)


def _post_ends(read: Read, end: int, low: str) -> bool:
    """Whether the words put a connector at the head and the foot of a post outside walls."""
    named = read.names(0, end, "member")
    return "post" in named and not named & (ROOF | {"stud", "king stud", "jack stud", "header"}) and bool(_ENDS_OF_POST.search(low))


def joinable(read: Read, start: int, end: int) -> list[Found]:
    """Member words that can be joined. "Under every truss, plates to stud" names the truss as a place where two others are named."""
    members = [f for f in read.terms(start, end, "member") if f.name not in ("roof", "sheathing", "guard", "gable wall")]
    others = [f for f in members if not (f.name in ROOF and _UNDER.search(read.low[start : f.start]))]
    return others if len({f.name for f in others}) >= 2 else members


def _inside_device(read: Read, start: int, end: int, subject: Subject) -> frozenset[str]:
    """Members named inside the words for a stud tie: "stud to bottom plate connector", "stud-to-sill tie"."""
    if subject.device == "strap" and re.search(r"\bridge (?:strap|tie)", read.low[start:end]):
        return frozenset({"ridge"})
    if subject.device != "stud tie":
        return frozenset()
    words = " ".join(read.low[f.start : f.end] for f in read.terms(start, end, "device"))
    if re.search(r"\bsill|mudsill|sole|bottom plate", words):
        return frozenset({"stud", "sill plate"})
    if _AT_TRUSS.search(read.low[start:end]) and not read.names(start, end, "member") - ROOF:
        return frozenset({"stud", "top plate"})  # a stud's tie under a roof member is the one at its head
    if re.search(r"top plate|double plate", words):
        return frozenset({"stud", "top plate"})
    named = re.search(r"\b(?:plates? to studs?|studs? to plates?|plate-to-stud|stud-to-plate)\b", words)
    return frozenset({"stud", "plate"}) if named else frozenset()


_AT_TRUSS = re.compile(r"\b(?:under|below|beneath) (?:[\w.]+ ){0,3}(?:truss|rafter|roof joist)")


def _to_itself(low: str, chain: Sequence[Found]) -> bool:
    return len(chain) > 1 and bool(re.search(r"\bto\b", low[chain[0].end : chain[-1].start]))


def _by_context(names: frozenset[str], subject: Subject, places: frozenset[str], context: Context) -> Joint | None:
    """The joint that the title of the detail names, where the words themselves name none."""
    if subject.device in _MADE_FOR_ONE or not context.title:
        return None
    return joint_of(names | context.members, subject.device, context.title, places | context.places, context.title_states)


def _joined(members: Sequence[Found]) -> tuple[str, ...]:
    """Member names in order without repeats; a roof member that reaches a stud past the plates joins the plate too."""
    names = list(dict.fromkeys(m.name for m in members if m.name != "wall" or len(members) < 3))
    return tuple(names)


def _kept(found: list[tuple[Joint | None, tuple[str, ...], int]], subject: Subject) -> list[tuple[Joint | None, tuple[str, ...], int]]:
    """Of several joints, those that the device can make: a device made for one joint keeps to it where it stands among them."""
    if len(found) < 2:
        return found
    own = subject.known_joint or default_joint(subject.device)
    definite = [f for f in found if f[0] != "other"]
    if own and subject.device not in ("stud tie", "strap", "rod", "sheathing", "nailing", None) and any(f[0] == own for f in found):
        return [f for f in found if f[0] == own]
    return definite or found[:1]
