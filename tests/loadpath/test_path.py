"""Load paths of one, two and three storeys, traced by hand beside each set."""

from __future__ import annotations

import pytest
from small_sets import read, states

ROOF = "RT-2 at each truss, truss to double top plate, (5) 10d x 1-1/2 in. each end."
STUD = "SP-3 at each stud, stud to both top plates, (6) 10d x 1-1/2 in. to stud."
FLOOR = "FS-4 at 32 in. o.c. across the second floor line, upper stud to lower stud, (12) 10d x 1-1/2 in. each end."
SILL = "SS-5 from each first story stud to the sill plate, (6) 10d x 1-1/2 in. each end."
ANCHORS = "Anchor bolts 5/8 in. dia. at 48 in. o.c., 7 in. embedment, 4 to 12 in. from each end of each sill plate."
HEADERS = "HT-6 at each end of every header, header to king stud, (8) 10d x 1-1/2 in. each end."


def test_one_storey_tied_from_roof_to_footing():
    """Every joint of the chain is stated; there is no floor line."""
    _, _, path = read(ROOF, STUD, SILL, ANCHORS, HEADERS, storeys=1, wind_mph=140, exposure="C")
    assert states(path) == {
        ("roof-to-wall", 1): "stated", ("plate-to-stud", 1): "stated", ("header-to-stud", 1): "stated",
        ("stud-to-sill", 1): "stated", ("sill-to-foundation", 1): "stated",
    }  # fmt: skip


def test_two_storeys_have_one_floor_line():
    """The floor line stands between the storeys and is tied by the strap."""
    _, _, path = read(ROOF, STUD, FLOOR, SILL, ANCHORS, storeys=2, wind_mph=140, exposure="C")
    assert states(path)["floor-to-floor", 1] == "stated"
    assert states(path)["header-to-stud", 2] == "not stated"


def test_three_storeys_tie_each_floor_line_on_its_own():
    """A strap at the second floor line says nothing of the third."""
    _, _, path = read(ROOF, STUD, FLOOR, SILL, ANCHORS, storeys=3, wind_mph=140, exposure="C")
    assert states(path)["floor-to-floor", 1] == "stated"
    assert states(path)["floor-to-floor", 2] == "not stated"


def test_a_strap_at_both_floor_lines_ties_both():
    """One note for the second and third floor lines covers the house of three storeys."""
    both = FLOOR.replace("the second floor line", "the second and third floor lines")
    _, _, path = read(ROOF, STUD, both, SILL, ANCHORS, storeys=3, wind_mph=140, exposure="C")
    assert {states(path)["floor-to-floor", s] for s in (1, 2)} == {"stated"}


def test_a_roof_tie_that_reaches_the_stud_ties_the_plate_too():
    """The path from roof to stud passes the plate, so no tie of its own is needed there."""
    _, _, path = read(
        "RT-9 at each truss, truss to stud, past both top plates, (7) 10d x 1-1/2 in. each end.", storeys=1, wind_mph=140, exposure="C"
    )
    assert states(path)["plate-to-stud", 1] == "stated"


def test_hold_downs_at_corners_are_no_tie_along_the_wall():
    """RULEBOOK: hold-downs at corners, wall ends and openings alone are not a tie along the wall."""
    _, _, path = read(
        "HD-3 at the building corners, (12) 1/4 x 3 in. screws to post, 5/8 in. anchor.", ROOF, storeys=1, wind_mph=140, exposure="C"
    )
    assert states(path)["stud-to-sill", 1] == "not stated"


def test_a_porch_alone_ties_nothing_of_the_house():
    """Ties limited to a porch leave the house's own joint open."""
    _, _, path = read("RT-2 at each porch rafter to the porch beam, (5) 10d x 1-1/2 in.", "Roof rafters 2x8 at 16 in.", storeys=1)
    assert states(path)["roof-to-wall", 1] == "not stated"


def test_anchors_without_embedment_are_partly_stated():
    """IRC R403.1.6 asks for diameter, spacing, embedment and end distance; what lacks is named."""
    _, _, path = read("Anchor bolts 1/2 in. dia. at 6 ft on center at all sill plates.", storeys=1)
    sill = next(j for j in path.joints if j.joint == "sill-to-foundation")
    assert sill.state == "partly stated"
    assert set(sill.lacks) == {"embedment", "distance from plate ends"}


@pytest.mark.parametrize(
    ("wind", "exposure", "pitch", "state"),
    [(110, "B", "6:12", "not needed"), (115, "B", "5:12", "not needed"), (120, "B", "6:12", "not stated"),
     (110, "C", "6:12", "not stated"), (110, "B", "4:12", "not stated")],
    ids=["110 B", "115 B at the limit", "120 B", "110 C", "110 B, low pitch"],
)  # fmt: skip
def test_low_wind_leaves_the_joint_to_the_codes_nailing(wind, exposure, pitch, state):
    """IRC 2018/2021 R602.3.5 item 1.1: 115 mph ultimate or less, Exposure B, pitch 5:12 or more."""
    _, _, path = read(
        "All framing is nailed per Table R602.3(1) of the code.", f"Roof pitch {pitch}, rafters 2x6 at 16 in. over the studs.",
        storeys=1, wind_mph=wind, exposure=exposure,
    )  # fmt: skip
    assert states(path)["roof-to-wall", 1] == state


def test_the_weakest_link_is_the_narrowest_of_the_widest_path():
    """Roof 900 lb, stud tie 620 lb, sill strap 700 lb: the stud tie limits the chain."""
    _, _, path = read(
        sheets={"S-1": [{"schedule": "CONNECTOR SCHEDULE", "rows": [
            ["MARK", "USE", "FASTENERS", "ALLOWABLE UPLIFT, LB"],
            ["RT-2", "truss to top plate", "(5) 10d x 1-1/2 in. each end", "900"],
            ["SP-3", "top plate to stud", "(6) 10d x 1-1/2 in. to stud", "620"],
            ["SS-5", "stud to sill plate", "(6) 10d x 1-1/2 in. each end", "700"],
        ]}, ANCHORS]},
        storeys=1,
    )  # fmt: skip
    assert path.weakest is not None
    assert "620 lb" in path.weakest
    assert "wall top" in path.weakest


def test_capacity_by_nails_shows_its_arithmetic():
    """Five 0.148 in nails through 18 ga. into Hem-Fir; NDS 2018 Chapter 12, wind duration 1.6. The value is checked in mechanics."""
    _, _, path = read(
        "Studs and plates Hem-Fir No. 2.",
        "RT-2, 18 ga., at each truss, truss to double top plate, (5) 0.148 x 3 in. nails each end.", storeys=1,
    )  # fmt: skip
    roof = next(j for j in path.joints if j.joint == "roof-to-wall")
    assert roof.capacity_lb is None
    assert roof.computed_lb is not None
    assert 600 < roof.computed_lb < 1000
    assert "Hem-Fir" in roof.arithmetic[0]
    assert "1.6" in roof.arithmetic[0]


def test_anchor_values_are_merged_over_the_set():
    """An embedment and an end distance given in another note than the bolts' are not lacking."""
    _, _, path = read(
        "Sill plates on the foundation: 5/8 in. anchor bolts at 48 in. o.c., 7 in. embedment.",
        "Anchor bolts within 12 in. of the ends of each sill plate.",
        storeys=1,
        foundation="slab",
    )
    assert next(j for j in path.joints if j.joint == "sill-to-foundation").lacks == ()
