"""NAME.review.json: the whole review for other programs, in the form of result.py."""

from __future__ import annotations

import json
from pathlib import Path

from notelint.model import CAUTION, Answer, Question, RecheckLine
from notelint.writers import result
from notelint.writers.files import write_text
from notelint.writers.job import Job

_COMPARISON = {"status", "old_words", "answer"}  # a question's keys that stand only in a comparison


def write_json(job: Job, target: Path) -> None:
    """Writes the result file: UTF-8, keys in a fixed order."""
    write_text(target, dump(make_result(job)))


def dump(made: result.Result) -> str:
    """The result as text. Comparison keys are left out where nothing was compared."""
    if made.recheck is None:
        return made.model_dump_json(indent=1, exclude={"recheck": True, "questions": {"__all__": _COMPARISON}}) + "\n"
    return made.model_dump_json(indent=1) + "\n"


def schema() -> str:
    """The JSON schema of the result file, as shipped in review.schema.json."""
    made = result.Result.model_json_schema(mode="serialization")
    return json.dumps({"$schema": "https://json-schema.org/draft/2020-12/schema", **made}, indent=1) + "\n"


def make_result(job: Job) -> result.Result:
    """The review in the form of the result file."""
    review = job.review
    return result.Result(
        format=result.FORMAT,
        plan_set=result.PlanSetOut.model_validate(review),
        building=result.BuildingOut.model_validate(review.building),
        building_from=tuple(result.BuildingFromOut.model_validate(fact) for fact in review.building.facts),
        requirements=tuple(result.RequirementOut.model_validate(one) for one in review.requirements),
        load_path=result.LoadPathOut.model_validate(review.load_path),
        questions=tuple(_question(one, job.lines.get(one.key)) for one in review.questions),
        hardware=tuple(result.HardwareOut.model_validate(line) for line in review.hardware),
        not_checked=tuple(result.UnreadOut.model_validate(one) for one in review.not_checked),
        rules_not_run=review.rules_not_run,
        recheck=_recheck(job),
        caution=CAUTION,
    )


def _question(question: Question, line: RecheckLine | None) -> result.QuestionOut:
    made = result.QuestionOut.model_validate(question)
    if line is None:
        return made
    words = tuple(result.WhereOut.model_validate(one) for one in line.old_words)
    return made.model_copy(update={"status": line.status, "old_words": words, "answer": _answer(line.answer)})


def _recheck(job: Job) -> result.RecheckOut | None:
    if job.recheck is None:
        return None
    answered = tuple(
        result.AnsweredOut(
            key=line.question.key,
            rule=line.question.rule,
            question=line.question.question,
            where=tuple(result.WhereOut.model_validate(one) for one in line.question.where),
            new_words=tuple(result.WhereOut.model_validate(one) for one in line.new_words),
            answer=_answer(line.answer),
        )
        for line in job.answered
    )
    return result.RecheckOut(file=job.recheck.file, sha256=job.recheck.sha256, answered=answered)


def _answer(answer: Answer | None) -> result.AnswerOut | None:
    return result.AnswerOut.model_validate(answer) if answer else None
