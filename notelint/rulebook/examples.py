"""Runs a rule's own examples through the whole language pipeline."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from notelint.language import read_language
from notelint.loadpath import Overrides, infer_building, trace
from notelint.model import Finding
from notelint.rulebook.case import Case
from notelint.rulebook.miniset import lay_out_example, sheet_lines
from notelint.rulebook.run import run_rules
from notelint.rulebook.schema import Example, Rule


class Outcome(NamedTuple):
    """What an example came to: None where it is as its file says, else why not."""

    rule: str
    side: str  # "asks" or "silent"
    example: str
    trouble: str | None


def case_of(example: Example) -> Case:
    """The example read as a plan set would be."""
    layout = lay_out_example(example)
    reading = read_language(layout)
    building = infer_building(layout, reading, Overrides(**example.building.model_dump()))
    return Case(layout, reading, building, trace(layout, reading, building), sheet_lines(example))


def findings_of(rule: Rule, example: Example) -> tuple[tuple[Finding, ...], tuple[str, ...]]:
    """Findings of this one rule on the example, and a line for a rule that could not run."""
    return run_rules([rule], case_of(example))


def try_rule(rule: Rule) -> Iterator[Outcome]:
    """Every example of a rule with its outcome."""
    for example in rule.examples.asks:
        yield Outcome(rule.name, "asks", example.name, _asks(rule, example))
    for example in rule.examples.silent:
        found, failed = findings_of(rule, example)
        trouble = "; ".join(failed) or (f"asked about {_said(found)!r}" if found else None)
        yield Outcome(rule.name, "silent", example.name, trouble)


def _asks(rule: Rule, example: Example) -> str | None:
    found, failed = findings_of(rule, example)
    if failed:
        return "; ".join(failed)
    if not found:
        return "nothing asked"
    if len(found) > 1 and len({f.subject for f in found}) > 1:
        return f"asked {len(found)} times: {_said(found)!r}"
    said = _said(found).casefold()
    if example.expect and not any(e.casefold() in said for e in example.expect):
        return f"asked, but of none of {example.expect}: {said!r}"
    return None


def _said(found: tuple[Finding, ...]) -> str:
    return " ~ ".join(" ".join([f.subject, *f.values.values(), *(f"{w.label} {w.quote}" for w in f.where)]) for f in found)
