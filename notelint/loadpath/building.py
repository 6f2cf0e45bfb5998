"""The building inferred from the whole set: each thing with the words it came from, each overruled by the user's own word."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from notelint.loadpath.foreign import foreign_notes
from notelint.model import Building, BuildingFact, Fact, Layout, Passage, Reading, Where
from notelint.places import spoken_place

BOUND_IN = {"truss letter", "calculation", "form"}
_DRAWN = {"callout": 3.0, "title": 3.0, "row": 2.0, "note": 1.0, "text": 1.0, "heading": 1.0}
Name = Literal["storeys", "roof", "foundation", "wind_mph", "exposure", "code"]


@dataclass(frozen=True)
class Overrides:
    """What the user says of the building; None leaves it to the set's words."""

    storeys: int | None = None
    roof: str | None = None
    foundation: str | None = None
    wind_mph: float | None = None
    exposure: str | None = None
    code: str | None = None


def infer_building(layout: Layout, reading: Reading, overrides: Overrides | None = None) -> Building:
    """What the set was taken to describe; None where its words do not say. Notes copied from another job say nothing of it."""
    own = overrides or Overrides()
    first = _inferred({p.id: p for p in layout.passages if p.source not in BOUND_IN}, reading, own)
    copied = {i for ids in foreign_notes(layout, reading, first).values() for i in ids}
    if not copied:
        return first
    return _inferred({p.id: p for p in layout.passages if p.source not in BOUND_IN and p.id not in copied}, reading, own)


def _inferred(passages: dict[str, Passage], reading: Reading, own: Overrides) -> Building:
    facts = [f for f in reading.facts if f.passage in passages]
    foundations = _house_foundations(facts, reading)
    found = {
        "storeys": _storeys(facts, passages) or _one_plan(facts, passages),
        "roof": _most_drawn("roof", facts, passages),
        "foundation": _most_drawn("foundation", foundations, passages),
        "wind_mph": _highest("wind", facts, passages),
        "exposure": _first_text("exposure", facts, passages),
        "code": _first_text("code", facts, passages),
    }
    told: list[BuildingFact] = []
    names: tuple[Name, ...] = ("storeys", "roof", "foundation", "wind_mph", "exposure", "code")
    for name in names:
        given = getattr(own, name)
        if given is not None:
            told.append(BuildingFact(name=name, value=given, from_words="given by the user"))
        elif (got := found[name]) is not None:
            told.append(BuildingFact(name=name, value=got[0], from_words=_spoken(got[1]), where=got[1]))
        else:
            told.append(BuildingFact(name=name, value=None, from_words="not found in the set's words"))
    values = {t.name: t.value for t in told}
    return Building.model_validate({**values, "facts": tuple(told)})


def low_wind(building: Building, reading: Reading) -> bool:
    """Low wind as IRC 2018/2021 R602.3.5 item 1.1 has it: the limits are data of the rulebook's words.

    115 mph ultimate or less and Exposure B; a stated roof pitch under 5:12 or a roof span over 32 ft ends it.
    """
    from notelint.trade.tables import minimum

    if building.wind_mph is None or building.exposure != "B" or building.wind_mph > minimum("low-wind-speed").value:
        return False
    pitches = [f.value for f in reading.facts if f.name == "pitch" and f.value is not None]
    spans = [f.value for f in reading.facts if f.name == "roof-span" and f.value is not None]
    main_pitch = max(pitches, default=None)  # a porch roof may be flatter
    if main_pitch is not None and main_pitch < minimum("low-wind-pitch").value:
        return False
    return not (spans and max(spans) > minimum("low-wind-span").value * 12)


Got = tuple[str | int | float, Where]


def _place(fact: Fact, passages: dict[str, Passage]) -> Where:
    p = passages[fact.passage]
    start, end = _around(p.text, fact.start, fact.end)
    return Where(sheet=p.sheet, page=p.page, label=p.label, quote=p.text[start:end], box=p.box(start, end))


def _around(text: str, start: int, end: int, most: int = 80) -> tuple[int, int]:
    """A fact's own characters widened to whole words, so that a person sees what it was read from."""
    if end - start >= most:
        return start, end
    a, b = max(0, start - (most - (end - start)) // 2), min(len(text), end + (most - (end - start)) // 2)
    a = text.find(" ", a, start) + 1 if a > 0 and " " in text[a:start] else (a if a == 0 else start)
    cut = text.rfind(" ", end, b)
    return a, b if b == len(text) else cut if cut > end else end


def _spoken(where: Where) -> str:
    quote = where.quote if len(where.quote) <= 90 else where.quote[:90].rsplit(" ", 1)[0] + " ..."
    return f"\u201c{quote}\u201d ({spoken_place(where)})"


def _storeys(facts: Sequence[Fact], passages: dict[str, Passage]) -> Got | None:
    """A stated number of storeys, else the highest floor that is named with framed walls."""
    said = [f for f in facts if f.name == "storeys" and f.value]
    floors = [f for f in facts if f.name == "floor-named" and f.value]
    top = max(floors, key=lambda f: f.value or 0, default=None)
    if said:
        counted = Counter(int(f.value or 0) for f in said)
        # where the words differ, the number that a named floor agrees with, then the one said most often
        best = max(counted, key=lambda n: (top is not None and n == int(top.value or 0), counted[n], n))
        if top is not None and best < int(top.value or 0):
            return int(top.value or 0), _place(top, passages)
        return best, _place(next(f for f in said if int(f.value or 0) == best), passages)
    if top is not None:
        return int(top.value or 0), _place(top, passages)
    return None


_PLAN = re.compile(r"^\W*(?:(?:first|1st|main|ground)\s+)?(?:floor\s+)?plan\W*$", re.I)
_UPPER = re.compile(
    r"\b(?:second|third|2nd|3rd|upper)\s+(?:floor|flr|fl\.|stor(?:e?y|ies|eys)|level)|\bupstairs\b|\b(?:both|all)\s+(?:floors|levels)\b",
    re.I,
)


def _one_plan(facts: Sequence[Fact], passages: dict[str, Passage]) -> Got | None:
    """One storey where one floor is drawn, between a foundation and a roof that are named, and no word is of a floor above."""
    if not {"roof", "foundation"} <= {f.name for f in facts} or any(_UPPER.search(p.text) for p in passages.values()):
        return None
    plans = [p for p in passages.values() if p.kind in {"title", "heading", "callout"} and _PLAN.match(p.text)]
    if not plans:
        return None
    p = plans[0]
    return 1, Where(sheet=p.sheet, page=p.page, label=p.label, quote=p.text, box=p.box(0, len(p.text)))


def _house_foundations(facts: Sequence[Fact], reading: Reading) -> list[Fact]:
    """Facts of the house's own foundation: a pier under a post base is the post's, and piers within a crawl space carry its girder."""
    posts = {r.passage for r in reading.requirements if r.joint in {"post-foot", "post-head"} or r.device in {"post base", "post cap"}}
    own = [f for f in facts if f.name == "foundation" and not (f.text == "piers" and f.passage in posts)]
    crawl = any(f.text == "crawl space" for f in own)
    return [f for f in own if not (crawl and f.text == "piers")]


def _weights(name: str, facts: Iterable[Fact], passages: dict[str, Passage]) -> Counter[str]:
    counted: Counter[str] = Counter()
    for f in facts:
        if f.name == name and f.text:
            counted[f.text] += _DRAWN.get(passages[f.passage].kind, 1.0)  # type: ignore[assignment]
    return counted


def _most_drawn(name: str, facts: Sequence[Fact], passages: dict[str, Passage]) -> Got | None:
    """The kind that stands most often, words on the drawing counting more than notes, which are copied."""
    counted = _weights(name, facts, passages)
    if not counted:
        return None
    best = max(counted, key=lambda t: counted[t])
    chosen = [f for f in facts if f.name == name and f.text == best]
    return best, _place(max(chosen, key=lambda f: _DRAWN.get(passages[f.passage].kind, 1.0)), passages)


def _highest(name: str, facts: Sequence[Fact], passages: dict[str, Passage]) -> Got | None:
    chosen = [f for f in facts if f.name == name and f.value]
    if not chosen:
        return None
    best = max(chosen, key=lambda f: f.value or 0)
    value = best.value or 0
    return (int(value) if value == int(value) else value), _place(best, passages)


def _first_text(name: str, facts: Sequence[Fact], passages: dict[str, Passage]) -> Got | None:
    chosen = [f for f in facts if f.name == name and f.text]
    if not chosen:
        return None
    counted = Counter(f.text for f in chosen)
    best = max(counted, key=lambda t: counted[t])
    return str(best), _place(next(f for f in chosen if f.text == best), passages)
