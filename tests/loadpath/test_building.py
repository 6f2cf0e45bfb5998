"""The building inferred from a set's words, and overruled by the user."""

from __future__ import annotations

import pytest
from small_sets import read

from notelint.errors import BadOptions
from notelint.loadpath.building import Overrides
from notelint.loadpath.facts_file import facts_beside, laid_over, load_facts
from notelint.loadpath.told import FOUNDATIONS, ROOFS, told


@pytest.mark.parametrize(
    ("note", "field", "value"),
    [
        ("Wind: 140 mph ultimate, Exposure C, Risk Category II.", "wind_mph", 140),
        ("Vult = 150 MPH, EXPOSURE CATEGORY: D", "wind_mph", 150),
        ("ULTIMATE WIND SPEED ( 130 ) MPH. EXPOSURE ( B ).", "exposure", "B"),
        ("Design wind speed 150 mph ultimate (116 mph allowable stress), Exposure D.", "wind_mph", 150),
        ("Built to the 2018 International Residential Code.", "code", "IRC 2018"),
        ("CODE: IRC 2021", "code", "IRC 2021"),
        ("A new two-story house.", "storeys", 2),
        ("2x6 studs at 16 in. in all three stories.", "storeys", 3),
        ("One story, 1,180 sq. ft.", "storeys", 1),
        ("Roof trusses at 24 in. o.c.", "roof", "trusses"),
        ("Rafters 2x8 at 16 in. o.c.", "roof", "rafters"),
        ("Crawl space: 6 mil poly.", "foundation", "crawl space"),
    ],
)
def test_stated_in_words(note, field, value):
    """One statement, one thing the building is."""
    _, building, _ = read(note)
    assert getattr(building, field) == value


@pytest.mark.parametrize(
    "note",
    ["Siding 7 in. exposure, fiber cement.", "Panels Exposure 1, 7/16 in.", "Garage door rated 130 mph."],
    ids=["siding", "panels", "door"],
)
def test_look_alikes_say_nothing_of_the_wind(note):
    """A siding's exposure, a panel's and a door's rating are no design basis."""
    _, building, _ = read(note)
    assert building.exposure is None
    assert building.wind_mph is None


def test_each_thing_names_the_words_it_came_from():
    """A person can check every inference."""
    _, building, _ = read("Wind: 140 mph ultimate, Exposure C.")
    told = {f.name: f for f in building.facts}
    assert "140 mph" in told["wind_mph"].from_words
    assert told["wind_mph"].where is not None
    assert told["storeys"].value is None


def test_the_user_overrules_the_words():
    """What the user says stands, and is said to be the user's."""
    _, building, _ = read("A new two-story house.", storeys=1)
    assert building.storeys == 1
    assert next(f for f in building.facts if f.name == "storeys").from_words == "given by the user"


def test_a_facts_file_beside_the_pdf(tmp_path):
    """NAME.facts.yaml is found; the command line goes over it."""
    (tmp_path / "x.facts.yaml").write_text("storeys: 2  # the set says nothing\nwind_mph: 130\nexposure: C\n")
    file = facts_beside(tmp_path / "x.pdf")
    assert file is not None
    assert laid_over(load_facts(file), Overrides(wind_mph=140.0)) == Overrides(storeys=2, wind_mph=140.0, exposure="C")


@pytest.mark.parametrize(("line", "says"), [("stories: 2", "stories"), ("storeys: many", "storeys"), ("just words", "just words")])
def test_a_wrong_facts_file_names_the_line(tmp_path, line, says):
    """File, line and reason in one line."""
    file = tmp_path / "x.facts.yaml"
    file.write_text(f"roof: trusses\n{line}\n")
    with pytest.raises(BadOptions, match=rf"x\.facts\.yaml:2: .*{says}"):
        load_facts(file)


@pytest.mark.parametrize(
    ("name", "said", "means"),
    [
        ("roof", "Trusses", "trusses"), ("roof", "truss", "trusses"), ("roof", "RAFTER", "rafters"), ("roof", "roof-joist", "roof joists"),
        ("foundation", "Piles", "piers"), ("foundation", "pier", "piers"), ("foundation", "crawlspace", "crawl space"),
        ("foundation", "Slab on Grade", "slab"), ("foundation", "basements", "basement"),
        ("exposure", "c", "C"), ("exposure", "Exposure D", "D"), ("storeys", "2", 2), ("wind_mph", 140, 140.0),
        ("code", "2021 International Residential Code", "IRC 2021"), ("code", "irc 2018", "IRC 2018"),
        ("code", "Shore County Rules 2020", "Shore County Rules 2020"),
    ],
)  # fmt: skip
def test_case_number_and_near_words_are_one_value(name, said, means):
    """A user's word becomes the value that the set's own words would give."""
    assert told(name, said) == means


@pytest.mark.parametrize(
    ("name", "said", "lists"),
    [
        ("roof", "dome", "trusses, rafters, roof joists"),
        ("foundation", "moon", "slab, crawl space, basement, piers"),
        ("exposure", "Z", "B, C, D"),
        ("code", "blah", "IRC 2021"),
        ("code", "2021", "IRC 2021"),
        ("storeys", "2.5", "from 1 to 6"),
        ("storeys", True, "from 1 to 6"),
        ("wind_mph", "nan", "from 50 to 250"),
        ("wind_mph", 1400, "from 50 to 250"),
    ],
)
def test_an_unknown_value_is_refused_with_those_there_are(tmp_path, name, said, lists):
    """By the facts file too, with file and line."""
    with pytest.raises(BadOptions, match=lists):
        told(name, said)
    file = tmp_path / "x.facts.yaml"
    file.write_text(f"{name}: {said}\n")
    with pytest.raises(BadOptions, match=rf"x\.facts\.yaml:1: {name}: .*{lists}"):
        load_facts(file)


def test_what_the_language_reads_may_be_said_too():
    """Roofs and foundations as the sets' own words give them are values a user may say."""
    words = (
        "Roof trusses at 24 in. o.c. Rafters at 16 in. o.c. Roof joists at 16 in. o.c. Slab on grade. Basement. Vented crawl space. Piers."
    )
    reading, _, _ = read(*words.split(". "))
    read_values = {(f.name, f.text) for f in reading.facts if f.name in {"roof", "foundation"}}
    assert len(read_values) == len(ROOFS) + len(FOUNDATIONS)
    assert all(told(name, text) == text for name, text in read_values)
