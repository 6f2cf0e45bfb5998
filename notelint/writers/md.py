"""NAME.questions.md: the questions as a plain list that reads well without any program."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from pathlib import Path

from notelint.model import CAUTION, JointState, Question, RecheckLine, Where
from notelint.writers.files import write_text
from notelint.writers.job import Job
from notelint.writers.words import (
    COUNT_NOTE,
    STAGE_HEADS,
    STATUS_WORDS,
    building_lines,
    clean,
    count_of,
    joined,
    joint_name,
    joint_words,
    places_of,
    quoted,
    recheck_summary,
    sheet_name,
    unread_line,
)

_MARKS = re.compile(r"([\\`*_\[\]<>#|~&$])")
_LEADS = re.compile(r"^(\s*)([-+=]|\d+[.)])(?=\s|$)")


def write_md(job: Job, target: Path) -> None:
    """Writes the list."""
    write_text(target, "\n".join(_document(job)).rstrip() + "\n")


def escape(text: str) -> str:
    """Foreign text as Markdown that shows it letter for letter."""
    marked = _MARKS.sub(r"\\\1", clean(text))
    return _LEADS.sub(lambda found: f"{found[1]}{found[2][:-1]}\\{found[2][-1]}", marked)


def _document(job: Job) -> Iterator[str]:
    review = job.review
    yield f"# Questions about {escape(review.file)}"
    yield ""
    counts = f"{count_of(len(review.questions), 'question')} from {count_of(len(review.sheets), 'sheet')}"
    yield f"{counts}. File sha256 `{clean(review.sha256)}`."
    if job.recheck:
        yield from ("", f"Compared {escape(recheck_summary(job.recheck))}.")
    yield ""
    yield f"> {escape(CAUTION)}"
    yield from _building(job)
    yield from _load_path(job)
    for stage, questions in job.by_stage:
        yield from ("", f"## {STAGE_HEADS[stage]}")
        for question in questions:
            yield from _question(question, job.lines.get(question.key))
    if not review.questions:
        yield from ("", "Nothing to ask was found in the words that were read.")
    yield from _answered(job.answered)
    yield from _hardware(job)
    yield from _not_checked(job)


def _building(job: Job) -> Iterator[str]:
    yield from ("", "## The building as read", "")
    for name, value, source, _ in building_lines(job.review.building):
        yield f"- {name}: {escape(value)}" + (f" ({escape(source)})" if source else "")


def _load_path(job: Job) -> Iterator[str]:
    joints = job.review.load_path.joints
    if not joints:
        return
    yield from ("", "## The load path, roof to footing", "")
    for state in joints:
        yield _joint(state, job.review.building.storeys)
    if job.review.load_path.weakest:
        yield from ("", f"Weakest: {escape(job.review.load_path.weakest)}")


def _joint(state: JointState, storeys: int | None) -> str:
    words = joint_words(state)
    return f"- {joint_name(state, storeys)}: **{state.state}**" + (f": {escape(words)}" if words else "")


def _question(question: Question, line: RecheckLine | None) -> Iterator[str]:
    status = f" ({STATUS_WORDS[line.status]})" if line else ""
    yield from ("", f"### {question.number}. {escape(places_of(question, most=3))}{status}")
    yield from ("", escape(question.question), "", f"Why: {escape(question.why)}")
    if question.arithmetic:
        yield ""
        yield from (f"- {escape(step)}" for step in question.arithmetic)
    if question.where:
        yield ""
        yield from _quotes(question.where)
    if line and line.old_words:
        yield from ("", "Before:")
        yield from _quotes(line.old_words)
    if line and line.answer:
        yield from ("", f"Answer so far: {escape(line.answer.answer)} {escape(_signed(line))}".rstrip())
    sources = f" Sources: {escape(joined(question.sources))}." if question.sources else ""
    yield from ("", f"Rule {escape(question.rule)}, key `{clean(question.key)}`.{sources}")


def _signed(line: RecheckLine) -> str:
    answer = line.answer
    parts = [part for part in (answer.answered_by, answer.date) if part] if answer else []
    return f"({', '.join(parts)})" if parts else ""


def _quotes(places: Sequence[Where]) -> Iterator[str]:
    for place, quote in quoted(places):
        yield f"- {escape(place)}" + (f': "{escape(quote)}"' if quote else "")


def _answered(lines: Sequence[RecheckLine]) -> Iterator[str]:
    if not lines:
        return
    yield from ("", "## Answered since the earlier set")
    for line in lines:
        yield from ("", f"- {escape(line.question.question)}")
        yield from (f"  {quote}" for quote in _quotes(line.new_words))


def _hardware(job: Job) -> Iterator[str]:
    lines = job.review.hardware
    if not lines:
        return
    yield from ("", "## Hardware list", "", COUNT_NOTE, "")
    yield "| mark | device | as written | fasteners | callouts | sheets | lacks |"
    yield "| --- | --- | --- | --- | --- | --- | --- |"
    for line in lines:
        called = (str(line.callouts), joined(line.sheets, ", "), joined(line.lacks, ", "))
        cells = (line.mark, line.device or "", line.item, line.fasteners, *called)
        yield "| " + " | ".join(escape(cell) for cell in cells) + " |"


def _not_checked(job: Job) -> Iterator[str]:
    review = job.review
    yield from ("", "## Sheets read", "")
    for sheet in review.sheets:
        title = f", {escape(sheet.title)}" if sheet.title else ""
        how = {"vector": "", "ocr": " (read from a scan)", "none": " (no text)"}[sheet.text]
        yield f"- page {sheet.page}: {escape(sheet_name(sheet.number, sheet.page))}{title}{how}"
    yield from ("", "## Not checked", "")
    yield from [f"- {escape(unread_line(one))}" for one in review.not_checked] or ["- nothing that was found to be unreadable"]
    yield from [f"- a rule could not run: {escape(name)}" for name in review.rules_not_run]
