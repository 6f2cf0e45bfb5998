"""Requirements of schedule rows: each column read for what its head says."""

from __future__ import annotations

import re
from functools import lru_cache

from notelint.language.assemble import agreed_joins, build, fasteners_in
from notelint.language.cells import (
    Cells,
    fasteners_of,
    first_spacing,
    length_of,
    load_of,
    spacing_in_place,
    steel_in,
    text_of,
    typed_by_head,
)
from notelint.language.joints import chains, default_joint, joint_of, settled_device
from notelint.language.marks import NOT_MARKS, looks_like_mark
from notelint.language.plain import plain
from notelint.language.said_joints import FLOOR_DEVICE, Subject, joinable
from notelint.language.words_of import GENERAL, MarkSpan, Read, read_words
from notelint.model import Cell, Joint, Passage, Requirement
from notelint.trade.vocabulary import column_roles

_LEGEND = re.compile(r"abbrev|\blegend of symbols|\bsymbols?\b(?! .*schedule)|\bnotation|meaning")
_OTHER_TRADE = re.compile(
    r"window|door|room|finish|electric|plumbing|fixture|lighting|panel schedule|appliance|drawing (?:list|index)|sheet (?:list"
    r"|index)|index of|^index|material|design (?:criteria|load|data)|code (?:data|summary)|footing|column|beam|header|lintel"
    r"|opening|pier|pad|joist schedule|paint|hvac|equipment|revision"
)
_CONNECTOR_TITLE = re.compile(
    r"hold|strap|connect|hardware|\bties?\b|anchor|uplift|hanger|tie-?down|fasten|clip|post (?:base|cap)|load path"
)
_SHEAR_TITLE = re.compile(r"shear|braced|s\.?w\.? sched")
_PANEL_ROW = re.compile(r"\bsheathing\b|\bosb\b|\bplywood\b|\bcdx\b|\bt ?[+&] ?g\b")
_NAILING_TITLE = re.compile(r"nailing|fasten|\bnails?\b")
_SHORT_NAMES = re.compile(r"\s*(?:\d+x\d+ )?(cap|base)\b")


@lru_cache(maxsize=2048)
def role_of_column(head: str) -> str | None:
    """What a column with this head holds."""
    low = " ".join(plain(head).split())
    if not low:
        return None
    return next((role.role for role in column_roles() if role.head.search(low)), None)


def title_of(passage: Passage) -> str:
    """The schedule's title in plain form, letter spacing closed."""
    text = plain(" ".join(passage.headings[-1:]))
    return re.sub(r"(?<=\b\w) (?=\w\b)", "", text) if re.fullmatch(r"(?:\w ){3,}.*", text) else text


def is_connector_schedule(passage: Passage) -> bool:
    """Whether the schedule's title speaks of connectors or shear walls and of no other trade."""
    title = title_of(passage)
    if _CONNECTOR_TITLE.search(title) or _SHEAR_TITLE.search(title):
        return True
    return not _OTHER_TRADE.search(title)


def is_titled(passage: Passage) -> bool:
    """Whether the schedule's own title speaks of connectors, shear walls or nailing."""
    title = title_of(passage)
    return bool(_CONNECTOR_TITLE.search(title) or _SHEAR_TITLE.search(title) or re.search(r"\bnail|bolt|abbrev|index", title)) or bool(
        _mark(passage, _by_role(passage))
    )


def is_legend(passage: Passage) -> bool:
    """A row of an abbreviations list or a list of symbols."""
    heads = " ".join(plain(c.column) for c in passage.cells)
    return bool(_LEGEND.search(title_of(passage)) or re.search(r"abbr|meaning", heads))


def read_row(read: Read) -> list[Requirement]:
    """Requirements of a schedule row, or none where the schedule is not about joining."""
    passage = read.passage
    if is_legend(passage) and not _CONNECTOR_TITLE.search(title_of(passage)):
        return _legend(read)
    cells = _by_role(passage)
    device = _device(read, cells)
    title = title_of(passage)
    if (
        _OTHER_TRADE.search(title)
        and not _CONNECTOR_TITLE.search(title)
        and (device is None or device in GENERAL or re.search(r"\bindex|\blist\b", title))
    ):
        return []
    mark = _mark(passage, cells)
    if mark and mark.isdigit() and device in (None, "blocking") and _NAILING_TITLE.search(title):
        mark = None  # the number of a line in a list of joints
    if device == "anchor" and cells.get("embed"):
        # a table of anchors by diameter and depth in concrete; one under a hold-down is its rod
        device = (
            "rod"
            if mark and re.search(r"hold-?\s?down|tie-?\s?down|under (?:each|every|ea\.?|the) [a-z]{1,3}-?\d", read.low)
            else "anchor bolt"
        )
    if device == "anchor" and cells.get("spacing") and not mark:  # a table of anchors by wall and spacing
        device = "anchor bolt"
    if device == "blocking" and _NAILING_TITLE.search(title):
        device = "nailing"
    if (
        device is None
        and not _SHEAR_TITLE.search(title)
        and _PANEL_ROW.search(f"{title} {read.low}")
        and not read.terms(0, len(read.low), "device")
    ):
        device = "sheathing"
    if device is None and not (mark and is_connector_schedule(passage)):
        nailed = _NAILING_TITLE.search(title) or (
            not mark
            and not _OTHER_TRADE.search(title)
            and read.terms(0, len(read.low), "member")
            and any(f.kind == "nail" for f in fasteners_in(read, 0, len(read.low)))
        )
        device = "nailing" if nailed else None
        if device is None and not _fastened(read):
            return []
    return _requirements(read, cells, mark, device)


_BUILT = re.compile(r"\b\d{1,2}\s?ga\b|\bgauge\b|\d+d\b|\b(?:nails?|screws?|bolts?|rods?)\b", re.IGNORECASE)


def _bare_key(passage: Passage) -> bool:
    """A table without column heads that says what each short code is made of: "FS | floor strap, 16 ga | 16-10d each end"."""
    heads = any(c.column.strip() for c in passage.cells)
    if heads or len(passage.cells) < 2:
        return False
    first = passage.text[passage.cells[0].start : passage.cells[0].end].strip()
    return bool(re.fullmatch(r"[A-Z]{2,4}(?:-[A-Z]{1,2})?", first)) and first not in NOT_MARKS and bool(_BUILT.search(passage.text))


def _by_role(passage: Passage) -> Cells:
    out: Cells = {}
    bare_key = _bare_key(passage)
    for i, cell in enumerate(passage.cells):
        role = role_of_column(cell.column)
        text = passage.text[cell.start : cell.end]
        if role == "mark" and not looks_like_mark(text) and i > 0:
            role = "device"
        if i == 0 and role in (None, "device") and re.search(r"\d", text) and looks_like_mark(text) and len(passage.cells) > 1:
            role = "mark"
        if i == 0 and bare_key:
            role = "mark"
        if (
            role == "fasteners"
            and re.fullmatch(r"\s*\(?\d{1,2}\)?\s*(?:ea\.?|each)?\s*", text)
            and re.search(r"\b(?:nail|screw|fastener)s?\b|^no\b", plain(cell.column))
        ):
            role = "nail count"
        if role == "nail count" and not re.fullmatch(r"\s*(?:\(?\d{1,3}\)?|\w+)\s*(?:ea\.?|each|total)?\s*", text):
            role = "fasteners"
        out.setdefault(role or "other", []).append(cell)
    return out


def _mark(passage: Passage, cells: Cells) -> str | None:
    for cell in cells.get("mark", ()):
        text = passage.text[cell.start : cell.end].strip()
        if looks_like_mark(text):
            return text
    if cells.get("mark"):
        return None
    return next((found for cell in cells.get("device", ()) if (found := own_mark(passage, cell))), None)


_OWN_MARK = re.compile(r"\s*\(?\d?\)?\s*([A-Z]{2,6}-?\d{1,4}[A-Z]{0,2})(?=\s*(?:$|[,;(/]|each\b|ea\b|@))")


def own_mark(passage: Passage, cell: Cell) -> str | None:
    """The mark that a cell begins with, where it is written as connectors' marks are."""
    match = _OWN_MARK.match(passage.text[cell.start : cell.end])
    return match[1] if match else None


def _device(read: Read, cells: Cells) -> str | None:
    """From the description, else from any cell but fasteners, else from the schedule's title."""
    general = None
    for role in ("device", "other", "gauge", "mark", "remarks", "place"):
        for cell in cells.get(role, ()):
            for term in read.terms(cell.start, cell.end, "device"):
                if role in ("place", "remarks") and term.name not in (
                    "strap",
                    "hold-down",
                    "roof tie",
                    "stud tie",
                    "header tie",
                    "post base",
                    "post cap",
                    "hanger",
                ):
                    continue
                if term.name in GENERAL or term.name == "blocking":
                    general = general or term.name
                    continue
                return term.name
    named_so = f"the {title_of(read.passage)}"  # a title names things: "anchor pitch" bids nobody to anchor
    title = read_words(read.passage.model_copy(update={"text": named_so, "spots": (), "cells": ()}), frozenset(), frozenset())
    every = [t.name for t in title.terms(0, len(title.low), "device") if t.name != "connector"]
    named = [name for name in every if name not in GENERAL]
    if named:
        return named[0]
    general = general or next(iter(every), None)
    if _SHEAR_TITLE.search(title.low):
        return None
    if re.search(r"\bbolts?\b", title.low) and not re.search(r"through|ledger|machine", title.low):
        return "anchor bolt"
    for cell in (*cells.get("device", ()), *cells.get("other", ())):
        short = _SHORT_NAMES.match(read.low[cell.start : cell.end])
        if short:
            return "post cap" if short[1] == "cap" else "post base"
    return general


def _fastened(read: Read) -> bool:
    return bool(read.terms(0, len(read.low), "device"))


def _legend(read: Read) -> list[Requirement]:
    if not read.terms(0, len(read.low), "device"):
        return []
    term = read.terms(0, len(read.low), "device")[0]
    built = build(read, 0, len(read.low), Subject(term.name))
    return [r.model_copy(update={"stance": "legend", "joint": None, "mark": None}) for r in built[:1]]


def _requirements(read: Read, cells: Cells, mark: str | None, device: str | None) -> list[Requirement]:
    end = len(read.low)
    shear = bool(_SHEAR_TITLE.search(title_of(read.passage)))
    base = build(read, 0, end, Subject(device, mark))[0]
    joint, joins = _joint(read, cells, device)
    settled = settled_device(device, joint)
    fasteners = tuple(typed_by_head(f, title_of(read.passage)) for f in fasteners_of(read, cells, device))
    place = text_of(read, cells, "place")
    update: dict[str, object] = {
        "device": settled,
        "joint": joint or default_joint(settled),
        "joins": joins or base.joins,
        "fasteners": fasteners,
        "place": place or base.place,
        "defines": mark is not None and (bool(cells.get("mark")) or bool(fasteners)),
        "steel": steel_in(read, cells, base.steel),
        **_loads(read, cells, base),
        "spacing_in": length_of(read, cells, "spacing") or spacing_in_place(read, cells) or base.spacing_in,
    }
    if settled == "anchor bolt" and base.end_distance_in is None:
        update["end_distance_in"] = length_of(read, cells, "end distance", largest=True)
    update["embedment_in"] = base.embedment_in or length_of(read, cells, "embed")
    if shear and settled is None:
        update |= {"joint": None, "joins": ()}
        bolts = [f for f in fasteners if f.kind in ("anchor bolt", "bolt")]
        spaced = first_spacing(read, cells.get("anchor", []))
        update["spacing_in"] = spaced or update["spacing_in"]
        update["device"] = "anchor bolt" if bolts else "sheathing"
        update["joint"] = "sill-to-foundation" if bolts else None
    if base.device is not None and settled and base.named is False and mark:
        update["named"] = True
    if update["device"] is None and mark and not shear and (fasteners or update["steel"]):
        update["device"] = _BY_JOINT.get(str(update["joint"])) or ("strap" if update["steel"] and joint else None)
    row = base.model_copy(update=update)
    if row.device is None and not row.fasteners and row.steel is None and not shear:
        return []
    return [row.model_copy(update={"joins": _reaching(row, read.low)})]


_BY_JOINT = {
    "roof-to-wall": "roof tie", "plate-to-stud": "stud tie", "stud-to-sill": "stud tie", "header-to-stud": "header tie",
    "floor-to-floor": "strap", "post-head": "post cap", "post-foot": "post base", "cut-plate": "plate tie", "plate-splice": "plate tie",
}  # fmt: skip


def _reaching(row: Requirement, low: str) -> tuple[str, ...]:
    return agreed_joins(row.joins, row.device, low)


_END_HEAD = re.compile(
    r"(?:joins |ties |tie |connect )?(?:from|to|and|upper|lower|above|below)(?: (?:member|piece))?|(?:member|piece) (?:1|2|one|two|a|b)"
)
_THROUGH_FLOOR = re.compile(r"\bthr(?:ough|u) (?:the )?(?:second |third |2nd |3rd |upper )?(?:floor|flr|deck|joists?)\b")


def _joint(read: Read, cells: Cells, device: str | None) -> tuple[Joint | None, tuple[str, ...]]:
    """From the place column, then the description, then the whole row."""
    if device == "sill strap":
        every = tuple(dict.fromkeys(m.name for m in read.terms(0, len(read.low), "member")))
        if joint_of(frozenset(every), device, read.low, frozenset(), frozenset()) == "stud-to-sill":
            return "stud-to-sill", tuple(n for n in every if n in ("stud", "sill plate", "rim"))
    if device == "hold-down" and _THROUGH_FLOOR.search(read.low):
        return "floor-to-floor", ()  # its rod goes through the floor
    stretches = [(c.start, c.end) for role in ("place", "device", "remarks", "other") for c in cells.get(role, ())]
    states_all = read.names(0, len(read.low), "state")
    for start, end in stretches:
        members = joinable(read, start, end)
        places = read.names(start, end, "place")
        strung = max(chains(read.low, members), key=len, default=[])
        names = tuple(dict.fromkeys(m.name for m in (strung if len(strung) > 1 else members)))
        joint = joint_of(
            frozenset(names),
            device,
            read.low[start:end],
            places,
            read.names(start, end, "state")
            | (states_all if device in ("plate tie", "strap") and "cut" in states_all and "plate" in read.low[start:end] else frozenset()),
        )
        if joint:
            return joint, names
    if device == "strap" and re.search(r"\bridge (?:strap|tie)", read.low):
        return "ridge", ("ridge",)
    ends = [c for cells_of in cells.values() for c in cells_of if _END_HEAD.fullmatch(plain(c.column).strip())]
    if len(ends) == 2:  # what is joined stands in two columns: FROM | TO
        pair = tuple(dict.fromkeys(m.name for c in sorted(ends, key=lambda c: c.start) for m in joinable(read, c.start, c.end)))
        joint = joint_of(frozenset(pair), device, f"{read.low[ends[0].start : ends[0].end]} to", frozenset(), frozenset())
        if joint:
            return joint, pair
    if device in ("strap", "tie", "connector", None) and FLOOR_DEVICE.search(title_of(read.passage)):
        return "floor-to-floor", ()  # the title of the table says what its pieces join
    into = [m for c in cells.get("fasteners", ()) for m in read.terms(c.start, c.end, "member")]
    names = tuple(dict.fromkeys(m.name for m in into))
    joint = joint_of(frozenset(names), device, "", frozenset(), states_all) if device not in ("hold-down", "hanger") else None
    return (joint, names) if joint else (None, ())


def marks_in_row(passage: Passage) -> list[MarkSpan]:
    """The row's own mark, where its column says so."""
    cells = _by_role(passage)
    mark = _mark(passage, cells)
    if mark is None:
        return []
    at = passage.text.index(
        mark, min(cell.start for cell in (*cells.get("mark", ()), *cells.get("device", ())) if mark in passage.text[cell.start : cell.end])
    )
    return [MarkSpan(at, at + len(mark), mark)]


_ASKED = re.compile(r"demand|requir|req'?d|design|net|applied|calc|factored|force|wind")


def _loads(read: Read, cells: dict[str, list[Cell]], base: Requirement) -> dict[str, object]:
    """Capacity and demand of a row. One column headed "uplift" alone is what the connector is good for, as its list gives it."""
    capacity = load_of(read, cells, "capacity") or base.capacity_lb
    demand = load_of(read, cells, "demand") or base.demand_lb
    heads = " ".join(plain(c.column) for c in cells.get("demand", ()))
    if capacity is None and demand is not None and heads and not _ASKED.search(heads):
        capacity, demand = demand, None
    return {"capacity_lb": capacity, "demand_lb": demand}
