"""Whether a fastener of stated length reaches far enough past what it goes through, or comes out behind."""

from __future__ import annotations

import re
from collections.abc import Iterator

from notelint.loadpath.ties import CONNECTORS
from notelint.mechanics.penetration import Penetration, penetration
from notelint.mechanics.worked import Layer
from notelint.model import Fastener, Finding, Passage, Requirement
from notelint.rulebook.case import Case, mark_key
from notelint.rulebook.checks.items import ANCHOR_KINDS
from notelint.rulebook.checks.joints import NoParameters
from notelint.trade.nails import nails_of_penny
from notelint.trade.tables import lumber, screw

_NUMBER = r"(?:(\d+)[ -])?(\d+)/(\d+)|(\d+(?:\.\d+)?|\.\d+)"
_LAYER = re.compile(
    rf"(?<![\d/x.])({_NUMBER})\s*(?:\"|in\.?|inch(?:es)?)?\s*(?:\((?:\d+/\d+)\s*(?:in\.?"
    rf"|\")?\)\s*)?(?:thick\s*)?(?P<what>(?:[a-z&.\-]+\s+){{0,3}}?"
    r"(?:sheathing|shtg\.?|osb|plywood|panels?|gypsum(?: board)?|gyp\.?(?: bd\.?)?|drywall|insulation|foam|rigid|stucco|furring"
    r"|siding|subfloor|sub-floor|decking|t&g))",
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
    yield from _thick_pieces(case)
    yield from _coming_through(case)
    yield from _through_built_up_studs(case)


_THICK = re.compile(rf"({_NUMBER})\s*(?:\"|in\.?|inch(?:es)?)\s*(?:thick\b|(?:lvl|lsl|psl)\b|ply\b|engineered)", re.I)


def _thick_pieces(case: Case) -> Iterator[Finding]:
    """A piece of stated thickness nailed to a member with a nail of stated length: what is left of it there."""
    for r in case.duties:
        if r.device != "nailing" or r.kind == "row":
            continue
        low = r.quote.lower()
        found = _THICK.search(low)
        goes = re.search(r"\b(?:to|into)\b", low[found.end() :]) if found else None
        if found is None or goes is None or not 0.4 <= value_of(found.group(1)) <= 3.5:
            continue
        side = [Layer("piece", value_of(found.group(1)))]
        for f in r.fasteners:
            diameter = _diameter(f)
            if f.length_in and diameter and f.kind in {"nail", "screw", None}:
                result = penetration(f.length_in, diameter, side, into=next((j for j in reversed(r.joins)), "member behind"))
                if not result.enough and result.penetration_in > 0.05:  # as long as the piece is thick: nailed into that piece
                    yield _shallow(case, r, "nail through a stated thickness", result)
                    break


def _shallow(case: Case, r: Requirement, subject: str, result: Penetration) -> Finding:
    return Finding(
        rule="",
        subject=f"{subject}, {r.label}",
        where=(case.where_of(r),),
        arithmetic=result.lines,
        values={"first": f"{result.penetration_in:.2f} in", "second": f"{result.needed_in:.2f} in"},
    )


_SINGLE = re.compile(
    r"\b(?:a |one |single|\(1\)|1-)\s*(?:2\s?x\s?\d{1,2})\s*(?:p\.?t\.? |floor |deck |stair |landing )*(rim|header|band|trimmer"
    r"|joist)\b|\b(rim|header|band|trimmer)s?\b[^.;|]{0,14}\b(?:is |of )?(?:a |one |single )\s*2\s?x\s?\d{1,2}\b"
)
_SAID_THROUGH = re.compile(r"clinch|come through|comes through|bent over|backing|backer|behind|doubled?|block")


def _coming_through(case: Case) -> Iterator[Finding]:
    """A connector's nail longer than the single piece it goes into, where the set shows that piece as a single one."""
    single: dict[str, Passage] = {}
    for p in case.passages.values():
        for m in _SINGLE.finditer(p.text.lower()):
            single.setdefault(m.group(1) or m.group(2), p)
    for r in case.duties:
        if r.device not in {"hanger", "angle", "strap"} or not single:
            continue
        own = case.passages[r.passage].text.lower()
        for f in r.fasteners:
            into = {"beam": "header"}.get(f.into or "", f.into or "")
            piece = (
                into
                if into in single
                else next((n for n in single if single[n].id == r.passage and re.search(rf"into (?:the )?{n}", own)), None)
            )
            if (
                piece is None
                or not f.length_in
                or f.kind != "nail"
                or f.length_in <= 1.5 + 0.3
                or _said_behind(own, single[piece].text.lower())
            ):
                continue
            out = f.length_in - 1.5
            where = (case.where_of(r), *([case.where(single[piece].id)] if single[piece].id != r.passage else []))
            yield Finding(
                rule="",
                subject=r.mark or f"nails into the {piece}",
                where=where,
                arithmetic=(f"{f.length_in:g} in nail in one 1-1/2 in {piece}: {out:g} in comes through",),
                values={"lacks": f"has nails of {f.length_in:g} in in one {piece} of 1-1/2 in, so that {out:g} in comes out behind"},
            )
            return


_BUILT_UP = re.compile(
    r"\b(?P<count>double|dbl\.?|doubled|two|pair of|twin|\(2\)|2-|triple|three|\(3\)|3-|single"
    r"|one)\s*(?:2\s?x\s?[468]\s*)?(?:king\s|jack\s|jamb\s|wall\s|full.height\s)?(?:studs?\b|(?<=2x[468] )(?=\W|$)|(?<=2x[468])(?=,))"
)
_STEEL_IN = 0.25  # the thickest steel of a hold-down, inches; common practice, no source


def _through_built_up_studs(case: Case) -> Iterator[Finding]:
    """A hold-down's screws longer than the studs its own words put behind it."""
    for r in case.duties:
        own = case.passages[r.passage].text.lower()
        built_up = _BUILT_UP.search(own) if r.device == "hold-down" else None
        if built_up is None or _SAID_BACKED.search(own):
            continue
        thick = 1.5 * (3 if re.match(r"tri|thr|\W?3", built_up["count"]) else 1 if built_up["count"] in {"single", "one"} else 2)
        for f in r.fasteners:
            if f.length_in and f.kind in {"nail", "screw"} and f.length_in > thick + _STEEL_IN:
                yield Finding(
                    rule="",
                    subject=r.mark or "hold-down screws",
                    where=(case.where_of(r),),
                    arithmetic=(f"{f.length_in:g} in {f.kind} in studs {thick:g} in thick: {f.length_in - thick:g} in comes through",),
                    values={"lacks": f"has {f.kind}s of {f.length_in:g} in in studs {thick:g} in thick; their points come out behind"},
                )
                break


_SAID_BACKED = re.compile(r"clinch|comes? through|bent over|back(?:ing|er)|behind|block")


def _said_behind(*texts: str) -> bool:
    """Whether the words put something behind the piece, or say that the nail may come through ("open behind" is nothing there)."""
    return any(_SAID_THROUGH.search(re.sub(r"(?:open|nothing)[^.;]{0,30}behind", "", t)) for t in texts)


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
        if not over or (r.kind == "row" and not _OVER.search(r.quote.lower())):
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
                    arithmetic=result.lines,
                    values={"lacks": "", "first": f"{result.penetration_in:.2f} in", "second": f"{result.needed_in:.2f} in"},
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
