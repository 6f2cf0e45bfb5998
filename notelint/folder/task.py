"""What a worker does with one set: read it, write what was asked for, give a small account of it."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from notelint.errors import BadOptions, CannotWrite, ReadingFailed
from notelint.folder.records import Gap, Job, Outcome, Setup, decoded, shown
from notelint.guard import Tell
from notelint.language import load_hardware_list, read_language
from notelint.loadpath import Overrides
from notelint.loadpath.facts_file import facts_beside, load_facts
from notelint.model import Layout, Passage, Question
from notelint.review import Options, review
from notelint.rulebook import load_rules
from notelint.writers import load, write
from notelint.writers.files import drop_drafts
from notelint.writers.words import unread_line

MOST_LINES = 40
"""Sheets not checked that the account of a set names; the rest is counted."""
_SAMPLE = 'Anchor bolts 1/2" x 10" at 48" o.c.; strap with (10) 10d nails each end, typ. u.n.o.'


def warm_up(setup: Setup) -> None:
    """Loads once what every set needs; raises NotelintError where rules or hardware list are wrong."""
    load(setup.formats)
    load_rules(decoded(setup.rules) if setup.rules else None)
    if setup.hardware:
        load_hardware_list(decoded(setup.hardware))
    note = Passage(id="p1", page=1, sheet=None, kind="note", label="note 1", text=_SAMPLE)
    read_language(Layout(passages=(note,)))


def do_set(job: Job, setup: Setup, tell: Tell) -> bytes:
    """Reads the set and writes its files. The account comes as JSON; raises NotelintError where it cannot be had."""
    started = time.monotonic()
    path, out = decoded(job.path), decoded(job.out)
    facts = facts_beside(path)
    if facts and facts.is_symlink():
        raise BadOptions(f"{shown(facts.name)}: is a link, which is not followed; put the file itself beside the plan set")
    options = Options(
        building=load_facts(facts) if facts else Overrides(),
        rules=decoded(setup.rules) if setup.rules else None,
        hardware=decoded(setup.hardware) if setup.hardware else None,
        ocr=setup.ocr,
        beside=False,
    )
    done = review(path, options, progress=tell)
    if done.sha256 != job.sha256:
        raise ReadingFailed(f"{shown(path.name)}: changed while it was read; start again when it is at rest", "changed")
    tell(len(done.sheets), len(done.sheets), "writing")
    drop_drafts(out)  # of a worker that was killed; the set's folder is this worker's alone
    written = write(done, setup.formats, out, plan_set=path) if setup.formats else ()
    _within(written, setup.limits.file_mb)
    outcome = Outcome(
        state="read",
        sheets=len(done.sheets),
        gaps=gaps_of(done.questions),
        unread=len(done.not_checked),
        not_checked=tuple(unread_line(one)[:300] for one in done.not_checked[:MOST_LINES]),
        rules_not_run=done.rules_not_run,
        files=tuple(file.name for file in written),
        seconds=round(time.monotonic() - started, 3),
    )
    return outcome.model_dump_json().encode()


def gaps_of(questions: Sequence[Question]) -> tuple[Gap, ...]:
    """Questions counted by rule."""
    counted = Counter((q.rule, q.family, q.ask_before) for q in questions)
    return tuple(Gap(rule=rule, family=family, stage=stage, questions=count) for (rule, family, stage), count in counted.items())


def _within(written: Sequence[Path], most_mb: int) -> None:
    """All files of a set together stay within what one may have; what is over goes away again."""
    if sum(file.stat().st_size for file in written) > most_mb * 1_000_000:
        for file in written:
            file.unlink(missing_ok=True)
        raise CannotWrite(f"the outputs of this set are larger than {most_mb} MB together; ask for fewer with --write")
