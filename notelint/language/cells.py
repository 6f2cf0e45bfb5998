"""What stands in the cells of a schedule row: fasteners, loads, lengths, steel."""

from __future__ import annotations

import re

from notelint.language.assemble import fasteners_in
from notelint.language.fasteners import looked_up, type_in
from notelint.language.fields import spacing_of
from notelint.language.plain import plain
from notelint.language.quantities import FIGURE, NUMBER_WORDS, figure
from notelint.language.words_of import Read
from notelint.model import Cell, Fastener, FastenerKind, Steel

Cells = dict[str, list[Cell]]
"""Cells of a row by what their columns hold."""
_HEAD_PER = re.compile(r"(?:each|ea\.?|per)\s(end|side|leg|flange|face)")
_HEAD_INTO = re.compile(r"\b(?:to|into|in)\s(?:the\s)?(post|stud|plate|header|beam|joist|rafter|truss|rim|sill|girder|ledger)s?\b")
_INTO_NAME = {"plate": "plate", "sill": "sill plate", "girder": "beam"}
_UNIT_ONLY = re.compile(r"\d[\d,]*(?:\.\d+)?")


def fasteners_of(read: Read, cells: Cells, device: str | None) -> tuple[Fastener, ...]:
    out: list[Fastener] = []
    for role in ("fasteners", "anchor", "embed", "nail size", "device", "other", "remarks", "post", "gauge", "place"):
        for cell in cells.get(role, ()):
            found = fasteners_in(read, cell.start, cell.end, _hint(cell.column, role, device))
            out += [_with_head(f, cell.column) for f in found]
    count = next((c for c in cells.get("nail count", ())), None) or _count_beside(read, cells)
    if count is not None:
        out = _counted(out, read.low[count.start : count.end], count.column)
    length = length_of(read, cells, "nail length")
    if length:
        out = [f if f.length_in or f.kind not in ("nail", "screw") else f.model_copy(update={"length_in": length}) for f in out]
    if device == "nailing":
        out = _spaced_by_columns(read, cells, out)
        out = [_sized_by_columns(read, cells, f) for f in out]
    if device in ("anchor bolt", "rod") and not any(f.diameter_in for f in out):
        out += _bolt_by_columns(read, "rod" if device == "rod" else "anchor bolt")
    if device in ("anchor bolt", "rod") and (length := length_of(read, cells, "length")):
        out = [f if f.length_in or f.kind not in ("anchor bolt", "rod") else f.model_copy(update={"length_in": length}) for f in out]
    return tuple(sorted(out, key=lambda f: f.start))


_APART = re.compile(
    rf"^\s*(?:(?P<n>\d{{1,2}})\s)?(?:each |every |at |@ ?)?(?P<v>{FIGURE})\s?(?:in\b\.?|\")?\s?(?:apart|o\.?\s?c\b\.?|on cent\w+|/|$)"
)


def _spaced_by_columns(read: Read, cells: Cells, nails: list[Fastener]) -> list[Fastener]:
    """Nails spaced by a column of their own: "12 in. apart", "3 each 16 in.", "6 in. / 12 in." under a head of numbers or spacings."""
    if len(nails) != 1 or nails[0].spacing_in or nails[0].count:
        return nails
    for cell in (*cells.get("fasteners", ()), *cells.get("nail count", ()), *cells.get("spacing", ()), *cells.get("count", ())):
        match = _APART.match(read.low[cell.start : cell.end])
        if match and not cell.start <= nails[0].start < cell.end and re.search(r"in\b|\"|apart|o\.?c", match.group()):
            update = {"spacing_in": figure(match["v"]), "count": int(match["n"]) if match["n"] else None}
            return [nails[0].model_copy(update=update)]
    return nails


_DIAMETER_HEAD = re.compile(r"^(?:nail |bolt |rod |anchor )?dia(?:m|meter)?\b")


def _bolt_by_columns(read: Read, kind: FastenerKind) -> list[Fastener]:
    """An anchor whose diameter stands in a column of its own, a bare figure under "Dia"."""
    for cell in read.passage.cells:
        value = figure(read.low[cell.start : cell.end].strip(' "')) if _DIAMETER_HEAD.match(plain(cell.column)) else None
        if value is not None and 0.25 <= value <= 2:
            return [Fastener(kind=kind, diameter_in=value, start=cell.start, end=cell.end, stated=("diameter_in",))]
    return []


def _sized_by_columns(read: Read, cells: Cells, fastener: Fastener) -> Fastener:
    """A nail with the diameter and length that columns of their own state."""
    if fastener.kind != "nail" or {"diameter_in", "length_in"} & set(fastener.stated):
        return fastener
    update: dict[str, object] = {}
    for cell in read.passage.cells:
        value = figure(read.low[cell.start : cell.end].strip(' "')) if _DIAMETER_HEAD.match(plain(cell.column)) else None
        if value is not None and value < 1:
            update["diameter_in"] = value
    if length := length_of(read, cells, "length"):
        update["length_in"] = length
    return fastener.model_copy(update={**update, "stated": (*fastener.stated, *update)}) if update else fastener


def _count_beside(read: Read, cells: Cells) -> Cell | None:
    """A bare "Qty" column right after the fasteners' own counts them, not the connectors."""
    every = sorted(read.passage.cells, key=lambda c: c.start)
    counts: tuple[Cell, ...] = (*cells.get("count", ()), *cells.get("mark", ())[1:])
    for cell in counts:
        at = every.index(cell)
        if at and every[at - 1] in cells.get("fasteners", ()) and re.fullmatch(r"\W*\d{1,3}\W*(?:ea\W*)?", read.low[cell.start : cell.end]):
            return cell
    return None


def _hint(column: str, role: str, device: str | None) -> FastenerKind | None:
    head = plain(column)
    if device in ("anchor bolt", "rod") and role != "place":
        return "rod" if device == "rod" else "anchor bolt"
    if role == "anchor" or re.search(r"a\.?b\.?\b|anchor|rod", head):
        return "rod" if "rod" in head else "anchor bolt"
    if "screw" in head:
        return "screw"
    if "bolt" in head and "nail" not in head:
        return "bolt"
    return "nail" if "nail" in head else None


def _with_head(fastener: Fastener, column: str) -> Fastener:
    head = plain(column)
    update: dict[str, object] = {}
    per, into = _HEAD_PER.search(head), _HEAD_INTO.search(head)
    if per and not fastener.per:
        update["per"] = per[1]
    if into and not fastener.into:
        update["into"] = _INTO_NAME.get(into[1], into[1])
    fastener = fastener.model_copy(update=update) if update else fastener
    return typed_by_head(fastener, head)


def typed_by_head(fastener: Fastener, head: str) -> Fastener:
    """The nail with the type that a column head or the schedule's title gives ("NAILING (common nails)"); `head` in plain form."""
    update: dict[str, object] = {}
    kind = type_in(head) if fastener.kind == "nail" and fastener.penny and not fastener.type else None
    if kind in ("common", "box", "sinker"):
        diameter, length = looked_up(fastener.penny, kind, fastener.diameter_in, fastener.length_in)
        update |= {"type": kind, "diameter_in": diameter, "length_in": length, "stated": (*fastener.stated, "type")}
    return fastener.model_copy(update=update) if update else fastener


def _counted(fasteners: list[Fastener], text: str, column: str) -> list[Fastener]:
    """Gives the number of a count column to fasteners without one."""
    number = re.search(r"\d{1,3}", text)
    count = int(number.group()) if number else NUMBER_WORDS.get(text.strip())
    if count is None:
        return fasteners
    if not fasteners:
        return [_with_head(Fastener(kind="nail", count=count), column)]
    return [f if f.count is not None else _with_head(f.model_copy(update={"count": count}), column) for f in fasteners]


def load_of(read: Read, cells: Cells, role: str) -> float | None:
    for cell in cells.get(role, ()):
        number = _UNIT_ONLY.search(read.low[cell.start : cell.end])
        if number:
            value = float(number.group().replace(",", ""))
            kips = re.search(r"\bk(?:ips?)?\b", plain(cell.column) + " " + read.low[cell.start : cell.end])
            if "plf" in plain(cell.column):
                return None
            return value * 1000 if kips and value < 200 else value
    return None


def length_of(read: Read, cells: Cells, role: str, *, largest: bool = False) -> float | None:
    """The first length in the cells of a role, inches; the largest of several figures where asked for ("4-1/2 min, 12 max")."""
    for cell in cells.get(role, ()):
        if largest:
            figures = [v for m in re.finditer(FIGURE, read.low[cell.start : cell.end]) if (v := figure(m.group())) and v <= 36]
            return max(figures, default=None)
        for quantity, _ in read.lengths(cell.start, cell.end):
            if quantity.unit == "in":
                return quantity.value
        bare = figure(read.low[cell.start : cell.end].strip())
        if bare and _METRIC_HEAD.search(plain(cell.column)):
            return round(bare / 25.4 * 8) / 8
        if bare and 0 < bare <= 144:
            return bare
    return None


_METRIC_HEAD = re.compile(r"\bmm\b|millimet")


def steel_in(read: Read, cells: Cells, whole: Steel | None) -> Steel | None:
    gauge = whole.gauge if whole else None
    for cell in cells.get("gauge", ()):
        bare = re.fullmatch(r"\s*(\d{1,2})\s*", read.low[cell.start : cell.end])
        gauge = int(bare[1]) if bare else gauge
    width = length_of(read, cells, "width") or (whole.width_in if whole else None)
    length = length_of(read, cells, "length") or (whole.length_in if whole else None)
    thickness = whole.thickness_in if whole else None
    if width is None and length is None:
        width, length = _outline(read, cells)
    if gauge is None and width is None and length is None and thickness is None:
        return None
    return Steel(gauge=gauge, thickness_in=thickness, width_in=width, length_in=length)


_OUTLINE = re.compile(rf"\s*({FIGURE})\s?(?:in\b\.?|\")?\s?x\s?({FIGURE})\s?(?:in\b\.?|\")?\s*")


def _outline(read: Read, cells: Cells) -> tuple[float | None, float | None]:
    """Width and length from a size column such as "1-1/4 x 24"."""
    for cell in (*cells.get("device", ()), *cells.get("other", ())):
        match = _OUTLINE.fullmatch(read.low[cell.start : cell.end]) if re.search(r"size|dim", plain(cell.column)) else None
        if match:
            return figure(match[1]), figure(match[2])
    return None, None


def first_spacing(read: Read, cells: list[Cell]) -> float | None:
    for cell in cells:
        for quantity, role in read.lengths(cell.start, cell.end):
            if role == "spacing":
                return quantity.value
        bare = re.search(r"(?:@|\bat)\s?(\d{1,3})\s*$", read.low[cell.start : cell.end])
        if bare:
            return float(bare[1])
    return None


def spacing_in_place(read: Read, cells: Cells) -> float | None:
    """A spacing in the place column is the device's own unless a member's name stands right before "at"."""
    for cell in cells.get("place", ()):
        spaced = spacing_of(read, cell.start, cell.end, (), nails_count=True)
        if spaced:
            return spaced
    return None


def text_of(read: Read, cells: Cells, role: str) -> str | None:
    texts = [read.passage.text[c.start : c.end].strip(" -") for c in cells.get(role, ())]
    joined = ", ".join(t for t in texts if t)
    return joined or None
