"""Statements that name no connector: sheathing as uplift path, nailing, connections in vague words."""

from __future__ import annotations

import re

from notelint.language.assemble import build, fasteners_in, stance_of
from notelint.language.clauses import split
from notelint.language.joints import CONCRETE
from notelint.language.nailing import blanket_connector_nails, blanket_nails, is_blanket, nailing
from notelint.language.said_joints import NO_CONTEXT, Context, Subject
from notelint.language.words_of import Read
from notelint.model import Joint, Requirement

_CONNECT = frozenset(
    {
        "tie",
        "anchor",
        "strap",
        "connect",
        "fasten",
        "attach",
        "secure",
        "nail",
        "toenail",
        "bolt",
        "screw",
        "brace",
        "hang",
        "face nail",
        "end nail",
    }
)
_STOREYS = frozenset({"first storey", "second storey", "third storey", "upper storey"})
_STEEL_SIZE = re.compile(
    r"\b\d{1,2}\s?-?\s?(?:ga\b\.?|gauge|gage)\s?(?:,|x|by)?\s?\d[\d/ -]*(?:in\.?|\")?\s?(?:wide\s?)?(?:x|by)\s?\d"
    r"|\b\d{1,2}\s?-?\s?(?:ga\b\.?|gauge|gage)\s(?:\w+\s){0,2}(?:coil|band|strip|steel|sheet metal)\b"
)
_PATH = re.compile(
    r"uplift|\b(?:wind|roof) (?:lift|pull)\b|\bdoes the (?:pulling|holding|tying)|load path"
    r"|\b(?:takes?|carr(?:y|ies)|resists?|holds?) (?:the |all |any |net )*(?:lift|pull)\b"
    r"|ties? (?:the )?(?:wall|studs|plates|stories|floors)|\blap(?:s|ped|ping)? (?:over |past |onto |the |down "
    r"|both )*(?:\w+ ){0,2}(?:rim|sill|plate|band|mud)"
    r"|\b(?:past|over|across|down|bridg\w+) (?:the )?(?:\w+ )?(?:rim|band)\b|\bholds? (?:the )?(?:\w+ )?(?:walls?|studs|house|storey"
    r"|story) down\b"
)


def without_anchor(read: Read, start: int, end: int, context: Context = NO_CONTEXT) -> list[Requirement]:
    """Statements without a connector: sheathing as uplift path, nailing, blanket words on nails, vague connections."""
    low = read.low[start:end]
    members = read.names(start, end, "member")
    nails = [f for f in fasteners_in(read, start, end) if f.kind in ("nail", "screw", "lag screw", "bolt")]
    if _is_uplift_sheathing(low, members, read.low):
        return _sheathing(read, start, end, members)
    if stance_of(low) == "blank":
        return [r for r in build(read, start, end, Subject(None))[:1] if r.joint]
    acts = read.names(start, end, "act") & _CONNECT
    if nails and any(q.unit == "gauge" or role == "thickness" for q, role in read.lengths(start, end)):
        over_cut = [r for r in build(read, start, end, Subject("plate tie"), context=context) if r.joint == "cut-plate"]
        if over_cut:
            return over_cut  # a bar, band or strip of steel nailed over the cut, whatever it is called
    if acts & {"tie", "strap"} and any(q.unit == "gauge" for q, _ in read.lengths(start, end)):
        tied = _tied_by_act(read, start, end, acts, members)
        if tied:
            return tied
    if nails and len(members - {"wall", "roof"}) > 1 and _STEEL_SIZE.search(low):
        strapped = [r for r in build(read, start, end, Subject("strap"), context=context) if r.joint not in (None, "other")]
        if strapped:
            return strapped  # steel by gauge, width and length between two members is a strap, whatever it is called
    if nails and (
        members
        or acts
        or read.passage.kind in ("callout", "row")
        or read.names(start, end, "act") & {"toenail", "face nail", "end nail", "nail", "lap", "splice"}
    ):
        return nailing(read, start, end, nails)
    if is_blanket(low):
        return blanket_nails(read, start, end) or blanket_connector_nails(read, start, end)
    if read.names(start, end, "other trade") and not members - {"ridge", "roof", "wall"}:
        return []
    if (
        acts
        and (read.terms(start, end, "vague") or read.terms(start, end, "maker"))
        and (members - {"wall", "roof"} or "connect" in acts or len(read.names(start, end, "place") & _STOREYS) > 1)
    ):
        built = build(read, start, end, Subject(None))
        return [r for r in built[:1] if r.vague or r.to_maker]
    if (acts & {"nail", "toenail", "face nail", "end nail"} or re.search(r"\bnail", low)) and _code_nailing(read, start, end):
        return [r.model_copy(update={"device": "nailing"}) for r in build(read, start, end, Subject("nailing"))]
    if "fastening table" in read.names(start, end, "code") and len(members) > 1:
        return [r.model_copy(update={"device": "nailing"}) for r in build(read, start, end, Subject("nailing"))]
    return _tied_by_act(read, start, end, acts, members)


def _code_nailing(read: Read, start: int, end: int) -> bool:
    members = read.names(start, end, "member") - {"roof", "wall"}
    return bool(read.names(start, end, "code")) or (bool(read.terms(start, end, "maker")) and bool(members))


def _tied_by_act(read: Read, start: int, end: int, acts: frozenset[str], members: frozenset[str]) -> list[Requirement]:
    """A device in general words: "tie each truss to the wall", "strap headers to king studs"."""
    act = acts & {"tie", "strap", "anchor"}
    if "bolt" in acts and "sill plate" in members and members & CONCRETE:
        return build(read, start, end, Subject("anchor bolt"))
    if not act or len(members - {"wall", "roof"}) < 1 or (len(members) < 2 and "upper stud" not in members):
        return []
    device = "strap" if "strap" in act else "tie" if "tie" in act else "anchor"
    return [r for r in build(read, start, end, Subject(device)) if r.joint and r.device]


def _is_uplift_sheathing(low: str, members: frozenset[str], whole: str) -> bool:
    speaks = members & {"wall sheathing", "sheathing"} or re.search(r"\bpanels?\b|\bsheath|\b(?:wall|the) ply\b", low)
    if not speaks and not (
        re.search(r"\bpanels?\b|\bsheath|\b(?:wall|the) ply\b", whole) and re.match(r"(?:\w+ ){0,2}(?:them|they|these|it)\b", low)
    ):
        return False
    ties = members & {"sill plate", "rim", "sole plate", "top plate", "stud", "plate"}
    laps = re.search(
        r"\b(?:lap|laps|lapped|lapping|overlap\w*|extend\w*|run|runs|continuous|past|carr\w+ uplift|uplift|span\w*|bridg\w+"
        r"|unbroken|(?:carried|brought|taken|hung|goes|comes) (?:\w+ )?(?:down|over|across)|no (?:\w+ )?(?:joints?|breaks?|seams?)\b"
        r"|in one (?:piece|sheet)|full height)\b",
        low,
    )
    nailed = re.search(r"\bnail\w*|\brows?\b|\d+d\b", low)
    return len(ties) >= 2 and bool(laps) and (bool(nailed) or "uplift" in low)


def whole_sheathing(read: Read, found: list[Requirement]) -> list[Requirement]:
    """Sheathing given as uplift path over several statements of one note."""
    end = len(read.low)
    if (
        not _PATH.search(read.low)
        or any(r.device == "sheathing" and r.joint != "other" for r in found)
        or re.search(r"not (?:\w+ )?(?:for |carry |as )?uplift|shear only", read.low)
    ):
        return []
    members = read.names(0, end, "member")
    return _sheathing(read, 0, end, members) if _is_uplift_sheathing(read.low, members, read.low) else []


_NO_OTHER_TIE = re.compile(
    r"\b(?:no|without|instead of|in place of) (?:[\w-]+ ){0,4}(?:ties?|straps?|clips?|connectors?|hardware|metal)\b[^.;,]{0,30}"
    r"|\b(?:ties?|straps?|clips?|connectors?|hardware) (?:are |is )?not (?:needed|required|used)"
)


def _sheathing(read: Read, start: int, end: int, members: frozenset[str]) -> list[Requirement]:
    """Sheathing that is lapped and nailed as the uplift path: one requirement for each joint that it crosses."""
    base = build(read, start, end, Subject("sheathing"))[0]
    if base.stance == "denied":  # "no separate ties needed": what is not needed is not the sheathing
        base = base.model_copy(update={"stance": stance_of(_NO_OTHER_TIE.sub(" ", read.low[start:end]))})
    joints: list[tuple[Joint, tuple[str, ...]]] = []
    if members & {"sill plate"}:
        joints.append(("stud-to-sill", tuple(m for m in ("stud", "sill plate") if m in members or m == "stud")))
    if members & {"rim", "sole plate"}:
        joints.append(("floor-to-floor", tuple(m for m in ("sole plate", "rim", "top plate") if m in members)))
    if members & {"top plate", "plate"}:
        joints.append(("plate-to-stud", tuple(m for m in ("top plate", "stud") if m in members or m == "stud")))
    return [base.model_copy(update={"device": "sheathing", "joint": joint, "joins": joins}) for joint, joins in joints]


_CONNECTORS_SAID = re.compile(
    r"\b(?:connectors?|(?:framing |connector |metal )?hardware|(?:ties|straps|hangers|clips|anchors|hold-?\s?downs|connectors)\b)"
)
_FASTENERS_SAID = re.compile(r"\bfasten\w*|\bnails?\b|\bnailed\b|\bnailing\b|\bscrews?\b|\binstall(?:ed|ation)?\b")


_METAL_AT_LARGE = re.compile(
    r"\b(?:(?:framing |light[- ]ga\w* |sheet )*metal (?:framing )?(?:pieces|parts|hardware|work|connectors|fittings)|(?:framing"
    r"|sheet) metal|metalwork"
    r"|(?:framing |connector )?hardware|(?:metal )?connectors)\b"
)


def nails_at_large(read: Read, found: list[Requirement]) -> list[Requirement]:
    """Nails of metal pieces at large, in a statement that nothing else was read from: "metal framing pieces get 10d x 2-1/2 nails"."""
    out: list[Requirement] = []
    for start, end in split(read.low, read.passage.text):
        low = read.low[start:end]
        taken = any(r.start < end and start < r.end and (r.mark or r.fasteners) for r in found)
        if taken or not _METAL_AT_LARGE.search(low) or any(m.start >= start and m.end <= end for m in read.marks):
            continue
        nails = tuple(f for f in fasteners_in(read, start, end) if f.kind in ("nail", "screw") and (f.diameter_in or f.penny))
        if nails and read.names(start, end, "member") <= {"wall", "roof"} and not read.names(start, end, "other trade"):
            base = build(read, start, end, Subject(None))[0]
            general = {"device": None, "joint": None, "joins": (), "steel": None, "spacing_in": None, "fasteners": nails}
            out.append(base.model_copy(update={**general, "scope": (*base.scope, "all connectors")}))
    return out


def left_to_maker(read: Read, found: list[Requirement]) -> list[Requirement]:
    """Fasteners of connectors at large left to a maker's paper, in a statement that nothing else was read from."""
    out: list[Requirement] = []
    for start, end in split(read.low, read.passage.text):
        maker = next((f for f in read.terms(start, end, "maker") if f.name == "manufacturer"), None)
        taken = any(r.to_maker or (r.start < end and start < r.end and (r.mark or r.fasteners)) for r in found)
        low = read.low[start:end]
        if maker is None or taken or read.names(start, end, "other trade") or any(m.start >= start and m.end <= end for m in read.marks):
            continue
        if _CONNECTORS_SAID.search(low) and _FASTENERS_SAID.search(low):
            base = build(read, start, end, Subject(None))[0]
            general = {"device": None, "joint": None, "joins": (), "steel": None, "spacing_in": None, "fasteners": ()}
            words = read.passage.text[maker.start : maker.end]
            out.append(base.model_copy(update={**general, "to_maker": words, "scope": (*base.scope, "all connectors")}))
    return out
