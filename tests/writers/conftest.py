"""The small plan set and its review, made once."""

from __future__ import annotations

from pathlib import Path

import pytest
from sample_set import draw_plan_set, make_review

from notelint.model import Review


@pytest.fixture(scope="session")
def plan_set(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("set") / "small house.pdf"
    draw_plan_set(path)
    return path


@pytest.fixture(scope="session")
def review(plan_set: Path) -> Review:
    return make_review(plan_set)
