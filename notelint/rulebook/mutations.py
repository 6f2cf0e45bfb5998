"""One edit at a time on a complete plan set in words: each must raise exactly its question, a neutral rewording none.

    python -m notelint.rulebook.mutations [--verbose] [--rules DIR] [--at-least 0.95] [--at-most 0.05] [FILE...]

A file holds a clean set in the form of a rule's example, the edits and the rewordings:

    name: two storeys on a slab
    because: one line
    sheets: {S-1: [...]}
    edits:
      - {name: no length, rule: fastener-length, change: [{sheet: S-1, find: "16d x 3-1/2", with: "16d"}]}
    rewordings:
      - {name: ..., change: [{sheet: S-1, drop: "words of the note"}, {sheet: S-2, add: {callout: "..."}}]}

`find` must stand on that sheet once (`all: true`: at least once); `drop` takes away the one entry or schedule row that holds the words.
Without FILE the sets of `tests/mutation` are run. Exits 1 where a figure is missed, 2 where a file is wrong.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from pydantic import Field, model_validator

from notelint.errors import BadRules, NotelintError
from notelint.model import Finding
from notelint.rulebook.examples import case_of
from notelint.rulebook.loader import load_rules
from notelint.rulebook.run import run_rules
from notelint.rulebook.schema import Entry, Example, ExampleBuilding, Line, Name, Rule, Strict
from notelint.rulebook.yamlfile import load_record

Sheets = dict[str, list[Entry | str]]


class Change(Strict):
    """One replacement of words, one entry taken away, or one entry put at the end of a sheet."""

    sheet: Line
    find: Line | None = None
    with_: str | None = Field(default=None, alias="with")
    all: bool = False
    drop: Line | None = None
    add: Entry | str | None = None

    @model_validator(mode="after")
    def _one_kind(self) -> Change:
        if [self.find is not None, self.drop is not None, self.add is not None].count(True) != 1:
            raise ValueError("a change holds one of find (and with), drop, add")
        if (self.find is None) != (self.with_ is None):
            raise ValueError("find and with belong together")
        return self


class Reworded(Strict):
    """A change of words that changes nothing that is asked for."""

    name: Line
    change: list[Change] = Field(min_length=1)


class Edit(Reworded):
    """A change that takes something away or sets it wrong; `rule` is the question it must raise."""

    rule: Name


class CleanSet(Strict):
    """A complete plan set in words, its edits and rewordings."""

    name: Line
    because: Line
    building: ExampleBuilding = ExampleBuilding()
    sheets: Sheets
    edits: list[Edit] = Field(default_factory=list)
    rewordings: list[Reworded] = Field(default_factory=list)


class Outcome(NamedTuple):
    """What one variant of a set came to. `expected` is None for the clean set itself and for rewordings."""

    file: str
    variant: str
    expected: str | None
    asked: tuple[tuple[str, str], ...]  # (rule, what about) for each question
    failed: tuple[str, ...] = ()

    @property
    def caught(self) -> bool:
        """Whether the expected question was raised, and once."""
        return [rule for rule, _ in self.asked].count(self.expected or "") == 1

    @property
    def false(self) -> tuple[tuple[str, str], ...]:
        """Questions that were not to be raised, a second one of the expected rule included."""
        first = next((a for a in self.asked if a[0] == self.expected), None)
        return tuple(a for a in self.asked if a is not first)


class Tally(NamedTuple):
    """Counts over all variants. `false` counts variants with any question that was not to be raised."""

    edits: int
    caught: int
    variants: int
    false: int

    @property
    def caught_share(self) -> float:
        """Edits caught, as a share of all edits."""
        return self.caught / self.edits if self.edits else 1.0

    @property
    def false_share(self) -> float:
        """Variants (clean sets, edits, rewordings) with a question too many, as a share of all variants."""
        return self.false / self.variants if self.variants else 0.0


def default_files() -> tuple[Path, ...]:
    """The sets that come with the project's source: none where notelint is installed without it."""
    return tuple(sorted((Path(__file__).resolve().parents[2] / "tests" / "mutation").glob("*.yaml")))


def load_set(file: Path, rules: Sequence[Rule]) -> CleanSet:
    """A set from its file, every change tried on it. Raises BadRules with file and reason."""
    clean = load_record(CleanSet, file)
    known = {rule.name for rule in rules}
    for variant in (*clean.edits, *clean.rewordings):
        if isinstance(variant, Edit) and variant.rule not in known:
            raise BadRules(f"{file}: {variant.name!r} expects {variant.rule!r}, and no rule has that name")
        try:
            edited(clean.sheets, variant.change)
        except ValueError as error:
            raise BadRules(f"{file}: {variant.name!r}: {error}") from error
    names = Counter(v.name for v in (*clean.edits, *clean.rewordings))
    if twice := [name for name, count in names.items() if count > 1]:
        raise BadRules(f"{file}: {twice[0]!r} names two variants")
    return clean


# ---------------------------------------------------------------- changing a set


def edited(sheets: Sheets, changes: Sequence[Change]) -> Sheets:
    """The sheets with the changes made, in order. Raises ValueError where words are not found, or found too often."""
    for change in changes:
        if change.sheet not in sheets and change.add is None:
            raise ValueError(f"no sheet {change.sheet}")
        entries = sheets.get(change.sheet, [])
        if change.add is not None:
            entries = [*entries, change.add]
        elif change.drop is not None:
            entries = _dropped(entries, change.drop)
        else:
            entries = _replaced(entries, change.find or "", change.with_ or "", change.all)
        sheets = {**sheets, change.sheet: entries}
    return sheets


def _each_text(entry: Entry | str, do: Callable[[str], str]) -> Entry | str:
    """The entry with `do` applied to every text in it."""
    if isinstance(entry, str):
        return do(" ".join(entry.split()))
    new: dict[str, object] = {}
    for name in ("note", "heading", "callout", "title", "see", "schedule"):
        if (text := getattr(entry, name)) is not None:
            new[name] = do(" ".join(text.split()))
    for name in ("rows", "index"):
        if (rows := getattr(entry, name)) is not None:
            new[name] = [[do(" ".join(cell.split())) for cell in row] for row in rows]
    return entry.model_copy(update=new)


def _replaced(entries: list[Entry | str], find: str, to: str, every: bool) -> list[Entry | str]:
    find = " ".join(find.split())
    count = 0

    def do(text: str) -> str:
        nonlocal count
        count += text.count(find)
        return text.replace(find, to)

    new = [_each_text(entry, do) for entry in entries]
    if count == 0:
        raise ValueError(f"{find!r} does not stand on the sheet")
    if count > 1 and not every:
        raise ValueError(f"{find!r} stands {count} times on the sheet; find more words, or say all: true")
    return new


def _dropped(entries: list[Entry | str], words: str) -> list[Entry | str]:
    words = " ".join(words.split())
    new: list[Entry | str] = []
    gone = 0
    for entry in entries:
        rows = None if isinstance(entry, str) else entry.rows or entry.index
        if isinstance(entry, Entry) and rows and not (entry.schedule and words in entry.schedule):
            kept = [row for row in rows if words not in " | ".join(row)]
            gone += len(rows) - len(kept)
            new.append(entry.model_copy(update={"rows" if entry.rows else "index": kept}))
        elif words in " ".join(_texts(entry)):
            gone += 1
        else:
            new.append(entry)
    if gone != 1:
        raise ValueError(f"{words!r} stands in {gone} entries; exactly one is taken away")
    return new


def _texts(entry: Entry | str) -> list[str]:
    found: list[str] = []

    def keep(text: str) -> str:
        found.append(text)
        return text

    _each_text(entry, keep)
    return found


# ---------------------------------------------------------------- running


def run_set(file: str, clean: CleanSet, rules: Sequence[Rule]) -> Iterator[Outcome]:
    """The clean set, then each edit and rewording of it, through the whole pipeline and all rules."""
    yield _run(file, "(as it stands)", None, clean, clean.sheets, rules)
    for variant in (*clean.edits, *clean.rewordings):
        expected = variant.rule if isinstance(variant, Edit) else None
        yield _run(file, variant.name, expected, clean, edited(clean.sheets, variant.change), rules)


def _run(file: str, variant: str, expected: str | None, clean: CleanSet, sheets: Sheets, rules: Sequence[Rule]) -> Outcome:
    example = Example(name=clean.name, because=clean.because, building=clean.building, sheets=sheets)
    findings, failed = run_rules(rules, case_of(example))
    merged = {(f.rule, f.subject): f for f in findings}  # as in the list of questions: one rule about one subject is one question
    return Outcome(file, variant, expected, tuple((rule, _about(f)) for (rule, _), f in merged.items()), failed)


def _about(finding: Finding) -> str:
    quotes = "; ".join(w.quote for w in finding.where[:2])
    return f"{finding.subject}: {quotes} {finding.values.get('lacks', '')}".strip()


def tally(outcomes: Sequence[Outcome]) -> Tally:
    """Counts over the outcomes."""
    edits = [o for o in outcomes if o.expected]
    return Tally(len(edits), sum(o.caught for o in edits), len(outcomes), sum(bool(o.false or o.failed) for o in outcomes))


def report(outcomes: Sequence[Outcome], rules: Sequence[Rule], verbose: bool = False) -> Iterator[str]:
    """Caught, missed and false per rule, what went wrong, and the totals, line by line."""
    yield f"{'rule':26} edits caught missed false"
    for rule in rules:
        mine = [o for o in outcomes if o.expected == rule.name]
        caught = sum(o.caught for o in mine)
        false = sum(name == rule.name for o in outcomes for name, _ in o.false)
        if mine or false or verbose:
            yield f"{rule.name:26} {len(mine):5} {caught:6} {len(mine) - caught:6} {false:5}"
    yield from (f"missed {o.expected} in {o.file}, {o.variant!r}" for o in outcomes if o.expected and not o.caught)
    yield from _false_lines(outcomes, verbose)
    yield from (f"failed in {o.file}, {o.variant!r}: {line}" for o in outcomes for line in o.failed)
    done = tally(outcomes)
    yield (
        f"{done.caught} of {done.edits} edits caught ({done.caught_share:.3f}); "
        f"{done.false} of {done.variants} variants with a question too many ({done.false_share:.3f})"
    )


def _false_lines(outcomes: Sequence[Outcome], verbose: bool) -> Iterator[str]:
    """Questions too many; what one file asks in many variants is told once."""
    grouped: dict[tuple[str, str, str], list[str]] = {}
    for o in outcomes:
        for name, about in o.false:
            grouped.setdefault((o.file, name, about.split(":")[0]), []).append(f"{o.variant!r}: {about if verbose else about[:110]}")
    for (file, name, _), where in grouped.items():
        more = f" (and in {len(where) - 1} more)" if len(where) > 1 else ""
        yield f"false  {name} in {file}, {where[0]}{more}"


def main(arguments: Sequence[str] | None = None) -> int:
    """Read the arguments, run, print."""
    parser = argparse.ArgumentParser(prog="python -m notelint.rulebook.mutations", description="clean sets, one edit at a time")
    parser.add_argument("files", nargs="*", type=Path, metavar="FILE")
    parser.add_argument("--rules", type=Path, help="folder of an office's own rules")
    parser.add_argument("--at-least", type=float, default=0.95, help="share of edits that must be caught")
    parser.add_argument("--at-most", type=float, default=0.05, help="share of variants that may hold a question too many")
    parser.add_argument("--verbose", action="store_true", help="every rule, and what each false question is about")
    options = parser.parse_args(arguments)
    try:
        rules = load_rules(options.rules)
        files = options.files or default_files()
        if not files:
            raise BadRules("no sets to run; name their files")
        outcomes = [o for file in files for o in run_set(file.stem, load_set(file, rules), rules)]
    except NotelintError as error:
        sys.stderr.write(f"{error}\n")
        return error.exit_code
    for line in report(outcomes, rules, options.verbose):
        sys.stdout.write(line + "\n")
    done = tally(outcomes)
    return 0 if done.caught_share >= options.at_least and done.false_share <= options.at_most else 1


if __name__ == "__main__":
    sys.exit(main())
