"""Every rule's own examples, run through the whole language pipeline."""

from __future__ import annotations

import pytest

from notelint.rulebook.examples import _asks, findings_of
from notelint.rulebook.loader import load_built_in

RULES = load_built_in()
ASKS = [pytest.param(rule, example, id=f"{rule.name}: {example.name}") for rule in RULES for example in rule.examples.asks]
SILENT = [pytest.param(rule, example, id=f"{rule.name}: {example.name}") for rule in RULES for example in rule.examples.silent]


@pytest.mark.parametrize(("rule", "example"), ASKS)
def test_an_example_that_must_be_asked_about_is(rule, example):
    """The rule asks once, about the words the example names."""
    assert _asks(rule, example) is None


@pytest.mark.parametrize(("rule", "example"), SILENT)
def test_an_example_that_must_stay_silent_does(rule, example):
    """Look-alikes and answered sets raise nothing."""
    found, failed = findings_of(rule, example)
    assert not failed
    assert [f.subject for f in found] == []


@pytest.mark.parametrize("rule", RULES, ids=[r.name for r in RULES])
def test_a_rule_has_examples_of_both_sides(rule):
    """At least two that ask, three that stay silent, one of them a near miss, all told apart by name."""
    assert len(rule.examples.asks) >= 2
    assert len(rule.examples.silent) >= 3
    assert any(e.near_miss for e in rule.examples.silent)
    names = [e.name for e in (*rule.examples.asks, *rule.examples.silent)]
    assert len(set(names)) == len(names)
