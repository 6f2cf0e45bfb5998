"""The published tables: strict, each row with its source, and right where they were seen."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from notelint.errors import NotelintError
from notelint.trade import data_dir, rows, tables

MODELS: dict[str, type[rows.Row]] = {
    "allowances": rows.Allowance,
    "deformed_nails": rows.DeformedNail,
    "fastening_r602_3_1": rows.Fastening,
    "gauges": rows.GaugeRow,
    "lumber": rows.LumberSize,
    "minimums": rows.CodeValue,
    "nail_bending_yield": rows.BendingYield,
    "nails": rows.NailSize,
    "nds_factors": rows.Factor,
    "nuts_washers": rows.NutOrWasher,
    "panels": rows.Panel,
    "short_nails": rows.ShortNail,
    "shrinkage_coefficients": rows.ShrinkageCoefficient,
    "shrinkage_green_to_ovendry": rows.GreenShrinkage,
    "specific_gravity": rows.SpecificGravity,
    "threads": rows.Thread,
    "treated_wood": rows.TreatedWood,
    "uplift_r802_11": rows.Uplift,
    "wood_factors": rows.Factor,
    "wood_screws": rows.WoodScrew,
}
FILES = sorted((data_dir() / "tables").glob("*"))
NAILS_HEAD = "penny,type,length_in,diameter_in,head_in,source,edition,section,verified,note\n"


def test_every_file_has_a_model_and_every_model_a_file() -> None:
    assert [path.name for path in FILES] == sorted(f"{name}.csv" for name in MODELS)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_table_reads_and_every_row_names_its_source(path: Path) -> None:
    found = rows.table(path.stem, MODELS[path.stem])
    assert found
    for row in found:
        assert row.source.strip() and row.edition.strip() and row.section.strip(), row
        assert row.verified or (row.note or "").startswith(("from memory", "partly seen")), row
        assert not row.verified or not (row.note or "").startswith(("from memory", "partly seen")), row


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_table_is_written_tidily(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    lines = text.splitlines()
    assert text.endswith("\n") and "\r" not in text and "\t" not in text
    assert len(lines) == len(set(lines)), "a row stands twice"
    for cells in csv.reader(lines):
        assert all(cell == cell.strip() for cell in cells), cells


REFUSED = [
    ("unknown column", NAILS_HEAD.replace("note", "note,maker") + "8d,common,2.5,0.131,,x,y,z,yes,,\n", "maker"),
    ("column lacking", NAILS_HEAD.replace(",section", "") + "8d,common,2.5,0.131,,x,y,yes,\n", "section"),
    ("column twice", NAILS_HEAD.replace("note", "note,note") + "8d,common,2.5,0.131,,x,y,z,yes,,\n", "columns"),
    ("no source", NAILS_HEAD + "8d,common,2.5,0.131,,,y,z,yes,\n", "source"),
    ("no number", NAILS_HEAD + "8d,common,two,0.131,,x,y,z,yes,\n", "length_in"),
    ("cell too many", NAILS_HEAD + "8d,common,2.5,0.131,,x,y,z,yes,,,\n", "cells"),
    ("cell too few", NAILS_HEAD + "8d,common,2.5\n", "cells"),
    ("neither yes nor no", NAILS_HEAD + "8d,common,2.5,0.131,,x,y,z,perhaps,\n", "verified"),
    ("empty file", "", "columns"),
    ("broken quotes", NAILS_HEAD + '8d,common,2.5,0.131,,"x"y,y,z,yes,\n', "restore"),
]


@pytest.mark.parametrize("text, says", [case[1:] for case in REFUSED], ids=[case[0] for case in REFUSED])
def test_table_with_a_mistake_is_refused_in_one_line(tmp_path: Path, text: str, says: str) -> None:
    path = tmp_path / "nails.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(NotelintError) as caught:
        rows.read_rows(path, rows.NailSize)
    message = str(caught.value)
    assert str(path) in message and says in message and "\n" not in message


def test_table_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(NotelintError, match="cannot be read"):
        rows.read_rows(tmp_path / "none.csv", rows.NailSize)


@pytest.mark.parametrize(
    "gauge, thicknesses",
    [
        # IRC R602.6.1 (base), Manufacturers' Standard Gauge, NDS 2018 Table 12P, Galvanized Sheet Gauge
        (16, (0.054, 0.0598, 0.060, 0.0635)),
        (20, (None, 0.0359, 0.036, 0.0396)),
        (18, (None, 0.0478, 0.048, 0.0516)),
        (14, (None, 0.0747, 0.075, 0.0785)),
        (12, (None, 0.1046, 0.105, 0.1084)),
        (10, (None, 0.1345, 0.134, 0.1382)),
    ],
)
def test_gauge_keeps_its_standards_apart(gauge: int, thicknesses: tuple[float | None, ...]) -> None:
    found = tables.gauge_thickness(gauge)
    assert found is not None
    for got, wanted in zip(found[1:], thicknesses, strict=True):
        assert wanted is None or got == wanted


def test_gauge_that_no_table_has_is_none() -> None:
    assert tables.gauge_thickness(61) is None


@pytest.mark.parametrize(
    "thickness, gauge, enough",
    [
        (0.054, None, True),
        (0.0538, None, True),  # 54 mil base steel
        (0.0598, None, True),
        (0.0478, None, False),
        (0.036, None, False),
        (None, 16, True),
        (None, 14, True),
        (None, 18, False),
        (None, 20, False),
        (None, None, None),
    ],
)
def test_sixteen_gauge_is_the_least_for_a_plate_tie(thickness: float | None, gauge: int | None, enough: bool | None) -> None:
    """IRC R602.6.1: 0.054 in, 16 gauge."""
    assert tables.at_least_16_gauge(thickness, gauge) is enough


@pytest.mark.parametrize(
    "nominal, state, size",
    [
        # NDS Supplement 2018 Table 1A (PS 20)
        ("2x4", None, (1.5, 3.5)),
        ("2 X 6", None, (1.5, 5.5)),
        ("2x10", "green", (1.5625, 9.5)),
        ("2-by-12", None, (1.5, 11.25)),
        ("4x10", None, (3.5, 9.25)),
    ],
)
def test_lumber_has_its_dressed_size(nominal: str, state: str | None, size: tuple[float, float]) -> None:
    found = tables.lumber(nominal, state)
    assert found is not None and found.verified
    assert (found.thickness_in, found.width_in) == size


def test_timber_is_half_an_inch_under_nominal() -> None:
    """PS 20, from memory: five inches and thicker, nominal less 1/2 in."""
    found = tables.lumber("6x6")
    assert found is not None and (found.thickness_in, found.width_in) == (5.5, 5.5) and not found.verified


@pytest.mark.parametrize("text", ["", "2x", "x4", "2x5", "two by four", "2x4x8", "9999999x4"])
def test_lumber_of_no_such_size_is_none(text: str) -> None:
    assert tables.lumber(text) is None


@pytest.mark.parametrize(
    "name, value, section",
    [
        # IRC 2018/2021/2024
        ("sill-anchor-diameter", 0.5, "R403.1.6"),
        ("sill-anchor-spacing", 72, "R403.1.6"),
        ("sill-anchor-embedment", 7, "R403.1.6"),
        ("sill-anchor-end-distance-most", 12, "R403.1.6"),
        ("sill-anchor-end-distance-least", 7, "R403.1.6"),
        ("sill-anchor-count", 2, "R403.1.6"),
        ("sill-anchor-spacing-seismic-over-two-storeys", 48, "R403.1.6.1 item 4"),
        ("plate-washer-thickness", 0.229, "R602.11.1"),
        ("cut-plate-trigger", 0.5, "R602.6.1"),
        ("cut-plate-tie-thickness", 0.054, "R602.6.1"),
        ("cut-plate-tie-width", 1.5, "R602.6.1"),
        ("cut-plate-tie-nails", 8, "R602.6.1"),
        ("cut-plate-tie-nail-diameter", 0.148, "R602.6.1"),
        ("cut-plate-tie-reach", 6, "R602.6.1"),
        ("top-plate-joint-offset", 24, "R602.3.2"),
        ("stud-alignment", 5, "R602.3.3"),
        ("low-wind-speed", 115, "R602.3.5 item 1.1"),
        ("low-wind-span", 32, "R602.3.5 item 1.1"),
        ("wall-uplift-without-connector", 100, "R602.3.5 item 1.2"),
        ("wall-uplift-credit", 60, "R602.3.5 item 1.2"),
        ("stud-notch-bearing", 0.25, "R602.6"),
        ("stud-notch-nonbearing", 0.4, "R602.6"),
        ("stud-bore", 0.6, "R602.6"),
        ("stud-bore-edge", 0.625, "R602.6"),
    ],
)
def test_code_minimum_is_the_published_one(name: str, value: float, section: str) -> None:
    found = tables.minimum(name)
    assert (found.value, found.section, found.source, found.verified) == (value, section, "IRC", True)


def test_minimum_of_unknown_name_is_an_error() -> None:
    with pytest.raises(KeyError):
        tables.minimum("sill-anchor-colour")


def test_names_are_used_once_and_allowances_point_to_a_limit() -> None:
    names = [row.name for row in rows.table("minimums", rows.CodeValue)]
    assert len(names) == len(set(names)) == len(tables.minimum_names())
    assert {row.limit for row in rows.table("allowances", rows.Allowance)} <= set(names)
    assert len(tables.allowances("stud-alignment")) == 3  # IRC R602.3.3


@pytest.mark.parametrize(
    "wind, spacing, span, steep, uplift",
    [
        # IRC 2018 Table R802.11, exposure B, lb
        (110, 12, 12, False, 48),
        (115, 24, 36, False, 240),
        (140, 24, 36, True, 488),
        (130, 16, 32, False, 246),
        (140, 12, 48, False, 336),
    ],
)
def test_roof_uplift_is_the_published_cell(wind: float, spacing: float, span: float, steep: bool, uplift: float) -> None:
    found = tables.roof_uplift(wind, "B", spacing, span, steep=steep)
    assert found is not None and found.uplift_lb == uplift


def test_roof_uplift_between_cells_takes_the_next_above() -> None:
    """IRC 2018 Table R802.11: 117 mph and 30 ft read as 120 mph and 32 ft."""
    found = tables.roof_uplift(117, "b", 24, 30, steep=False)
    assert found is not None and (found.wind_mph, found.span_ft, found.uplift_lb) == (120, 32, 268)


@pytest.mark.parametrize("wind, exposure, spacing, span", [(150, "B", 24, 24), (120, "C", 24, 24), (120, "B", 32, 24), (120, "B", 24, 40)])
def test_roof_uplift_beyond_the_table_is_none(wind: float, exposure: str, spacing: float, span: float) -> None:
    assert tables.roof_uplift(wind, exposure, spacing, span, steep=False) is None


@given(st.sampled_from([110, 115, 120, 130]), st.sampled_from([12, 16, 24]), st.sampled_from([12, 18, 24, 28, 32]), st.booleans())
def test_roof_uplift_grows_with_wind_span_and_spacing(wind: int, spacing: int, span: int, steep: bool) -> None:
    here = tables.roof_uplift(wind, "B", spacing, span, steep=steep)
    windier = tables.roof_uplift(wind + 1, "B", spacing, span, steep=steep)
    wider = tables.roof_uplift(wind, "B", spacing, span + 1, steep=steep)
    assert here and windier and wider
    assert here.uplift_lb < windier.uplift_lb and here.uplift_lb < wider.uplift_lb


@pytest.mark.parametrize("name, gravity", [("DF-L", 0.50), ("Southern Pine", 0.55), ("hem-fir", 0.43), ("SPF", 0.42), ("HF(N)", 0.46)])
def test_specific_gravity_by_full_or_short_name(name: str, gravity: float) -> None:
    """NDS 2018 Table 12.3.3A."""
    found = tables.specific_gravity(name)
    assert found is not None and found.specific_gravity == gravity


@pytest.mark.parametrize(
    "kind, bolt, height",
    [("hex nut", 0.5, 0.4375), ("hex nut", 0.625, 0.546875), ("heavy hex nut", 0.625, 0.609375), ("plate washer", 0.5, 0.229)],
)
def test_nut_and_washer_heights(kind: str, bolt: float, height: float) -> None:
    """ASME B18.2.2; IRC R602.11.1 for the plate washer."""
    found = tables.nut_or_washer(kind, bolt)
    assert found is not None and found.verified and found.height_in == height


@pytest.mark.parametrize("bolt, pitch", [(0.5, 13), (0.625, 11), (0.75, 10)])
def test_threads_per_inch(bolt: float, pitch: int) -> None:
    """ASME B1.1, UNC."""
    found = tables.thread(bolt)
    assert found is not None and found.threads_per_in == pitch


@pytest.mark.parametrize(
    "diameter, strength",
    [(0.113, 100_000), (0.142, 100_000), (0.148, 90_000), (0.192, 80_000), (0.25, 70_000), (0.3, 60_000), (0.35, 45_000)],
)
def test_nail_bending_yield_by_band(diameter: float, strength: float) -> None:
    """NDS 2018 Table I1."""
    found = tables.nail_bending_yield(diameter)
    assert found is not None and found.yield_psi == strength


@pytest.mark.parametrize("number", [6, 7, 8, 9, 10, 12, 14, 16, 18, 20, 24])
def test_screw_number_gives_its_diameter(number: int) -> None:
    """ASME B18.6.1, from memory: 0.060 in and 0.013 in for each number."""
    found = tables.screw(number)
    assert found is not None and found.diameter_in == pytest.approx(0.060 + 0.013 * number)
    assert found.root_diameter_in < found.diameter_in


def test_screw_of_no_such_number_is_none() -> None:
    assert tables.screw(11) is None


def test_panel_category_gives_its_thickness() -> None:
    """PS 1 and PS 2 performance categories."""
    found = tables.panel(" 7/16 ")
    assert found is not None and found.thickness_in == 0.4375
    assert tables.panel("9/16") is None


def test_green_shrinkage_is_the_published_row() -> None:
    """USDA Wood Handbook GTR-190 Table 4-3: Douglas-fir, coast."""
    found = tables.green_shrinkage("Douglas-fir, coast")
    assert found is not None and found.verified
    assert (found.radial_percent, found.tangential_percent, found.volumetric_percent) == (4.8, 7.6, 12.4)
    assert tables.green_shrinkage("plastic") is None


def test_treated_wood_names_its_coatings() -> None:
    """IRC R317.3.1 (R304.3 in 2024)."""
    accepted = " ".join(row.accepted for row in tables.treated_wood())
    assert "A153" in accepted and "stainless" in accepted and "G185" in accepted


@pytest.mark.parametrize(
    "load, duration",
    [("dead", 0.9), ("live", 1.0), ("snow", 1.15), ("construction", 1.25), ("wind", 1.6)],
)
def test_load_duration_factor(load: str, duration: float) -> None:
    """NDS 2018 Table 2.3.2."""
    assert tables.factor(f"duration-{load}") == duration


@pytest.mark.parametrize("diameter", [0.05, 0.5])
def test_nail_bending_yield_outside_the_bands_is_none(diameter: float) -> None:
    assert tables.nail_bending_yield(diameter) is None


def test_rafter_to_plate_nailing_is_the_published_row() -> None:
    """IRC 2018/2021 Table R602.3(1) item 6."""
    found = {(row.penny, row.type, row.diameter_in): row.count for row in tables.fastenings("rafter-to-plate")}
    assert found == {("10d", "common", 0.148): 3, ("16d", "box", 0.135): 3, ("10d", "box", 0.128): 4, (None, None, 0.131): 4}


@pytest.mark.parametrize("row", tables.fastenings(), ids=lambda row: f"{row.connection}-{row.penny}-{row.type}")
def test_schedule_nails_are_sizes_of_the_nail_table(row: rows.Fastening) -> None:
    """IRC Table R602.3(1) against NDS 2018 Table L4."""
    assert (row.count is None) != (row.spacing_in is None)
    assert row.penny is None or tables.size_contradicts(row.penny, row.type, row.diameter_in, row.length_in) is None
