"""The wall section draws the house as read."""

from __future__ import annotations

from itertools import pairwise

import lxml.etree
import pytest

from notelint.model import Building, JointState, LoadPath
from notelint.writers.section import draw_section, letter_joints

SVG = "{http://www.w3.org/2000/svg}"


def drawn(building: Building, *joints: JointState) -> lxml.etree._Element:
    lettered = letter_joints(building, LoadPath(joints=joints))
    return lxml.etree.fromstring(str(draw_section(building, lettered)))


def texts(drawing: lxml.etree._Element, css: str) -> list[str]:
    return [one.text for one in drawing.iter(f"{SVG}text") if (one.get("class") or "").split()[0] == css]


ROOF = JointState(joint="roof-to-wall", storey=1, state="stated")


@pytest.mark.parametrize("storeys", [1, 2, 3])
def test_each_storey_is_drawn(storeys: int) -> None:
    drawing = drawn(Building(storeys=storeys, roof="trusses", foundation="slab"), ROOF)
    assert [t for t in texts(drawing, "note") if t.startswith("storey")] == [f"storey {n}" for n in range(storeys, 0, -1)]


@pytest.mark.parametrize("foundation", ["slab", "crawl space", "basement", "piers"])
def test_foundation_is_named_and_drawn_in_concrete(foundation: str) -> None:
    drawing = drawn(Building(storeys=1, roof="rafters", foundation=foundation), ROOF)
    assert foundation in texts(drawing, "note")
    assert any((one.get("class") or "") == "concrete" for one in drawing.iter())


def test_what_was_not_found_is_said_and_drawn_broken() -> None:
    drawing = drawn(Building(), ROOF)
    assert {"roof not found", "foundation not found"} <= set(texts(drawing, "note"))
    assert any((one.get("class") or "") == "unknown" for one in drawing.iter())
    assert not any((one.get("class") or "") == "concrete" for one in drawing.iter())


def test_more_storeys_in_the_load_path_than_in_the_building_are_drawn() -> None:
    drawing = drawn(Building(foundation="slab"), JointState(joint="floor-to-floor", storey=1, state="not stated"))
    assert "storey 2" in texts(drawing, "note")


def test_labels_do_not_overlap_and_stay_in_the_drawing() -> None:
    names = ("roof-to-wall", "plate-to-stud", "header-to-stud", "stud-to-sill", "sill-to-foundation")
    drawing = drawn(Building(storeys=1, foundation="slab"), *(JointState(joint=name, storey=1, state="partly stated") for name in names))
    heights = [float(one.get("y")) for one in drawing.iter(f"{SVG}text") if one.get("class") == "name"]
    assert len(heights) == 5 and all(after - before >= 30 for before, after in pairwise(heights))
    assert heights[-1] < float(drawing.get("viewBox").split()[3])


def test_joints_without_a_place_in_the_wall_are_lettered_but_not_drawn() -> None:
    building = Building(storeys=1, foundation="slab")
    joints = (ROOF, JointState(joint="cut-plate", storey=1, state="not stated"))
    assert [one.letter for one in letter_joints(building, LoadPath(joints=joints))] == ["A", "B"]
    assert texts(drawn(building, *joints), "letter") == ["A"]


def test_letters_go_on_after_z() -> None:
    joints = tuple(JointState(joint="other", storey=1, state="stated") for _ in range(28))
    assert [one.letter for one in letter_joints(Building(), LoadPath(joints=joints))][25:] == ["Z", "A2", "B2"]
