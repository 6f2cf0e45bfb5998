"""One plan set, read and written in a guarded process: what the commands for single sets call."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from notelint import guard
from notelint.errors import ReadingFailed
from notelint.folder.records import coded, decoded, shown
from notelint.guard import Limits, Tell
from notelint.model import Recheck, Record, Review
from notelint.review import Options, recheck, review
from notelint.writers import write
from notelint.writers.hardware import write_hardware
from notelint.writers.progress import progress_on


class _Answer(Record):
    """What comes back from the process. Paths are coded."""

    review: Review
    recheck: Recheck | None = None
    written: tuple[str, ...] = ()


@dataclass(frozen=True)
class Done:
    """A review and the files that were written."""

    review: Review
    written: tuple[Path, ...] = ()
    recheck: Recheck | None = None


Output = Callable[[Review], tuple[Path, ...]]


def review_alone(path: Path, options: Options, output: Output | None = None, *, limits: Limits | None = None, quiet: bool = False) -> Done:
    """Reviews a plan set and has `output` write its files, all under `limits`. Raises NotelintError."""

    def work(tell: Tell) -> bytes:
        done = review(path, options, progress=tell)
        return _packed(done, output(done) if output else ())

    return _guarded(work, path, limits, quiet)


def recheck_alone(
    old: Path,
    new: Path,
    options: Options,
    *,
    earlier: Options | None = None,
    answers: Path | None = None,
    formats: Sequence[str] = (),
    out: Path = Path(),
    limits: Limits | None = None,
    quiet: bool = False,
) -> Done:
    """Compares a revised plan set with the earlier one and writes its files, all under `limits`. Raises NotelintError."""

    def work(tell: Tell) -> bytes:
        del tell
        done, checked = recheck(old, new, options, earlier=earlier, answers=answers)
        return _packed(done, write(done, formats, out, plan_set=new, recheck=checked) if formats else (), checked)

    return _guarded(work, new, limits, quiet)


def files_of(formats: Sequence[str], out: Path, path: Path) -> Output:
    """Writes the formats of a review into `out`."""
    return lambda done: write(done, formats, out, plan_set=path) if formats else ()


def hardware_of(formats: Sequence[str], out: Path, path: Path) -> Output:
    """Writes the hardware list of a review into `out`."""
    return lambda done: write_hardware(done, formats, out, plan_set=path) if formats else ()


def _packed(done: Review, written: Sequence[Path], checked: Recheck | None = None) -> bytes:
    answer = _Answer(review=done, recheck=checked, written=tuple(coded(file) for file in written))
    return answer.model_dump_json().encode()


def _guarded(work: guard.Work, path: Path, limits: Limits | None, quiet: bool) -> Done:
    name = shown(path.name)
    under_way = guard.start(work, limits or Limits(), name)  # before the bar, which has a thread of its own
    with progress_on(quiet) as progress:
        data = under_way.result(progress)
    try:
        answer = _Answer.model_validate_json(data)
    except ValidationError as error:
        raise ReadingFailed(f"{name}: the reader gave no usable answer; export the PDF again", "rubbish") from error
    return Done(answer.review, tuple(decoded(code) for code in answer.written), answer.recheck)
