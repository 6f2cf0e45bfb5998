"""Puts a requirement together from the stretch of words that governs a device."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from notelint.language import fields
from notelint.language.fasteners import find_fasteners
from notelint.language.joints import ROOF, chains, default_joint, joint_of, settled_device
from notelint.language.pipeline import Found
from notelint.language.words_of import Read
from notelint.model import Fastener, FastenerKind, Joint, Requirement

_DENIED = re.compile(
    r"\bnot (?:be )?(?:required|needed|necessary|called for|used|install)|\bno(?:ne)? (?:[\w-]+ ){0,3}(?:are|is|required|needed)\b"
    r"|\bno (?:[\w-]+ ){0,2}(?:ties?|straps?|clips?|connectors?|hold-?downs?|anchors?|hangers?|hardware)\b|\bomit(?:ted)?\b|\bdo "
    r"not\b|\bshall not\b|\bnever\b|\bnobody\b|\bnot permitted\b|\bprohibited\b|\bmust not\b|\bmay not\b|\bdeleted?\b"
)
_MAY = re.compile(r"\b(?:may|can|could) (?:be )?\b|\bpermitted\b|\boptional\b|\ballowed\b|at (?:the )?contractor'?s option")
_BLANK = re.compile(r"_{2,}|\(\s*\)|\.{5,}|\bx\s?\(\s*\)")
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
_NOT_JOINED = frozenset({"new", "roof", "guard", "gable wall"})
_SAME_MEMBER = {"upper stud": "stud", "lower stud": "stud", "holdown stud": "stud"}


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


def stance_of(low: str) -> str:
    """Duty, permission, denied or blank, from plain words."""
    if _BLANK.search(low):
        return "blank"
    if _DENIED.search(low):
        return "denied"
    return "permission" if _MAY.search(low) else "duty"


def fasteners_in(read: Read, start: int, end: int, hint: FastenerKind | None = None) -> tuple[Fastener, ...]:
    """Fasteners of start..end; where only "fill all holes" is said, one nail of unknown size."""
    members = read.terms(start, end, "member")
    found = [span.fastener for span in find_fasteners(read.low, start, end, members, hint=hint)]
    fill = "fill holes" in read.names(start, end, "qualifier")
    coats = read.terms(start, end, "coating")
    found = [_coated(f, coats) for f in found]
    if fill:
        nails = [i for i, f in enumerate(found) if f.kind in ("nail", "screw")]
        if nails:
            found = [f.model_copy(update={"fill": True}) if i in nails else f for i, f in enumerate(found)]
        else:
            at = next(f for f in read.terms(start, end, "qualifier") if f.name == "fill holes")
            found.append(Fastener(kind="nail", fill=True, start=at.start, end=at.end))
    return tuple(found)


def _coated(fastener: Fastener, coats: Sequence[Found]) -> Fastener:
    near = next((c.name for c in coats if fastener.start - 30 <= c.start <= fastener.end + 30), None)
    return fastener.model_copy(update={"coating": near}) if near else fastener


def joints_in(read: Read, start: int, end: int, subject: Subject, context: Context) -> list[tuple[Joint | None, tuple[str, ...], int]]:
    """Each joint that the words name with the members it joins and where that begins; one entry without a joint if none."""
    low = read.low[start:end]
    members = _joinable(read, start, end)
    places = read.names(start, end, "place")
    states = read.names(start, end, "state") | (context.states if subject.device in ("blocking", "plate tie") else frozenset())
    if subject.device in ("strap", "tie", "connector", "hold-down") and _FLOOR_DEVICE.search(low):
        places |= {"floor line"}
    if (
        subject.device in ("stud tie", "clip", "connector", "tie")
        and "stud" in low
        and _BOTH_ENDS.search(low)
        and not read.names(start, end, "member") & {"cripple", "header"}
    ):
        return [("plate-to-stud", ("top plate", "stud"), start), ("stud-to-sill", ("stud", "sill plate"), start)]
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
        if joint == "roof-to-wall" and subject.known_joint and not set(names) - ROOF - {"wall"}:
            joint = subject.known_joint  # a roof member alone says where, not what it is tied to
        if joint and joint != "other":
            out = [(joint, names, start)]
        elif not out:
            out = [(subject.known_joint or joint or _by_context(frozenset(names), subject, places, context), names, start)]
    return _kept(out, subject)


_UNDER = re.compile(r"\b(?:under|below|beneath)\s(?:(?:each|every|ea\.?|the|all)\s)?$")


def _joinable(read: Read, start: int, end: int) -> list[Found]:
    """Member words that can be joined. "Under every truss, plates to stud" names the truss as a place where two others are named."""
    members = [f for f in read.terms(start, end, "member") if f.name not in ("roof", "sheathing", "guard", "gable wall")]
    others = [f for f in members if not (f.name in ROOF and _UNDER.search(read.low[start : f.start]))]
    return others if len({f.name for f in others}) >= 2 else members


_BOTH_ENDS = re.compile(
    r"\b(?:top|head)s?\b(?: of)?(?: \w+){0,3},? (?:and|&)(?: at| one at)?(?: the)?(?: \w+)? ?\b(?:bottom|bot\b\.?|foot|base)\b"
    r"|\b(?:bottom|foot)s?\b(?: \w+){0,3} (?:and|&)(?: at)?(?: the)? (?:top|head)\b|\b(?:each|both|ea\.) ends? of "
    r"(?:each |every |ea\. |all )?(?:\w+ )?studs?\b"
)
_FLOOR_DEVICE = re.compile(
    r"\b(?:floor|story|storey|interstory)(?:[- ]to[- ](?:floor|story|storey))?[- ](?:span )?(?:strap|tie|connector|anchor|hold)"
)


def _inside_device(read: Read, start: int, end: int, subject: Subject) -> frozenset[str]:
    """Members named inside the words for a stud tie: "stud to bottom plate connector", "stud-to-sill tie"."""
    if subject.device == "strap" and re.search(r"\bridge (?:strap|tie)", read.low[start:end]):
        return frozenset({"ridge"})
    if subject.device != "stud tie":
        return frozenset()
    words = " ".join(read.low[f.start : f.end] for f in read.terms(start, end, "device"))
    if re.search(r"\bsill|mudsill|sole|bottom plate", words):
        return frozenset({"stud", "sill plate"})
    return frozenset({"stud", "top plate"}) if re.search(r"top plate|double plate", words) else frozenset()


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


_TOENAILS = re.compile(r"\s?(?:common |box )?(?:nails? )?(?:toe-?\s?nail|end.?nail|face.?nail|t\.n\.)")
"""Nails from wood to wood; said beside a connector they are the joint's, not the connector's."""


def build(
    read: Read, start: int, end: int, subject: Subject, *, hint: FastenerKind | None = None, context: Context = NO_CONTEXT
) -> list[Requirement]:
    """Requirements of one device said in start..end: one for each joint the words name."""
    fasteners = fasteners_in(read, start, end, hint)
    if subject.mark or subject.device not in {None, "nailing", "sheathing", "blocking", "anchor bolt"}:
        fasteners = tuple(f for f in fasteners if not _TOENAILS.match(read.low[f.end :]))
    if subject.device == "anchor bolt":
        fasteners = tuple(f.model_copy(update={"kind": "anchor bolt"}) if f.kind == "bolt" else f for f in fasteners)
    return [
        _requirement(read, start, end, subject, fasteners, joint, joins)
        for joint, joins, _ in joints_in(read, start, end, subject, context)
    ]


def _requirement(
    read: Read, start: int, end: int, subject: Subject, fasteners: tuple[Fastener, ...], joint: Joint | None, joins: tuple[str, ...]
) -> Requirement:
    low, passage = read.low[start:end], read.passage
    device = settled_device(subject.device, joint)
    if device in ("strap", "sill strap") and _cast_in(read, start, end, low):
        device, joint = "embedded strap", "stud-to-sill" if joint in (None, "sill-to-foundation") else joint
    joint = joint or default_joint(device)
    at_floor = joint == "floor-to-floor" or "floor line" in read.names(start, end, "place")
    return Requirement(
        id="",
        passage=passage.id,
        sheet=passage.sheet,
        page=passage.page,
        label=passage.label,
        quote=passage.text[start:end],
        box=passage.box(start, end),
        start=start,
        end=end,
        kind=passage.kind,
        mark=subject.mark,
        device=device,
        joint=joint,
        joins=agreed_joins(joins, device, low),
        fasteners=fasteners,
        storeys=fields.storeys_of(low, at_floor),
        **_common(read, start, end, subject, device, fasteners),
    )


def _cast_in(read: Read, start: int, end: int, low: str) -> bool:
    """A strap that is set in concrete and runs up a stud."""
    return (
        bool(re.search(r"\bcast\b|\bembed|grouted cell|set in (?:the )?(?:concrete|slab|footing|pour|form)|before the pour", low))
        or fields.embedment_of(read, start, end) is not None
    )


def agreed_joins(joins: tuple[str, ...], device: str | None, low: str) -> tuple[str, ...]:
    """Agreed member names; a roof tie said to reach the stud passes the plate, whether the plate is named or not."""
    joins = tuple(dict.fromkeys(_SAME_MEMBER.get(j, j) for j in joins if j not in _NOT_JOINED))
    if device != "roof tie":
        return joins
    roof, studs = [j for j in joins if j in ROOF], [j for j in joins if j in ("stud", "upper stud")]
    reaches = bool(studs) or bool(
        re.search(r"reach\w* (?:the |to the )?(?:\w+ )?studs?\b|(?:truss|rafter|joist|roof)[- ]to[- ](?:the )?(?:wall )?stud", low)
    )
    if not reaches or (
        studs
        and not re.search(
            r"(?:to|past|and|reach\w*|down|into) (?:the |each |a )?(?:\w+ )?(?:stud|wall stud)|stud (?:twist|tie|strap|clip)|-stud", low
        )
        and not roof
    ):
        return joins
    rest = [j for j in joins if j not in ROOF and j not in ("stud", "upper stud", "top plate", "plate")]
    return (*roof, "top plate", "stud", *rest)


def _common(read: Read, start: int, end: int, subject: Subject, device: str | None, fasteners: tuple[Fastener, ...]) -> dict[str, object]:
    low = read.low[start:end]
    capacity, demand, per_foot = fields.loads_of(read, start, end)
    own_nails = device in ("nailing", "anchor bolt", "sheathing", "rod", None)
    vague = next(iter(read.terms(start, end, "vague")), None)
    maker = next((f for f in read.terms(start, end, "maker") if f.name == "manufacturer"), None)
    steel = (
        fields.steel_of(read, start, end, fasteners) if device not in ("anchor bolt", "nailing", "sheathing", "blocking", "rod") else None
    )
    spacing = fields.spacing_of(read, start, end, fasteners, nails_count=own_nails)
    if device == "nailing":
        spacing = next((f.spacing_in for f in fasteners if f.spacing_in), None)
    return {
        "steel": steel,
        "spacing_in": spacing,
        "embedment_in": fields.embedment_of(read, start, end),
        "end_distance_in": fields.end_distance_of(read, start, end) if device == "anchor bolt" else None,
        "place": fields.place_of(read, start, end),
        "face": fields.face_of(read.names(start, end, "place"), low if device in ("roof tie", "stud tie", "strap") else ""),
        "each": fields.is_each(low),
        "scope": fields.scope_of(read, start, end),
        "stance": stance_of(low),
        "vague": read.passage.text[vague.start : vague.end] if vague and not (vague.name in _HOW and _definite(steel, fasteners)) else None,
        "to_maker": read.passage.text[maker.start : maker.end] if maker else None,
        "coating": next((f.name for f in read.terms(start, end, "coating")), None),
        "capacity_lb": capacity,
        "demand_lb": demand,
        "demand_plf": per_foot,
        "see": fields.see_of(read, start, end),
        "unless_noted": "unless noted otherwise" in read.names(start, end, "qualifier"),
        "named": bool(subject.mark) or bool(steel and steel.gauge and (steel.width_in or steel.length_in)) or _sized(device, fasteners),
    }


_HOW = frozenset({"adequate", "properly", "suitable", "securely", "approved", "good practice"})


def _definite(steel: object, fasteners: tuple[Fastener, ...]) -> bool:
    """Whether the words give a size and a number, so that "properly" beside them leaves nothing open."""
    return any(f.count and (f.penny or f.diameter_in or f.number) for f in fasteners) and (
        steel is None or bool(getattr(steel, "gauge", None))
    )


def _sized(device: str | None, fasteners: tuple[Fastener, ...]) -> bool:
    kinds = {"anchor bolt": ("anchor bolt", "bolt"), "rod": ("rod",), "nailing": ("nail", "screw", "bolt", "lag screw")}.get(
        device or "", ()
    )
    return any(f.kind in kinds and (f.diameter_in or f.penny or f.number) for f in fasteners)
