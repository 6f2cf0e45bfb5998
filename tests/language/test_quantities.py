"""Quantities in every notation come out as one number and one unit."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from notelint.language.plain import plain
from notelint.language.quantities import figure, find_quantities
from notelint.language.roles import end_distance, role_of

LENGTHS = [
    ("5'-3 3/4\"", 63.75), ("5'-334\"", 63.75), ("4 ft-0 in.", 48), ("4'-0\"", 48), ("4'", 48), ("1-1/2 in.", 1.5),
    ('1 1/2"', 1.5), ("21/2\"", 2.5),
    ('.131"', 0.131), ("0.058 in.", 0.058), ("48 INCHES", 48), ("6 feet", 72), ('11-7/8"', 11.875), ("2½ in.", 2.5),
    ("¾\"", 0.75), ("12''", 12), ("3’-6”", 42),
    ("six inches", 6), ("four feet", 48), ("half-inch", 0.5), ("five-eighths inch", 0.625), ("16 in", 16),
    ("10'-6\"", 126), ("sixteen inches", 16), ("a foot", 12),
]  # fmt: skip
OTHERS = [
    ("16 ga.", 16, "gauge"), ("18 gauge", 18, "gauge"), ("20-gage", 20, "gauge"), ("10d", 10, "penny"),
    ("16D", 16, "penny"), ("16 d", 16, "penny"),
    ("8 penny", 8, "penny"), ("N10", 10, "penny"), ("1,040 lb", 1040, "lb"), ("5.2 kips", 5200, "lb"),
    ("620#", 620, "lb"), ("310 plf", 310, "plf"),
    ("250 lb/ft", 250, "plf"), ("3,000 psi", 3000, "psi"), ("40 psf", 40, "psf"), ("130 mph", 130, "mph"),
    ("19 percent", 19, "percent"), ("19%", 19, "percent"),
    ("every second stud", 2, "ratio"), ('#9 x 1-1/2"', 9, "screw number"),
]  # fmt: skip
RANGES = [("4-1/2 to 12 in.", 4.5, 12), ('6" to 12"', 6, 12), ("5 to 12 in.", 5, 12), ("4' to 6'", 48, 72), ('4" - 12"', 4, 12)]
ROLES = [
    ('bolts at 48" o.c.', 0, "spacing"), ("straps 6 feet apart", 0, "spacing"), ("ties @ 32\"", 0, "spacing"),
    ("spacing 48 in.", 0, "spacing"),
    ("embedded 7 in.", 0, "embedment"), ('7" EMBED.', 0, "embedment"), ("7 in. in the concrete", 0, "embedment"),
    ("7 in. into concrete", 0, "embedment"),
    ("minimum embedment of 7 inches", 0, "embedment"), ("within 12 in. of ends", 0, "end distance"),
    ("4 to 12 in. from the ends", 0, "end distance"),
    ("12 in. from corners", 0, "end distance"), ("5/8 in. diameter", 0, "diameter"), ("5/8\"Ø", 0, "diameter"),
    ("1-1/4 in. wide", 0, "width"),
    ("36 in. long", 0, "length"), ("1/4 in. thick", 0, "thickness"), ("8 in. past the cut", 0, "reach"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "inches"), LENGTHS, ids=[t for t, _ in LENGTHS])
def test_length_reads_in_inches(text: str, inches: float) -> None:
    found = find_quantities(plain(text))
    assert [(q.unit, q.value) for q in found] == [("in", pytest.approx(inches))]


@pytest.mark.parametrize(("text", "value", "unit"), OTHERS, ids=[t for t, _, _ in OTHERS])
def test_other_quantity_reads_with_its_unit(text: str, value: float, unit: str) -> None:
    found = find_quantities(plain(text))
    assert (found[0].value, found[0].unit) == (value, unit)


@pytest.mark.parametrize(("text", "low", "high"), RANGES, ids=[t for t, _, _ in RANGES])
def test_range_is_one_quantity(text: str, low: float, high: float) -> None:
    assert [(q.value, q.high) for q in find_quantities(plain(text))] == [(low, high)]


@pytest.mark.parametrize(("text", "index", "role"), ROLES, ids=[t for t, _, _ in ROLES])
def test_words_beside_a_length_say_what_it_is_for(text: str, index: int, role: str) -> None:
    low = plain(text)
    assert role_of(low, find_quantities(low)[index]) == role


@pytest.mark.parametrize(
    "text",
    ["7 in the concrete", "2x6 studs", "3 - #5 bars", "sheet S-4", "HD-3", "type 2 in each bay", "grade 60", "note 12", "(E) and (N)"],
)
def test_what_is_no_quantity_gives_none(text: str) -> None:
    assert [q for q in find_quantities(plain(text)) if q.unit == "in"] == []


@pytest.mark.parametrize(
    "text",
    [
        "not more than 12 in. and not less than 4-1/2 in. from each end", "not more than 12 or less than 4 inches from ends and splices",
        "not less than 4 in. nor more than 12 in. from plate ends", '3 1/2" min. and 12" max. from each end',
        "between 4 in. and 12 in. from the ends",
    ],
)  # fmt: skip
def test_least_and_most_in_words_give_the_most(text: str) -> None:
    low = plain(text)
    assert end_distance(low, [(q, role_of(low, q)) for q in find_quantities(low)]) == 12


def test_metric_equal_gives_way_to_inches() -> None:
    found = find_quantities(plain("1200 mm (4 ft) centres"))
    assert [q.value for q in found if q.unit == "in"] == [48]


SIXTEENTHS = st.integers(min_value=1, max_value=16 * 11 + 15)


def written(sixteenths: int) -> str:
    """Inches in the trade's way: "3-5/16"."""
    whole, rest = divmod(sixteenths, 16)
    top, bottom = rest, 16
    while top and top % 2 == 0:
        top, bottom = top // 2, bottom // 2
    return f"{whole}-{top}/{bottom}" if whole and top else f"{top}/{bottom}" if top else f"{whole}"


@given(SIXTEENTHS, st.sampled_from(['"', " in.", " inches", "”", "''", " inch"]))
def test_printed_inches_read_back(sixteenths: int, unit: str) -> None:
    assert [q.value for q in find_quantities(plain(written(sixteenths) + unit))] == [pytest.approx(sixteenths / 16, abs=1e-4)]


@given(
    st.integers(min_value=1, max_value=60),
    SIXTEENTHS,
    st.sampled_from(["{f}'-{i}\"", "{f}' {i}\"", "{f} ft-{i} in.", "{f} ft {i} in.", "{f}’-{i}”", "{f} feet {i} inches"]),
)
def test_printed_feet_and_inches_read_back(feet: int, sixteenths: int, form: str) -> None:
    found = find_quantities(plain(form.format(f=feet, i=written(sixteenths))))
    assert [q.value for q in found] == [pytest.approx(feet * 12 + sixteenths / 16, abs=1e-4)]


@given(st.integers(min_value=1, max_value=99999), st.sampled_from(["lb", "lbs", "plf", "psf", "psi", "mph"]))
def test_printed_loads_read_back(value: int, unit: str) -> None:
    assert [q.value for q in find_quantities(plain(f"{value:,} {unit}"))] == [value]


@given(st.text(alphabet="0123456789/-. ¼½'\"xd#()in ft", max_size=40))
def test_no_heap_of_figures_breaks_the_reader(text: str) -> None:
    for quantity in find_quantities(plain(text)):
        assert 0 <= quantity.start < quantity.end <= len(text)
        assert quantity.value == quantity.value  # never not-a-number


@given(st.text(max_size=20))
def test_figure_of_any_text_is_a_number_or_none(text: str) -> None:
    value = figure(text)
    assert value is None or isinstance(value, float)
