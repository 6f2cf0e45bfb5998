"""What the user's hardware list says of a bare model number counts as a schedule line would."""

from __future__ import annotations

from notelint.language import HardwareEntry, HardwareList, read_language, with_hardware
from notelint.loadpath import infer_building, trace
from notelint.rulebook import Case, load_rules, run_rules
from notelint.rulebook.miniset import lay_out_example, sheet_lines
from notelint.rulebook.schema import Example

SET = Example(
    name="a bare model",
    because="the callout names a model and nothing else",
    sheets={"S-2": ["Two story house, roof trusses at 24 in. o.c.", {"callout": "VQ-31 AT EACH TRUSS TO TOP PLATE"}]},
)


def asked(listed: HardwareList | None) -> dict[str, str]:
    """Names of the rules that ask, with the labels they point to."""
    layout = lay_out_example(SET)
    if listed:
        layout = with_hardware(layout, listed)
    reading = read_language(layout)
    building = infer_building(layout, reading)
    case = Case(layout, reading, building, trace(layout, reading, building), sheet_lines(SET))
    findings, failed = run_rules(load_rules(), case)
    assert not failed
    return {f.rule: " ".join(w.label for w in f.where) for f in findings}


def list_of(fasteners: str) -> HardwareList:
    """A list of one line."""
    entry = HardwareEntry(mark="VQ-31", device="roof tie", fasteners=fasteners, uplift_lb=610, line=2)
    other = HardwareEntry(mark="VQ-99", device="strap", line=3)
    return HardwareList(lines=(entry, other), source="mine.csv")


def test_without_a_list_the_model_has_no_fasteners():
    """The set names a model and no nail for it."""
    assert "fastener-not-given" in asked(None)


def test_the_list_defines_the_mark_and_its_fasteners():
    """With device, nails and lengths nothing about the mark is left to ask."""
    rules = asked(list_of("(5) 10d x 1-1/2 in. to truss, (5) 10d x 1-1/2 in. to plate"))
    assert not {"mark-not-scheduled", "fastener-not-given", "fastener-length", "fastener-count"} & set(rules)


def test_what_the_list_lacks_is_asked_with_its_line():
    """A size without a length in the list is a question that names the list and its line."""
    rules = asked(list_of("(5) 10d"))
    assert "mine.csv, line 2" in rules["fastener-length"]


def test_lines_for_marks_that_the_set_does_not_hold_are_left_out():
    """A maker's whole list must not turn into marks that no plan uses."""
    layout = with_hardware(lay_out_example(SET), list_of("(5) 10d"))
    assert not any("VQ-99" in p.text for p in layout.passages)
