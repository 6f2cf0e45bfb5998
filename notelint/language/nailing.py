"""Nails that join wood to wood, panel nailing, and words that hold for every nail of the set."""

from __future__ import annotations

import re

from notelint.language.assemble import build, fasteners_in
from notelint.language.joints import PLATES, ROOF
from notelint.language.said_joints import Subject
from notelint.language.words_of import Read
from notelint.model import Fastener, Joint, Requirement

_ALL_NAILS = re.compile(
    r"^(?:all |the )?(?:\w+ ){0,3}nails?\b[^.;]{0,50}?\b(?:are|is|shall be|to be|must be|means?|=|:)\b|\bnails (?:are|shall be) "
    r"(?:all )?common|^(?:all )?nails\b|^use common nails"
)
_SIZES_MEANT = re.compile(
    r"\bwhere\w*\s(?:\w+\s){0,2}?\d{1,2}d\b[^.;]{0,50}\b(?:shown|called|noted|specified|listed|indicated|given|written"
    r"|said)\b[^.;]{0,60}?\b(?:use|are|is|means?|shall be|install|provide)\b"
)
_PANELS = re.compile(r"sheathing|shtg|\bpanels?\b|plywood|\bosb\b|strand board|\bcdx\b|structural i\b|subfloor|\bsheath")


def blanket_sizes(read: Read) -> list[Requirement]:
    """What a penny size means on connectors all over the set: "where 10d is shown for a tie, use 0.148 x 2-1/2 in. nails"."""
    match = _SIZES_MEANT.search(read.low)
    if not match:
        return []
    nails = fasteners_in(read, match.start(), len(read.low))
    penny = next((f for f in nails if f.penny), None)
    size = next((f for f in nails if f.length_in and not f.penny), None)
    if penny is None or size is None:
        return []
    base = build(read, 0, len(read.low), Subject(None))[0]
    nail = penny.model_copy(
        update={"diameter_in": size.diameter_in, "length_in": size.length_in, "stated": ("penny", "diameter_in", "length_in")}
    )
    return [
        base.model_copy(
            update={
                "device": None,
                "joint": None,
                "joins": (),
                "fasteners": (nail,),
                "scope": ("all connectors",),
                "each": False,
                "place": None,
            }
        )
    ]


def nailing(read: Read, start: int, end: int, nails: list[Fastener]) -> list[Requirement]:
    """Wood-to-wood nailing, one requirement for each phrase "stud to plate, 2-16d"."""
    out: list[Requirement] = []
    for a, b in _nailing_phrases(read, start, end, nails):
        for requirement in build(read, a, b, Subject("nailing"))[:2]:
            joint = (
                requirement.joint
                or _toenailed_roof(read, a, b, requirement.joins)
                or ("plate-splice" if re.search(r"\blaps?\b|lap nailing|splice", read.low[a:b]) and "plate" in read.low else "other")
            )
            device = "sheathing" if joint == "other" and _PANELS.search(read.low[a:b]) else "nailing"
            out.append(requirement.model_copy(update={"joint": joint, "device": device}))
    return out


_THEM = re.compile(r"\b(?:each|every one|them|it|these|ea\.?)\b[^.;,]{0,24}\b(?:to|into|thr?o?u(?:gh)?)\b")
_TO_BEARING = re.compile(r"\b(?:plates?|walls?|bear(?:s|ing)?|rests?|seat(?:s|ed)?)\b|birds?-?mouth")


def _toenailed_roof(read: Read, start: int, end: int, joins: tuple[str, ...]) -> Joint | None:
    """Toenails at rafters or trusses that the passage says to bear on a wall go into its plate."""
    named = set(joins) - {"wall"}
    if named and named <= ROOF and "toenail" in read.names(start, end, "act") and _TO_BEARING.search(read.low):
        return "roof-to-wall"
    # "rafters set on the walls; toenail each to the plate": "each" is the roof member that the words before name
    before = read.names(0, start, "member") - {"wall", "roof"}
    own = read.names(start, end, "member") - {"wall"}
    if own and own <= PLATES and before and before <= ROOF | PLATES and before & ROOF and _THEM.search(read.low[start:end]):
        return "roof-to-wall"
    return None


def _nailing_phrases(read: Read, start: int, end: int, nails: list[Fastener]) -> list[tuple[int, int]]:
    """Stretches between commas, put together so that each has its members and its nails."""
    cuts = [start]
    depth = 0
    for i in range(start, end):
        depth += (read.low[i] == "(") - (read.low[i] == ")")
        if read.low[i] == "," and depth <= 0 and not (i + 1 < end and read.low[i + 1].isdigit()):
            cuts.append(i + 1)
    pieces = [(a, b) for a, b in zip(cuts, [*cuts[1:], end], strict=True)]
    out: list[list[int]] = []
    for a, b in pieces:
        has_nail = any(a <= f.start < b for f in nails)
        members = read.terms(a, b, "member")
        first_nail = next((f.start for f in nails if a <= f.start < b), b)
        leads = bool(members) and members[0].start < first_nail and (has_nail or not read.lengths(a, b))
        whole = bool(out) and any(out[-1][0] <= f.start < out[-1][1] for f in nails)
        if out and not (leads and whole):
            out[-1][1] = b
        else:
            out.append([a, b])
    found = []
    for a, b in out:
        while a < b and read.low[a] in " ,":
            a += 1
        while b > a and read.low[b - 1] in " ,":
            b -= 1
        if any(a <= f.start < b for f in nails):
            found.append((a, b))
    return found


def is_blanket(low: str) -> bool:
    """Whether a statement speaks of all nails at once."""
    return bool(_ALL_NAILS.search(low))


_OF_CONNECTORS = re.compile(r"connectors?\b|hardware|\bstraps\b|\bties\b|hangers|sheet metal")


def blanket_connector_nails(read: Read, start: int, end: int) -> list[Requirement]:
    """Size or length that holds for the nails of all connectors: "all connector nails are 0.148 x 1-1/2 in."."""
    if not _OF_CONNECTORS.search(read.low[start:end]) or read.terms(start, end, "mark"):
        return []
    nails = tuple(f for f in fasteners_in(read, start, end, "nail") if f.kind == "nail" and (f.diameter_in or f.length_in or f.penny))
    lengths = [q.value for q, role in read.lengths(start, end) if role == "length"]
    if not nails and lengths:
        nails = (Fastener(kind="nail", length_in=lengths[0], start=start, end=end, stated=("length_in",)),)
    if not nails:
        return []
    base = build(read, start, end, Subject(None))[0]
    general = {"device": None, "joint": None, "joins": (), "steel": None, "spacing_in": None, "fasteners": nails}
    return [base.model_copy(update={**general, "scope": ("all connectors",)})]


def blanket_nails(read: Read, start: int, end: int) -> list[Requirement]:
    """What holds for every nail of the set: "all nails are common"."""
    low = read.low[start:end]
    kind = re.search(r"\b(common|box|sinker)s?\b", low)
    coat = read.terms(start, end, "coating")
    if not kind and not coat:
        return []
    base = build(read, start, end, Subject("nailing"))[0]
    nail = Fastener(
        kind="nail",
        type=kind[1] if kind else None,
        coating=coat[0].name if coat else None,
        start=start,
        end=end,
        stated=("type",) if kind else (),
    )
    return [
        base.model_copy(
            update={
                "device": "nailing",
                "joint": None,
                "joins": (),
                "fasteners": (nail,),
                "scope": (
                    *base.scope,
                    "all nails",
                    *(("all connectors",) if re.search(r"sheet metal|hardware|connector|steel|straps|anchors", low) else ()),
                ),
            }
        )
    ]
