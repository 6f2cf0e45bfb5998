"""What a user may say of the building, by option or facts file: one form for each value, and a plain refusal of what is none."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

from notelint.errors import BadOptions
from notelint.language import read_language
from notelint.model import Layout, Passage

MOST_STOREYS = 6
LEAST_WIND, MOST_WIND = 50, 250  # mph ultimate
ROOFS = ("trusses", "rafters", "roof joists")
FOUNDATIONS = ("slab", "crawl space", "basement", "piers")
EXPOSURES = ("B", "C", "D")
_ROOF_WORDS = {
    "roof truss": "trusses", "wood truss": "trusses", "roof rafter": "rafters", "flat roof joist": "roof joists", "joist": "roof joists",
}  # fmt: skip
_FOUNDATION_WORDS = {
    "slab on grade": "slab", "slab with grade beam": "slab", "monolithic slab": "slab", "concrete slab": "slab",
    "crawlspace": "crawl space", "crawl": "crawl space", "pile": "piers", "piling": "piers", "post and pier": "piers",
}  # fmt: skip
_EDITION = re.compile(r"\b(?:19|20)\d\d\b|\b\d{1,2}(?:st|nd|rd|th)\s+ed", re.I)
_MOST_LETTERS = 80


def told(name: str, said: object) -> str | int | float:
    """The value meant by what was said of `name`, a field of Overrides. Raises BadOptions with the values there are."""
    if name == "storeys":
        return int(_number(said, 1, MOST_STOREYS, f"a whole number from 1 to {MOST_STOREYS}", whole=True))
    if name == "wind_mph":
        return _number(said, LEAST_WIND, MOST_WIND, f"a speed from {LEAST_WIND} to {MOST_WIND} mph")
    words = " ".join(str(said).split())
    if name == "roof":
        return _one_of(words, ROOFS, _ROOF_WORDS)
    if name == "foundation":
        return _one_of(words, FOUNDATIONS, _FOUNDATION_WORDS)
    if name == "exposure":
        return _one_of(re.sub(r"^(?:exposure|exp\.?)(?:\s+category)?\s+", "", words, flags=re.I), EXPOSURES, {})
    return _code(words)


def _number(said: object, least: float, most: float, form: str, *, whole: bool = False) -> float:
    try:
        value = math.nan if isinstance(said, bool) else float(str(said))
    except ValueError:
        value = math.nan
    if not least <= value <= most or (whole and value != int(value)):
        raise BadOptions(f"{_shown(said)} is none of the values there are: {form}")
    return value


def _one_of(words: str, values: tuple[str, ...], others: Mapping[str, str]) -> str:
    """The value that the words stand for, whatever their case, hyphens or number."""
    known = {_folded(v): v for v in values} | {_folded(word): v for word, v in others.items()}
    found = known.get(_folded(words))
    if found is None:
        raise BadOptions(f"{_shown(words)} is none of the values there are: {', '.join(values)}")
    return found


def _folded(words: str) -> str:
    """Small letters, no hyphens, the last word in the singular: "Roof Joists" and "roof-joist" are one."""
    low = " ".join(re.sub(r"[-_]", " ", words.lower()).split())
    return re.sub(r"(?<=ss)es$|(?<=[^s])s$", "", low)


def _code(words: str) -> str:
    """The code in the form the sets' own words are given; one that is not known stays as it was said, if it has an edition."""
    if not re.search(r"[^\W\d_]{2}", words) or not _EDITION.search(words) or len(words) > _MOST_LETTERS:
        raise BadOptions(f'{_shown(words)} is no code with its edition, such as "IRC 2021", "IBC 2018" or "2020 Residential Code"')
    note = Passage(id="p1", page=1, sheet=None, kind="note", label="note 1", text=words)
    return next((f.text for f in read_language(Layout(passages=(note,))).facts if f.name == "code" and f.text), words)


def _shown(said: object) -> str:
    text = str(said)
    return repr(text if len(text) <= 40 else f"{text[:40]}...")
