"""A passage cut into stretches, each about one device (or several that share the words) or about none."""

from __future__ import annotations

import re

from notelint.language.assemble import fasteners_in
from notelint.language.clauses import split
from notelint.language.joints import CONCRETE
from notelint.language.roles import end_distance
from notelint.language.segments import Anchor, Segment, anchors_of, segments_of
from notelint.language.words_of import GENERAL, Read

_FOLLOWS = re.compile(
    r"^(?:one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|fourteen|sixteen|each|ea\.?:?|install|nail|nails"
    r"|leave|set|fix|locate"
    r"|provide|it|they|this|these|bolts?|end bolts?|embed\w*|min"
    r"|minimum|max|maximum|space|spacing|with|use|fasten|secure|washers?|nuts?|anchors?|straps?|fasteners?|screws?|place|first|to"
    r"|from|at|not|no bolt|all bolts|\(?\d|_|gauge|see|allowable|rated|good for|capacity)\b|^\("
)


def statements(read: Read) -> list[tuple[int, int]]:
    """Start and end of each statement; a short lead ("Rafter clips.", "Porch roof.") goes with what follows it."""
    spans = split(read.low, read.passage.text)
    if len(spans) > 1 and read.passage.kind == "row":
        return [(spans[0][0], spans[1][1]), *spans[2:]]
    if len(spans) > 1:
        lead = read.low[spans[0][0] : spans[0][1]]
        if (
            len(lead.split()) <= 5
            and lead.endswith((".", ":"))
            and not re.search(r"\d|\b(?:are|is|shall|at|each|every|see|per|all|by|as)\b", lead)
        ):
            spans[:2] = [(spans[0][0], spans[1][1])]
    return spans


def stretches(read: Read, devices: dict[str, str | None]) -> list[Segment]:
    """Stretches of the passage in order; `devices` maps known mark keys to what they are."""
    out: list[Segment] = []
    for start, end in statements(read):
        anchors = [a for a in anchors_of(read, start, end, devices) if _calls(read, a, start, end)]
        bolts = _bolt_anchor(read, start, end) if not anchors else None
        if bolts:
            anchors = [bolts]
        if anchors:
            start = _after_bolted(read, start, anchors[0].start, out)
            start = _after_steel(read, start, anchors[0], out)
            found = segments_of(read, start, end, anchors)
            out += _joined_to_last(out, found, read)
        elif out and out[-1].anchors and _lists_on(read, out[-1], start, end):
            out.append(Segment(start, end, (out[-1].anchors[-1]._replace(mark=None),), follows=True))
        elif out and out[-1].anchors and _goes_on(read, out[-1], start, end):
            if _names_joint(read, start, end):
                out.append(Segment(start, end, out[-1].anchors, follows=True))
            else:
                out[-1] = out[-1]._replace(end=end)
        else:
            out.append(Segment(start, end, ()))
    return out


def _after_steel(read: Read, start: int, first: Anchor, out: list[Segment]) -> int:
    """Where blocking is spoken of after steel nailed over a cut, its own piece: "16 ga. strip, six 10d each side, add 2x blocking"."""
    if first.device != "blocking" or not any(q.unit == "gauge" for q, _ in read.lengths(start, first.start)):
        return start
    breaks = list(re.finditer(r",\s?(?:and\s|plus\s|add\s|with\s)?|;\s?|\b(?:plus|add|and)\s", read.low[start : first.start]))
    if not breaks or not fasteners_in(read, start, start + breaks[-1].start()):
        return start
    out.append(Segment(start, start + breaks[-1].start(), ()))
    return start + breaks[-1].end()


_THEN = re.compile(
    r"(?:,|;)\s?(?:and\s|then\s)?|\band\s(?=(?:standing|stood|set|seated|sitting|resting|bearing|stands?|sits?|bears?"
    r"|rests?|held|anchored)\b)"
)


def _after_bolted(read: Read, start: int, anchor: int, out: list[Segment]) -> int:
    """Where a statement goes on to its connector after a post's bolts to the beam, which are a joint of their own."""
    for match in _THEN.finditer(read.low, start, anchor):
        members = read.names(start, match.start(), "member")
        bolted = {"post", "beam"} <= members and any(f.kind == "bolt" and f.diameter_in for f in fasteners_in(read, start, match.start()))
        if bolted and not any(f.kind == "bolt" for f in fasteners_in(read, match.end(), anchor)):
            out.append(Segment(start, match.start(), ()))
            return match.end()
    return start


_IS_IT = re.compile(
    r"\b(?:laps?|lapping|panels?|sheathing|sheets|plywood|osb|skin|nailing|nails|plates?|blocks?)\s(?:is|are|acts?|serves?|works?|makes?"
    r"|forms?|becomes?|takes? the place of|stands? in for|counts?|shall be|shall serve|replaces?)\s(?:also\s|itself\s|itself,\s)?(?:as\s"
    r"|for\s)?(?:the|an?|our|your|all|any)?\s?(?:only\s|separate\s|uplift\s|wind\s)*$"
)
"""Words that make sheathing or nails the tie: "this lap is the uplift tie" calls for no piece of metal."""


def _calls(read: Read, anchor: Anchor, start: int, end: int) -> bool:
    """Whether the word calls for something: general words and blocking only where something is said of them."""
    if anchor.mark:
        return True
    if anchor.device in (*GENERAL, "strap", "stud tie") and _IS_IT.search(read.low[start : anchor.start]):
        return False
    if (
        anchor.device == "blocking"
        and re.search(r"\b(?:to|or|into|with|and|at|on)\s(?:\w+\s)?$", read.low[start : anchor.start])
        and not read.names(start, end, "state") & {"cut", "compression", "pipe"}
    ):
        return bool(re.search(r"\bpost", read.low[start:end]))
    if anchor.device == "blocking":
        return (
            bool(read.names(start, end, "state") & {"cut", "compression", "pipe"})
            or bool(fasteners_in(read, start, end))
            or bool(re.search(r"post|between|under", read.low[start:end]))
        )
    if anchor.device in ("connector", "anchor", "tie") and read.low[anchor.start : anchor.end].startswith("uplift"):
        return True
    return True


def _bolt_anchor(read: Read, start: int, end: int) -> Anchor | None:
    """Bolts at a sill or in concrete ("1/2 in. bolts at 6 ft") are anchor bolts."""
    bolt = next((f for f in read.terms(start, end, "fastener") if f.name == "bolt" and "through" not in read.low[f.start : f.end]), None)
    if bolt is None or read.names(start, end, "member") & {"ledger", "post", "beam"} or "stagger" in read.low[start:end]:
        return None
    roles = {role for q, role in read.lengths(start, end) if q.unit == "in" and (role != "spacing" or q.value >= 16)}
    on_concrete = bool(read.names(start, end, "member") & (CONCRETE | {"sill plate"})) or bool(roles & {"embedment", "end distance"})
    sized = any(
        f.kind in ("bolt", "anchor bolt") and f.diameter_in and f.diameter_in >= 0.5 for f in fasteners_in(read, start, end, "bolt")
    )
    if (on_concrete and (sized or "spacing" in roles or "end distance" in roles)) or (sized and "spacing" in roles):
        return Anchor(bolt.start, bolt.end, "anchor bolt", None)
    return None


def _joined_to_last(out: list[Segment], found: list[Segment], read: Read) -> list[Segment]:
    """Bolts spoken of again ("end bolts ...") belong to the anchor bolts before them."""
    first = found[0]
    if out and out[-1].anchors and _its_anchor(out[-1], first):
        out[-1] = out[-1]._replace(end=first.end)
        return found[1:]
    if (
        out
        and out[-1].anchors
        and _same_bolts(out[-1], first)
        and not re.search(r"shear wall|garage|interior|porch", read.low[first.start : first.end])
        and (first.start, first.end) != (0, len(read.low))
    ):
        last = out[-1]
        out[-1] = last._replace(end=first.end)
        return found[1:]
    return found


def _its_anchor(last: Segment, first: Segment) -> bool:
    """Whether rods or bolts without a mark belong to the hold-down or base of the statement before."""
    one, two = last.anchors[-1], first.anchors[0]
    return (
        two.mark is None
        and two.device in ("rod", "anchor bolt", "anchor")
        and one.device in ("hold-down", "post base")
        and len(first.anchors) == 1
    )


def _same_bolts(last: Segment, first: Segment) -> bool:
    one, two = last.anchors[-1], first.anchors[0]
    return one.device == two.device == "anchor bolt" and not one.mark and not two.mark and len(last.anchors) == 1


_JOINT_LEADS = re.compile(
    r"^(?:and )?(?:stud|plate|rafter|truss|header|post|beam|sill|joist)e?s? to (?:\w+ ){0,2}?(?:stud|plate|rafter|truss|header|post|beam"
    r"|sill|mudsill|joist|foundation|slab|girder|stem)s?\b"
)


def _lists_on(read: Read, last: Segment, start: int, end: int) -> bool:
    """Whether a statement set off by a semicolon gives the next joint of a list: "ties: truss to plate, 5-10d; plate to stud, 4-10d"."""
    anchor = last.anchors[-1]
    plural = read.low[anchor.start : anchor.end].endswith("s")
    listed = read.low[:start].rstrip().endswith(";") and anchor.device in (*GENERAL, "strap") and plural
    return bool(listed and _JOINT_LEADS.match(read.low[start:end]))


def _goes_on(read: Read, last: Segment, start: int, end: int) -> bool:
    """Whether a statement without a device goes on about the last one."""
    low = read.low[start:end]
    if not read.quantities and not read.found:
        return False
    if last.anchors[-1].device == "anchor bolt" and (
        end_distance(low, [])
        or {role for _, role in read.lengths(start, end)} & {"end distance", "embedment"}
        or re.search(r"\bbolts?\b", low)
    ):
        return True
    nails = fasteners_in(read, start, end)
    if nails and not _FOLLOWS.match(low) and read.terms(start, end, "member") and read.terms(start, end, "member")[0].start - start < 12:
        return False
    return bool(_FOLLOWS.match(low)) or (bool(read.terms(start, end, "maker")) and len(low) < 90)


def _names_joint(read: Read, start: int, end: int) -> bool:
    return bool(
        re.search(
            r"\b(?:stud|plate|rafter|truss|header|post|beam|sill|joist)e?s? to (?:\w+ ){0,3}(?:stud|plate|rafter|truss|header|post"
            r"|beam|sill|joist|foundation|slab)",
            read.low[start:end],
        )
    ) and not fasteners_in(read, start, end)
