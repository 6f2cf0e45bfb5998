"""What a connector's own nails are good for, computed where the set states all that the yield equations need.

A computed value is a bound from the nails alone; the maker's value for the connector, which is not known here, may be lower.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from notelint.mechanics.chain import fasteners_capacity
from notelint.mechanics.lateral import gauge_side, nail_lateral
from notelint.model import Passage, Record, Requirement
from notelint.trade.rows import SpecificGravity, table
from notelint.trade.tables import factor, specific_gravity

_COMPUTED = {"strap", "roof tie", "stud tie", "header tie", "plate tie", "sill strap", "embedded strap"}
_FRAME = re.compile(r"stud|plate|lumber|framing|wood|post")


class NailCapacity(Record):
    """Pounds at the weaker end, with the arithmetic."""

    value_lb: float
    lines: tuple[str, ...]


def species_gravity(passages: Iterable[Passage]) -> tuple[str, float] | None:
    """The lightest framing species that the set names, and its specific gravity (NDS 2018 Table 12.3.3A); None where none is named."""
    names = {row.species: row for row in table("specific_gravity", SpecificGravity)}
    found = {}
    for p in passages:
        low = p.text.lower()
        if not _FRAME.search(low):
            continue
        for name, row in names.items():
            if re.search(rf"(?<![\w-]){re.escape(name.lower())}(?! \()", low.replace("spruce pine fir", "spruce-pine-fir")) or (
                len(row.short) > 2 and re.search(rf"(?<![\w-]){re.escape(row.short.lower())}(?![\w(-])", low)
            ):
                found[name] = row.specific_gravity
    return min(found.items(), key=lambda item: item[1]) if found else None


def nail_capacity(about: Sequence[Requirement], species: tuple[str, float] | None) -> NailCapacity | None:
    """Capacity of a connector by its nails: count x lateral value, wind duration, steel side plate, the end with the least.

    `about` are all requirements of one mark. NDS 2018 Chapter 12; None where gauge, species or a nail's diameter, length or count is
    not stated, or where other fasteners than nails are called for.
    """
    if species is None or specific_gravity(species[0]) is None or not any(r.device in _COMPUTED for r in about):
        return None
    gauge = next((r.steel.gauge for r in about if r.steel and r.steel.gauge), None)
    side = gauge_side(gauge) if gauge else None
    nails = next((r.fasteners for r in about if r.fasteners and all(f.kind == "nail" for f in r.fasteners)), ())
    if side is None or not nails or not all(f.count and f.diameter_in and f.length_in for f in nails):
        return None
    ends = []
    for f in nails:
        each = nail_lateral(f.diameter_in or 0, f.length_in or 0, species[1], side, duration=factor("duration-wind"))
        if each is None or each.value_lb is None:
            return None
        ends.append((fasteners_capacity(f.count or 0, each.value_lb), f, each.value_lb))
    least, f, each_lb = min(ends, key=lambda end: end[0].value)
    line = (
        f"{f.count} nails of {f.diameter_in:.3f} in through {gauge} ga. steel into {species[0]} (G = {species[1]:g}): "
        f"{f.count} x {each_lb:.0f} lb = {least.value:,.0f} lb (NDS 2018 Chapter 12, wind duration {factor('duration-wind'):g})"
    )
    return NailCapacity(value_lb=round(least.value), lines=(line,))
