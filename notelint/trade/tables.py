"""Look-ups in the published tables of shared/tables. Lengths in inches unless the name says otherwise.

Nail look-ups stand in `notelint.trade.nails` and can be had from here too.
"""

from __future__ import annotations

import functools
import re
from typing import NamedTuple

from notelint.trade.nails import (
    deformed_nails,
    diameters_of,
    known_pennies,
    nail,
    nail_sizes,
    nail_types,
    nails_matching,
    nails_of_penny,
    possible_types,
    same_diameter,
    same_length,
    short_nails,
    size_contradicts,
)
from notelint.trade.rows import (
    Allowance,
    BendingYield,
    CodeValue,
    Factor,
    Fastening,
    GaugeRow,
    GreenShrinkage,
    LumberSize,
    NutOrWasher,
    Panel,
    ShrinkageCoefficient,
    SpecificGravity,
    Thread,
    TreatedWood,
    Uplift,
    WoodScrew,
    table,
)

__all__ = [
    "GaugeThickness", "allowances", "at_least_16_gauge", "deformed_nails", "diameters_of", "factor", "fastenings", "gauge_thickness",
    "green_shrinkage", "known_pennies", "lumber", "minimum", "minimum_names", "nail", "nail_bending_yield", "nail_sizes", "nail_types",
    "nails_matching", "nails_of_penny", "nut_or_washer", "panel", "possible_types", "roof_uplift", "same_diameter", "same_length",
    "screw", "short_nails", "shrinkage_coefficient", "size_contradicts", "specific_gravity", "thread", "treated_wood",
    "wood_factor",
]  # fmt: skip


class GaugeThickness(NamedTuple):
    """Four thicknesses in inches that go by one gauge number; None where that standard has no such gauge."""

    gauge: int
    minimum_base_in: float | None  # IRC: least steel before coating, as R602.6.1 counts 16 gauge
    uncoated_in: float | None  # Manufacturers' Standard Gauge
    nds_in: float | None  # as the NDS connection tables count it
    galvanized_in: float | None  # Galvanized Sheet Gauge, coating included


_GAUGE_STANDARDS = ("minimum base", "uncoated sheet", "NDS tables", "galvanized sheet")


def screw(number: int) -> WoodScrew | None:
    """Shank and root diameter of a wood screw by number (#10). NDS 2018 Appendix L, Table L3."""
    return next((row for row in table("wood_screws", WoodScrew) if row.number == number), None)


def gauge_thickness(gauge: int) -> GaugeThickness | None:
    """The thicknesses, kept apart by standard, that go by this gauge; None for a gauge no table has."""
    found = {row.standard: row.thickness_in for row in table("gauges", GaugeRow) if row.gauge == gauge}
    return GaugeThickness(gauge, *(found.get(name) for name in _GAUGE_STANDARDS)) if found else None


def at_least_16_gauge(thickness_in: float | None = None, gauge: int | None = None) -> bool | None:
    """Whether steel is at least the 0.054 in (16 gauge) of IRC R602.6.1, by its gauge or else its thickness; None if neither is given.

    A thickness is taken as base steel and rounded to 0.001 in, so that 54 mil (0.0538 in) passes.
    """
    if gauge is not None:
        return gauge <= minimum("cut-plate-tie-gauge").value
    if thickness_in is None:
        return None
    return round(thickness_in, 3) >= minimum("cut-plate-tie-thickness").value


def lumber(nominal: str, state: str | None = None) -> LumberSize | None:
    """Dressed size of "2x6", "2 X 6" or "2-by-6"; dry if the table has it so, unless `state` says "green".

    NDS Supplement 2018 Table 1A (PS 20). None for a nominal size that is not in the table.
    """
    found = re.fullmatch(r"(\d+)\s*(?:x|×|-?\s*by\s*-?)\s*(\d+)", nominal.strip().casefold())
    if not found:
        return None
    name = f"{int(found[1])}x{int(found[2])}"
    rows = {row.state: row for row in table("lumber", LumberSize) if row.nominal == name}
    return rows.get(state) if state else rows.get("dry") or rows.get("green")


def panel(category: str) -> Panel | None:
    """Thickness of a panel by performance category ("15/32"). PS 1, PS 2."""
    return next((row for row in table("panels", Panel) if row.category == category.strip()), None)


def nut_or_washer(kind: str, bolt_in: float) -> NutOrWasher | None:
    """Height and width of a "hex nut", "heavy hex nut", "jam nut", "cut washer", "narrow washer" or "plate washer".

    ASME B18.2.2, ASME B18.21.1, IRC R602.11.1.
    """
    rows = table("nuts_washers", NutOrWasher)
    return next((row for row in rows if row.kind == kind and abs(row.bolt_in - bolt_in) < 1e-6), None)


def thread(bolt_in: float) -> Thread | None:
    """Threads per inch of a bolt diameter, coarse thread. ASME B1.1."""
    return next((row for row in table("threads", Thread) if abs(row.bolt_in - bolt_in) < 1e-6), None)


def minimum(name: str) -> CodeValue:
    """A limit of the code or of practice by name, such as "sill-anchor-embedment".

    Raises KeyError for a name that shared/tables/minimums.csv lacks.
    """
    return _minimums()[name]


def minimum_names() -> tuple[str, ...]:
    """All names that `minimum` knows."""
    return tuple(_minimums())


def factor(name: str) -> float:
    """A number of NDS 2018 by name (shared/tables/nds_factors.csv gives unit and table). Raises KeyError for an unknown name."""
    return _factors()[name]


def wood_factor(name: str) -> float:
    """A number of the shrinkage equations of FPL-RP-489 by name (shared/tables/wood_factors.csv). Raises KeyError for an unknown name."""
    return {row.name: row.value for row in table("wood_factors", Factor)}[name]


def nail_bending_yield(diameter_in: float) -> BendingYield | None:
    """Bending yield strength, psi, of a nail of this diameter; None outside the bands. NDS 2018 Table I1."""
    rows = table("nail_bending_yield", BendingYield)
    first = rows[0]
    if abs(diameter_in - first.over_in) < 1e-9:
        return first
    return next((row for row in rows if row.over_in < diameter_in <= row.to_in + 1e-9), None)


def specific_gravity(species: str) -> SpecificGravity | None:
    """Specific gravity of a species combination by full or short name ("DF-L", "Southern Pine"). NDS 2018 Table 12.3.3A."""
    wanted = _letters(species)
    rows = table("specific_gravity", SpecificGravity)
    return next((row for row in rows if wanted in (_letters(row.species), _letters(row.short))), None)


def green_shrinkage(species: str) -> GreenShrinkage | None:
    """Shrinkage green to oven-dry, percent. USDA Wood Handbook GTR-190 Table 4-3."""
    return next((row for row in table("shrinkage_green_to_ovendry", GreenShrinkage) if row.species == species), None)


def shrinkage_coefficient(species: str, direction: str) -> ShrinkageCoefficient | None:
    """Change of size for one percent of moisture, as a fraction. USDA Wood Handbook GTR-190 Table 13-5 and the averages beside it.

    `direction` is "radial", "tangential" or, for the averages, "across the grain".
    """
    rows = table("shrinkage_coefficients", ShrinkageCoefficient)
    return next((row for row in rows if (row.species, row.direction) == (species, direction)), None)


def roof_uplift(wind_mph: float, exposure: str, spacing_in: float, span_ft: float, *, steep: bool) -> Uplift | None:
    """Uplift in pounds at a rafter or truss: the nearest cell not below the given wind, spacing and span. IRC 2018 Table R802.11.

    `steep` is a pitch of 5:12 or more. None beyond the table (exposure C is not in it here).
    """
    pitch = "5:12 or more" if steep else "less than 5:12"
    rows = [
        row
        for row in table("uplift_r802_11", Uplift)
        if (row.exposure, row.pitch) == (exposure.strip().upper(), pitch)
        and row.wind_mph >= wind_mph
        and row.spacing_in >= spacing_in
        and row.span_ft >= span_ft
    ]
    return min(rows, key=lambda row: (row.wind_mph, row.spacing_in, row.span_ft), default=None)


def fastenings(connection: str | None = None) -> tuple[Fastening, ...]:
    """Rows of the code's fastening schedule, IRC Table R602.3(1), for one connection or all."""
    rows = table("fastening_r602_3_1", Fastening)
    return tuple(row for row in rows if connection in (None, row.connection))


def allowances(limit: str) -> tuple[Allowance, ...]:
    """What the code lets stand in place of a limit of `minimum`."""
    return tuple(row for row in table("allowances", Allowance) if row.limit == limit)


def treated_wood() -> tuple[TreatedWood, ...]:
    """What fasteners and connectors in preservative-treated wood are to be made of. IRC R317.3.1 (R304.3 in 2024)."""
    return table("treated_wood", TreatedWood)


@functools.cache
def _minimums() -> dict[str, CodeValue]:
    return {row.name: row for row in table("minimums", CodeValue)}


@functools.cache
def _factors() -> dict[str, float]:
    return {row.name: row.value for row in table("nds_factors", Factor)}


def _letters(text: str) -> str:
    return re.sub(r"[^a-z]", "", text.casefold())
