"""Whether a fastener of stated length reaches far enough past what it goes through, or comes out behind."""

from __future__ import annotations

import re
from collections.abc import Iterator

from notelint.loadpath.ties import CONNECTORS
from notelint.mechanics.penetration import penetration
from notelint.mechanics.worked import Layer
from notelint.model import Fastener, Finding, Requirement
from notelint.rulebook.case import Case, mark_key
from notelint.rulebook.checks.items import ANCHOR_KINDS
from notelint.rulebook.checks.joints import NoParameters
from notelint.trade.nails import nails_of_penny
from notelint.trade.tables import lumber, screw

_NUMBER = r"(?:(\d+)[ -])?(\d+)/(\d+)|(\d+(?:\.\d+)?|\.\d+)"
_LAYER = re.compile(
    rf"(?<![\d/x.])({_NUMBER})\s*(?:\"|in\.?|inch(?:es)?)?\s*(?:\((?:\d+/\d+)\s*(?:in\.?|\")?\)\s*)?(?:thick\s*)?(?P<what>(?:[a-z&.\-]+\s+){{0,3}}?"
    r"(?:sheathing|shtg\.?|osb|plywood|panels?|gypsum(?: board)?|gyp\.?(?: bd\.?)?|drywall|insulation|foam|rigid|stucco|furring|siding|subfloor|sub-floor|decking|t&g))",
    re.I,
)
_OVER = re.compile(r"\b(over|through|thru|across|on top of|outside of)\b")
_LUMBER = re.compile(r"\b(\d)\s*x\s*(\d{1,2})\b", re.I)


def value_of(text: str) -> float:
    """Inches of "1-1/2", "7/16", "0.75"."""
    whole = re.fullmatch(r"(?:(\d+)[ -])?(\d+)/(\d+)", text.strip())
    if whole:
        return int(whole.group(1) or 0) + int(whole.group(2)) / int(whole.group(3))
    return float(text)


def layers_in(text: str) -> list[Layer]:
    """Sheathing, gypsum, insulation and the like with a stated thickness up to 4 in, in reading order."""
    found = []
    for m in _LAYER.finditer(text):
        thickness = value_of(m.group(1))
        if 0 < thickness <= 4:
            name = re.sub(r"^(in|inch|inches|thick)\.?\s+", "", " ".join(m.group("what").lower().split()))
            found.append(Layer(name, thickness))
    return found


def fastener_penetration(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Point penetration under 6 diameters behind stated side members; or a connector's fastener longer than what stands behind it."""
    yield from _ledgers_and_straps(case)
    yield from _through_plates(case)


def _diameter(f: Fastener) -> float | None:
    if f.diameter_in:
        return f.diameter_in
    if f.number and (row := screw(f.number)):
        return row.diameter_in
    if f.penny:
        rows = nails_of_penny(f.penny)
        own = [r for r in rows if r.type == (f.type or "common")] or list(rows)
        return own[0].diameter_in if own else None
    return None


def _ledgers_and_straps(case: Case) -> Iterator[Finding]:
    """Connectors, ledgers and straps said to lie over layers of stated thickness."""
    for r in case.reading.requirements:
        if r.passage not in case.passages or r.stance in {"denied", "legend"}:
            continue
        text = r.quote if _OVER.search(r.quote.lower()) else case.passages[r.passage].text
        low = text.lower()
        over = _OVER.search(low)
        if not over or r.kind == "row" and not _OVER.search(r.quote.lower()):
            continue
        layers = layers_in(low[over.end() :])
        if not layers:
            continue
        sides = [*_ledger(low[: over.start()]), *layers]
        connector = r.device in CONNECTORS
        if connector and r.device not in {
            "strap",
            "roof tie",
            "header tie",
            "stud tie",
            "plate tie",
            "sill strap",
            "embedded strap",
            "hold-down",
        }:
            continue
        if not connector and not _ledger(low[: over.start()]):
            continue
        for owner, f in _fasteners(case, r, connector):
            diameter = _diameter(f)
            if not f.length_in or not diameter or f.kind in ANCHOR_KINDS or f.kind == "bolt":
                continue
            held = "stud" if connector else "rim" if "rim" in low else "member behind"
            result = penetration(f.length_in, diameter, sides, into=held)
            if not result.enough:
                name = r.mark or _name_of(low)
                yield Finding(
                    rule="", subject=name, where=(case.where(r.passage), *([case.where_of(owner)] if owner.passage != r.passage else [])),
                    arithmetic=result.lines, values={"lacks": "", "first": f"{result.penetration_in:.2f} in", "second": f"{result.needed_in:.2f} in"},
                )  # fmt: skip
                break


def _name_of(low: str) -> str:
    return "ledger screws" if "ledger" in low else "fastener"


def _ledger(before: str) -> list[Layer]:
    """The ledger or nailer itself, where one of stated lumber is fastened over the layers."""
    if not re.search(r"ledger|nailer|rim|plate|furring|board|beam", before):
        return []
    sizes = [lumber(f"{m.group(1)}x{m.group(2)}") for m in _LUMBER.finditer(before)]
    return [Layer("ledger", s.thickness_in) for s in sizes if s][:1]


def _fasteners(case: Case, r: Requirement, connector: bool) -> Iterator[tuple[Requirement, Fastener]]:
    for f in r.fasteners:
        yield r, f
    if connector and r.mark:
        for other in case.by_mark.get(mark_key(r.mark), ()):
            if other.id != r.id:
                for f in other.fasteners:
                    yield other, f


def _through_plates(case: Case) -> Iterator[Finding]:
    """A sole or sill plate nailed through a stated floor panel into the rim or joist below it."""
    for r in case.duties:
        if r.device != "nailing" or not {"sole plate"} & set(r.joins) or not {"rim", "joist", "blocking"} & set(r.joins):
            continue
        panels = [x for p in case.passages.values() for x in layers_in(p.text.lower()) if _is_floor(p.text.lower(), x)]
        if not panels:
            continue
        floor = max(panels, key=lambda x: x.thickness_in)
        for f in r.fasteners:
            diameter = _diameter(f)
            if f.kind == "nail" and f.length_in and "length_in" in f.stated and diameter:
                result = penetration(
                    f.length_in, diameter, [Layer("sole plate", 1.5), Layer("floor panel", floor.thickness_in)], into="rim"
                )
                if not result.enough:
                    yield Finding(
                        rule="", subject="sole plate nails", where=(case.where_of(r),), arithmetic=result.lines,
                        values={"first": f"{result.penetration_in:.2f} in", "second": f"{result.needed_in:.2f} in"},
                    )  # fmt: skip
                    break


def _is_floor(text: str, layer: Layer) -> bool:
    return 0.55 <= layer.thickness_in <= 1.2 and bool(re.search(r"floor|t&g|tongue", text))


KINDS = {"fastener-penetration": (NoParameters, fastener_penetration)}
