"""From findings to questions: order, merging, wording, keys."""

from __future__ import annotations

import pytest

from notelint.model import STAGES, Box, Finding, Where
from notelint.places import spoken_place
from notelint.questions import ask
from notelint.questions.recheck import _names_in
from notelint.questions.wording import quoted, worded
from notelint.rulebook import load_rules

RULES = load_rules()


def place(sheet: str = "S-1", label: str = "note 4", quote: str = "RT-2 at each truss.", page: int = 1, top: float = 10.0) -> Where:
    """A place on a sheet."""
    return Where(sheet=sheet, page=page, label=label, quote=quote, box=Box(0, top, 100, top + 10))


def test_questions_come_in_the_order_of_the_stage_at_which_they_cost_most():
    """Bid before pour before framing before rough-in, whatever the order of the findings."""
    names = ("cut-plate-not-covered", "plate-to-stud-tie", "sill-anchorage", "design-basis")
    asked = ask([Finding(rule=n, subject=n, values={"lacks": "all", "looked": "x"}) for n in names], RULES)
    stages = [q.ask_before for q in asked]
    assert stages == sorted(stages, key=STAGES.index)
    assert [q.number for q in asked] == [1, 2, 3, 4]


def test_the_same_defect_in_two_places_is_one_question_with_both():
    """Rule and subject alike: the places are joined."""
    a = Finding(rule="mark-not-scheduled", subject="HD-6", where=(place(),))
    b = Finding(rule="mark-not-scheduled", subject="HD-6", where=(place(sheet="S-2", page=2),))
    asked = ask([a, b], RULES)
    assert len(asked) == 1
    assert [w.sheet for w in asked[0].where] == ["S-1", "S-2"]


def test_two_subjects_are_two_questions():
    """Two marks, two questions, two keys."""
    asked = ask([Finding(rule="strap-reach", subject=m, where=(place(),)) for m in ("ST-1", "ST-2")], RULES)
    assert len({q.key for q in asked}) == 2


@pytest.mark.parametrize(
    "moved",
    [place(label="note 9"), place(sheet="S-7", page=7), place(top=900.0)],
    ids=["renumbered", "on another sheet", "elsewhere on the sheet"],
)
def test_a_key_survives_what_a_redraw_changes(moved):
    """Numbers of notes, sheets and places on them do not make a new question."""
    before = ask([Finding(rule="strap-reach", subject="ST-1", where=(place(),))], RULES)
    after = ask([Finding(rule="strap-reach", subject="ST-1", where=(moved,))], RULES)
    assert before[0].key == after[0].key


def test_a_sentence_whose_blank_is_not_known_is_left_out():
    """What is not known is not said."""
    finding = Finding(rule="x", subject="ST-1", where=(place(),))
    assert worded("{place} gives {quote}. By addition it is {first}. Which length?", finding) == (
        "Sheet S-1, note 4 gives \u201cRT-2 at each truss.\u201d Which length?"
    )


def test_braces_in_the_sets_words_stay_words():
    """A quote with braces is quoted, not filled."""
    finding = Finding(rule="x", subject="a", where=(place(quote="PROVIDE {lacks} {0!r} TIES"),))
    assert "{lacks} {0!r}" in worded("{quote} is asked.", finding)


def test_a_long_quote_is_cut_at_a_word():
    """No letter holds a page of quote."""
    text = quoted("word " * 200)
    assert len(text) < 240
    assert text.endswith("word ...\u201d")


def test_no_wording_of_the_rulebook_accuses_or_approves():
    """A question asks; words that judge or approve are not in it."""
    for rule in RULES:
        low = f"{rule.question} {rule.why}".lower()
        assert not any(word in low for word in ("violat", "illegal", "incorrect", "is wrong", "mistake", "approve", "complies", "must fix"))
        assert "?" in rule.question or "{lacks}" in rule.question or "{answer}" in rule.question


def test_sources_of_a_question_are_documents():
    """A remark on practice or memory stays in the rule file."""
    rule = next(r for r in RULES if r.name == "bolt-too-short")
    (asked,) = ask([Finding(rule=rule.name, subject="anchor bolts", where=(place(),), values={"answer": "It is short."})], RULES)
    assert any("R403.1.6" in s for s in asked.sources)
    assert not any("memory" in s or "no source" in s for s in asked.sources)
    assert any("memory" in s for s in rule.source_lines())


@pytest.mark.parametrize(
    ("sheet", "page", "said"),
    [("S-5", 9, "sheet S-5, note 4"), (None, 9, "page 9, note 4"), (None, 0, "note 4")],
    ids=["numbered sheet", "sheet without number", "no page"],
)
def test_a_place_is_said_with_its_sheet_or_page(sheet, page, said):
    """A sheet whose number was not read is never called None."""
    assert spoken_place(Where(sheet=sheet, page=page, label="note 4", quote="", box=Box(0, 0, 1, 1))) == said


@pytest.mark.parametrize(
    ("words", "names"),
    [("SEE 9/S-4", {"9/S4"}), ("VENTS SEE 2/S-3", {"2/S3"}), ("FS-54 at each stud", {"FS54"}), ("ten nails", set())],
)
def test_names_in_words_are_references_and_marks(words, names):
    """The sheet of a reference is no mark of its own."""
    assert _names_in(words) == names
