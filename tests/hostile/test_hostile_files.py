"""Files that are no plain files, bear odd names, or change while they are read."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hostile_outcomes import outcome_of
from hostile_pdfs import document, saved, sheet

from notelint.errors import ReadingFailed
from notelint.folder import FolderOptions, Watcher, run_folder, task
from notelint.folder.records import Job, Setup, coded
from notelint.guard import Limits

NAMES = {
    "newlines": b"two\nlines\r.pdf", "steps upward": b"..\\..\\..\\up.pdf", "terminal codes": b"\x1b]0;owned\x07.pdf",
    "no letters": b"\xff\xfe\xfd.pdf", "markup": b"<img src=x onerror=alert(1)>.pdf", "formula": b"=cmd|'!A0.pdf", "option": b"--rules.pdf",
    "right to left": "\u202efdp.pdf".encode(), "as long as a name can be": b"n" * 251 + b".pdf", "device": b"con.pdf",
}  # fmt: skip
FORMATS = ("page", "letter", "log", "marked", "csv", "json", "md")


@pytest.mark.parametrize("name", NAMES)
def test_a_plan_set_of_any_name_is_read_and_written(name: str, tmp_path: Path) -> None:
    """Every output lies in the output folder under a name that every disk takes."""
    file = Path(os.fsdecode(os.fsencode(tmp_path) + b"/" + NAMES[name]))
    file.write_bytes(sheet())
    done, reason = outcome_of(file, FORMATS)
    assert done is not None, reason
    assert len(done.written) == len(FORMATS)
    for written in done.written:
        assert written.parent == tmp_path / "out"
        assert written.name.isprintable()
    page = done.written[0].read_text(encoding="utf-8")
    assert "<img src=x" not in page
    assert "\x1b" not in page


def test_a_pipe_is_refused_without_being_opened(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "p.pdf")
    done, reason = outcome_of(tmp_path / "p.pdf")
    assert done is None
    assert "is no file" in reason


def test_a_device_is_refused(tmp_path: Path) -> None:
    (tmp_path / "z.pdf").symlink_to("/dev/zero")
    done, reason = outcome_of(tmp_path / "z.pdf")
    assert done is None
    assert "is no file" in reason


def test_a_folder_named_like_a_plan_set_is_refused(tmp_path: Path) -> None:
    (tmp_path / "d.pdf").mkdir()
    done, reason = outcome_of(tmp_path / "d.pdf")
    assert done is None
    assert "is a folder" in reason


def test_a_file_that_is_gone_is_refused(tmp_path: Path) -> None:
    done, reason = outcome_of(tmp_path / "gone.pdf")
    assert done is None
    assert "no such file" in reason


def test_a_file_that_changed_since_it_was_taken_up_is_not_believed(tmp_path: Path) -> None:
    """What was read may be half of each; it is read once more, then named."""
    file = tmp_path / "a.pdf"
    file.write_bytes(sheet())
    job = Job(number=0, name="a.pdf", path=coded(file), out=coded(tmp_path / "out"), sha256="0" * 64)
    with pytest.raises(ReadingFailed, match="changed while it was read") as raised:
        task.do_set(job, Setup(), lambda *_: None)
    assert raised.value.kind == "changed"


def test_a_file_cut_short_while_it_is_read_costs_no_more_than_itself(tmp_path: Path) -> None:
    """A mapped file that shrinks kills its reader; here it dies alone, and the other set is read."""
    folder = tmp_path / "in"
    folder.mkdir()
    (folder / "a.pdf").write_bytes(saved(document(100)))
    (folder / "b.pdf").write_bytes(sheet())

    class Cutting(Watcher):
        """Cuts the file as soon as its reader has begun."""

        def moved(self, job: Job, done: int, of: int, what: str) -> None:
            assert done <= of, what
            if job.name == "a.pdf":
                os.truncate(folder / "a.pdf", 3_000)

    result = run_folder(folder, tmp_path / "out", FolderOptions(workers=1, limits=Limits(minutes=1.0)), watcher=Cutting())
    assert result.totals.sets == 2
    assert result.totals.read >= 1
    assert all(reason.startswith("a.pdf: ") for reason in result.totals.reasons)
