"""Runs over folders of stand-in sets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from notelint.folder import FolderOptions, FolderResult, run_folder
from notelint.folder.journal import journal_of
from notelint.folder.records import Outcome, coded
from notelint.guard import Limits

HERE = Path(__file__).parent
LIMITS = Limits(memory_mb=200, minutes=0.01, file_mb=20, answer_mb=1)


def make_sets(folder: Path, names: Sequence[str]) -> None:
    """Sets of these names, each with words of its own."""
    for name in names:
        file = folder / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(f"set {name}")


@dataclass
class Run:
    """A folder, its output folder, and the readers' list of turns."""

    folder: Path
    out: Path
    turns: Path
    options: FolderOptions = field(default_factory=lambda: FolderOptions(workers=2, limits=LIMITS, tasks="fake_tasks"))

    def __call__(self, **changes: object) -> FolderResult:
        """One run."""
        return run_folder(self.folder, self.out, replace(self.options, **changes))  # type: ignore[arg-type]

    def outcome(self, name: str) -> Outcome:
        """What the journal keeps of a set."""
        with journal_of(self.out) as journal:
            found = journal.outcome(coded(Path(name)))
        assert found is not None
        return found

    def read(self) -> list[str]:
        """Sets in the order in which a reader took them up, since the last time this was asked."""
        if not self.turns.exists():
            return []
        lines = self.turns.read_text().splitlines()
        self.turns.unlink()
        return [line.split(" ", 1)[1] for line in lines]
