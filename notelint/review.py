"""One plan set, start to end; and a revised one against the earlier."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from notelint.language import load_hardware_list, read_language, with_hardware
from notelint.language.hardware import HardwareList
from notelint.layout import lay_out
from notelint.loadpath import Overrides, infer_building, trace
from notelint.loadpath.hardware import hardware_lines
from notelint.model import Layout, Recheck, Review, Sheet, SheetLine
from notelint.planset import read_plan_set
from notelint.questions import ask, compare
from notelint.rulebook import Case, load_rules, run_rules
from notelint.rulebook.case import mark_key

Progress = Callable[[int, int, str], None]


@dataclass(frozen=True)
class Options:
    """What the user may say about one review."""

    building: Overrides = field(default_factory=Overrides)
    rules: Path | None = None  # an office's own rules
    hardware: Path | None = None  # the user's hardware list, csv
    ocr: bool = True
    beside: bool = True  # a second process may take part; put off where other plan sets are read at the same time


def review(path: Path, options: Options | None = None, *, progress: Progress | None = None) -> Review:
    """Reads the plan set and asks. Raises NotelintError with one line for the user."""
    return review_with_layout(path, options, progress=progress)[0]


def review_with_layout(path: Path, options: Options | None = None, *, progress: Progress | None = None) -> tuple[Review, Layout]:
    """The review, and the passages it rests on."""
    options = options or Options()
    started = time.monotonic()
    rules = load_rules(options.rules)
    listed = load_hardware_list(options.hardware) if options.hardware else None
    plan_set = read_plan_set(path, progress=progress, ocr=options.ocr, beside=options.beside)
    sheets, unread, sha256 = tuple(_line(sheet) for sheet in plan_set.sheets), plan_set.unread, plan_set.sha256
    layout = lay_out(plan_set.sheets, beside=options.beside)
    del plan_set  # words and lines of dense sheets take most of the memory, and are not looked at again
    if listed:
        layout = with_hardware(layout, listed)
    reading = read_language(layout, hardware=listed, beside=options.beside)
    building = infer_building(layout, reading, options.building)
    load_path = trace(layout, reading, building)
    findings, failed = run_rules(rules, Case(layout, reading, building, load_path, sheets, _listed(listed)), beside=options.beside)
    done = Review(
        file=_name(path.name),
        path=_name(str(path)),
        sha256=sha256,
        sheets=sheets,
        building=building,
        requirements=reading.requirements,
        load_path=load_path,
        questions=ask(findings, rules),
        hardware=hardware_lines(layout, reading),
        not_checked=unread + layout.unread,
        rules_not_run=failed,
        seconds=round(time.monotonic() - started, 3),
    )
    return done, layout


def recheck(
    old: Path, new: Path, options: Options | None = None, *, earlier: Options | None = None, answers: Path | None = None
) -> tuple[Review, Recheck]:
    """The revised set's review, and what became of every question of the earlier set, which is read with `earlier` where that differs."""
    from notelint.writers.answers import read_log_answers

    typed = read_log_answers(answers) if answers else {}
    before, before_words = review_with_layout(old, earlier or options)
    after, after_words = review_with_layout(new, options)
    return after, compare(before, after, before_words, after_words, typed)


def _name(name: str) -> str:
    """A name as text that every output can hold; bytes of it that are no letters become "?"."""
    return os.fsencode(name).decode("utf-8", "replace").replace("\ufffd", "?")


def _listed(hardware: HardwareList | None) -> frozenset[str]:
    return frozenset(mark_key(line.mark) for line in hardware.lines) if hardware else frozenset()


def _line(sheet: Sheet) -> SheetLine:
    return SheetLine(
        page=sheet.page, number=sheet.number, title=sheet.title, text=sheet.text, kind=sheet.kind, width=sheet.width, height=sheet.height
    )
