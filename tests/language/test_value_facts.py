"""Values that another place of a set may give otherwise, with what limits them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from notelint.language import read_language
from notelint.model import Layout, Passage

NAMES = {"laid-out", "edge-nails", "strength", "governs"}


def _facts(text, **fields):
    passage = Passage(id="p1", page=1, sheet="S-1", label="note 1", text=text, **{"kind": "note", **fields})
    return [f for f in read_language(Layout(passages=(passage,))).facts if f.name in NAMES]


@pytest.mark.parametrize(
    ("text", "value", "subject", "limits"),
    [
        pytest.param('2x6 STUDS @ 16" O.C.', 16, "stud", "2x6", id="drawn"),
        pytest.param("Exterior walls are framed with 2x6 studs spaced sixteen inches on center.", 16, "stud", "2x6", id="spelt out"),
        pytest.param("STUDS 2X( 6 ) ( SPF ) AT ( 16 ) O.C. BOTH FLOORS.", 16, "stud", "", id="fill-in brackets"),
        pytest.param("Garage studs 2x4 at 24 in. o.c.", 24, "stud", "2x4 garage", id="limited to the garage"),
        pytest.param("Roof trusses at 24 in. on center, 5:12.", 24, "truss", "", id="trusses"),
    ],
)
def test_a_layout_has_member_spacing_size_and_limits(text, value, subject, limits):
    """The member's spacing, its size and the places it is limited to."""
    (fact,) = [f for f in _facts(text) if f.name == "laid-out"]
    assert (fact.value, fact.subject) == (value, subject)
    assert set((fact.text or "").split()) >= set(limits.split())


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("Double studs nailed with 10d at 24 in. o.c.", id="nails of built-up studs"),
        pytest.param("Nail panels 8d at 12 in. to studs.", id="nails to studs"),
        pytest.param("Straps from stud to stud at 48 in. o.c.", id="straps"),
        pytest.param("Anchor bolts at 24 in. o.c. in stud walls.", id="bolts"),
        pytest.param("PT-6 at each stud, 16 in. o.c.", id="a tie at each stud"),
    ],
)
def test_spacings_of_other_things_are_no_layout(text):
    """Nails, straps and bolts beside a stud do not lay it out."""
    assert [f for f in _facts(text) if f.name == "laid-out"] == []


@pytest.mark.parametrize(
    ("text", "said"),
    [
        pytest.param("Slab 2500 psi, footings 3000 psi concrete.", {("slab", 2500), ("footing", 3000)}, id="element before"),
        pytest.param("Concrete 4,000 psi garage slab, 3,000 psi footings.", {("garage slab", 4000), ("footing", 3000)}, id="element after"),
        pytest.param("GRADE BEAMS AND FOOTINGS: F'C = 3,000 PSI AT 28 DAYS.", {("grade beam", 3000), ("footing", 3000)}, id="two elements"),
        pytest.param("f'c = 3 ksi for slabs", {("slab", 3000)}, id="in ksi"),
        pytest.param("Grout 2,500 psi in cells of concrete block.", set(), id="grout"),
        pytest.param("Inspect concrete above 2,500 psi.", set(), id="a threshold"),
    ],
)
def test_strength_is_said_of_its_element(text, said):
    """Each strength with the element it is said of."""
    assert {(f.subject, f.value) for f in _facts(text) if f.name == "strength"} == said


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        pytest.param('Wall sheathing 7/16 OSB, 8d at 6" o.c. edges, 12" field.', "wall", 6, id="wall"),
        pytest.param("Roof panels 8d common at four inches on edges.", "roof", 4, id="roof, spelt out"),
        pytest.param("Subfloor panels, edge nailing 10d @ 6 in.", "floor", 6, id="floor, edge first"),
        pytest.param("ROOF SHEATHING 8D @ 4/8", "roof", 4, id="edge and field by a slash"),
    ],
)
def test_edge_nails_of_roof_walls_and_floor(text, kind, value):
    """Spacing along panel edges, by what the panels cover."""
    facts = [f for f in _facts(text) if f.name == "edge-nails"]
    assert [(f.subject, f.value) for f in facts] == [(kind, value)]


@pytest.mark.parametrize(
    ("text", "papers"),
    [
        pytest.param("Where notes and schedules differ, the schedule governs.", ["row"], id="schedule"),
        pytest.param("In case of conflict the most restrictive requirement shall govern.", ["strict"], id="the stricter"),
        pytest.param("Written dimensions govern over scale.", [], id="dimensions"),
    ],
)
def test_which_paper_governs(text, papers):
    """Rules of precedence, apart from those about dimensions and scale."""
    assert [f.text for f in _facts(text) if f.name == "governs"] == papers


@given(st.text(alphabet="0123456789xX@\"'()., studrafpinoceg-/|", max_size=80))
def test_any_words_are_read_and_facts_lie_within_them(text):
    """No words break the reader, and each fact quotes a stretch of them."""
    for fact in _facts(text or "x"):
        assert 0 <= fact.start < fact.end <= len(text)
