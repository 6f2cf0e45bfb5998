"""Notes about a kind of construction that the set does not show: copied from another job, they say nothing of this house."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import NamedTuple

from notelint.model import Building, Layout, Passage, Reading

BOUND_IN = {"truss letter", "calculation", "form"}
_LONG = 12  # words of a note; a shorter one mentions a system, it does not speak of it at length
_NEAR_START = 70  # characters within which a note's subject is named
_DRAWN = {"callout", "title", "row"}
_CONNECTS = re.compile(r"\b(?:anchor|tie[sd]?|strap|connector|clip|hold-?\s?down|bolt|embed|screw|rod)\w*\b")
_IF_ANY = re.compile(r"\bwhere (?:\w+ ){0,3}(?:occurs?|used|present|shown|required)\b|\bif (?:any|used|present)\b|\bwhen used\b")


class System(NamedTuple):
    """A kind of construction: its name in a question, the words that speak of it, and whether the set shows it."""

    name: str
    words: re.Pattern[str]
    not_these: re.Pattern[str] | None
    shown: Callable[[Case], bool]


class Case(NamedTuple):
    """What the look-ups need of a set."""

    passages: tuple[Passage, ...]
    reading: Reading
    building: Building

    def drawn(self, pattern: re.Pattern[str], but: re.Pattern[str] | None = None) -> bool:
        """Whether a callout, title or schedule line holds the words (and none of `but`)."""
        lows = (f"{p.text} / {p.place or ''}".lower() for p in self.passages if p.kind in _DRAWN)
        return any(pattern.search(low) and not (but and but.search(low)) for low in lows)

    def fact_values(self, name: str, kinds: Iterable[str]) -> list[float]:
        """Values of a fact on passages of these kinds."""
        kind_of = {p.id: p.kind for p in self.passages}
        return [f.value for f in self.reading.facts if f.name == name and f.value and kind_of.get(f.passage) in set(kinds)]


_MASONRY = re.compile(
    r"\b(?:masonry|concrete block|c\.?m\.?u\.?s?|block (?:walls?|cells?)|\d+\s?(?:\"|in\.?|inch)\s?block|bond beams?"
    r"|grouted? cells?|fill(?:ed)? cells)\b"
)
_MASONRY_WALL = re.compile(r"\b(?:masonry|concrete block|c\.?m\.?u\.?s?|block walls?|\d+\s?(?:\"|in\.?|inch)\s?block)\b")
_NOT_WALLS = re.compile(
    r"\b(?:veneer|chimney|fireplace|flue|brick|stem ?walls?|foundation|piers?|footings?|basement|crawl|retaining"
    r"|glass block|planter|blocks? (?:below|under|between)|screws?)\b"
)
_BELOW_FRAME = re.compile(r"\bstem ?walls?\b|\bfoundation\b|\bpiers?\b|\bcrawl|\bbasement|\bchimney|\bfireplace|\bveneer|\bretaining")
_ABOVE_FOUNDATION = re.compile(
    r"\bexterior walls?\b|\broof|\btruss|\brafter|\bstor(?:y|ies|ey)|\bfloors?\b|\bopenings?\b|\blintel|\bwindow"
)
_TRUSSES = re.compile(r"\btruss(?:es)?\b")
_FLOOR_TRUSS = re.compile(r"\bfloor truss")
_RAFTERS = re.compile(r"\b(?:rafters?|ridge (?:beam|board)|stick.?framed|hip and valley)\b")
_THIRD = re.compile(r"\b(?:third|3rd) (?:stor(?:e)?y|floor|level|flr)\b|\b(?:all )?three stor(?:ies|eys|ey|y)\b|\bthird.floor\b")
_SECOND = re.compile(r"\b(?:second|2nd|upper) (?:stor(?:e)?y|floor|level|flr)\b|\bfloor.to.floor\b|\b(?:both|two) stor(?:ies|eys)\b")
_ICF = re.compile(r"\bicf\b|\binsulat\w+ concrete forms?\b")
_STEEL = re.compile(r"\b(?:light.?gauge|cold.?formed) (?:steel|metal)|\bsteel stud|\bmoment frame")
_CRAWL = re.compile(r"\bcrawl.?space\b")
_PILES = re.compile(r"\b(?:timber|wood|treated|driven)?\s?pil(?:es|ings?)\b")
_HOUSE_OF = re.compile(
    r"\b(one|two|three|four|1|2|3|4)[- ]stor(?:e)?y\s+(?:\w+\s+){0,2}(?:house|residence|dwelling|home|addition"
    r"|townhouse|building|cottage|duplex|frame)",
    re.IGNORECASE,
)


def _drawn_storeys(case: Case) -> int:
    """The highest storey that a title, callout or schedule names; 0 where none is named."""
    return int(max(case.fact_values("floor-named", _DRAWN), default=0))


def _called_house_of(case: Case) -> int:
    """Storeys of the house as its title or first notes call it; 0 where they do not."""
    numbers = {"one": 1, "two": 2, "three": 3, "four": 4}
    found = [m.group(1).lower() for p in case.passages for m in _HOUSE_OF.finditer(p.text)]
    return max((numbers.get(n) or int(n) for n in found), default=0)


def _plans_drawn(case: Case) -> bool:
    return any(p.kind == "title" and re.search(r"\bplan\b|\bfloor\b|\bframing\b", p.text.lower()) for p in case.passages)


def _storey_shown(number: int) -> Callable[[Case], bool]:
    def shown(case: Case) -> bool:
        told = next((f for f in case.building.facts if f.name == "storeys" and f.from_words == "given by the user"), None)
        if told is not None:
            return int(case.building.storeys or 0) >= number
        if max(_drawn_storeys(case), _called_house_of(case)) >= number or not _plans_drawn(case):
            return True
        return number == 2 and (case.building.storeys is None or _called_house_of(case) != 1)

    return shown


def _trusses_shown(case: Case) -> bool:
    return case.drawn(_TRUSSES, _FLOOR_TRUSS) or not case.drawn(_RAFTERS)


def _crawl_shown(case: Case) -> bool:
    return case.building.foundation in {None, "crawl space", "piers"} or case.drawn(_CRAWL)


_SYSTEMS = (
    System("masonry walls", _MASONRY, _NOT_WALLS, lambda case: case.drawn(_MASONRY_WALL, _NOT_WALLS)),
    System("roof trusses", _TRUSSES, _FLOOR_TRUSS, _trusses_shown),
    System("a third story", _THIRD, None, _storey_shown(3)),
    System("a second story", _SECOND, None, _storey_shown(2)),
    System("insulated concrete forms", _ICF, None, lambda case: case.drawn(_ICF)),
    System("steel framing", _STEEL, None, lambda case: case.drawn(_STEEL)),
    System("a crawl space", _CRAWL, None, _crawl_shown),
    System("piles", _PILES, None, lambda case: case.drawn(_PILES)),
)


def foreign_notes(layout: Layout, reading: Reading, building: Building) -> dict[str, tuple[str, ...]]:
    """Passage ids of notes at length about a system the set does not show, by the system's name.

    Only where at least one of them calls for connectors; then its shorter companions under the same heading belong to it too.
    """
    case = Case(tuple(p for p in layout.passages if p.source not in BOUND_IN), reading, building)
    notes = [p for p in case.passages if p.kind in {"note", "text"}]
    found: dict[str, tuple[str, ...]] = {}
    taken: set[str] = set()
    for system in _SYSTEMS:
        about = [p for p in notes if p.id not in taken and _is_about(system, p)]
        if not any(len(p.text.split()) >= _LONG and _CONNECTS.search(p.text.lower()) for p in about) or system.shown(case):
            continue
        ids = tuple(p.id for p in notes if p in about or (p.id not in taken and _companion(system, p, about, notes)))
        found[system.name] = ids
        taken |= set(ids)
    return found


def _is_about(system: System, p: Passage) -> bool:
    """Whether the system is the note's subject: named early or more than once, and not only allowed for."""
    low = p.text.lower()
    hits = [m for m in system.words.finditer(low) if not (system.not_these and _look_alike(system.not_these, low, m.start(), m.end()))]
    if not hits or _IF_ANY.search(low):
        return False
    if system.words is _MASONRY and _BELOW_FRAME.search(low) and not _ABOVE_FOUNDATION.search(low):
        return False
    return hits[0].start() < _NEAR_START or len(hits) > 1


def _look_alike(not_these: re.Pattern[str], low: str, start: int, end: int) -> bool:
    """Whether the words right around start..end make the system a look-alike: a veneer, a stem wall, a floor truss."""
    return bool(not_these.search(low[max(0, start - 30) : end + 22]))


def _companion(system: System, p: Passage, about: list[Passage], notes: list[Passage]) -> bool:
    """A note among notes about the system: its heading names the system, or most notes under its heading are about it."""
    if not p.headings:
        return False
    if system.words.search(p.headings[-1].lower()):
        return True
    under = [n for n in notes if n.headings == p.headings]
    mine = [n for n in about if n.headings == p.headings]
    return len(mine) >= 2 and 2 * len(mine) > len(under)
