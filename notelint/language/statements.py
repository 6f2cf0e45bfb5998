"""Requirements of running text: notes, callouts, titles."""

from __future__ import annotations

import re
from typing import NamedTuple

from notelint.language.assemble import build, fasteners_in
from notelint.language.joints import ROOF
from notelint.language.marks import key_of
from notelint.language.nailing import blanket_connector_nails, blanket_sizes, is_blanket
from notelint.language.plain import plain
from notelint.language.rows import own_mark, title_of
from notelint.language.said_joints import NO_CONTEXT, Context, Subject
from notelint.language.segments import Anchor, Segment, anchors_of, segments_of
from notelint.language.stretches import stretches
from notelint.language.unanchored import left_to_maker, nails_at_large, whole_sheathing, without_anchor
from notelint.language.words_of import GENERAL, Read
from notelint.model import Cell, FastenerKind, Joint, Requirement

_SHORT_PASSAGE = 240
_SHORT_LEAD = 80
_DEFINES = re.compile(r"^[\s\"')]*(?:=|-(?!\d)|:|,|\bis an?\b|\bare\b|\bdenotes\b|\bindicates\b|\bmeans\b)")
_PLACED = re.compile(
    r"\b(?:are|is|shall be|to be|must be)\s(?:\w+ly )?(?:held|placed|set|located|dimensioned|positioned|tied to (?:the |a "
    r")?(?:\w+ )?(?:template|form|bar|rebar|steel|reinforc\w+)s?|installed (?:snug|tight|plumb|level|so)|wired|hung|listed"
    r"|shown|scheduled|marked|identified|given|noted|tabulated|checked|inspected|ordered)\b|\b(?:hang in|templates?|before the "
    r"pour|prior to (?:the )?pour|wet concrete|dimensions? (?:run|are)|cent(?:er|re)s? (?:are|of the anchors))|\blayout (?:starts"
    r"|begins)"
)
_CALLED = re.compile(
    r"\beach\b|\bevery\b|\ball\b|\d\s?(?:in\.?|\")?\s?(?:dia|o\.?c|on center|x)|\bcorners?\b|\bat (?:the )?(?:ends|jambs|openings)"
    r"|\b(?:ends|sides) of\b"
)


class MarkInfo(NamedTuple):
    """What the set says a mark is."""

    device: str | None
    joint: Joint | None


Book = dict[str, MarkInfo]


def read_statements(read: Read, book: Book, title: Context = NO_CONTEXT) -> list[Requirement]:
    """Requirements of a passage that is no schedule row; `title` is what the detail's title says. Titles and headings call for nothing."""
    if read.passage.kind in ("title", "heading"):
        return []
    blanket = blanket_sizes(read)
    if blanket:
        return blanket
    segments = stretches(read, {key: info.device for key, info in book.items()})
    out: list[Requirement] = []
    context = title._replace(states=read.names(0, len(read.low), "state"))
    for segment in segments:
        if segment.anchors and not any(a.mark for a in segment.anchors) and is_blanket(read.low[segment.start : segment.end]):
            every = blanket_connector_nails(read, segment.start, segment.end)
            if every:
                out += every
                continue
        out += _of_anchors(read, segment, book, context) if segment.anchors else without_anchor(read, segment.start, segment.end, context)
    out += left_to_maker(read, out)
    out += nails_at_large(read, out) if read.passage.kind in ("note", "text") else []
    return _whole_quotes(read, out + whole_sheathing(read, out))


def read_cells(read: Read, book: Book) -> list[Requirement]:
    """Connectors called for in the cells of another trade's schedule ("HD-7 each jamb" in a door's remarks)."""
    devices = {key: info.device for key, info in book.items()}
    out: list[Requirement] = []
    for cell in read.passage.cells:
        anchors = [a for a in anchors_of(read, cell.start, cell.end, devices) if a.mark and key_of(a.mark) in book]
        anchors = anchors or _anchor_by_head(read, cell)
        for segment in segments_of(read, cell.start, cell.end, anchors):
            out += _of_anchors(read, segment, book, Context())
    passage = read.passage
    whole = {"start": 0, "end": len(passage.text), "quote": passage.text, "box": passage.box()}
    return [r.model_copy(update={**whole, "defines": False}) for r in out]


_HEADS = (
    (re.compile(r"\bbase\b|\bfoot\b"), "post base"), (re.compile(r"\bcaps?\b"), "post cap"),
    (re.compile(r"hold-?\s?downs?|tie-?\s?downs?"), "hold-down"),
    (re.compile(r"\bstraps?\b"), "strap"), (re.compile(r"\bties?\b|\bclips?\b|connectors?"), "tie"), (re.compile(r"hangers?"), "hanger"),
)  # fmt: skip


def _anchor_by_head(read: Read, cell: Cell) -> list[Anchor]:
    """A mark under a column head that says what it is: "VB-66" under BASE, "QS-10" under TIE in a header schedule."""
    mark = own_mark(read.passage, cell)
    device = next((name for pattern, name in _HEADS if pattern.search(plain(cell.column))), None)
    if mark is None or device is None:
        return []
    at = read.passage.text.index(mark, cell.start)
    in_headers = re.search(r"header|lintel|opening", title_of(read.passage))
    return [Anchor(at, at + len(mark), "header tie" if in_headers and device in ("tie", "strap") else device, mark)]


def _of_anchors(read: Read, segment: Segment, book: Book, context: Context) -> list[Requirement]:
    several = _all_connectors(read, segment)
    if several:
        return several
    out: list[Requirement] = []
    for anchor in segment.anchors:
        info = book.get(key_of(anchor.mark)) if anchor.mark else None
        device = _device(anchor, info)
        if device is None and anchor.mark:
            device = _by_act(read, segment) or _by_fasteners(read, segment)
        if device == "rod" and not anchor.mark and _of_sill(read, segment):
            device = "anchor bolt"
        subject = Subject(device, anchor.mark, info.joint if info else None)
        if not anchor.mark and _only_placed(read, segment):
            continue
        built = build(read, segment.start, segment.end, subject, hint=_hint(device), context=context)
        if device == "anchor" and not anchor.mark and _of_sill_before(read, segment, built):
            built = [r.model_copy(update={"device": "anchor bolt", "joint": "sill-to-foundation"}) for r in built]
        if (
            device == "anchor bolt"
            and not anchor.mark
            and _POST_LEADS.match(read.low)
            and "sill plate" not in read.names(0, len(read.low), "member")
        ):
            built = [r.model_copy(update={"joint": "post-foot", "joins": ("post",)}) for r in built]
        if anchor.mark and device in ("tie", "connector", "clip", "anchor") and _of_roof_before(read, segment, built):
            built = [r.model_copy(update={"device": "roof tie", "joint": "roof-to-wall"}) for r in built[:1]]
        if (device in ("tie", "connector", "strap", "clip") or (device is None and anchor.mark)) and _of_post_before(read, segment, built):
            built = [r.model_copy(update={"joint": "post-head", "joins": ("post", "beam")}) for r in built]
        out += [_finished(r, read, segment, anchor) for r in built]
    return [r for r in out if _worth(r)]


_POST_LEADS = re.compile(r"\W*(?:[\w-]+ ){0,2}(?:posts?|columns?)\b[^.;]{0,30}[:.]")
"""A note about posts: anchors in it hold their foot plates."""
_SEVERAL = frozenset({"strap", "tie", "hanger", "clip", "connector", "anchor", "roof tie", "angle", "hold-down", "stud tie", "header tie"})


def _all_connectors(read: Read, segment: Segment) -> list[Requirement]:
    """What holds for "ties, straps and hangers" at large: their nails, coating or literature, with no mark and no place."""
    named = [f for f in read.terms(segment.start, segment.end, "device") if f.name in _SEVERAL and read.low[: f.end].endswith("s")]
    if len({f.name for f in named}) < 2 or any(a.mark for a in segment.anchors) or read.names(segment.start, segment.end, "member"):
        return []
    base = build(read, segment.start, segment.end, Subject(None))[0]
    if not (base.fasteners or base.coating or base.to_maker):
        return []
    return [base.model_copy(update={"device": None, "joint": None, "joins": (), "steel": None, "scope": (*base.scope, "all connectors")})]


def _of_roof_before(read: Read, segment: Segment, built: list[Requirement]) -> bool:
    """A tie without a member of its own in a note whose words before it speak of trusses or rafters alone."""
    if len(built) != 1 or built[0].joint or read.names(segment.start, segment.end, "member"):
        return False
    before = read.names(0, segment.start, "member") - {"roof", "wall"}
    return bool(before) and before <= ROOF


def _of_sill(read: Read, segment: Segment) -> bool:
    """Rods through a sill into concrete at a spacing are its anchors."""
    members = read.names(segment.start, segment.end, "member")
    spaced = any(role == "spacing" for _, role in read.lengths(segment.start, segment.end))
    return "sill plate" in members and bool(members & {"foundation", "stem wall", "footing", "slab"}) and spaced and "stud" not in members


def _of_sill_before(read: Read, segment: Segment, built: list[Requirement]) -> bool:
    """Anchors with a diameter in a note whose words before them speak of the sill."""
    if len(built) != 1 or built[0].joint not in (None, "other") or "sill plate" not in read.names(0, segment.start, "member"):
        return False
    return any(f.kind == "anchor bolt" and f.diameter_in for f in built[0].fasteners)


def _of_post_before(read: Read, segment: Segment, built: list[Requirement]) -> bool:
    """A strap to the beam in a note whose words before it speak of posts: "posts: foot - base B-6; head - strap ST-2 to beam"."""
    if len(built) != 1 or built[0].joint not in (None, "other") or "post" not in read.names(0, segment.start, "member"):
        return False
    own = read.names(segment.start, segment.end, "member")
    return own <= {"beam"} and ("beam" in own or bool(re.search(r"\b(?:head|top)\b\W{0,3}$", read.low[: segment.start])))


def _by_act(read: Read, segment: Segment) -> str | None:
    """What kind of thing an unknown mark is, told by the act: "tie each truss to plate with KB-14"."""
    acts = read.names(segment.start, segment.end, "act")
    if not read.terms(segment.start, segment.end, "member"):
        return None
    return "strap" if "strap" in acts else "tie" if acts & {"tie", "anchor", "connect"} else None


def _by_fasteners(read: Read, segment: Segment) -> str | None:
    """Nails or screws and an anchor in concrete make a hold-down; nails at each truss or rafter a roof tie."""
    kinds = {f.kind for f in fasteners_in(read, segment.start, segment.end)}
    low = read.low[segment.start : segment.end]
    if kinds & {"anchor bolt", "rod"} and kinds & {"nail", "screw", "bolt"} and not re.search(r"\b(?:base|pier|porch post)\b", low):
        return "hold-down"
    if kinds & {"nail", "screw"} and re.search(r"\b(?:each|every|ea\.?) (?:roof )?(?:truss|rafter)\b", low):
        return "roof tie"
    return None


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


def _only_placed(read: Read, segment: Segment) -> bool:
    """Words on how or where things called for elsewhere are set, listed or measured call for nothing themselves."""
    low = read.low[segment.start : segment.end]
    return bool(_PLACED.search(low)) and not _CALLED.search(low) and not fasteners_in(read, segment.start, segment.end)


def _hint(device: str | None) -> FastenerKind | None:
    kinds: dict[str, FastenerKind] = {"anchor bolt": "anchor bolt", "rod": "rod"}
    return kinds.get(device or "")


def _finished(requirement: Requirement, read: Read, segment: Segment, anchor: Anchor) -> Requirement:
    """Scope of general statements, and whether the words define the mark."""
    update: dict[str, object] = {}
    low = read.low[segment.start : segment.end]
    unnamed = (
        requirement.device is None
        and not anchor.mark
        and requirement.steel is None
        and (anchor.device == "connector" or (anchor.device == "anchor" and not requirement.fasteners))
    )
    if unnamed and (not requirement.joins or requirement.fasteners or requirement.to_maker):
        update["scope"] = (*requirement.scope, "all connectors")
    if anchor.mark and not segment.follows and defines(read, anchor, segment):
        update["defines"] = True
    if re.match(r"^[a-z][a-z.]{0,6}\s?=", low) and not re.search(r"\d", low):
        update["stance"] = "legend"
    return requirement.model_copy(update=update) if update else requirement


def defines(read: Read, anchor: Anchor, segment: Segment) -> bool:
    """Whether the words right after a mark say what it is: "HD-3 = hold-down", "JH-26: face hanger for 2x6, 18 gauge"."""
    mark = next((m for m in read.marks if m.start >= anchor.start and m.end <= anchor.end), None)
    if mark is None:
        return False
    tail = read.low[mark.end : segment.end]
    leads = mark.start == 0 and read.passage.label.endswith(f"'{mark.text}'")  # the mark stands alone on the line above
    if not leads and not _DEFINES.match(tail):
        return False
    device = next((f for f in read.terms(mark.end, segment.end, "device")), None)
    says_device = (
        device is not None
        and device.start - mark.end < 40
        and not re.search(r"\b(?:at|to|each|on|from)\b", read.low[mark.end : device.start])
    )
    says_steel = bool(re.match(r"^[\s:=,-]*(?:[\w.-]+ ){0,6}?\d{1,2}\s?-?(?:ga\b|gauge|gage)", tail))
    return says_device or says_steel or tail.lstrip().startswith("=")


def _worth(requirement: Requirement) -> bool:
    """General words with nothing said of them call for nothing."""
    if requirement.device or requirement.mark:
        return True
    return bool(requirement.joint or requirement.fasteners or requirement.to_maker or requirement.vague or requirement.coating)
