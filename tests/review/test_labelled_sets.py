"""Questions asked of whole drawn sets, against their labels."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path

import pytest

from notelint.review import Options, review

FIXTURES = Path(__file__).parents[2] / "fixtures"
GOLDS = sorted([*FIXTURES.glob("houses/*.gold.json"), *FIXTURES.glob("offices/*.gold.json")])


@pytest.mark.parametrize("gold", GOLDS, ids=lambda g: g.name.split(".")[0])
def test_the_set_is_asked_what_its_labels_say(gold: Path) -> None:
    """Every labelled question, and none that the labels neither expect nor allow."""
    labels = json.loads(gold.read_text())
    result = review(gold.with_name(labels["pdf"]), Options())
    asked = Counter(q.rule for q in result.questions)
    expected = Counter(label["rule"] for label in labels["expect"])
    assert not expected - asked
    known = {label["rule"] for label in [*labels["expect"], *labels["allow"]]}
    assert {rule for rule in asked if rule not in known} == set()
