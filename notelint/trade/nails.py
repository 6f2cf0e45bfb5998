"""Nails by penny size: what the published table gives, and whether stated sizes agree with it.

Figures: NDS 2018 Appendix L Table L4, ASTM F1667 (shared/tables/nails.csv, short_nails.csv, deformed_nails.csv). Inches.
"""

from __future__ import annotations

import re

from notelint.trade.inches import size
from notelint.trade.rows import DeformedNail, NailSize, ShortNail, table

# A diameter rounded to a tenth of a millimetre, or to a hundredth of an inch, is this far off at most; real sizes stand 0.003 in apart.
DIAMETER_SLACK_IN = 0.0021
# Metric lengths are rounded to 1 mm or 5 mm; lengths of one penny size stand 1/8 in apart.
LENGTH_SLACK_IN = 0.06

# The types that framing is nailed with; others are left out of messages where these exist.
_FRAMING_TYPES = ("common", "box", "sinker")
# Words that name a nail by its use: any type of its penny size may be meant, cut short.
_CONNECTOR_WORDS = ("connector", "hanger", "short")


def nail_sizes() -> tuple[NailSize, ...]:
    """Every row of the nail table."""
    return table("nails", NailSize)


def short_nails() -> tuple[ShortNail, ...]:
    """Connector nails: the shank of a penny size, cut short."""
    return table("short_nails", ShortNail)


def deformed_nails() -> tuple[DeformedNail, ...]:
    """Ring and screw shank nails as far as known."""
    return table("deformed_nails", DeformedNail)


def nail_types() -> tuple[str, ...]:
    """Types whose penny size fixes diameter and length: common, box, sinker, ..."""
    return tuple(dict.fromkeys(row.type for row in nail_sizes()))


def known_pennies(type: str | None = None) -> tuple[str, ...]:
    """Penny sizes of the nail table (of one type, if given), smallest first."""
    wanted = _type(type)
    found = {row.penny for row in nail_sizes() if wanted is None or row.type == wanted}
    return tuple(sorted(found, key=lambda penny: int(penny[:-1])))


def nail(penny: str, type: str) -> NailSize | None:
    """The nail of this penny size and type; None where the table has no such nail."""
    wanted = (_penny(penny), _type(type))
    return next((row for row in nail_sizes() if (row.penny, row.type) == wanted), None)


def nails_of_penny(penny: str) -> tuple[NailSize, ...]:
    """Every type of nail of this penny size."""
    wanted = _penny(penny)
    return tuple(row for row in nail_sizes() if row.penny == wanted)


def nails_matching(diameter_in: float | None, length_in: float | None) -> tuple[NailSize, ...]:
    """Nails of the table with this diameter and length in inches, either of which may be left out (None)."""
    return tuple(
        row
        for row in nail_sizes()
        if (diameter_in is None or same_diameter(row.diameter_in, diameter_in))
        and (length_in is None or same_length(row.length_in, length_in))
    )


def same_diameter(a_in: float, b_in: float) -> bool:
    """Whether two diameters in inches are one once rounding (0.1 mm, 0.01 in) is allowed for."""
    return abs(a_in - b_in) <= DIAMETER_SLACK_IN


def same_length(a_in: float, b_in: float) -> bool:
    """Whether two lengths in inches are one once metric rounding is allowed for."""
    return abs(a_in - b_in) <= LENGTH_SLACK_IN


def possible_types(penny: str, diameter_in: float | None, length_in: float | None, *, connector: bool = False) -> tuple[str, ...]:
    """Types of this penny size that agree with the stated diameter and length, inches.

    A nail written with a connector nail's short length agrees by its diameter; with `connector` any shorter length does.
    """
    return tuple(row.type for row in nails_of_penny(penny) if _agrees(row, diameter_in, length_in, connector))


def diameters_of(penny: str, type: str | None = None) -> tuple[float, ...]:
    """Shank diameters in inches that this penny size can have: one if the type is given, else one a type."""
    wanted = _type(type)
    return tuple(dict.fromkeys(row.diameter_in for row in nails_of_penny(penny) if wanted is None or row.type == wanted))


def size_contradicts(
    penny: str, type: str | None, diameter_in: float | None, length_in: float | None, *, connector: bool = False
) -> str | None:
    """Why this penny size cannot be that diameter or length (inches), in one line with its source; None where it can.

    Without a type it is right if any type fits. Ring, screw and other shanks that no penny size fixes are never contradicted.
    `connector` marks a nail of a connector, which may be any length shorter than full. NDS 2018 Table L4, ASTM F1667.
    """
    rows = nails_of_penny(penny)
    if not rows:
        return f"{penny} is no size of the nail table ({', '.join(known_pennies())}: {_source(nail_sizes())})"
    wanted, loose = _type(type), connector or _says_connector(type)
    if wanted is not None:
        if wanted not in nail_types():
            return None
        rows = tuple(row for row in rows if row.type == wanted)
        if not rows:
            return f"there is no {penny} {wanted} nail in the table ({', '.join(known_pennies(wanted))}: {_source(nail_sizes())})"
    if any(_agrees(row, diameter_in, length_in, loose) for row in rows):
        return None
    return _contradiction(penny, rows, diameter_in, length_in)


def _agrees(row: NailSize, diameter_in: float | None, length_in: float | None, connector: bool) -> bool:
    if diameter_in is not None and not same_diameter(row.diameter_in, diameter_in):
        return False
    if length_in is None or same_length(row.length_in, length_in):
        return True
    return length_in < row.length_in and (connector or _is_short(row.penny, length_in))


def _is_short(penny: str, length_in: float) -> bool:
    return any(row.penny == penny and same_length(row.length_in, length_in) for row in short_nails())


def _contradiction(penny: str, rows: tuple[NailSize, ...], diameter_in: float | None, length_in: float | None) -> str:
    framing = tuple(row for row in rows if row.type in _FRAMING_TYPES) or rows
    right = ", ".join(f"{penny} {row.type} is {size(row.diameter_in, row.length_in)}" for row in framing)
    stated = size(diameter_in, length_in)
    other = [row for row in nails_matching(diameter_in, length_in) if diameter_in is not None and length_in is not None]
    names = ", ".join(f"{row.penny} {row.type}" for row in other)
    return f"{right} ({_source(framing)}), not {stated}" + (f"; {stated} is {names}" if names else "")


def _source(rows: tuple[NailSize, ...]) -> str:
    return "; ".join(dict.fromkeys(row.cite for row in sorted(rows, key=lambda row: not row.verified)))


def _penny(text: str) -> str:
    found = re.search(r"\d+", text)
    return f"{int(found.group())}d" if found else text.strip().casefold()


def _type(text: str | None) -> str | None:
    """The agreed name of a type; None where nothing, or only a connector's name, is given."""
    if text is None or _says_connector(text):
        return None
    plain = " ".join(re.sub(r"\b(wire|nails?)\b", " ", text.casefold()).split())
    return "sinker" if plain == "sinkers" else plain or None


def _says_connector(text: str | None) -> bool:
    return text is not None and any(word in text.casefold() for word in _CONNECTOR_WORDS)
