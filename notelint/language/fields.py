"""The fields of a requirement, each read from one stretch of words."""

from __future__ import annotations

import re

from notelint.language.quantities import FIGURE, Quantity, figure
from notelint.language.roles import end_distance, largest
from notelint.language.words_of import Read
from notelint.model import Fastener, Steel

_NOT_SPACED = frozenset({"foundation", "slab", "footing", "stem wall", "pier", "wall", "sill plate", "top plate", "sole plate", "rim"})
_OWN_SPACING = re.compile(r"(?:\bto|\bto the|\beach|\bevery|\bat|@|\bea\.?|\band|\bof|\bsecond|\bother)\s(?:[\w()./-]+\s){0,2}$")
_EACH = re.compile(
    r"\b(?:each|every|all|ea\.?|any)\s(?!other\b|second\b|2nd\b|third\b|end\b|side\b|way\b|face\b|leg\b"
    r"|of\b)(?:[\w()./'\"-]+\s){0,3}?(?:truss|rafter|roof joist|joist|stud|header|hdr|post|column|beam|opening|bearing|corner"
    r"|plate|window|door|cripple|sill|connection|location|member|panel|king|girder|jamb|connector|rim|hold-?down|wall|piece"
    r"|lookout|outlooker|ply|jack|trimmer)e?s?\b"
    r"|\beach end of (?:each|every|all)\b|\bends of (?:each|every|all)\b|\b(?:each|every|all)$"
)
_FLOOR_WORDS = {
    "first": 1,
    "1st": 1,
    "ground": 1,
    "lower": 1,
    "lowest": 1,
    "main": 1,
    "second": 2,
    "2nd": 2,
    "upper": 2,
    "third": 3,
    "3rd": 3,
}
_FLOOR_WORD = r"\b(?:first|1st|ground|lower|lowest|main|second|2nd|third|3rd|upper)\b"
_STOREY = re.compile(
    r"\b(first|1st|ground|lower|lowest|main|second|2nd|third|3rd|upper)[- ](?:and (?:third|second|3rd|2nd)[- ])?(?:story|storey"
    r"|stories|storeys|floor|level|flr\b\.?|fl\b\.?)(?:\s(line|framing|joists?|deck|sheathing|level line))?"
)
_ALL_STOREYS = re.compile(r"\b(?:both|all|each|every) (?:stories|storeys|floors|levels|story|storey|floor|level)\b")
_SEE = re.compile(
    r"\b\d{1,3}[a-z]?\s?/\s?[a-z]{1,2}-?\d{1,3}(?:\.\d{1,2})?\b"
    r"|(?:\bsee|\bper|\bby|\brefer to|\bfrom|\bas (?:listed|scheduled|shown) (?:in|on)"
    r"|\bin)\s(?:the\s)?(?:[\w.-]+\s){0,4}?(?:schedules?|key|legend|list|details?(?:\s\d+)?|plans?|table(?:\s[\w.()]+)?"
    r"|sheet\s[\w.-]+)\b"
)
_CAPACITY = re.compile(
    r"capacit|allowable|rated|resist|rating|\bcap\b|\bminimum uplift|min\.? uplift|uplift value|holding|good for|strength|capable"
)
_DEMAND = re.compile(
    r"demand|required (?:uplift|load|tension)|design (?:uplift|load|tension|force)|uplift (?:of|=|force|load|reaction)|reaction"
    r"|net uplift|applied|calculated"
)
_SCOPES = (
    "exterior wall", "interior wall", "bearing wall", "shear wall", "non-shear wall", "party wall", "garage", "porch", "deck", "carport",
    "landing", "crawl space", "plumbing wall",
)  # fmt: skip
_WHERE = re.compile(
    r"(?:\bat\b(?!\s?(?:\d|\.\d|least|most|the same time))|@(?!\s?\d)|\beach\b|\bevery\b|\bea\.(?=\s)|\bboth (?:ends|sides|faces"
    r"|jambs|stories|floors)|\bacross\b|\balong\b|\bwhere\b|\bon (?:the|each|both|all|every|outside|inside|face|exterior|interior"
    r"|stud|studs|top)\b|\ball (?:exterior|corners|headers|posts|openings|trusses|rafters|walls|bearing|studs|around)|"
    r"\bends? of\b|\bcorners?\b|\bfrom [a-z(]|\bbetween\b|\bbeside\b|\bsides? of\b|\bunder\b|\bover\b(?! \d)|\bover (?:the|each)"
    r"|\bhead of\b|\bfoot of\b|\btop of\b|\bbottom of\b|\bas shown\b|\bwithin\b|\bjambs?\b)"
)


def spacing_of(read: Read, start: int, end: int, fasteners: tuple[Fastener, ...], *, nails_count: bool) -> float | None:
    """The device's own spacing in inches; spacing of nails counts only where `nails_count`."""
    candidates = [q for q, role in read.lengths(start, end) if role == "spacing" and q.unit == "in" and not _of_member(read, q, start)]
    if not nails_count:
        candidates = [q for q in candidates if not _of_nails(read.low, q, fasteners)]
    return largest(candidates[0]) if candidates else None


def _of_nails(low: str, quantity: Quantity, fasteners: tuple[Fastener, ...]) -> bool:
    """A small spacing that follows a nail or screw belongs to it."""
    before = [f for f in fasteners if f.end <= quantity.start and f.kind in ("nail", "screw", "lag screw")]
    if not before or ";" in low[before[-1].end : quantity.start]:
        return False
    gap = low[before[-1].end : quantity.start]
    return len(gap) < 60 and (quantity.value < 12 or not re.search(r",", gap)) and not re.search(r"[a-z]{4}\. ", gap)


def _of_member(read: Read, quantity: Quantity, start: int) -> bool:
    """How a member stands, not the device: "studs at 16 in. o.c."."""
    gap_at = re.search(r"(?:\s?,?\s?(?:are\s|is\s|spaced\s|placed\s|set\s)*(?:at|@)?\s?)$", read.low[start : quantity.start])
    at = start + gap_at.start() if gap_at else quantity.start
    member = next((m for m in read.terms(start, quantity.start, "member") if m.end == at), None)
    if (
        member is None
        or member.name in _NOT_SPACED
        or " to " in read.low[member.start : member.end]
        or "," in read.low[at : quantity.start]
    ):
        return False
    return not _OWN_SPACING.search(read.low[start : member.start]) and bool(read.low[start : member.start].strip())


def embedment_of(read: Read, start: int, end: int) -> float | None:
    """Stated depth in concrete, inches."""
    values = [q.value for q, role in read.lengths(start, end) if role == "embedment"]
    return max(values) if values else None


def end_distance_of(read: Read, start: int, end: int) -> float | None:
    """Largest stated distance from the ends of a plate, inches."""
    return end_distance(read.low[start:end], [(q, r) for q, r in read.lengths(start, end)])


_WIDTH_LENGTH = re.compile(
    rf"(?:ga\b\.?|gauge|gage|mil)\s?(?:\(\s?0?\.\d+\s?(?:in\.?|\")?\s?\))?\s?(?:(?:x|by)\s?(?P<w>{FIGURE})\s?(?:in(?:ch(?:es)?)?\b\.?"
    rf"|\")?(?:\s?wide)?(?:\s?(?:x|by)\s?(?P<l>{FIGURE})\s?(?:in(?:ch(?:es)?)?\b\.?|\")?(?:\s?long)?(?!\s?(?:ga|o\.?c|d\b)))?"
    rf"|,?\s?(?:(?:metal"
    rf"|steel|galv\w*\.?|coil|flat)\s)*(?:[a-z-]+\s)?(?:straps?|ties?|plates?|angles?|clips?|caps?"
    rf"|bases?)?,?\s?(?P<w2>{FIGURE})\s?(?:in(?:ch(?:es)?)?\b\.?|\")?(?:\s?wide)?\s?(?:x"
    rf"|by)\s?(?P<l2>{FIGURE})\s?(?:in(?:ch(?:es)?)?\b\.?|\")|,?\s?(?P<w3>{FIGURE})\s?(?:in(?:ch(?:es)?)?\b\.?"
    rf"|\")?\s?wide)(?=[\s,;.)|\"]|$)"
)
_WIDTH_FIRST = re.compile(
    rf"(?P<w>{FIGURE}(?:\s?(?:in(?:ch(?:es)?)?\b\.?|\")|(?<=/\d)))\s?(?:wide)?\s?(?:x|,|by)\s?(?:(?P<l>{FIGURE})\s?(?:in(?:ch(?:es)?)?\b\.?"
    rf"|\")?\s?(?:long)?\s?(?:x|,)\s?)?\d{{1,2}}\s?-?(?:ga\b|gauge|gage)(?:\.?\s?x\s?(?P<l2>{FIGURE})\s?(?:in\b|\"))?"
)
_SHEET_AND_WIDTH = re.compile(rf"(?P<t>0?\.0\d{{1,3}})\s?(?:in\b\.?|\")?\s?(?:thick)?\s?(?:x|by)\s?(?P<w>{FIGURE})")
_THICK_GLOSS = re.compile(r"(?:ga\b\.?|gauge)\s?\(?,?\s?(?P<t>0?\.\d{2,4})\s?(?:in\b|\"|\))")


_LENGTH_AFTER_NAME = re.compile(r"\b(?:straps?|ties?|[a-z]{2,5}-?\d{0,3})\s?x\s?(?P<l>[1-9]\d)\s?(?:in\b\.?|\")(?!\s?(?:x|o\.?c))")
"""The length of a strap right after its name or mark: "CS x 28 in."."""
_LENGTH_BEFORE_NAME = re.compile(
    r"(?<![\d/x@-])(?<!at )(?<!every )(?<!x )(?P<l>[1-9]\d)\s?(?:in\b\.?|\"|inch)\s(?:long\s)?(?:[a-z]+\s)?straps?\b(?! (?:o\.|at))"
)
"""The length of a strap right before its name: "a 24 in. strap"."""


def steel_of(read: Read, start: int, end: int, fasteners: tuple[Fastener, ...] = ()) -> Steel | None:
    """Gauge, thickness, width and length of a connector's steel; lengths said of its `fasteners` are not its own."""
    low = read.low[start:end]
    lengths = [(q, role) for q, role in read.lengths(start, end) if not _said_of(read.low, q, fasteners)]
    by_role = {role: q.value for q, role in reversed(lengths) if role in ("width", "length", "thickness")}
    gauge = next((int(q.value) for q, _ in read.lengths(start, end) if q.unit == "gauge"), None)
    gloss = _THICK_GLOSS.search(low)
    outline = _WIDTH_FIRST.search(low) or _WIDTH_LENGTH.search(low)
    width = _first_figure(outline, "w")
    length = _first_figure(outline, "l")
    if width is not None and width < 0.5:
        width = None
    if width is not None and length is None and width > 6:
        width, length = None, width
    plain_sheet = _SHEET_AND_WIDTH.search(low) if gauge is None else None
    if plain_sheet:
        return Steel(thickness_in=figure(plain_sheet["t"]), width_in=figure(plain_sheet["w"]), length_in=by_role.get("length"))
    if length is None and outline is None:
        long = _LENGTH_AFTER_NAME.search(low) or _LENGTH_BEFORE_NAME.search(low)
        length = figure(long["l"]) if long else None
    thickness = figure(gloss["t"]) if gloss else by_role.get("thickness")
    if thickness is not None and thickness > 0.4:
        thickness = None
    width = by_role.get("width", width)
    length = by_role.get("length", length)
    if gauge is None and (thickness is None or thickness > 0.2):
        thickness = None
        if width is None:
            return Steel(length_in=length) if length else None
    return Steel(gauge=gauge, thickness_in=thickness, width_in=width, length_in=length)


def _first_figure(match: re.Match[str] | None, letter: str) -> float | None:
    """The first number among the match's groups whose names begin with `letter`."""
    words = [v for k, v in match.groupdict().items() if k.startswith(letter) and v] if match else []
    number = re.match(FIGURE, words[0]) if words else None
    return figure(number.group()) if number else None


def _said_of(low: str, quantity: Quantity, fasteners: tuple[Fastener, ...]) -> bool:
    """Whether a length stands inside a fastener's words or right after them."""
    last = max((f for f in fasteners if f.start <= quantity.start), key=lambda f: f.start, default=None)
    return last is not None and not re.search(r"[;|]", low[last.end : quantity.start])


def is_each(low: str) -> bool:
    """Whether the words say each truss, every stud, all headers."""
    return bool(_EACH.search(low))


def storeys_of(low: str, floor_line: bool) -> tuple[int, ...]:
    """Storeys that the words name, from 1 up; for a floor line the storey below it."""
    if _ALL_STOREYS.search(low):
        return ()
    named = [(_FLOOR_WORDS[w], bool(match[2])) for match in _STOREY.finditer(low) for w in re.findall(_FLOOR_WORD, match.group())]
    storeys = sorted({storey for storey, _ in named})
    if not floor_line or not storeys:
        return tuple(storeys)
    lines = sorted({max(1, storey - 1) for storey, line in named if line})
    if lines:
        return tuple(lines)
    return (storeys[0],) if len(storeys) > 1 else (max(1, storeys[0] - 1),)


_BARE_FACE = re.compile(r"\b(inside|outside)\b(?!\s(?:wall|corner|stud|diameter|wall|the garage))")


def face_of(names: frozenset[str], low: str = "") -> str | None:
    """On which face of the wall, from the agreed names of place terms, else from a bare "inside" or "outside" in `low`."""
    if not names & {"both faces", "inside face", "outside face", "one face"}:
        bare = {m[1] for m in _BARE_FACE.finditer(low)}
        if bare:
            return "both" if len(bare) == 2 else bare.pop()
    if "both faces" in names or {"inside face", "outside face"} <= names:
        return "both"
    return next(
        (face for name, face in (("inside face", "inside"), ("outside face", "outside"), ("one face", "one")) if name in names), None
    )


def scope_of(read: Read, start: int, end: int) -> tuple[str, ...]:
    """Agreed names of what the words limit the requirement to."""
    names = read.names(start, end, "place")
    scope = [name for name in _SCOPES if name in names]
    if "existing" in read.names(start, end, "member"):
        scope.append("existing")
    return tuple(scope)


_PLACE_ENDS = re.compile(r"[;|]|(?:(?<=[a-z]{4})|(?<=\d)|(?<=\)))\.(?:\s|$)|,\s|:\s|\bwith\b|\bw/|\(\d|\s-\s")


def place_of(read: Read, start: int, end: int) -> str | None:
    """The words that say where, up to the next comma."""
    match = _WHERE.search(read.low, start, end)
    if not match:
        return None
    stop = _PLACE_ENDS.search(read.low, match.end(), end)
    words = read.passage.text[match.start() : stop.start() if stop else end].strip(" ,.;")
    return words or None


def see_of(read: Read, start: int, end: int) -> tuple[str, ...]:
    """Details and schedules where the rest is said to stand."""
    found = []
    for match in _SEE.finditer(read.low, start, end):
        words = re.sub(r"^(?:see|per|by|refer to|from|as (?:listed|scheduled|shown) (?:in|on)|in)\s(?:the\s)?", "", match.group())
        if not re.search(r"fastening|r602|r802", words):
            found.append(read.passage.text[match.end() - len(words) : match.end()])
    return tuple(dict.fromkeys(found))


def loads_of(read: Read, start: int, end: int) -> tuple[float | None, float | None, float | None]:
    """Capacity and demand in lb, and demand in plf, from words around the figures."""
    capacity = demand = per_foot = None
    for quantity, _ in read.lengths(start, end):
        near = read.low[max(start, quantity.start - 60) : min(end, quantity.end + 40)]
        if quantity.unit == "lb":
            if _CAPACITY.search(near) and capacity is None:
                capacity = quantity.value
            elif _DEMAND.search(near) and demand is None:
                demand = quantity.value
        elif quantity.unit == "plf" and (_DEMAND.search(near) or "uplift" in near) and per_foot is None:
            per_foot = quantity.value
    return capacity, demand, per_foot
