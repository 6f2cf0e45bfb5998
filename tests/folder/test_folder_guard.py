"""A worker that hangs, eats memory, dies or talks nonsense costs its own set and no other."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import pytest
from folder_runs import Run, make_sets

from notelint.errors import BadRules
from notelint.folder import FolderResult
from notelint.folder.records import Outcome

HERE = Path(__file__).parent
Sets = Callable[[Sequence[str]], None]

BAD = {
    "hang": ("time", "took longer than 0.01 minutes"),
    "spin": ("time", "took longer than 0.01 minutes"),
    "eat": ("memory", "needs more than 200 MB"),
    "crash": ("died", "SIGSEGV"),
    "killed": ("killed", "killed from outside"),
    "killhost": ("killed", "its worker was killed"),
    "rubbish": ("rubbish", "no usable answer"),
    "flood": ("rubbish", "no usable answer"),
    "pipes": ("rubbish", "no usable answer"),
    "fault": ("fault", "KeyError"),
    "fill": ("fault", "OSError"),
}


@pytest.fixture(scope="module")
def troubled(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Run, FolderResult]]:
    """One run over all bad sets, with sound ones between them."""
    folder = tmp_path_factory.mktemp("troubled")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("PYTHONPATH", str(HERE))
        patch.setenv("NOTELINT_TURNS", str(folder / "turns"))
        run = Run(folder / "in", folder / "out", folder / "turns")
        make_sets(run.folder, [name for act in BAD for name in (f"{act}-b.pdf", f"{act}.sound.pdf")])
        yield run, run()


@pytest.mark.parametrize("act", BAD)
def test_a_bad_worker_costs_one_set(act: str, troubled: tuple[Run, FolderResult]) -> None:
    """The others are read; the bad one is tried twice and then named with one reason."""
    run, _ = troubled
    bad, (kind, said) = run.outcome(f"{act}-b.pdf"), BAD[act]
    assert (bad.state, bad.kind, bad.tries) == ("failed", kind, 2)
    assert said in bad.reason
    assert bad.reason.startswith(f"{act}-b.pdf: ")
    assert "\n" not in bad.reason


def test_the_run_comes_to_its_end(troubled: tuple[Run, FolderResult]) -> None:
    """Every sound set is read once, every bad one twice, the second time after all others."""
    run, result = troubled
    turns = run.read()
    bad = [f"{act}-b.pdf" for act in BAD]
    assert sorted(turns) == sorted([*bad, *bad, *(f"{act}.sound.pdf" for act in BAD)])
    assert sorted(turns[-len(bad) :]) == sorted(bad)
    assert (result.exit_code, result.totals.read, result.totals.not_read) == (3, len(BAD), len(BAD))


def test_a_worker_that_dies_once_is_given_a_second_chance(run: Run, sets: Sets) -> None:
    """Alone and anew, the set is read."""
    sets(["a.pdf", "once-b.pdf", "c.pdf"])
    result = run()
    assert (run.outcome("once-b.pdf").state, run.outcome("once-b.pdf").tries) == ("read", 2)
    assert run.read()[-1] == "once-b.pdf"
    assert result.exit_code == 1


def test_what_a_reader_prints_reaches_nobody(run: Run, sets: Sets, capfd: pytest.CaptureFixture[str]) -> None:
    """Neither the answers nor the terminal are disturbed by it."""
    sets(["prints-a.pdf", "prints-b.pdf"])
    assert run().exit_code == 1
    assert run.outcome("prints-a.pdf").state == "read"
    assert "rubbish" not in "".join(capfd.readouterr())


def test_a_refusal_is_not_tried_again(run: Run, sets: Sets) -> None:
    """A password stays a password."""
    sets(["refuse-a.pdf"])
    assert run().exit_code == 3
    assert run.outcome("refuse-a.pdf") == Outcome(
        state="refused", reason="refuse-a.pdf: asks for a password; save a copy without one.", tries=1
    )
    assert run.read() == ["refuse-a.pdf"]


def test_wrong_rules_end_the_run_with_their_reason(run: Run, sets: Sets) -> None:
    """They concern every set: none is taken up."""
    sets(["a.pdf"])
    (run.folder.parent / "wrong").mkdir()
    with pytest.raises(BadRules, match="no such check"):
        run(rules=run.folder.parent / "wrong")
    assert run.read() == []


def test_a_worker_reads_many_sets(run: Run, sets: Sets) -> None:
    """What is loaded is loaded once a worker, not once a set."""
    sets([f"s{number}.pdf" for number in range(20)])
    assert run().totals.read == 20
    workers = {line.split()[0] for line in run.turns.read_text().splitlines()}
    assert len(workers) <= 2
