"""Sums over all sets of a run, small however many sets there are."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

from notelint.folder.records import Outcome, shown
from notelint.model import STAGES, Stage

MOST_REASONS = 20


class CommonGap(NamedTuple):
    """A rule and how often it asked."""

    rule: str
    family: str
    sets: int
    questions: int


class Totals:
    """Counts over the outcomes of a run."""

    def __init__(self, outcomes: Iterable[tuple[Path, Path, Outcome]]) -> None:
        self.sets = self.read = self.with_questions = self.sheets = self.unread = 0
        self.seconds = 0.0
        self.stages: Counter[Stage] = Counter()
        self.families: Counter[str] = Counter()
        self.not_run: Counter[str] = Counter()  # rules whose check failed
        self.reasons: list[str] = []  # why sets were not read, with their places
        self._sets_of: Counter[tuple[str, str]] = Counter()
        self._questions_of: Counter[tuple[str, str]] = Counter()
        for place, _, outcome in outcomes:
            self._add(outcome)
            if outcome.state != "read" and len(self.reasons) < MOST_REASONS:
                self.reasons.append(f"{shown(place.parent / '_')[:-1]}{outcome.reason}")

    def _add(self, outcome: Outcome) -> None:
        self.sets += 1
        self.read += outcome.state == "read"
        self.with_questions += bool(outcome.gaps)
        self.sheets += outcome.sheets
        self.unread += outcome.unread
        self.seconds += outcome.seconds
        self.not_run.update(outcome.rules_not_run)
        for gap in outcome.gaps:
            self.stages[gap.stage] += gap.questions
            self.families[gap.family] += gap.questions
            self._questions_of[gap.rule, gap.family] += gap.questions
        self._sets_of.update({(gap.rule, gap.family) for gap in outcome.gaps})

    @property
    def questions(self) -> int:
        """Questions of all sets."""
        return sum(self.stages.values())

    @property
    def not_read(self) -> int:
        """Sets that could not be read."""
        return self.sets - self.read

    @property
    def shown_stages(self) -> tuple[Stage, ...]:
        """All stages in order of the work."""
        return STAGES

    @property
    def shown_families(self) -> tuple[str, ...]:
        """Families in which something is asked, the commonest first."""
        return tuple(sorted(self.families, key=lambda name: (-self.families[name], name)))

    def common(self, most: int = 25) -> tuple[CommonGap, ...]:
        """The rules that ask in most sets."""
        order = sorted(self._sets_of, key=lambda key: (-self._sets_of[key], -self._questions_of[key], key))
        return tuple(CommonGap(*key, self._sets_of[key], self._questions_of[key]) for key in order[:most])
