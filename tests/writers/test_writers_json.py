"""The result file keeps to its schema and to what was read."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

import notelint.writers
from notelint.model import CAUTION, Answer, Box, Recheck, RecheckLine, Review
from notelint.writers import write
from notelint.writers.json import schema

SCHEMA = Path(notelint.writers.__file__).parent / "review.schema.json"


@pytest.fixture
def written(review: Review, plan_set: Path, tmp_path: Path) -> dict[str, Any]:
    (path,) = write(review, ["json"], tmp_path, plan_set=plan_set)
    assert path.name == "small house.review.json"
    made: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return made


def test_shipped_schema_is_the_one_the_code_makes() -> None:
    assert SCHEMA.read_text(encoding="utf-8") == schema(), "write it anew from notelint.writers.json.schema()"


def test_output_keeps_to_the_shipped_schema(written: dict[str, Any]) -> None:
    jsonschema.Draft202012Validator(json.loads(SCHEMA.read_text(encoding="utf-8"))).validate(written)


@pytest.mark.parametrize("key", ["format", "plan_set", "building", "requirements", "load_path", "questions", "not_checked"])
def test_schema_refuses_a_file_without_a_fixed_key(written: dict[str, Any], key: str) -> None:
    del written[key]
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(written, json.loads(SCHEMA.read_text(encoding="utf-8")))


def test_fixed_keys_of_the_result_form_are_there(written: dict[str, Any]) -> None:
    """Keys as the design gives them: other programs rely on these names."""
    assert written["format"] == "notelint review 1"
    assert set(written["plan_set"]) >= {"file", "sha256", "sheets"}
    assert set(written["plan_set"]["sheets"][0]) >= {"page", "number", "title", "text"}
    assert set(written["building"]) == {"storeys", "roof", "foundation", "wind_mph", "exposure", "code"}
    needed = {"id", "sheet", "page", "label", "quote", "box", "mark", "device", "joint", "fasteners", "spacing_in", "place"}
    assert set(written["requirements"][0]) >= needed
    assert set(written["requirements"][0]["fasteners"][0]) >= {"kind", "count", "penny", "diameter_in", "length_in", "per"}
    assert set(written["load_path"]["joints"][0]) >= {"joint", "storey", "state", "requirements", "capacity_lb"}
    keys = {"number", "key", "rule", "ask_before", "question", "why", "arithmetic", "sources", "where"}
    assert set(written["questions"][0]) >= keys
    assert set(written["questions"][0]["where"][0]) == {"sheet", "page", "label", "quote", "box"}
    assert written["not_checked"] == [{"page": 6, "sheet": None, "reason": "no readable text"}]
    assert written["caution"] == CAUTION


def test_values_are_those_of_the_review(written: dict[str, Any], review: Review) -> None:
    assert [q["question"] for q in written["questions"]] == [q.question for q in review.questions]
    assert written["requirements"][1]["spacing_in"] == 48.0
    assert written["requirements"][0]["fasteners"][0]["penny"] == "16d"
    assert written["load_path"]["weakest"] == review.load_path.weakest


def test_boxes_are_rounded_to_a_tenth(review: Review, plan_set: Path, tmp_path: Path) -> None:
    first = review.questions[0]
    place = first.where[0].model_copy(update={"box": Box(1.04, 2.06, float("nan"), float("inf"))})
    odd = review.model_copy(update={"questions": (first.model_copy(update={"where": (place,)}),)})
    (path,) = write(odd, ["json"], tmp_path, plan_set=plan_set)
    assert json.loads(path.read_text())["questions"][0]["where"][0]["box"] == [1.0, 2.1, 0.0, 0.0]


def test_comparison_gives_each_question_its_status_and_the_answered_ones(review: Review, plan_set: Path, tmp_path: Path) -> None:
    asked, gone = review.questions[:6], review.questions[6]
    said = Answer(key=asked[0].key, answer="ST-3 is 14 ga.", answered_by="the designer", date="2026-03-02")
    lines = (
        RecheckLine(status="open", question=asked[0], answer=said),
        RecheckLine(status="changed", question=asked[1], old_words=asked[1].where),
        RecheckLine(status="answered", question=gone, new_words=asked[2].where),
    )
    now = review.model_copy(update={"questions": asked})
    (path,) = write(now, ["json"], tmp_path, plan_set=plan_set, recheck=Recheck(file="old.pdf", lines=lines))
    made = json.loads(path.read_text(encoding="utf-8"))
    jsonschema.validate(made, json.loads(SCHEMA.read_text(encoding="utf-8")))
    assert [q["status"] for q in made["questions"][:3]] == ["open", "changed", None]
    assert made["questions"][0]["answer"]["answer"] == "ST-3 is 14 ga."
    assert made["questions"][1]["old_words"][0]["quote"] == asked[1].where[0].quote
    assert [a["key"] for a in made["recheck"]["answered"]] == [gone.key]
    assert made["recheck"]["answered"][0]["new_words"][0]["sheet"] == "S-1"
