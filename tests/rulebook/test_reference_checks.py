"""References and wording on small plan sets in other offices' words: what is asked, and what only looks like it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
import yaml

from notelint.questions import ask
from notelint.rulebook.examples import case_of
from notelint.rulebook.loader import load_built_in
from notelint.rulebook.run import run_rules
from notelint.rulebook.schema import Example

RULES = {rule.name: rule for rule in load_built_in()}
CASES = yaml.safe_load((Path(__file__).parent / "reference_cases.yaml").read_text(encoding="utf-8"))


def _params(side):
    return [pytest.param(name, case, id=f"{name}: {case['name']}") for name, sides in CASES.items() for case in sides[side]]


def _questions(name, case):
    sheets = case.get("sheets") or {f"S-{i}": [words] for i, words in enumerate(case["words"], 1)}
    example = Example(name=case["name"], because=case["name"], sheets=sheets)
    found, failed = run_rules([RULES[name]], case_of(example))
    assert failed == ()
    return ask(found, [RULES[name]])


@pytest.mark.parametrize(("name", "case"), _params("asks"))
def test_it_is_asked_once_and_names_the_words(name, case):
    """One question, in which the expected words stand."""
    questions = _questions(name, case)
    assert len(questions) == 1
    said = " ".join([questions[0].question, *(w.quote for w in questions[0].where)])
    assert any(expected in said for expected in case["expect"]), said


@pytest.mark.parametrize(("name", "case"), _params("silent"))
def test_a_look_alike_is_not_asked(name, case):
    """Nothing is asked where the set answers or speaks of something else."""
    assert [q.question for q in _questions(name, case)] == []


def test_marks_of_one_schedule_are_one_question():
    """Two marks past the end of one schedule are one defect."""
    schedule = {"schedule": "HOLD-DOWN SCHEDULE", "rows": [["MARK", "MODEL"], ["HD1", "QK4"], ["HD2", "QK6"]]}
    questions = _questions("mark-not-scheduled", {"name": "two", "words": [schedule, {"callout": "HD5"}, {"callout": "HD6"}]})
    assert len(questions) == 1
    assert questions[0].question.startswith("HD5 and HD6 are called out")


def test_a_reference_at_two_places_is_one_question():
    """The same missing detail, sent to from a note and a callout."""
    words = ["See detail 7/S-3 at beam pocket.", {"callout": "POCKET, 7/S-3"}, {"detail": "1", "title": "EAVE"}]
    (question,) = _questions("detail-not-found", {"name": "twice", "words": words})
    assert len(question.where) == 2


def test_a_foreign_note_answers_no_joint_and_raises_no_other_question():
    """Truss straps of another job neither tie the drawn rafters nor need a name, a place or a schedule."""
    note = "Roof trusses: each roof truss is strapped at both bearings with metal straps, and girder trusses as required with TS-10 straps."
    sheets = {"S-1": [note], "S-2": [{"title": "ROOF FRAMING PLAN"}, {"callout": "2x10 RAFTERS @ 16 ON STUD WALL"}]}
    case = case_of(Example(name="foreign", because="foreign", sheets=sheets))
    found, failed = run_rules(list(RULES.values()), case)
    assert failed == ()
    about_note = {f.rule for f in found if any(w.quote in note for w in f.where)}
    assert about_note == {"boilerplate-misfit"}
    assert case.building.roof == "rafters"
    assert {j.state for j in case.load_path.joints if j.joint == "roof-to-wall"} == {"not stated"}


def test_the_users_hardware_list_says_what_a_mark_is():
    """A mark on the user's own list needs no schedule."""
    schedule = {"schedule": "HOLD-DOWN SCHEDULE", "rows": [["MARK", "MODEL"], ["HD1", "QK4"]]}
    case = case_of(Example(name="listed", because="listed", sheets={"S-1": [schedule], "S-2": [{"callout": "HD-9"}]}))
    rule = [RULES["mark-not-scheduled"]]
    assert len(run_rules(rule, case)[0]) == 1
    assert run_rules(rule, replace(case, listed=frozenset({"HD9"})))[0] == ()
