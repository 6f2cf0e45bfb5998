"""Every wording in the data files is read as it must be."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from notelint.language import read_passage
from notelint.language.marks import key_of
from notelint.language.statements import MarkInfo
from notelint.model import Requirement
from tests.language.passages import note, row

HERE = Path(__file__).parent
PHRASINGS = yaml.safe_load((HERE / "phrasings.yaml").read_text(encoding="utf-8"))
ROWS = yaml.safe_load((HERE / "schedule_rows.yaml").read_text(encoding="utf-8"))["rows"]
CASES = [pytest.param(case, id=f"{group}: {case['text'][:60]}") for group, cases in PHRASINGS.items() for case in cases]
ROW_CASES = [pytest.param(case, id=f"{case['title']}: {next(iter(case['cells'].values()))}") for case in ROWS]


def agrees(requirement: Requirement, wanted: dict[str, Any]) -> bool:
    """Whether every field that the case names is as the case says."""
    have = requirement.model_dump()
    for field, value in wanted.items():
        if field == "nails":
            if not all(any(all(f[k] == v for k, v in nail.items()) for f in have["fasteners"]) for nail in value):
                return False
        elif field == "steel":
            if have["steel"] is None or any(have["steel"][k] != v for k, v in value.items()):
                return False
        elif isinstance(value, list):
            if list(have[field]) != value and not (field in ("scope", "see") and set(value) <= set(have[field])):
                return False
        elif have[field] != value:
            return False
    return True


def shown(found: tuple[Requirement, ...]) -> str:
    """What was read, for the message of a failed test."""
    return "\n".join(
        str({k: v for k, v in r.model_dump(exclude={"box", "id", "page", "start", "end"}).items() if v not in (None, (), False)})
        for r in found
    )


@pytest.mark.parametrize("case", CASES)
def test_phrasing_reads_as_said(case: dict[str, Any]) -> None:
    book = {key_of(mark): MarkInfo(device, None) for mark, device in case.get("marks", {}).items()}
    found = read_passage(note(case["text"], case.get("kind", "note"), sure=0.9 if case.get("scanned") else 1.0), book).requirements
    if case.get("nothing"):
        assert not [r for r in found if r.stance == "duty"], shown(found)
        return
    left = list(found)
    for wanted in case["says"]:
        match = next((r for r in left if agrees(r, wanted)), None)
        assert match is not None, f"wanted {wanted}\nread\n{shown(found)}"
        left.remove(match)


@pytest.mark.parametrize("case", ROW_CASES)
def test_row_reads_as_said(case: dict[str, Any]) -> None:
    found = read_passage(row(case["cells"], case["title"])).requirements
    if case["says"] is None:
        assert not found, shown(found)
    else:
        assert any(agrees(r, case["says"]) for r in found), shown(found)
