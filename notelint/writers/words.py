"""Phrases that several outputs share, and foreign text made harmless."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from notelint.model import Building, BuildingFact, JointState, Question, Recheck, RecheckStatus, Stage, Unread, Where

STAGE_HEADS: dict[Stage, str] = {
    "bid": "Ask before bidding",
    "pour": "Ask before the pour",
    "framing": "Ask before framing",
    "rough-in": "Ask before rough-in",
    "cover": "Ask before walls are closed",
}

STATUS_WORDS: dict[RecheckStatus, str] = {
    "answered": "answered in the revised set",
    "open": "still open",
    "changed": "still open, its words changed",
    "new": "new in the revised set",
}

JOINT_NAMES = {
    "roof-to-wall": "Roof to wall top",
    "plate-to-stud": "Wall top to studs",
    "header-to-stud": "Header to studs",
    "floor-to-floor": "Upper studs to lower studs",
    "stud-to-sill": "Studs to sill",
    "sill-to-foundation": "Sill to foundation",
    "post-head": "Post head to beam",
    "post-foot": "Post foot to base",
    "new-to-existing": "New work to existing",
    "cut-plate": "Cut top plate",
    "plate-splice": "Plate splice",
    "ridge": "Ridge",
    "other": "Other joint",
}

FACT_NAMES = {
    "storeys": "Storeys",
    "roof": "Roof",
    "foundation": "Foundation",
    "wind_mph": "Design wind speed",
    "exposure": "Exposure",
    "code": "Code",
}

COUNT_NOTE = "Callouts are counted as they stand on the sheets; a count of callouts is no count of pieces."

MOST_PLACES = 4  # of one joint, named in one line

FORMULA_LEADS = frozenset("=+-@|")  # a spreadsheet may run a cell that starts so

# What no output may hold: control characters, characters that XML refuses, and marks that turn the direction of what follows.
_BAD = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ufff9-\uffff\ud800-\udfff]")


def clean(text: str) -> str:
    """Foreign text without control characters, direction marks and what XML refuses; tabs and line ends become spaces."""
    return " ".join(_BAD.sub("", text.replace("\x0b", " ").replace("\x0c", " ").replace("\r", " ")).split())


def cell_text(text: str) -> str:
    """Foreign text for a cell of a csv: clean, and with an apostrophe before what a spreadsheet would take for a formula."""
    plain = clean(text)
    return f"'{plain}" if plain[:1] in FORMULA_LEADS else plain


def visible(text: str) -> str:
    """Foreign text with control characters and direction marks written out, for a terminal."""
    return _BAD.sub(lambda found: f"\\u{ord(found.group()):04x}", text.replace("\r", "\\r").replace("\t", " ").replace("\n", " "))


def sheet_name(sheet: str | None, page: int) -> str:
    """As in "S-1", or "page 3" for a sheet without a number; page 0 is no sheet of the set but the user's hardware list."""
    if page < 1:
        return "hardware list"
    return clean(sheet) if sheet and clean(sheet) else f"page {page}"


def place_of(where: Where) -> str:
    """As in "S-1, note 7"."""
    label = clean(where.label)
    name = sheet_name(where.sheet, where.page)
    return f"{name}, {label}" if label else name


def sheets_of(question: Question) -> tuple[str, ...]:
    """The sheets that a question points to, each once, in order."""
    return tuple(dict.fromkeys(sheet_name(where.sheet, where.page) for where in question.where))


def places_of(question: Question, most: int | None = None) -> str:
    """The places of a question in one line, each once; after `most` of them only how many more."""
    if not question.where:
        return "whole set"
    places = list(dict.fromkeys(place_of(where) for where in question.where))
    shown = places[:most]
    return "; ".join(shown) + (f" and {len(places) - len(shown)} more" if len(shown) < len(places) else "")


def quoted(wheres: Sequence[Where]) -> tuple[tuple[str, str], ...]:
    """(place, quote) of each place, places that read the same once: ("S-4, callout (3 times)", "ST-3 AT EACH STUD")."""
    counts = Counter((place_of(where), clean(where.quote)) for where in wheres)
    return tuple((place if count == 1 else f"{place} ({count} times)", quote) for (place, quote), count in counts.items())


def unread_line(one: Unread) -> str:
    """As in "A-4 (page 5): no readable text"."""
    name = sheet_name(one.sheet, one.page)
    return f"{name}: {clean(one.reason)}" if name.startswith("page ") else f"{name} (page {one.page}): {clean(one.reason)}"


def building_lines(building: Building) -> tuple[tuple[str, str, str, BuildingFact | None], ...]:
    """(name, value, from which words, fact) for each thing the building was taken to be, in a fixed order."""
    facts = {fact.name: fact for fact in building.facts}
    values = (
        ("storeys", building.storeys),
        ("roof", building.roof),
        ("foundation", building.foundation),
        ("wind_mph", building.wind_mph),
        ("exposure", building.exposure),
        ("code", building.code),
    )
    lines = []
    for name, value in values:
        fact = facts.get(name)  # type: ignore[call-overload]
        shown = "not found" if value is None else f"{value:g} mph" if name == "wind_mph" and isinstance(value, float) else clean(str(value))
        lines.append((FACT_NAMES[name], shown, clean(fact.from_words) if fact else "", fact))
    return tuple(lines)


def joint_name(state: JointState, storeys: int | None) -> str:
    """As in "Upper studs to lower studs, storey 1 to 2"; the storey is left out in a house of one."""
    name = JOINT_NAMES.get(state.joint, state.joint)
    if state.joint == "floor-to-floor":
        return f"{name}, storey {state.storey + 1} to {state.storey}"
    return name if (storeys or 1) < 2 else f"{name}, storey {state.storey}"


def joint_words(state: JointState) -> str:
    """What ties a joint, where that stands, its capacity, and what it lacks, in one line; empty where nothing is known."""
    parts = [clean(state.words)] if state.words else []
    places = "; ".join(dict.fromkeys(place_of(where) for where in state.where[:MOST_PLACES]))
    parts += [f"({places})"] if places else []
    parts += [f"capacity {pounds(state.capacity_lb)}"] if state.capacity_lb is not None else []
    parts += [f"by its nails about {pounds(state.computed_lb)} (computed)"] if state.computed_lb is not None else []
    parts += [f"demand {pounds(state.demand_lb)}"] if state.demand_lb is not None else []
    parts += [f"still needs {joined(state.lacks, ', ')}"] if state.lacks else []
    return ", ".join(parts).replace(", (", " (", 1)


def pounds(value: float | None) -> str:
    """As in "1,235 lb"; empty for None."""
    return "" if value is None else f"{value:,.0f} lb"


def count_of(number: int, one: str, many: str | None = None) -> str:
    """As in "1 question", "3 questions"."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def joined(items: Sequence[str], mark: str = "; ") -> str:
    """Cleaned items in one line."""
    return mark.join(clean(one) for one in items)


def recheck_summary(recheck: Recheck) -> str:
    """As in "against old.pdf: 9 answered, 4 still open, 1 changed, 2 new"."""
    said = {"answered": "answered", "open": "still open", "changed": "changed", "new": "new"}
    counts = [f"{sum(line.status == status for line in recheck.lines)} {words}" for status, words in said.items()]
    return f"against {clean(recheck.file)}: {', '.join(counts)}"
