"""The review as text on a terminal. What comes from a plan set is shown as it is: no markup in it is obeyed, no control character sent."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

from rich.console import Console, ConsoleOptions, Group, RenderableType, RenderResult
from rich.padding import Padding
from rich.segment import Segment
from rich.table import Table
from rich.text import Text

from notelint.model import CAUTION, STAGES, JointStateName, Question, Recheck, RecheckLine, Review
from notelint.writers.words import (
    STAGE_HEADS,
    STATUS_WORDS,
    building_lines,
    count_of,
    joint_name,
    joint_words,
    place_of,
    places_of,
    recheck_summary,
    unread_line,
    visible,
)

STATE_STYLES: dict[JointStateName, str] = {"stated": "", "partly stated": "yellow", "not stated": "bold red", "not needed": "dim"}
PIPED_WIDTH = 100  # columns where the output is no terminal and COLUMNS does not say
LEAST_WIDTH, MOST_WIDTH = 40, 1000  # of COLUMNS, to be followed


class Trimmed:
    """Something to print whose lines end with their last letter: tables and padding fill lines up with blanks."""

    def __init__(self, *parts: RenderableType) -> None:
        self.inner = Group(*parts)

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        for line in console.render_lines(self.inner, options, pad=False):
            while line and not line[-1].text.rstrip():
                line.pop()
            if line:
                yield from line[:-1]
                yield Segment(line[-1].text.rstrip(), line[-1].style)
            yield Segment.line()


def print_review(review: Review, written: Sequence[Path] = (), *, recheck: Recheck | None = None, console: Console | None = None) -> None:
    """Prints the review and the files written. Without colour where NO_COLOR is set or the output is no terminal."""
    console = console or make_console()
    console.print(render_review(review, written, recheck=recheck))


def make_console() -> Console:
    """A console on standard output that fails on no letter its encoding lacks."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")
    width = None if sys.stdout.isatty() else _piped_width(os.environ.get("COLUMNS", ""))
    return Console(highlight=False, markup=False, emoji=False, width=width)


def _piped_width(columns: str) -> int:
    """COLUMNS where it is a sensible number."""
    said = int(columns) if columns.isascii() and columns.isdigit() and len(columns) < 6 else PIPED_WIDTH
    return said if LEAST_WIDTH <= said <= MOST_WIDTH else PIPED_WIDTH


def render_review(review: Review, written: Sequence[Path] = (), *, recheck: Recheck | None = None) -> RenderableType:
    """The review: building, questions by stage, what was not checked, the caution, the files."""
    return Trimmed(*_parts(review, written, recheck))


def _parts(review: Review, written: Sequence[Path], recheck: Recheck | None) -> Iterator[RenderableType]:
    lines = {line.question.key: line for line in recheck.lines if line.status != "answered"} if recheck else {}
    yield Text.assemble((visible(review.file), "bold"), f": {count_of(len(review.questions), 'question')}")
    if recheck:
        yield Text(recheck_summary(recheck))
    yield from _head("The building as read")
    yield _building(review)
    if review.load_path.joints:
        yield from _head("The load path, roof to footing")
        yield from _load_path(review)
    for stage in STAGES:
        questions = [question for question in review.questions if question.ask_before == stage]
        if questions:
            yield from _head(STAGE_HEADS[stage])
            for question in questions:
                yield from [Text()] if question is not questions[0] else []
                yield _question(question, lines.get(question.key))
    if not review.questions:
        yield from _head("Nothing to ask was found in the words that were read")
    yield from _answered(recheck)
    yield from _not_checked(review)
    yield Text()
    yield Text(CAUTION, "italic")
    yield from (Text(f"written: {visible(str(path))}") for path in written)


def _head(words: str) -> Iterator[RenderableType]:
    yield Text()
    yield Text(words.upper(), "bold")


def _building(review: Review) -> Table:
    table = Table.grid(padding=(0, 2))
    table.add_column(no_wrap=True)
    table.add_column(overflow="fold")
    table.add_column(overflow="fold", style="dim")
    for name, value, source, _ in building_lines(review.building):
        table.add_row(Text(f"  {name}"), Text(value), Text(source))
    return table


def _load_path(review: Review) -> Iterator[RenderableType]:
    table = Table.grid(padding=(0, 2))
    table.add_column(no_wrap=True)
    table.add_column(no_wrap=True)
    table.add_column(overflow="fold", style="dim")
    for state in review.load_path.joints:
        name = joint_name(state, review.building.storeys)
        if state.joint == "floor-to-floor":
            name = name.replace(", storey", ",\n    storey")  # the long one: parted here, or it parts at "2 to / 1"
        table.add_row(Text(f"  {name}"), Text(state.state, STATE_STYLES[state.state]), Text(joint_words(state)))
    yield table
    if review.load_path.weakest:
        yield Padding(Text(f"weakest: {visible(review.load_path.weakest)}"), (0, 0, 0, 2), expand=False)


def _question(question: Question, line: RecheckLine | None) -> RenderableType:
    head = Text(visible(places_of(question, most=3)), "cyan")
    if line:
        head.append(f"  [{STATUS_WORDS[line.status]}]", "yellow")
    body = [Text(visible(question.question))]
    body += [Text(f"  {visible(step)}") for step in question.arithmetic]
    body.append(Text(f"Why: {visible(question.why)}", "dim"))
    if line and line.answer:
        body.append(Text(f"Answer so far: {visible(line.answer.answer)}"))
    body.append(Text(f"({visible(question.rule)})", "dim"))
    numbered = Table.grid()
    numbered.add_column(no_wrap=True, min_width=5)
    numbered.add_column(overflow="fold")
    numbered.add_row(Text(f"{question.number:>3}  ", "bold"), head)
    return Group(numbered, Padding(Group(*body), (0, 0, 0, 5), expand=False))


def _answered(recheck: Recheck | None) -> Iterator[RenderableType]:
    answered = [line for line in recheck.lines if line.status == "answered"] if recheck else []
    if not answered:
        return
    yield from _head("Answered since the earlier set")
    for line in answered:
        yield from [Text()] if line is not answered[0] else []
        yield Padding(Text(visible(line.question.question)), (0, 0, 0, 2), expand=False)
        for where in line.new_words:
            yield Padding(Text(f"now {visible(place_of(where))}: {visible(where.quote)}", "dim"), (0, 0, 0, 4), expand=False)


def _not_checked(review: Review) -> Iterator[RenderableType]:
    said = [unread_line(one) for one in review.not_checked] + [f"a rule could not run: {visible(name)}" for name in review.rules_not_run]
    if said:
        yield from _head("Not checked")
        yield from (Padding(Text(line), (0, 0, 0, 2), expand=False) for line in said)
