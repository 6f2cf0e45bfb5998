"""A review in two processes says what one says; a small set stays in one."""

from __future__ import annotations

import os
import signal
from pathlib import Path

import pytest
from reportlab.pdfgen import canvas

import notelint.language.read
import notelint.layout
import notelint.rulebook.run
from notelint import abreast
from notelint.model import Layout, Review
from notelint.planset import limits
from notelint.review import Options, review_with_layout

DEMO = Path(__file__).parents[2] / "fixtures" / "demo" / "demo.pdf"


def reviewed(*, beside: bool) -> tuple[Review, Layout]:
    """The demo set's review without the time it took, and its passages."""
    done, layout = review_with_layout(DEMO, Options(beside=beside))
    return done.model_copy(update={"seconds": 0.0}), layout


@pytest.fixture
def forks(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Processes forked, on a machine of two processors; threads that other tests have left idle do not count."""
    made: list[int] = []
    fork = os.fork

    def counted() -> int:
        if pid := fork():
            made.append(pid)
        return pid

    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1})
    monkeypatch.setattr(os, "fork", counted)
    monkeypatch.setattr(abreast.threading, "active_count", lambda: 1)
    return made


@pytest.fixture
def any_set_is_large(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(limits, "FORK_FROM_BYTES", 0)
    monkeypatch.setattr(notelint.layout, "_DENSE", 0)
    monkeypatch.setattr(notelint.language.read, "_MANY", 0)
    monkeypatch.setattr(notelint.rulebook.run, "_MANY", 0)


def test_a_small_set_stays_in_one_process(forks: list[int], tmp_path: Path) -> None:
    sheets = canvas.Canvas(str(tmp_path / "small.pdf"), pagesize=(1728, 1296))
    for number in range(1, 5):
        for line in range(40):
            sheets.drawString(72, 1200 - 24 * line, f"{line + 1}. PROVIDE STRAP ST-{number} AT EACH STUD WITH (10) 10d NAILS.")
        sheets.drawString(1600, 40, f"S-{number}")
        sheets.showPage()
    sheets.save()
    review_with_layout(tmp_path / "small.pdf", Options(beside=True))
    assert not forks


@pytest.mark.usefixtures("any_set_is_large")
def test_one_process_where_others_are_at_work(forks: list[int]) -> None:
    reviewed(beside=False)
    assert not forks


@pytest.mark.usefixtures("any_set_is_large")
def test_two_processes_say_the_same_as_one(forks: list[int]) -> None:
    assert reviewed(beside=True) == reviewed(beside=False)
    assert len(forks) >= 5  # sheets, layout, words, statements, facts, rules


@pytest.mark.usefixtures("any_set_is_large")
def test_a_second_process_that_dies_each_time_changes_nothing(forks: list[int], monkeypatch: pytest.MonkeyPatch) -> None:
    drawn = abreast._drawn
    here = os.getpid()

    def dying(tickets: int):  # type: ignore[no-untyped-def]
        for number in drawn(tickets):
            if os.getpid() != here:
                os.kill(os.getpid(), signal.SIGKILL)
            yield number

    monkeypatch.setattr(abreast, "_drawn", dying)
    assert reviewed(beside=True) == reviewed(beside=False)
    assert len(forks) >= 5
