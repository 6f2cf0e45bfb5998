"""What one passage says of another: marks, their families, detail titles, the studs' spacing."""

from __future__ import annotations

from notelint.language import read_language
from notelint.model import Box, DetailTitle, Layout, Passage, Reading
from tests.language.passages import note, row

STRAP = {"MARK": "ST-3", "ITEM": "strap, 16 ga. x 1-1/4 x 36 in.", "NAILS": "(8) 10d x 1-1/2 each end", "USE": "upper stud to lower stud"}
HOLD = {"MARK": "HD-3", "ITEM": "hold-down, 10 ga.", "FASTENERS": "(12) 1/4 x 3 screws"}


def read(*passages: Passage) -> Reading:
    numbered = tuple(p.model_copy(update={"id": f"p{i}"}) for i, p in enumerate(passages))
    return read_language(Layout(passages=numbered))


def test_a_callout_takes_device_and_joint_from_the_definition() -> None:
    found = read(row(STRAP, "STRAP SCHEDULE"), note("ST-3", "callout")).requirements
    assert [(r.device, r.joint, r.defines) for r in found] == [("strap", "floor-to-floor", True), ("strap", "floor-to-floor", False)]


def test_fasteners_stay_with_the_definition() -> None:
    found = read(row(STRAP, "STRAP SCHEDULE"), note('ST-3 AT 32" O.C.', "callout")).requirements
    assert [len(r.fasteners) for r in found] == [1, 0]


def test_a_definition_without_a_joint_takes_it_from_its_use() -> None:
    bare = {"MARK": "SS-2", "ITEM": "strap, 20 ga."}
    found = read(row(bare, "STRAPS"), note("SS-2 stud to sill at 32 in. o.c.")).requirements
    assert found[0].joint == "stud-to-sill"


def test_a_mark_in_the_schedules_manner_is_found_though_not_scheduled() -> None:
    reading = read(row(HOLD, "HOLD-DOWN SCHEDULE"), note("HD-6", "callout"))
    assert [(m.key, m.defines) for m in reading.marks] == [("HD3", True), ("HD6", False)]
    assert reading.requirements[1].device == "hold-down"


def test_marks_are_one_under_all_their_spellings() -> None:
    reading = read(
        row(HOLD, "HOLD-DOWN SCHEDULE"), note("HD3 AT CORNER", "callout"), note("HD 3 AT JAMB", "callout"), note("(HD) 3", "callout")
    )
    assert {m.key for m in reading.marks} == {"HD3"}


def test_sheet_numbers_lumber_and_other_trades_marks_are_no_marks() -> None:
    window = row({"MARK": "W1", "SIZE": "3-0 x 5-0"}, "WINDOW SCHEDULE")
    reading = read(row(HOLD, "HOLD-DOWN SCHEDULE"), window, note("SEE S-4 FOR 2X6 WALLS, W1 AND GRID A-1"))
    assert {m.key for m in reading.marks} == {"HD3"}


def test_a_beam_in_a_hardware_key_is_no_connector() -> None:
    reading = read(row({"MARK": "B2", "ITEM": "5-1/4 x 14 LVL"}, "HARDWARE KEY"), note("B2", "callout"))
    assert reading.requirements == ()


def test_every_other_stud_is_a_spacing_once_the_studs_are_known() -> None:
    reading = read(note("Exterior studs 2x6 at 16 in. o.c."), note("Straps ST-1 at every other stud, stud to sill"))
    assert [r.spacing_in for r in reading.requirements] == [32]


def test_every_other_stud_is_no_spacing_where_studs_stand_at_two() -> None:
    reading = read(
        note("First story studs at 16 in. o.c."),
        note("Second story studs at 24 in. o.c."),
        note("Straps ST-1 at every other stud, stud to sill"),
    )
    assert [r.spacing_in for r in reading.requirements] == [None]


def test_the_title_of_a_detail_tells_the_joint_its_callouts_leave_open() -> None:
    callout = note('16 GA. X 1-1/2" STRAP, EIGHT 10d X 1-1/2" EACH SIDE', "callout").model_copy(update={"detail": "6"})
    title = DetailTitle(page=1, sheet="S-1", number="6", title="CUT TOP PLATE AT PIPE", box=Box(0, 0, 1, 1))
    found = read_language(Layout(passages=(callout,), details=(title,))).requirements
    assert [(r.device, r.joint) for r in found] == [("plate tie", "cut-plate")]


def test_a_door_schedules_remark_calls_for_its_hold_down() -> None:
    door = row({"DOOR": "102", "SIZE": "9-0 x 8-0", "REMARKS": "HD-3 each jamb"}, "DOOR SCHEDULE")
    found = read(row(HOLD, "HOLD-DOWN SCHEDULE"), door).requirements
    assert [(r.mark, r.device, r.defines) for r in found] == [("HD-3", "hold-down", True), ("HD-3", "hold-down", False)]


def test_requirements_are_numbered_in_reading_order() -> None:
    found = read(note("HD-1 hold-downs at corners"), note("Post caps at beams")).requirements
    assert [r.id for r in found] == ["r1", "r2"]


def test_clauses_carry_terms_for_the_rules() -> None:
    (clause,) = read(note("Where a pipe cuts a top plate add a 2x6 block.")).clauses
    assert {("state", "cut"), ("state", "pipe"), ("member", "top plate")} <= {(t.kind, t.name) for t in clause.terms}
