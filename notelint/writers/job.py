"""What every writer is handed."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from notelint.errors import CannotWrite
from notelint.model import STAGES, Question, Recheck, RecheckLine, Review, Stage
from notelint.planset.document import digest
from notelint.writers.pictures import Pictures, draw


@dataclass(frozen=True)
class Job:
    """One plan set's review to be written, with the comparison to an earlier set where there is one."""

    review: Review
    plan_set: Path
    recheck: Recheck | None = None

    @cached_property
    def by_stage(self) -> tuple[tuple[Stage, tuple[Question, ...]], ...]:
        """The questions in order of the work; stages without questions are left out."""
        grouped = ((stage, tuple(q for q in self.review.questions if q.ask_before == stage)) for stage in STAGES)
        return tuple((stage, questions) for stage, questions in grouped if questions)

    @cached_property
    def lines(self) -> dict[str, RecheckLine]:
        """The comparison's line of each question that is asked now, by key."""
        return {line.question.key: line for line in self.recheck.lines if line.status != "answered"} if self.recheck else {}

    @cached_property
    def answered(self) -> tuple[RecheckLine, ...]:
        """What the revised set answers."""
        return tuple(line for line in self.recheck.lines if line.status == "answered") if self.recheck else ()

    @cached_property
    def unchanged_plan_set(self) -> Path:
        """The plan set, if it is still the file that was read: on another one the boxes would frame other words. CannotWrite if not."""
        try:
            same = digest(self.plan_set) == self.review.sha256
        except OSError as error:
            raise CannotWrite(f"{self.plan_set}: cannot be read any more ({error.strerror}); its sheets cannot be shown.") from error
        if not same:
            raise CannotWrite(f"{self.plan_set}: was changed since it was read; review it again.")
        return self.plan_set

    @cached_property
    def pictures(self) -> Pictures:
        """Sheets and crops, drawn when first asked for and shared by the outputs."""
        return draw(self.unchanged_plan_set, self.review)
