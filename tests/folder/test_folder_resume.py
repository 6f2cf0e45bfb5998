"""What is done is not done again, unless what it rests on has changed."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from folder_runs import LIMITS, Run

from notelint.errors import BadOptions
from notelint.folder import keys
from notelint.folder.names import HIDDEN

Sets = Callable[[Sequence[str]], None]


@pytest.fixture
def done(run: Run, sets: Sets) -> Run:
    """A run that has read three sets."""
    sets(["a.pdf", "b.pdf", "deep/c.pdf"])
    run.options = replace(run.options, workers=1)
    assert run().totals.read == 3
    run.read()
    return run


def test_an_unchanged_folder_is_not_read_again(done: Run) -> None:
    result = done()
    assert (done.read(), result.reused, result.totals.read) == ([], 3, 3)


def test_a_set_whose_content_is_the_same_is_not_read_again(done: Run) -> None:
    """The date of a file says nothing about what is in it."""
    os.utime(done.folder / "a.pdf", (1, 1))
    done()
    assert done.read() == []


def test_a_changed_set_is_read_again(done: Run) -> None:
    (done.folder / "b.pdf").write_text("other words")
    done()
    assert done.read() == ["b.pdf"]
    assert (done.out / "b.pdf" / "said.txt").read_text() == "other words"


def test_a_new_set_is_read_and_one_taken_away_is_not_told_of(done: Run) -> None:
    shutil.move(done.folder / "a.pdf", done.folder / "z.pdf")
    assert done().totals.sets == 3
    assert done.read() == ["z.pdf"]
    assert ",a.pdf," not in (done.out / "summary.csv").read_text(encoding="utf-8-sig")


def test_a_set_whose_facts_changed_is_read_again(done: Run) -> None:
    (done.folder / "a.facts.yaml").write_text("storeys: 2\n")
    done()
    assert done.read() == ["a.pdf"]


def test_a_set_whose_outputs_are_gone_is_read_again(done: Run) -> None:
    shutil.rmtree(done.out / "b.pdf")
    done()
    assert done.read() == ["b.pdf"]


def test_other_formats_read_all_again(done: Run) -> None:
    done(formats=("csv",))
    assert sorted(done.read()) == ["a.pdf", "b.pdf", "deep/c.pdf"]


def test_changed_rules_read_all_again(done: Run, tmp_path: Path) -> None:
    """The words of a rule count, its date does not."""
    rules = tmp_path / "rules"
    rules.mkdir()
    (rules / "office.yaml").write_text("switch_off: [mark-not-used]\n")
    done(rules=rules)
    assert len(done.read()) == 3
    os.utime(rules / "office.yaml", (1, 1))
    done(rules=rules)
    assert done.read() == []
    (rules / "office.yaml").write_text("switch_off: [header-tie]\n")
    done(rules=rules)
    assert len(done.read()) == 3


def test_a_changed_hardware_list_reads_all_again(done: Run, tmp_path: Path) -> None:
    listed = tmp_path / "list.csv"
    for words in ("mark,device\nHD-1,hold-down\n", "mark,device\nHD-2,hold-down\n"):
        listed.write_text(words)
        done(hardware=listed)
        assert len(done.read()) == 3


def test_another_version_reads_all_again(done: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(keys, "__version__", "99")
    done()
    assert len(done.read()) == 3


def test_more_workers_read_nothing_again(done: Run) -> None:
    done(workers=1, limits=LIMITS.model_copy(update={"minutes": 1.0}))
    assert done.read() == []


def test_a_set_that_ran_out_of_memory_is_tried_again_with_more_only(run: Run, sets: Sets) -> None:
    sets(["eat-a.pdf"])
    run()
    assert len(run.read()) == 2
    run()
    assert run.read() == []
    run(limits=LIMITS.model_copy(update={"memory_mb": 250}))
    assert len(run.read()) == 2


def test_a_set_whose_worker_was_killed_is_tried_again(run: Run, sets: Sets) -> None:
    """That says nothing about the set."""
    sets(["killed-a.pdf"])
    run()
    run.read()
    run()
    assert len(run.read()) == 2


def test_a_damaged_journal_is_set_aside(done: Run) -> None:
    journal = done.out / HIDDEN / "journal.sqlite"
    journal.write_bytes(b"no journal at all" * 1000)
    assert done().totals.read == 3
    assert len(done.read()) == 3
    assert (done.out / HIDDEN / "journal.damaged").exists()


def test_a_second_run_into_one_output_folder_is_refused_and_harms_nothing(run: Run, sets: Sets) -> None:
    """It is told who is at work; when that one is dead, even by force, the way is free."""
    run.options = replace(run.options, workers=1)
    sets([f"slow-{number}.pdf" for number in range(40)])
    script = "from folder_runs import *; from pathlib import Path; import sys; Run(*map(Path, sys.argv[1:]))()"
    first = subprocess.Popen([sys.executable, "-c", script, str(run.folder), str(run.out), str(run.turns)])
    try:
        while not run.turns.exists():
            time.sleep(0.02)
            assert first.poll() is None
        with pytest.raises(BadOptions, match=f"another run .process {first.pid} on "):
            run()
    finally:
        first.kill()
        first.wait()
    assert run().totals.read == 40
