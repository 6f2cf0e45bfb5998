"""Requirements of running text: notes, callouts, titles."""

from __future__ import annotations

import re
from typing import NamedTuple

from notelint.language.assemble import Context, Subject, build, fasteners_in, stance_of
from notelint.language.clauses import split
from notelint.language.joints import CONCRETE, ROOF, STUDS
from notelint.language.marks import key_of
from notelint.language.segments import Anchor, Segment, anchors_of, segments_of
from notelint.language.words_of import GENERAL, Read
from notelint.model import Fastener, Joint, Requirement

_SHORT_PASSAGE = 240
_SHORT_LEAD = 80
_CONNECT = frozenset({"tie", "anchor", "strap", "connect", "fasten", "attach", "secure", "nail", "toenail", "bolt", "screw", "brace", "hang", "face nail", "end nail"})
_FOLLOWS = re.compile(r"^(?:one|two|three|each|install|nail|nails|leave|set|fix|locate|provide|it|they|this|these|bolts?|end bolts?|embed\w*|min|minimum|max|maximum|space|spacing|with|use|fasten|secure|washers?|nuts?|anchors?|straps?|fasteners?|screws?|place|first|to|from|at|not|no bolt|all bolts|\(?\d|_|gauge|see)\b|^\(")
_ALL_CONNECTORS = re.compile(r"\b(?:all|every|metal|framing|the)?\s?(?:\w+ ){0,2}(?:connectors?|hardware|hangers|ties and straps|straps and ties|straps|anchors|connector nails|hold-?downs|ties)\b")
_ALL_NAILS = re.compile(r"^(?:all |the )?(?:\w+ ){0,2}nails?\b[^.;]{0,50}?\b(?:are|is|shall be|to be|must be|means?|=|:)\b|\bnails (?:are|shall be) (?:all )?common|^(?:all )?nails\b|^use common nails")
_DEFINES = re.compile(r"^[\s\"')]*(?:=|-(?!\d)|:|,|\bis an?\b|\bare\b|\bdenotes\b|\bindicates\b|\bmeans\b)")


class MarkInfo(NamedTuple):
    """What the set says a mark is."""

    device: str | None
    joint: Joint | None


Book = dict[str, MarkInfo]


def read_statements(read: Read, book: Book, title: Context = Context()) -> list[Requirement]:
    """Requirements of a passage that is no schedule row; `title` is what the detail's title says. Titles and headings call for nothing."""
    if read.passage.kind in ("title", "heading"):
        return []
    blanket = _blanket_sizes(read)
    if blanket:
        return blanket
    segments = _segments(read, book)
    out: list[Requirement] = []
    context = title._replace(states=read.names(0, len(read.low), "state"))
    for segment in segments:
        out += _of_anchors(read, segment, book, context) if segment.anchors else _without_anchor(read, segment.start, segment.end)
    return _whole_quotes(read, out + _whole_sheathing(read, out))


def read_cells(read: Read, book: Book) -> list[Requirement]:
    """Connectors called for in the cells of another trade's schedule ("HD-7 each jamb" in a door's remarks)."""
    devices = {key: info.device for key, info in book.items()}
    out: list[Requirement] = []
    for cell in read.passage.cells:
        anchors = [a for a in anchors_of(read, cell.start, cell.end, devices) if a.mark and key_of(a.mark) in book]
        for segment in segments_of(read, cell.start, cell.end, anchors):
            out += _of_anchors(read, segment, book, Context())
    passage = read.passage
    whole = {"start": 0, "end": len(passage.text), "quote": passage.text, "box": passage.box()}
    return [r.model_copy(update={**whole, "defines": False}) for r in out]


def _segments(read: Read, book: Book) -> list[Segment]:
    devices = {key: info.device for key, info in book.items()}
    out: list[Segment] = []
    for start, end in statements(read):
        anchors = [a for a in anchors_of(read, start, end, devices) if _calls(read, a, start, end)]
        bolts = _bolt_anchor(read, start, end) if not anchors else None
        if bolts:
            anchors = [bolts]
        if anchors:
            found = segments_of(read, start, end, anchors)
            out += _joined_to_last(out, found, read)
        elif out and out[-1].anchors and _goes_on(read, out[-1], start, end):
            if _names_joint(read, start, end):
                out.append(Segment(start, end, out[-1].anchors, follows=True))
            else:
                out[-1] = out[-1]._replace(end=end)
        else:
            out.append(Segment(start, end, ()))
    return out


def statements(read: Read) -> list[tuple[int, int]]:
    """Start and end of each statement; a short lead ("Rafter clips.", "Porch roof.") goes with what follows it."""
    spans = split(read.low, read.passage.text)
    if len(spans) > 1 and read.passage.kind == "row":
        return [(spans[0][0], spans[1][1]), *spans[2:]]
    if len(spans) > 1:
        lead = read.low[spans[0][0] : spans[0][1]]
        if len(lead.split()) <= 5 and lead.endswith((".", ":")) and not re.search(r"\d|\b(?:are|is|shall|at|each|every|see|per|all|by|as)\b", lead):
            spans[:2] = [(spans[0][0], spans[1][1])]
    return spans


def _calls(read: Read, anchor: Anchor, start: int, end: int) -> bool:
    """Whether the word calls for something: general words and blocking only where something is said of them."""
    if anchor.mark:
        return True
    if anchor.device == "blocking" and re.search(r"\b(?:to|or|into|with|and|at|on)\s(?:\w+\s)?$", read.low[start : anchor.start]) and not read.names(start, end, "state") & {"cut", "compression", "pipe"}:
        return bool(re.search(r"\bpost", read.low[start:end]))
    if anchor.device == "blocking":
        return bool(read.names(start, end, "state") & {"cut", "compression", "pipe"}) or bool(fasteners_in(read, start, end)) or bool(re.search(r"post|between|under", read.low[start:end]))
    if anchor.device in ("connector", "anchor", "tie") and read.low[anchor.start : anchor.end].startswith("uplift"):
        return True
    return True


def _bolt_anchor(read: Read, start: int, end: int) -> Anchor | None:
    """"1/2 in. bolts at 6 ft" at a sill or in concrete are anchor bolts."""
    bolt = next((f for f in read.terms(start, end, "fastener") if f.name == "bolt" and "through" not in read.low[f.start : f.end]), None)
    if bolt is None or read.names(start, end, "member") & {"ledger", "post", "beam"}:
        return None
    roles = {role for q, role in read.lengths(start, end) if q.unit == "in" and (role != "spacing" or q.value >= 16)}
    on_concrete = bool(read.names(start, end, "member") & (CONCRETE | {"sill plate"})) or bool(roles & {"embedment", "end distance"})
    sized = any(f.kind in ("bolt", "anchor bolt") and f.diameter_in and f.diameter_in >= 0.5 for f in fasteners_in(read, start, end, "bolt"))
    if (on_concrete and (sized or "spacing" in roles or "end distance" in roles)) or (sized and "spacing" in roles):
        return Anchor(bolt.start, bolt.end, "anchor bolt", None)
    return None


def _joined_to_last(out: list[Segment], found: list[Segment], read: Read) -> list[Segment]:
    """Bolts spoken of again ("end bolts ...") belong to the anchor bolts before them."""
    first = found[0]
    if out and out[-1].anchors and _its_anchor(out[-1], first):
        out[-1] = out[-1]._replace(end=first.end)
        return found[1:]
    if out and out[-1].anchors and _same_bolts(out[-1], first) and not re.search(r"shear wall|garage|interior|porch", read.low[first.start : first.end]) and (first.start, first.end) != (0, len(read.low)):
        last = out[-1]
        out[-1] = last._replace(end=first.end)
        return found[1:]
    return found


def _its_anchor(last: Segment, first: Segment) -> bool:
    """Whether rods or bolts without a mark belong to the hold-down or base of the statement before."""
    one, two = last.anchors[-1], first.anchors[0]
    return two.mark is None and two.device in ("rod", "anchor bolt", "anchor") and one.device in ("hold-down", "post base") and len(first.anchors) == 1


def _same_bolts(last: Segment, first: Segment) -> bool:
    one, two = last.anchors[-1], first.anchors[0]
    return one.device == two.device == "anchor bolt" and not one.mark and not two.mark and len(last.anchors) == 1


def _goes_on(read: Read, last: Segment, start: int, end: int) -> bool:
    """Whether a statement without a device goes on about the last one."""
    low = read.low[start:end]
    if not read.quantities and not read.found:
        return False
    if last.anchors[-1].device == "anchor bolt" and ({role for _, role in read.lengths(start, end)} & {"end distance", "embedment"} or re.search(r"\bbolts?\b", low)):
        return True
    nails = fasteners_in(read, start, end)
    if nails and not _FOLLOWS.match(low) and read.terms(start, end, "member") and read.terms(start, end, "member")[0].start - start < 12:
        return False
    return bool(_FOLLOWS.match(low)) or (bool(read.terms(start, end, "maker")) and len(low) < 90)


def _names_joint(read: Read, start: int, end: int) -> bool:
    return bool(re.search(r"\b(?:stud|plate|rafter|truss|header|post|beam|sill|joist)e?s? to (?:\w+ ){0,3}(?:stud|plate|rafter|truss|header|post|beam|sill|joist|foundation|slab)", read.low[start:end])) and not fasteners_in(read, start, end)


def _of_anchors(read: Read, segment: Segment, book: Book, context: Context) -> list[Requirement]:
    out: list[Requirement] = []
    for anchor in segment.anchors:
        info = book.get(key_of(anchor.mark)) if anchor.mark else None
        device = _device(anchor, info)
        if device is None and anchor.mark:
            device = _by_act(read, segment)
        subject = Subject(device, anchor.mark, info.joint if info else None)
        if not anchor.mark and _only_placed(read, segment):
            continue
        built = build(read, segment.start, segment.end, subject, hint=_hint(device), context=context)
        out += [_finished(r, read, segment, anchor) for r in built]
    return [r for r in out if _worth(r)]


def _by_act(read: Read, segment: Segment) -> str | None:
    """"Tie each truss to plate with KB-14": the act tells what kind of thing an unknown mark is."""
    acts = read.names(segment.start, segment.end, "act")
    if not read.terms(segment.start, segment.end, "member"):
        return None
    return "strap" if "strap" in acts else "tie" if acts & {"tie", "anchor", "connect"} else None


def _device(anchor: Anchor, info: MarkInfo | None) -> str | None:
    """What the mark is by its definition; the words beside it where they are plainer than a definition as mere strap."""
    defined = info.device if info else None
    if defined is None or (defined == "strap" and anchor.device not in (None, "rod", *GENERAL)):
        return anchor.device or defined
    return defined


def _whole_quotes(read: Read, found: list[Requirement]) -> list[Requirement]:
    """A short passage about one thing is quoted whole, and the first requirement from the passage's first words on."""
    passage = read.passage
    spans = sorted({(r.start, r.end) for r in found})
    if not spans or any("all nails" in r.scope for r in found):
        return found
    first = spans[0]
    whole = len(spans) == 1 and len(passage.text) <= _SHORT_PASSAGE
    begin = 0 if whole or 0 < first[0] <= _SHORT_LEAD else first[0]
    finish = len(passage.text) if whole else first[1]
    if (begin, finish) == first:
        return found
    update = {"start": begin, "end": finish, "quote": passage.text[begin:finish], "box": passage.box(begin, finish)}
    return [r.model_copy(update=update) if (r.start, r.end) == first else r for r in found]


_PLACED = re.compile(r"\b(?:are|is|shall be|to be|must be)\s(?:\w+ly )?(?:held|placed|set|located|dimensioned|positioned|tied|wired|hung|listed|shown|scheduled|marked|identified|given|noted|tabulated|checked|inspected|ordered)\b|\b(?:hang in|templates?|before the pour|prior to (?:the )?pour|wet concrete|dimensions? (?:run|are)|cent(?:er|re)s? (?:are|of the anchors))|\blayout (?:starts|begins)")
_CALLED = re.compile(r"\beach\b|\bevery\b|\ball\b|\d\s?(?:in\.?|\")?\s?(?:dia|o\.?c|on center|x)|\bcorners?\b|\bat (?:the )?(?:ends|jambs|openings)|\b(?:ends|sides) of\b")


def _only_placed(read: Read, segment: Segment) -> bool:
    """Words on how or where things called for elsewhere are set, listed or measured call for nothing themselves."""
    low = read.low[segment.start : segment.end]
    return bool(_PLACED.search(low)) and not _CALLED.search(low) and not fasteners_in(read, segment.start, segment.end)


def _hint(device: str | None) -> str | None:
    return {"anchor bolt": "anchor bolt", "rod": "rod"}.get(device or "")


def _finished(requirement: Requirement, read: Read, segment: Segment, anchor: Anchor) -> Requirement:
    """Scope of general statements, and whether the words define the mark."""
    update: dict[str, object] = {}
    low = read.low[segment.start : segment.end]
    if requirement.device is None and not anchor.mark and anchor.device in ("connector", "anchor") and requirement.steel is None:
        if not requirement.joins or requirement.fasteners or requirement.to_maker:
            update["scope"] = (*requirement.scope, "all connectors")
    if anchor.mark and not segment.follows and defines(read, anchor, segment):
        update["defines"] = True
    if re.match(r"^[a-z][a-z.]{0,6}\s?=", low) and not re.search(r"\d", low):
        update["stance"] = "legend"
    return requirement.model_copy(update=update) if update else requirement


def defines(read: Read, anchor: Anchor, segment: Segment) -> bool:
    """"HD-3 = hold-down", "JH-26: face hanger for 2x6, 18 gauge": words right after a mark that say what it is."""
    mark = next((m for m in read.marks if m.start >= anchor.start and m.end <= anchor.end), None)
    if mark is None:
        return False
    tail = read.low[mark.end : segment.end]
    if not _DEFINES.match(tail):
        return False
    device = next((f for f in read.terms(mark.end, segment.end, "device")), None)
    says_device = device is not None and device.start - mark.end < 40 and not re.search(r"\b(?:at|to|each|on|from)\b", read.low[mark.end : device.start])
    says_steel = bool(re.match(r"^[\s:=,-]*(?:[\w.-]+ ){0,6}?\d{1,2}\s?-?(?:ga\b|gauge|gage)", tail))
    return says_device or says_steel or tail.lstrip().startswith("=")


def _worth(requirement: Requirement) -> bool:
    """General words with nothing said of them call for nothing."""
    if requirement.device or requirement.mark:
        return True
    return bool(requirement.joint or requirement.fasteners or requirement.to_maker or requirement.vague or requirement.coating)


def _without_anchor(read: Read, start: int, end: int) -> list[Requirement]:
    """Statements without a connector: sheathing as uplift path, nailing, blanket words on nails, vague connections."""
    low = read.low[start:end]
    members = read.names(start, end, "member")
    nails = [f for f in fasteners_in(read, start, end) if f.kind in ("nail", "screw", "lag screw", "bolt")]
    if _is_uplift_sheathing(low, members, read.low):
        return _sheathing(read, start, end, members)
    if stance_of(low) == "blank":
        return [r for r in build(read, start, end, Subject(None))[:1] if r.joint]
    if nails and (members or read.names(start, end, "act") & {"toenail", "face nail", "end nail", "nail", "lap", "splice"}):
        return _nailing(read, start, end, nails)
    if _ALL_NAILS.search(low):
        return _blanket_nails(read, start, end)
    acts = read.names(start, end, "act") & _CONNECT
    if read.names(start, end, "other trade") and not members - {"ridge", "roof", "wall"}:
        return []
    if acts and (read.terms(start, end, "vague") or read.terms(start, end, "maker")) and (members - {"wall", "roof"} or "connect" in acts or len(read.names(start, end, "place")) > 1):
        built = build(read, start, end, Subject(None))
        return [r for r in built[:1] if r.vague or r.to_maker]
    if (acts & {"nail", "toenail", "face nail", "end nail"} or re.search(r"\bnail", low)) and _code_nailing(read, start, end):
        return [r.model_copy(update={"device": "nailing"}) for r in build(read, start, end, Subject("nailing"))]
    if "fastening table" in read.names(start, end, "code") and len(members) > 1:
        return [r.model_copy(update={"device": "nailing"}) for r in build(read, start, end, Subject("nailing"))]
    return _tied_by_act(read, start, end, acts, members)


def _code_nailing(read: Read, start: int, end: int) -> bool:
    return bool(read.names(start, end, "code")) or bool(read.terms(start, end, "maker"))


def _tied_by_act(read: Read, start: int, end: int, acts: frozenset[str], members: frozenset[str]) -> list[Requirement]:
    """"Tie each truss to the wall" and "strap headers to king studs" call for a device in general words."""
    act = acts & {"tie", "strap", "anchor"}
    if not act or len(members - {"wall", "roof"}) < 1 or len(members) < 2:
        return []
    device = "strap" if "strap" in act else "tie" if "tie" in act else "anchor"
    return [r for r in build(read, start, end, Subject(device)) if r.joint and r.device]


def _is_uplift_sheathing(low: str, members: frozenset[str], whole: str) -> bool:
    speaks = members & {"wall sheathing", "sheathing"} or re.search(r"\bpanels?\b|\bsheath", low)
    if not speaks and not (re.search(r"\bpanels?\b|\bsheath", whole) and re.match(r"(?:\w+ ){0,2}(?:them|they|these|it)\b", low)):
        return False
    ties = members & {"sill plate", "rim", "sole plate", "top plate", "stud", "plate"}
    laps = re.search(r"\b(?:lap|laps|lapped|lapping|overlap\w*|extend\w*|run|runs|continuous|past|carr\w+ uplift|uplift|span\w*)\b", low)
    nailed = re.search(r"\bnail\w*|\brows?\b|\d+d\b", low)
    return len(ties) >= 2 and bool(laps) and (bool(nailed) or "uplift" in low)


_SIZES_MEANT = re.compile(r"\bwhere\w*\s(?:\w+\s){0,2}?\d{1,2}d\b[^.;]{0,50}\b(?:shown|called|noted|specified|listed|indicated|given|written|said)\b[^.;]{0,60}?\b(?:use|are|is|means?|shall be|install|provide)\b")


def _blanket_sizes(read: Read) -> list[Requirement]:
    """"Where 10d is shown for a tie, use 0.148 x 2-1/2 in. nails": what a penny size means on connectors all over the set."""
    match = _SIZES_MEANT.search(read.low)
    if not match:
        return []
    nails = fasteners_in(read, match.start(), len(read.low))
    penny = next((f for f in nails if f.penny), None)
    size = next((f for f in nails if f.length_in and not f.penny), None)
    if penny is None or size is None:
        return []
    base = build(read, 0, len(read.low), Subject(None))[0]
    nail = penny.model_copy(update={"diameter_in": size.diameter_in, "length_in": size.length_in, "stated": ("penny", "diameter_in", "length_in")})
    return [base.model_copy(update={"device": None, "joint": None, "joins": (), "fasteners": (nail,), "scope": ("all connectors",), "each": False, "place": None})]


def _whole_sheathing(read: Read, found: list[Requirement]) -> list[Requirement]:
    """Sheathing given as uplift path over several statements of one note."""
    end = len(read.low)
    if not _PATH.search(read.low) or any(r.device == "sheathing" and r.joint != "other" for r in found) or re.search(r"not (?:\w+ )?(?:for |carry |as )?uplift|shear only", read.low):
        return []
    members = read.names(0, end, "member")
    return _sheathing(read, 0, end, members) if _is_uplift_sheathing(read.low, members, read.low) else []


_PATH = re.compile(r"uplift|load path|ties? (?:the )?(?:wall|studs|plates|stories|floors)|\blap(?:s|ped|ping)? (?:over |past |onto |the |down |both )*(?:\w+ ){0,2}(?:rim|sill|plate|band|mud)")


def _sheathing(read: Read, start: int, end: int, members: frozenset[str]) -> list[Requirement]:
    """Sheathing that is lapped and nailed as the uplift path: one requirement for each joint that it crosses."""
    base = build(read, start, end, Subject("sheathing"))[0]
    joints: list[tuple[Joint, tuple[str, ...]]] = []
    if members & {"sill plate"}:
        joints.append(("stud-to-sill", tuple(m for m in ("stud", "sill plate") if m in members or m == "stud")))
    if members & {"rim", "sole plate"}:
        joints.append(("floor-to-floor", tuple(m for m in ("sole plate", "rim", "top plate") if m in members)))
    if members & {"top plate", "plate"}:
        joints.append(("plate-to-stud", tuple(m for m in ("top plate", "stud") if m in members or m == "stud")))
    return [base.model_copy(update={"device": "sheathing", "joint": joint, "joins": joins}) for joint, joins in joints]


def _nailing(read: Read, start: int, end: int, nails: list[Fastener]) -> list[Requirement]:
    """Wood-to-wood nailing, one requirement for each phrase "stud to plate, 2-16d"."""
    out: list[Requirement] = []
    for a, b in _nailing_phrases(read, start, end, nails):
        for requirement in build(read, a, b, Subject("nailing"))[:2]:
            joint = requirement.joint or ("plate-splice" if re.search(r"\blaps?\b|lap nailing|splice", read.low[a:b]) and "plate" in read.low else "other")
            device = "sheathing" if joint == "other" and _PANELS.search(read.low[a:b]) else "nailing"
            out.append(requirement.model_copy(update={"joint": joint, "device": device}))
    return out


_PANELS = re.compile(r"sheathing|shtg|\bpanels?\b|plywood|\bosb\b|strand board|\bcdx\b|structural i\b|subfloor|\bsheath")


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


def _blanket_nails(read: Read, start: int, end: int) -> list[Requirement]:
    """"All nails are common": what holds for every nail of the set."""
    low = read.low[start:end]
    kind = re.search(r"\b(common|box|sinker)s?\b", low)
    coat = read.terms(start, end, "coating")
    if not kind and not coat:
        return []
    base = build(read, start, end, Subject("nailing"))[0]
    nail = Fastener(kind="nail", type=kind[1] if kind else None, coating=coat[0].name if coat else None, start=start, end=end, stated=("type",) if kind else ())
    return [base.model_copy(update={"device": "nailing", "joint": None, "joins": (), "fasteners": (nail,), "scope": (*base.scope, "all nails", *(("all connectors",) if re.search(r"sheet metal|hardware|connector|steel|straps|anchors", low) else ()))})]


def roof_and_stud(joins: tuple[str, ...]) -> bool:
    """Whether roof framing and a stud are both joined."""
    return bool(set(joins) & ROOF) and bool(set(joins) & STUDS)
