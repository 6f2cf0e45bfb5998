"""What the set says of the work: moisture, order of nailing, cut plates, treated wood, coatings, setting of anchors, existing work."""

from __future__ import annotations

import re
from collections.abc import Iterator

from notelint.language.view import View, has, members, quantities, storeys_in
from notelint.model import Clause, Fact, Term

_PERCENT_WORDS = {"twelve": 12, "fifteen": 15, "sixteen": 16, "eighteen": 18, "nineteen": 19}
_PERCENT = re.compile(rf"(\d{{1,2}}|{'|'.join(_PERCENT_WORDS)})\s*(?:%|percent|per cent)")
_OTHER_METAL = re.compile(
    r"flash|roofing|shingle|siding|gutter|drip|duct|lath|cladding|trim|tile|fascia|vent|felt|termite|weep|cement board|fence|railing"
    r"|screen|snow guard"
)
_FRAME_METAL = re.compile(
    r"connector|strap|tie|hold-?down|hanger|anchor|bolt|nail|screw|fastener|hardware|metal|steel|clip|washer|plate|base|cap|rod|sheet"
)
_TREATED = re.compile(r"(?<!un)treated\b|\btrtd\b|\bpress\.? ?tr|\bp\.?t\.?(?=\W|$)|preservative|\bacq\b|\buc[34][abc]?\b|ground contact")
_NOT_THE_FRAME = re.compile(
    r"soil|termite|fence|landscap|mailbox|retaining|\bp\.?t\.? slab|post-?tension|stake|raised bed|untreated (?!.*treated)"
)
_CUT_FOR = re.compile(r"\b(pipe|vent|duct|plumb|drain|stack|riser|conduit|mechanical|chase|hvac)")


def work_facts(view: View) -> Iterator[Fact]:
    """Facts of the work stated in one passage."""
    for clause in view.clauses:
        if clause.stance == "legend":
            continue
        yield from _moisture(view, clause)
        yield from _protection(view, clause)
        yield from _sundry(view, clause)
    for saying in view.said:  # a sentence without any trade term is no clause
        if saying.name == "corrosive site" and not any(c.start <= saying.start < c.end for c in view.clauses):
            yield view.at("corrosive-site", saying.start, saying.end)
        if saying.name == "strap order" and "strap" in view.low and not any(c.start <= saying.start < c.end for c in view.clauses):
            yield view.at("strap-order", saying.start, saying.end)
    yield from _cut_plates(view)
    yield from _end_distance(view)
    yield from _joining_existing(view)


_PIECE_AFTER = re.compile(r"[\"\u201d]?\s(?:straps?|ties?|clips?|hold-?downs?|anchors?|hangers?)\b")
_PIECE_BEFORE = re.compile(r"\b(?:straps?|ties?|clips?|hold-?downs?|anchors?|hangers?|mark|type),?\s[\"\u201c]?$")


def _is_a_mark(view: View, term: Term) -> bool:
    """Letters of a grade mark beside the name of a piece are the piece's mark: "strap KD", "KD straps"."""
    if len(view.low[term.start : term.end]) > 3:
        return False
    return bool(_PIECE_AFTER.match(view.low, term.end) or _PIECE_BEFORE.search(view.low[: term.start]))


def _moisture(view: View, clause: Clause) -> Iterator[Fact]:
    text = view.low[clause.start : clause.end]
    dry = any((t.kind, t.name) == ("state", "dry") and not _is_a_mark(view, t) for t in clause.terms) and clause.stance != "denied"
    content = (
        has(clause, "state", "moisture content") or re.search(r"moisture|\bm\.c\.|\bwetter\b|\bdryness\b|water content", text) is not None
    )
    limits = [float(_PERCENT_WORDS.get(m.group(1)) or m.group(1)) for m in _PERCENT.finditer(text)] if content else []
    wood = bool(re.search(r"lumber|wood|fram|stud|plate|joist|member|timber|southern pine|fir|spruce|hem|spf|syp", text + " " + view.scope))
    if dry and (wood or view.passage.kind in {"note", "text"}) and not re.search(r"keep|stor|tarp|cover", text[:40]):
        yield view.fact("moisture-limit", clause, value=19.0)
    elif limits and min(limits) <= 19 and wood:
        yield view.fact("moisture-limit", clause, value=min(limits))
    if has(clause, "state", "green") and wood and clause.stance != "denied":
        yield view.fact("green-lumber", clause)
    if view.states(clause, "strap order"):
        strapped = (
            has(clause, "device")
            or "strap" in view.low
            or view.says("device", "strap")
            or any(r.device == "strap" for r in view.requirements)
        )
        if (strapped and clause.stance != "denied") or "strap" in text:
            yield view.fact("strap-order", clause)


def _protection(view: View, clause: Clause) -> Iterator[Fact]:
    text = view.low[clause.start : clause.end]
    if _TREATED.search(text) and not _NOT_THE_FRAME.search(text):
        yield view.fact("treated-wood", clause)
    if view.states(clause, "furnished with trusses"):
        yield view.fact("furnished-with-trusses", clause)
    if view.states(clause, "corrosive site"):
        yield view.fact("corrosive-site", clause)
    for t in clause.terms:
        if t.kind != "coating" or t.name in {"galvanized", "G90"}:
            continue
        around = view.low[max(clause.start, t.start - 140) : min(clause.end, t.end + 90)]
        if _FRAME_METAL.search(around) and not _trade_metal_only(around):
            yield view.fact("coating", clause, text=t.name)


def _trade_metal_only(text: str) -> bool:
    """Whether the coated metal is another trade's: flashing, roofing or siding nails, and nothing of the frame beside it."""
    if not _OTHER_METAL.search(text):
        return False
    return not re.search(r"connector|strap|\bties?\b|hold-?down|hanger|anchor|bolts?\b|hardware|treated|framing|screws?\b", text)


def _sundry(view: View, clause: Clause) -> Iterator[Fact]:
    named = members(clause)
    text = view.low[clause.start : clause.end]
    if (
        has(clause, "code", "fastening table")
        and clause.stance != "denied"
        and re.search(r"r602|2304|\bcode\b|\birc\b|\bibc\b|\btable\b", text)
    ):
        yield view.fact("code-nailing", clause)
    if has(clause, "code", "anchor section") and re.search(r"anchor|bolt|sill", view.low):
        yield view.fact("code-anchors", clause)
    if view.states(clause, "setting instruction"):
        yield view.fact("setting", clause)
    if "existing" in named:
        yield view.fact("existing", clause)
    if "new" in named:
        yield view.fact("new", clause)
    if view.states(clause, "uplift path") and (
        named & {"sheathing", "wall sheathing"} or "panel" in text or "sheathing" in text or "panel" in view.low
    ):
        yield view.fact("sheathing-uplift", clause, storeys=storeys_in(clause, text))


_PLATE_END = re.compile(
    r"(\d{1,2}(?:-\d/\d)?)\s*(?:\"|in\.?|inch(?:es)?)\s*(?:max\.?|min\.?|maximum|minimum)?\s*(?:from|of|off)\s+(?:the |each |every "
    r"|both |all |either )*"
    r"(?:ends? of (?:the |each |every )?(?:sill|plate|piece|board|mudsill)|(?:sill|plate|mudsill|piece"
    r"|board)(?:'s)?(?: plate)?(?: piece)? (?:ends?|joints?|splices?))"
)
_END_LABEL = re.compile(
    r"(?:bolts?|anchors?|a\.?b\.?'?s?)\W{0,2}\s?(?:distance )?(?:from|to|at|off) (?:the |each |sill |mudsill )*(?:plate |sill "
    r"|mudsill )?(?:ends?|splices?|joints?)\s?[|:=]"
    r"\D{0,24}?(\d{1,2}(?:-\d/\d)?)\s*(?:\"|in\.?|inch)|(?:end|plate end) distances?\s?[|:=]\D{0,24}?(\d{1,2}(?:-\d/\d)?)\s*(?:\""
    r"|in\.?|inch)"
)
"""A row of a data table: "Bolts from plate ends | not over 12 in., not under 4 in."."""


def _end_distance(view: View) -> Iterator[Fact]:
    """A distance from plate ends in a place of its own, such as a detail of the plate joint."""
    for found in _PLATE_END.finditer(view.low):
        yield view.at("end-distance", found.start(), found.end(), value=float(found.group(1).split("-")[0]))
    for found in _END_LABEL.finditer(view.low):
        value = found.group(1) or found.group(2)
        yield view.at("end-distance", found.start(), found.end(), value=float(value.split("-")[0]))


_CUT_RULED = re.compile(
    r"strap|tie|nail|repair|reinforce|bridge|splice|block|scab|limit|half|50|consent|permission|wider than|larger|unless|up to|nothing"
    r"|\bno (?:\w+ ){0,2}(?:plates?|holes?|cutting|boring|notch\w*|drilling|more)\b|\bat (?:the )?most\b|\bmax|\bnever\b|\bnot\b"
    r"|\bmay be\b|\bwhole\b"
)
"""What makes a mention of a cut plate a rule about it: a repair, a limit, a ban."""


def _cut_plates(view: View) -> Iterator[Fact]:
    """What is said of top plates that are cut, bored or notched: a passage that names both, or a tie at such a cut."""
    low = view.low
    if view.passage.kind == "row":  # the title and the column heads say what a repair table is about
        low = " ".join([low, view.scope, *(c.column.lower() for c in view.passage.cells)])
    tied = [r for r in view.requirements if r.joint == "cut-plate"]
    plate = view.says("member", "top plate") or re.search(r"\btop plates?\b|\bplates?\b", low) is not None
    cut = view.says("state", "cut") or re.search(r"\bcut|bored?\b|notch|drill|hole|interrupt|pierc|penetrat", low) is not None
    only_studs = "stud" in low and not re.search(r"plate", low)
    sole = re.search(r"(sole|sill|bottom) plate", low) and not view.says("member", "top plate")
    if (tied or (plate and cut)) and not only_studs and not sole:
        clause = next((c for c in view.clauses if has(c, "state", "cut") or has(c, "state", "pipe")), None)
        start, end = (clause.start, clause.end) if clause and not tied else (0, len(view.passage.text))
        repaired = bool(tied) or bool(_CUT_RULED.search(low))
        if repaired:
            yield view.at("cut-plate", start, end, subject="pipe" if _CUT_FOR.search(low) else None)
    carries = view.says("state", "compression") or re.search(r"\bpush(?:es|ing)?\b|\bcompress", low)
    if (carries or view.says("device", "blocking") or view.says("member", "strongback")) and (tied or (plate and cut)):
        yield view.at("cut-plate-compression", 0, len(view.passage.text))


def _joining_existing(view: View) -> Iterator[Fact]:
    if view.says("member", "existing") and (view.says("member", "new") or "new" in view.low):
        clause = next((c for c in view.clauses if "existing" in members(c)), view.clauses[0])
        yield view.at("new-and-existing", clause.start, clause.end)


__all__ = ["quantities", "work_facts"]
