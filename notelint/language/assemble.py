"""Puts a requirement together from the stretch of words that governs a device."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

from notelint.language import fields
from notelint.language.fasteners import find_fasteners
from notelint.language.joints import ROOF, default_joint, settled_device
from notelint.language.pipeline import Found
from notelint.language.said_joints import NO_CONTEXT, Context, Subject, joints_in
from notelint.language.words_of import Read
from notelint.model import Fastener, FastenerKind, Joint, Requirement

_LIMITS = r"(?!\s(?:be\s)?(?:spaced\s|placed\s|set\s)?(?:exceed|more|less|over|under|greater|farther|further|closer|wider|fewer))"
_DENIED = re.compile(
    r"\bnot (?:be )?(?:required|req'?d|needed|necessary|called for|used|install)|\bno(?:ne)? (?:[\w-]+ ){0,3}(?:are|is|required"
    r"|req'?d|needed)\b"
    r"|\bno (?:[\w-]+ ){0,2}(?:ties?|straps?|clips?|connectors?|hold-?downs?|anchors?|hangers?|hardware)\b|\bomit(?:ted)?\b|\bdo "
    r"not\b|\bnobody\b|\bnot permitted\b|\bprohibited\b|\bdeleted?\b"
    rf"|\b(?:never|(?:shall|must|may) not)\b{_LIMITS}"
)
_MAY = re.compile(r"\b(?:may|can|could) (?:be )?\b|\bpermitted\b|\boptional\b|\ballowed\b|at (?:the )?contractor'?s option")
_BLANK = re.compile(r"_{2,}|\(\s*\)|\.{5,}|\bx\s?\(\s*\)")
_IN_CONCRETE = re.compile(
    r"(?:in\.|,\s(?=\d|with\b|set\b|cast\b|embed)|(?!\b(?:rods?|posts?|anchors?|through|thru|studs?|to|and)\b|[|&]"
    r"|w/)[^,;.:(]){0,50}?\b(?:in|into)\s(?:the\s|each\s|its\s|a\s|hardened\s|new\s){0,2}"
    r"(?:concrete\s|porch\s|round\s)?"
    r"(?:pads?|grout|concrete|conc|piers?|footings?|slabs?|foundations?|stem walls?|grade beam)\b"
)
_NOT_JOINED = frozenset({"new", "roof", "guard", "gable wall"})
_SAME_MEMBER = {"upper stud": "stud", "lower stud": "stud", "holdown stud": "stud"}
_TOENAILS = re.compile(r"\s?(?:common |box )?(?:nails? )?(?:toe-?\s?nail|end.?nail|face.?nail|t\.n\.)")
_HOW = frozenset({"adequate", "properly", "suitable", "securely", "approved", "good practice"})


@lru_cache(maxsize=1024)
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
    found = [_set_in_concrete(_coated(f, coats), read.low) for f in found]
    if fill:
        nails = [i for i, f in enumerate(found) if f.kind in ("nail", "screw")]
        if nails:
            found = [f.model_copy(update={"fill": True}) if i in nails else f for i, f in enumerate(found)]
        else:
            at = next(f for f in read.terms(start, end, "qualifier") if f.name == "fill holes")
            found.append(Fastener(kind="nail", fill=True, start=at.start, end=at.end))
    return tuple(found)


def _set_in_concrete(fastener: Fastener, low: str) -> Fastener:
    """A bolt that goes so many inches into concrete is an anchor."""
    if fastener.kind == "bolt" and _IN_CONCRETE.match(low[fastener.end : fastener.end + 90]):
        return fastener.model_copy(update={"kind": "anchor bolt"})
    return fastener


def _coated(fastener: Fastener, coats: Sequence[Found]) -> Fastener:
    near = next((c.name for c in coats if fastener.start - 30 <= c.start <= fastener.end + 30), None)
    return fastener.model_copy(update={"coating": near}) if near else fastener


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
