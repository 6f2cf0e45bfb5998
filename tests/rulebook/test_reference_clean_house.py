"""A whole set of notes, schedules and callouts: silent as it stands, and each defect put into it is the one thing asked."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from notelint.rulebook.examples import case_of
from notelint.rulebook.loader import load_built_in
from notelint.rulebook.run import run_rules
from notelint.rulebook.schema import Example

HOUSE = yaml.safe_load((Path(__file__).parent / "clean_house.yaml").read_text(encoding="utf-8"))
RULES = [rule for rule in load_built_in() if rule.family in {"references", "wording"}]


def _sheets(notes=(), callouts=(), swap=("", ""), rows=()):
    """The house with notes, callouts and schedule rows added, and words of its notes swapped."""
    own = [note.replace(*swap) if swap[0] else note for note in HOUSE["notes"]]
    drawn = [{"callout": words} for words in (*HOUSE["plan"], *callouts)]
    titles = [{"title": "FIRST FLOOR PLAN"}, {"title": "SECOND FLOOR FRAMING PLAN"}, {"title": "ROOF FRAMING PLAN"}]
    connectors = {"schedule": "CONNECTOR SCHEDULE", "rows": [*HOUSE["connectors"], *rows]}
    walls = {"schedule": "SHEAR WALL SCHEDULE", "rows": HOUSE["shear walls"]}
    return {"S-1": [{"heading": "GENERAL NOTES"}, *own, *notes], "S-2": [*titles, *drawn], "S-3": [connectors, walls]}


def _found(**changes):
    case = case_of(Example(name="house", because="house", sheets=_sheets(**changes)))
    found, failed = run_rules(RULES, case)
    assert failed == ()
    return found


def test_the_house_as_it_stands_is_silent():
    """A builder drops a tool that asks what the set already answers."""
    assert [(f.rule, f.subject) for f in _found()] == []


_REST = '" O.C. WITH 7" EMBEDMENT, 12" MAX. FROM PLATE ENDS'
_THIRD_FLOOR = 'AT THE THIRD FLOOR, TIE STUDS TO THE SECOND FLOOR STUDS WITH CS-14 STRAPS AT 32" O.C., (13) 10d EACH END.'
_MASONRY = [
    'MASONRY WALLS SHALL BE 8" CMU WITH #5 AT 48" O.C. IN GROUTED CELLS AND A BOND BEAM AT EACH STORY.',
    'EMBED ANCHOR STRAPS 4" IN THE BOND BEAM AT EACH TRUSS, (10) 10d TO THE TRUSS.',
]
DEFECTS = [
    pytest.param("mark-not-scheduled", {"callouts": ["HD-6"]}, id="hold-down past the schedule"),
    pytest.param("mark-not-scheduled", {"callouts": ["SW-4"]}, id="shear wall past the schedule"),
    pytest.param("mark-not-scheduled", {"notes": ["SP-4 AT EACH STUD OF GABLE WALLS."]}, id="tie past the schedule, in a note"),
    pytest.param("mark-not-used", {"rows": [["ST-9", "STRAP 18 GA. x 1-1/4 x 24", "(8) 10d EA. END", "BEAMS"]]}, id="row nobody uses"),
    pytest.param("notes-disagree", {"callouts": ["DESIGNED FOR 130 MPH WIND"]}, id="second wind speed"),
    pytest.param("notes-disagree", {"swap": (f"6'-0{_REST}, U.N.O.", f"4'-0{_REST}.")}, id="second anchor spacing"),
    pytest.param("notes-disagree", {"callouts": ['15/32 ROOF SHEATHING 8d @ 4" EDGES']}, id="second nailing of the roof"),
    pytest.param("notes-disagree", {"callouts": ['2x6 STUDS @ 24" O.C., EXT. WALLS']}, id="second stud spacing"),
    pytest.param("notes-disagree", {"callouts": ["SLAB CONCRETE 2,500 PSI"]}, id="second concrete"),
    pytest.param("notes-disagree", {"notes": ['ROOF TRUSSES SHALL BE SPACED AT 16" O.C.']}, id="second truss spacing"),
    pytest.param(
        "hardware-not-named", {"notes": ["PROVIDE METAL STRAPS AT EACH END OF ALL HEADERS, HEADER TO KING STUD."]}, id="metal straps"
    ),
    pytest.param("hardware-not-named", {"callouts": ["JOIST HANGERS AT FLUSH BEAM"]}, id="hangers at other members than those named"),
    pytest.param("where-not-stated", {"notes": ["PROVIDE MT-8 STRAPS, 16 GA. x 1-1/4 x 30, W/ (9) 10d x 1-1/2 EA. END."]}, id="straps"),
    pytest.param("where-not-stated", {"notes": ["QT-3 TIES SHALL BE USED WITH FIVE 8d x 1-1/2 NAILS IN EACH LEG."]}, id="ties"),
    pytest.param("boilerplate-misfit", {"notes": [_THIRD_FLOOR]}, id="third floor"),
    pytest.param("boilerplate-misfit", {"notes": _MASONRY}, id="masonry walls"),
    pytest.param("vague-wording", {"notes": ["ANCHOR PORCH BEAMS TO HOUSE WALL AS REQUIRED."]}, id="as required"),
    pytest.param("vague-wording", {"callouts": ["BEAM B-3 TO STEEL COLUMN: CONNECTION BY OTHERS"]}, id="by others"),
    pytest.param("design-basis", {"swap": (", EXPOSURE C", "")}, id="no exposure"),
    pytest.param("design-basis", {"swap": ("2021 INTERNATIONAL", "INTERNATIONAL")}, id="no edition"),
]


@pytest.mark.parametrize(("rule", "change"), DEFECTS)
def test_one_defect_is_one_question(rule, change):
    """The defect's own rule asks once and no other rule of these families does."""
    assert [f.rule for f in _found(**change)] == [rule]
