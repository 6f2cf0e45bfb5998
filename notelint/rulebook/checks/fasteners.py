"""Checks of fasteners: not given, no length, no count, left to the maker, nails without a type, two sizes for one mark,
sizes that do not exist, penetration, coating."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable, Iterator

from notelint.language.fasteners import find_fasteners, type_in
from notelint.language.marks import prefix_of
from notelint.language.plain import plain
from notelint.loadpath.hardware import spoken_fastener
from notelint.loadpath.ties import CONNECTORS
from notelint.model import Fact, Fastener, Finding, Passage, Requirement
from notelint.places import spoken_place
from notelint.rulebook.case import Case, mark_key
from notelint.rulebook.checks.items import ANCHOR_KINDS, Item, blanket_fasteners, items, places, sized
from notelint.rulebook.checks.joints import NoParameters, spoken_list
from notelint.trade.nails import nail, nails_of_penny, same_diameter, same_length, size_contradicts

WOOD_NAILING = {"nailing", "sheathing", "blocking"}


def _merged(case: Case, found: Iterable[Item], about: str) -> Iterator[Finding]:
    """One question for all marks with the same defect."""
    listed = list(found)
    if listed:
        names = list(dict.fromkeys(i.name for i in listed))
        where = tuple(w for i in listed for w in places(case, i.about, 1))
        about = f"{about} {' '.join(sorted(names))}"
        reads = "the first reads" if len({spoken_place(w) for w in where}) > 1 else "it reads"
        yield Finding(rule="", where=where, values={"subject": spoken_list(names), "answer": reads}, subject=about)


def _delegated(case: Case) -> bool:
    return any(r.to_maker and not r.mark for r in case.duties)


def fastener_not_given(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Connectors called for with no fastener anywhere."""
    if blanket_fasteners(case) or _delegated(case):
        return
    yield from _merged(case, (i for i in items(case) if _bare(case, i)), "not given")


def _bare(case: Case, item: Item) -> bool:
    if (
        item.fasteners
        or item.to_maker
        or any(r.see and not _is_schedule_of_set(case, r) for r in item.about if not r.defines and not item.defined)
    ):
        return False
    if not item.defined and _of_a_scheduled_family(case, item):
        return False
    scheduled = case.definitions or not item.about[0].mark  # in a set without schedules a bare mark is a model
    if not item.defined and scheduled and not any(_named_beside(r) for r in item.about):
        return False  # an undefined mark or unnamed hardware has a question of its own
    return not any(_furnished(case, r) for r in item.about)


def _of_a_scheduled_family(case: Case, item: Item) -> bool:
    """A mark in the manner of a schedule's marks (T5 beside T1) that the schedule lacks is asked about as such."""
    mark = item.about[0].mark
    return bool(mark) and prefix_of(str(mark)) in {prefix_of(key) for key in case.definitions}


_PIECE = re.compile(r"\b(?:hangers?|ties?|straps?|clips?|bases?|caps?|hold-?downs?|angles?|connectors?|anchors?)\b")


def _named_beside(r: Requirement) -> bool:
    """Whether the words say what the piece is: its steel, or its name beside the mark or model."""
    return r.named and (r.steel is not None or r.mark is None or bool(_PIECE.search(r.quote.lower())))


def _is_schedule_of_set(case: Case, r: Requirement) -> bool:
    return any("sched" in s.lower() for s in r.see) or bool(case.definitions)


def _furnished(case: Case, r: Requirement) -> bool:
    """Whether the piece comes with the trusses from their maker."""
    return any(f.passage == r.passage and f.start < r.end and r.start < f.end for f in case.facts("furnished-with-trusses"))


def fastener_length(_: NoParameters, case: Case) -> Iterator[Finding]:
    """A size without a length: nothing for that mark, and no blanket note, gives it."""
    blanket, defined = blanket_fasteners(case), _pennies_with_length(case)
    defined |= _pennies_fixed_by_type(case)
    yield from _merged(case, (i for i in items(case) if _shortless(i, blanket, defined)), "length")


_ALL_OF_TYPE = re.compile(
    r"(?:^|[.;:,]\s+)(?:(?:all|every|each|any)\s+)?(?:wire\s+)?nails?\b(?:\s(?:called|given|named|shown|listed"
    r"|written)[^.;,]{0,24}?)?\s*[,:|-]?\s*(?:(?:shall be|to be|are|is|be|means?|=)\s+)?(?:all\s+)?"
    r"(?:(?:hot-dip(?:ped)?|galvanized|galv\.?|bright|steel|wire)\s+)*(?P<type>common|box|sinkers?)\b",
    re.IGNORECASE,
)
"""The type of nails at large: the subject is "nails" or "all nails"; "sheathing nails are common" speaks of those alone."""


_PENNIES_OF_TYPE = re.compile(
    r"\b(?:penny (?:sizes?|weights?|designations?|nails?)|sizes? (?:given )?(?:in|by) penny)\b[^.;]{0,40}?\b(?:is|are"
    r"|means?|mean|:|=)\s(?:\w+\s){0,3}?(?P<type>common|box|sinkers?)\b",
    re.IGNORECASE,
)


def _pennies_fixed_by_type(case: Case) -> set[str]:
    """Penny sizes of the set whose length a nail type said of all nails fixes: "all nails common" makes a 10d 3 in. long."""
    types = {
        m["type"].lower().removesuffix("s")
        for p in case.passages.values()
        for pattern in (_ALL_OF_TYPE, _PENNIES_OF_TYPE)
        if (m := pattern.search(p.text))
    }
    return {f.penny for i in items(case) for f in i.fasteners if f.penny and any(nail(f.penny, t) for t in types)}


_DEFINED = re.compile(
    r"\b(\d{1,2})\s?d\b(?:\s*nails?)?[^.;|]{0,40}?(?:is|are|=|means?|use|:|,|\()\s*(?:a |an )?[^.;|]{0,12}?0?\.\d{2,3}\s*(?:\""
    r"|in(?:ch(?:es)?)?\b\.?)?\s*(?:dia\.?\s*)?(?:x|by)\s*\d"
)


def _pennies_with_length(case: Case) -> set[str]:
    """Penny sizes that a note of the set gives a length once: "10d is 0.148 x 3 in", "where 10d is shown use 0.148 x 2-1/2"."""
    defining = {use.passage for use in case.reading.marks if use.key in case.definitions}
    return {
        f"{int(m.group(1))}d"
        for p in case.passages.values()
        if p.kind != "row" and p.id not in defining
        for m in _DEFINED.finditer(plain(p.text))
    }


def _shortless(item: Item, blanket: tuple[Fastener, ...], defined: set[str]) -> bool:
    lacking = [f for f in item.fasteners if sized(f) and not f.length_in and not _fixed_by_type(f) and f.penny not in defined]
    if not lacking or item.to_maker:
        return False
    return any(not any(g.length_in and _same_kind(f, g) for g in [*item.fasteners, *blanket]) for f in lacking)


def _fixed_by_type(f: Fastener) -> bool:
    return bool(f.penny and f.type and nail(f.penny, f.type))


def _same_kind(a: Fastener, b: Fastener) -> bool:
    """Whether two mentions can be one fastener: nothing stated in both differs but the length and count."""
    if a.kind and b.kind and a.kind != b.kind:
        return False
    if a.penny and b.penny:
        return a.penny == b.penny
    if a.number and b.number:
        return a.number == b.number
    if a.diameter_in and b.diameter_in:
        return same_diameter(a.diameter_in, b.diameter_in)
    return (a.penny is None) == (b.penny is None) or not (sized(a) and sized(b))


def fastener_count(_: NoParameters, case: Case) -> Iterator[Finding]:
    """A size without a number or pattern."""
    if any(f.fill for f in blanket_fasteners(case)):
        return
    yield from _merged(case, (i for i in items(case) if _countless(i) and not _counted_beside(case, i)), "count")


def _counted_beside(case: Case, item: Item) -> bool:
    """A number of nails beside the mark in another place ("M6, (13) nails ea. end"), where the size stands in the schedule."""
    key = mark_key(item.name)
    places_of = {u.passage for u in case.reading.marks if u.key == key and not u.defines and u.passage in case.passages}
    return any(re.search(r"(?<![\w/.-])\(?\d{1,2}\)?\s*-?\s*(?:nails?|screws?)\b", case.passages[p].text.lower()) for p in places_of)


def _countless(item: Item) -> bool:
    lacking = [f for f in item.fasteners if sized(f) and not (f.count or f.spacing_in or f.fill)]
    if not lacking or item.to_maker or any(f.fill for f in item.fasteners):
        return False
    if any(_EVERY_HOLE.search(r.quote.lower()) for r in item.about):
        return False
    return not any(f.count or f.spacing_in for f in item.fasteners)


_EVERY_HOLE = re.compile(r"\b(?:every|each|all)\b[^.;]{0,20}\bholes?\b|\bholes? filled|\bfull(?:y)? nailed")


_OTHER_MAKERS = re.compile(
    r"\bwindows?\b|\bdoors?\b|roofing|shingle|siding|gutter|louver|stucco|veneer|flashing|membrane|insulation|cabinet|appliance|skylight"
    r"|fixture|deck board|railing|solar|shutter|truss (?:brac|mak|manuf|suppl)"
)


def fastener_left_to_maker(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Fasteners left to the maker's literature, with no size and length on the sheets for those connectors."""
    left = [r for r in case.duties if r.to_maker and not _OTHER_MAKERS.search(r.quote.lower())]
    if not left:
        return
    known = [i for i in items(case) if i.device and (i.defined or i.about[0].mark or i.about[0].named)]
    open_items = [i for i in known if not any(f.length_in and sized(f) for f in i.fasteners)]
    blanket = [f for f in blanket_fasteners(case) if f.length_in and sized(f)]
    shown = []
    for r in left:
        if r.mark:
            own = [i for i in known if mark_key(i.name) == mark_key(r.mark)]
            if own and all(any(f.length_in and sized(f) for f in i.fasteners) for i in own):
                continue
        elif blanket or (known and not open_items):
            continue
        shown.append(r)
    if shown:
        yield Finding(rule="", subject="fasteners left to the maker", where=tuple(case.where_of(r) for r in shown[:4]),
                      values={"lacks": spoken_list(list(dict.fromkeys(i.name for i in open_items))[:6])} if open_items else {})  # fmt: skip


# ---------------------------------------------------------------- nails in wood


def nail_type(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Wood-to-wood nails by penny size alone, and nothing that governs them gives a type or diameter."""
    if case.has("code-nailing"):
        return
    if any(_types_all_nails(p.text) for p in case.passages.values()):
        return
    lacking: list[Requirement] = []
    pennies: list[str] = []
    for r in case.duties:
        if r.device not in WOOD_NAILING:
            continue
        bare = [f.penny for f in r.fasteners if f.penny and not f.type and not f.diameter_in and "diameter_in" not in f.stated]
        bare = [p for p in bare if p and not _said_elsewhere(case, p)]
        if bare:
            lacking.append(r)
            pennies += bare
    if lacking:
        names = sorted(set(pennies), key=lambda p: float(re.sub(r"\D", "", p) or 0))
        yield Finding(
            rule="", subject="nail type", values={"subject": spoken_list(names)}, where=tuple(case.where_of(r) for r in lacking[:6])
        )


_ALL_NAILS = re.compile(
    r"\ball (?:framing |other |field )?nails?(?: and spikes)?\s*[,:-]?\s*(?:shall be |to be |are |be )?(common|box|sinker|cooler)"
    r"|(?:all|any|wire)?\s*(?:framing |field |hand |connector |wood )?nails?\b[^.;]{0,60}?\b(?:are|is|be|means?|mean|=|:|to be"
    r"|shall)\b[^.;]{0,30}?\b(common|box|sinker|cooler|ring|deformed)"
    r"|\b(common|box|sinker)\b[^.;]{0,20}nails?\b[^.;]{0,40}?\b(?:u\.?n\.?o|unless|throughout|for all|in all|everywhere)"
    r"|^nails?\s*[|:.,-]+\s*(common|box|sinker)\b"
    r"|(?:penny|\bd\b|nail) (?:sizes?|designations?)[^.;]{0,40}?\b(common|box|sinker)"
    r"|unless[^.;]{0,40}(?:noted|named|otherwise|listed|shown)[^.;]{0,40}nails?[^.;]{0,30}(common|box|sinker)",
    re.I,
)


def _types_all_nails(text: str) -> bool:
    return "nail" in text.lower() and bool(_ALL_NAILS.search(text))


def _said_elsewhere(case: Case, penny: str) -> bool:
    """Whether the set defines this penny size once ("16d is 0.162 x 3-1/2") in a note of its own."""
    pattern = re.compile(
        rf"\b{penny}\b\s*(?:nails?\s*)?(?:(?:is|are|=|:|means|shall be|to be)\s*[^.;]{{0,20}}?(0?\.\d{{3}}|common|box|sinker)"
        rf"|\(?0?\.\d{{3}}\s?(?:\"|in\b\.?)?\s?(?:shank|dia|\)))",
        re.I,
    )
    return any(pattern.search(p.text) for p in case.passages.values())


# ---------------------------------------------------------------- two places, two fasteners


def fastener_disagrees(_: NoParameters, case: Case) -> Iterator[Finding]:
    """One mark, or one nailed joint, with two different fasteners in two places."""
    yield from _nailing_conflict(case)
    for key, about in case.by_mark.items():
        pair = _conflict(about)
        if pair is None:
            continue
        a, b, fa, fb = pair
        yield Finding(
            rule="", subject=a.mark or key, where=(case.where_of(a), case.where_of(b)),
            values={"first": _said(a, fa), "second": _said(b, fb)},
        )  # fmt: skip


def _nailing_conflict(case: Case) -> Iterator[Finding]:
    """One wood-to-wood joint with two counts of the same nail in two places."""
    said: dict[tuple[str, ...], list[tuple[Requirement, Fastener]]] = {}
    for r in case.duties:
        if (
            r.device != "nailing"
            or r.mark
            or len(r.fasteners) != 1
            or len(r.joins) < 2
            or r.scope
            or re.search(r"\bor\b\s*\(?(?:\d|two|three|four)", r.quote.lower())
        ):
            continue
        f = r.fasteners[0]
        if f.count and f.penny and not f.spacing_in:
            names = tuple(sorted({"plate" if j in {"top plate", "sole plate", "plate"} else j for j in r.joins}))
            said.setdefault((*names, f.penny, _manner(r)), []).append((r, f))
    for found in said.values():
        for (a, fa), (b, fb) in itertools.combinations(found, 2):
            if a.passage != b.passage and fa.count != fb.count and fa.type == fb.type:
                yield Finding(
                    rule="",
                    subject=" to ".join(a.joins),
                    where=(case.where_of(a), case.where_of(b)),
                    values={"first": _said(a, fa), "second": _said(b, fb)},
                )
                return


def _manner(r: Requirement) -> str:
    low = r.quote.lower()
    return "toe" if re.search(r"toe|slant|t\.n", low) else "end" if "end nail" in low else "face" if "face" in low else ""


def _said(r: Requirement, f: Fastener) -> str:
    return f"{spoken_fastener(f)} ({spoken_place(r)})"


def _conflict(about: tuple[Requirement, ...]) -> tuple[Requirement, Requirement, Fastener, Fastener] | None:
    with_fasteners = [r for r in about if any(f.kind not in ANCHOR_KINDS for f in r.fasteners)]
    for i, a in enumerate(with_fasteners):
        for b in with_fasteners[i + 1 :]:
            if a.passage == b.passage or (a.kind == b.kind == "row" and a.defines and b.defines and a.storeys != b.storeys):
                continue
            if a.kind == b.kind == "row" and _schedule(a) == _schedule(b):
                continue  # rows of one schedule: other levels or other sizes of the same family
            for fb in b.fasteners:
                if fb.kind in ANCHOR_KINDS or not (sized(fb) or fb.count):
                    continue
                mates = [fa for fa in a.fasteners if fa.kind not in ANCHOR_KINDS]
                if mates and not any(_agree(fa, fb) for fa in mates):
                    return a, b, _nearest(mates, fb), fb
    return None


def _schedule(r: Requirement) -> str:
    return r.label.rsplit(", row", 1)[0] + f"@{r.page}"


def _nearest(mates: list[Fastener], f: Fastener) -> Fastener:
    return next((m for m in mates if m.into and m.into == f.into), mates[0])


def _agree(a: Fastener, b: Fastener) -> bool:
    """Whether nothing stated in both differs, once notation is reduced."""
    if a.kind and b.kind and a.kind != b.kind:
        return False
    if a.count and b.count and a.count != b.count and not _total_of(a, b) and not _total_of(b, a):
        return False
    if a.length_in and b.length_in and not same_length(a.length_in, b.length_in):
        return False
    if a.number and b.number and a.number != b.number:
        return False
    if a.penny and b.penny and a.penny != b.penny and not (a.diameter_in and b.diameter_in):
        return False
    da, db = _diameters(a), _diameters(b)
    return not (da and db) or any(same_diameter(x, y) for x in da for y in db)


def _total_of(a: Fastener, b: Fastener) -> bool:
    """Whether `a` counts both ends together where `b` counts one."""
    return a.per == "total" and b.per != "total" and bool(a.count and b.count) and a.count == 2 * (b.count or 0)


def _diameters(f: Fastener) -> tuple[float, ...]:
    if f.diameter_in:
        return (f.diameter_in,)
    if f.penny:
        return tuple(n.diameter_in for n in nails_of_penny(f.penny) if not f.type or n.type == f.type)
    return ()


# ---------------------------------------------------------------- sizes that do not exist


def fastener_no_such_size(_: NoParameters, case: Case) -> Iterator[Finding]:
    """A penny size that the nail tables do not have, or one that contradicts its stated diameter or length."""
    told: set[tuple[str, float | None]] = set()
    asked: set[tuple[str, float | None, float | None]] = set()
    for r in case.duties:
        for f in r.fasteners:
            if not f.penny or (f.kind and f.kind != "nail"):
                continue
            diameter = f.diameter_in if "diameter_in" in f.stated else None
            length = f.length_in if "length_in" in f.stated else None
            kind = f.type if "type" in f.stated else None
            connector = r.device in CONNECTORS
            line = size_contradicts(f.penny, kind if not connector else (kind or "connector"), diameter, length)
            if line and (f.penny, diameter, length) not in asked:
                told.add((f.penny, diameter))
                asked.add((f.penny, diameter, length))
                yield Finding(
                    rule="", subject=f"{f.penny} {diameter or ''} {length or ''} {r.mark or r.joint or ''}".strip(),
                    where=(case.where_of(r),), arithmetic=(line,), values={"subject": f.penny, "answer": line},
                )  # fmt: skip
    yield from _sizes_said_in_words(case, told)


_SIZE_SAID = re.compile(
    r"\b(?P<penny>\d{1,2})-?d\s+(?P<type>common|box|sinker)\s*(?:nails?\s*)?"
    r"(?:=|:|\(|is\b|are\b|means?\b)\s*(?:an?\s)?(?P<diameter>0?\.\d{3})\b",
    re.I,
)


def _sizes_in_passing(case: Case, p: Passage, told: set[tuple[str, float | None]]) -> Iterator[Finding]:
    """Penny sizes with a stated diameter in words that call for no joint: "Sinkers: 16d, 0.148 x 3-1/4"."""
    low = plain(p.text)
    for span in find_fasteners(low, 0, len(low), []):
        f = span.fastener
        if (
            f.kind != "nail"
            or not f.penny
            or ("diameter_in" not in f.stated and nails_of_penny(f.penny))
            or (f.penny, f.diameter_in) in told
        ):
            continue
        kind = f.type or type_in(low[max(0, span.start - 14) : span.start])
        if "diameter_in" not in f.stated and not (kind or re.search(r"\bnails?\b", low[span.start : span.end + 24])):
            continue  # "NFPA 13D" is no nail
        line = size_contradicts(f.penny, kind, f.diameter_in, None)
        if line:
            told.add((f.penny, f.diameter_in))
            values = {"subject": f.penny, "answer": line}
            yield Finding(
                rule="", subject=f"{f.penny} {f.diameter_in or ''}".strip(), where=(case.where(p.id),), arithmetic=(line,), values=values
            )


def _sizes_said_in_words(case: Case, told: set[tuple[str, float | None]]) -> Iterator[Finding]:
    """Notes that say what a penny size is ("16d common = 0.148 dia."), wherever they stand."""
    read = {r.passage for r in case.reading.requirements if any(f.penny or f.diameter_in for f in r.fasteners)}
    for p in case.passages.values():
        if p.id not in read and p.kind in {"note", "callout", "text"}:
            yield from _sizes_in_passing(case, p, told)
        for m in _SIZE_SAID.finditer(p.text):
            penny, diameter = f"{m['penny']}d", float(m["diameter"])
            line = size_contradicts(penny, m["type"].lower(), diameter, None)
            if line and (penny, diameter) not in told:
                told.add((penny, diameter))
                values = {"subject": penny, "answer": line}
                yield Finding(rule="", subject=f"{penny} {diameter:g}", where=(case.where(p.id),), arithmetic=(line,), values=values)


# ---------------------------------------------------------------- coating


def fastener_coating(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Treated wood or a corrosive site, and no coating or stainless steel given for connectors and fasteners."""
    if case.has("coating") or any(_frame_coating(r) for r in case.duties):
        return
    reasons: list[Fact] = [*case.facts("corrosive-site"), *case.facts("treated-wood")]
    if not reasons:
        return
    if not any(r.device in CONNECTORS | {"anchor bolt", "nailing"} for r in case.duties):
        return
    kinds = list(dict.fromkeys("a corrosive site" if f.name == "corrosive-site" else "treated wood" for f in reasons))
    shown = [next(f for f in reasons if f.name == n) for n in dict.fromkeys(f.name for f in reasons)]
    touched = [r for r in case.duties if r.device in CONNECTORS | {"anchor bolt"}]
    yield Finding(
        rule="",
        subject="coating",
        where=(*(case.where_of(f) for f in shown), *(case.where_of(r) for r in touched[:3])),
        values={"subject": spoken_list(kinds), "first": spoken_list(kinds)},
    )


_TRADE_METAL = re.compile(r"roofing|flash|siding|shingle|gutter|lath|fence|felt|drip edge|tile")


def _frame_coating(r: Requirement) -> bool:
    if _TRADE_METAL.search(r.quote.lower()) and r.device not in CONNECTORS | {"anchor bolt"}:
        return False
    return r.coating not in {"galvanized", "G90"} if r.coating else any(f.coating not in {None, "galvanized", "G90"} for f in r.fasteners)


KINDS = {
    "fastener-not-given": (NoParameters, fastener_not_given),
    "fastener-length": (NoParameters, fastener_length),
    "fastener-count": (NoParameters, fastener_count),
    "fastener-left-to-maker": (NoParameters, fastener_left_to_maker),
    "nail-type": (NoParameters, nail_type),
    "fastener-disagrees": (NoParameters, fastener_disagrees),
    "fastener-no-such-size": (NoParameters, fastener_no_such_size),
    "fastener-coating": (NoParameters, fastener_coating),
}
