"""Files appear whole or not at all; names are safe."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from notelint.errors import BadOptions, CannotWrite
from notelint.model import Review
from notelint.writers import write
from notelint.writers.files import safe_name, write_whole


@pytest.mark.parametrize(
    ("stem", "name"),
    [
        pytest.param("Smith house rev 2", "Smith house rev 2", id="plain names stay"),
        pytest.param("a/b\\c", "a_b_c", id="separators"),
        pytest.param("x\x1b[2J\n", "x_[2J_", id="control characters"),
        pytest.param("plan\u202efdp", "plan_fdp", id="direction marks"),
        pytest.param("..", "plan-set", id="nothing left"),
        pytest.param("con", "con_", id="device name"),
    ],
)
def test_safe_name_of_odd_stems(stem: str, name: str) -> None:
    assert safe_name(stem) == name


@given(st.text(alphabet=st.characters(exclude_categories=()), max_size=300))
def test_safe_name_is_one_harmless_file_name(stem: str) -> None:
    name = safe_name(stem)
    assert name and len(name.encode("utf-8")) <= 181
    assert Path(name).name == name and name not in {".", ".."}
    assert not any(ord(c) < 32 for c in name)
    assert safe_name(name) == name


def test_a_failing_writer_leaves_nothing_and_keeps_the_old_file(tmp_path: Path) -> None:
    target = tmp_path / "x.review.json"
    target.write_text("old")

    def fill(draft: Path) -> None:
        draft.write_text("half")
        raise OSError(28, "No space left on device")

    with pytest.raises(CannotWrite, match="No space left on device"):
        write_whole(target, fill)
    assert [p.name for p in tmp_path.iterdir()] == ["x.review.json"]
    assert target.read_text() == "old"


def test_a_target_that_is_a_folder_is_told_with_a_way_out(review: Review, plan_set: Path, tmp_path: Path) -> None:
    (tmp_path / "small house.review.json").mkdir()
    with pytest.raises(CannotWrite, match=r"small house\.review\.json.*--out"):
        write(review, ["json"], tmp_path, plan_set=plan_set)
    assert [p.name for p in tmp_path.iterdir()] == ["small house.review.json"]


def test_an_out_that_is_a_file_is_told_with_a_way_out(review: Review, plan_set: Path, tmp_path: Path) -> None:
    blocked = tmp_path / "out"
    blocked.write_text("")
    with pytest.raises(CannotWrite, match=r"out.*--out"):
        write(review, ["json"], blocked, plan_set=plan_set)


def test_one_bad_target_does_not_cost_the_other_files(review: Review, plan_set: Path, tmp_path: Path) -> None:
    (tmp_path / "small house.review.json").mkdir()
    with pytest.raises(CannotWrite):
        write(review, ["json", "md"], tmp_path, plan_set=plan_set)
    assert (tmp_path / "small house.questions.md").is_file()


def test_an_unknown_format_is_refused_before_anything_is_written(review: Review, plan_set: Path, tmp_path: Path) -> None:
    with pytest.raises(BadOptions, match="docx"):
        write(review, ["json", "docx"], tmp_path / "out", plan_set=plan_set)
    assert not (tmp_path / "out").exists()
