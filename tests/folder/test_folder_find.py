"""What is read of a folder, what is skipped and why, and where its outputs go."""

from __future__ import annotations

import os
import socket
import unicodedata
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from folder_runs import Run, make_sets
from hypothesis import given, settings
from hypothesis import strategies as st

from notelint.errors import BadOptions
from notelint.folder import keys
from notelint.folder.find import find
from notelint.folder.names import HIDDEN, SUMMARIES, out_folders
from notelint.folder.records import coded, decoded

Sets = Callable[[Sequence[str]], None]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with one set in it, and a file outside."""
    make_sets(tmp_path / "in", ["a.pdf"])
    (tmp_path / "outside.pdf").write_text("%PDF-1.7")
    return tmp_path / "in"


def reasons(folder: Path) -> dict[str, str]:
    """Why files are skipped, by name."""
    found = find(folder, folder.parent / "out")
    assert found.sets == (Path("a.pdf"),)
    return {str(place): reason for place, reason in found.skipped}


def test_sets_are_found_at_any_depth_whatever_the_case_of_their_ending(folder: Path) -> None:
    make_sets(folder, ["B.PDF", "x/y/z/c.Pdf"])
    assert find(folder, folder.parent / "out").sets == (Path("B.PDF"), Path("a.pdf"), Path("x/y/z/c.Pdf"))


def test_a_link_out_of_the_folder_is_skipped(folder: Path) -> None:
    (folder / "l.pdf").symlink_to(folder.parent / "outside.pdf")
    (folder / "deep").symlink_to(folder.parent)
    assert reasons(folder) == dict.fromkeys(["l.pdf", "deep"], "is a link that leads out of the folder")


def test_a_link_within_the_folder_is_skipped_since_its_target_is_read(folder: Path) -> None:
    (folder / "l.pdf").symlink_to("a.pdf")
    (folder / "ring").symlink_to(".")
    assert reasons(folder) == dict.fromkeys(["l.pdf", "ring"], "is a link to what lies in this folder already")


def test_a_link_to_nothing_or_to_itself_is_skipped(folder: Path) -> None:
    (folder / "l.pdf").symlink_to("gone.pdf")
    (folder / "self.pdf").symlink_to("self.pdf")
    assert reasons(folder) == dict.fromkeys(["l.pdf", "self.pdf"], "is a link to nothing")


def test_what_is_no_file_is_skipped_without_being_opened(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A pipe that nobody writes to would hold the run for ever."""
    os.mkfifo(folder / "p.pdf")
    monkeypatch.chdir(folder)
    with socket.socket(socket.AF_UNIX) as listening:
        listening.bind("s.pdf")
        assert reasons(folder) == {"p.pdf": "is a pipe, no file", "s.pdf": "is a socket, no file"}


def test_other_files_are_named_and_facts_files_are_not(folder: Path) -> None:
    (folder / "list.csv").write_text("mark\n")
    (folder / "download").write_bytes(b"%PDF-1.7\n")
    (folder / "a.facts.yaml").write_text("storeys: 2\n")
    assert reasons(folder) == {"list.csv": "is no PDF", "download": "holds a PDF but is not named so; name it .pdf to have it read"}


def test_a_set_that_turns_into_a_pipe_or_link_while_the_run_goes_on_is_not_opened(folder: Path) -> None:
    (folder / "a.pdf").unlink()
    os.mkfifo(folder / "a.pdf")
    with pytest.raises(Exception, match="no longer a file"):
        keys.digest_of(folder / "a.pdf")
    (folder / "a.pdf").unlink()
    (folder / "a.pdf").symlink_to(folder.parent / "outside.pdf")
    with pytest.raises(Exception, match="cannot be read"):
        keys.digest_of(folder / "a.pdf")


def test_a_set_that_may_not_be_read_is_named(run: Run, sets: Sets, monkeypatch: pytest.MonkeyPatch) -> None:
    """It could not be read, and the run says so in its exit code; the others are done."""
    sets(["a.pdf", "b.pdf"])
    opened = os.open

    def refusing(path: str | Path, *rest: int) -> int:
        if Path(path).name == "a.pdf":
            raise PermissionError(13, "Permission denied")
        return opened(path, *rest)

    monkeypatch.setattr(keys.os, "open", refusing)
    result = run()
    assert result.exit_code == 3
    assert run.outcome("a.pdf").reason == "a.pdf: cannot be read (Permission denied)"
    assert run.read() == ["b.pdf"]


def test_the_output_folder_and_earlier_ones_are_not_read(run: Run, sets: Sets) -> None:
    """Marked plan sets written by a run are no plan sets of the next."""
    sets(["a.pdf"])
    run.out = run.folder / "out"
    assert run().totals.sets == 1
    make_sets(run.out, ["a.pdf/a.marked.pdf"])
    assert run().totals.sets == 1
    run.out = run.folder / "second"
    result = run()
    assert result.totals.sets == 1
    assert result.found.skipped == ((Path("out"), "holds the outputs of an earlier run"),)


@pytest.mark.parametrize(("place", "said"), [("gone", "no such folder"), ("a.pdf", "no such folder"), (".", "cannot go into the folder")])
def test_a_wrong_folder_is_refused(place: str, said: str, folder: Path) -> None:
    with pytest.raises(BadOptions, match=said):
        find(folder / place, folder)


def test_a_folder_without_sets_is_refused(run: Run) -> None:
    run.folder.mkdir()
    with pytest.raises(BadOptions, match="holds no plan set"):
        run()


ODD = [
    b"two\nlines.pdf", b"..\\..\\up.pdf", b"..pdf", b"- -rf.pdf", b"con.pdf", b"\xff\xfe.pdf", b"<b>&amp;.pdf", b"=1+1.pdf",
    b"%2e%2e%2f.pdf",
    "\u202egnp.pdf".encode(), "e\u0301.pdf".encode(), "\u00e9.pdf".encode(), b"A.pdf", b"a.pdf", b"a.pdf ", b"\x1b[31m.pdf",
    b"x" * 251 + b".pdf", b".notelint/x.pdf", b"summary.html/x.pdf", b"a~0123456789abcdef0123.pdf",
]  # fmt: skip


def test_sets_of_odd_names_are_read_into_folders_of_their_own(run: Run) -> None:
    """Newlines, steps upward, letters that are none, names longer than most: each has its outputs, below the output folder."""
    run.folder.mkdir()
    for name in ODD:
        file = Path(os.fsdecode(bytes(run.folder) + b"/" + name))
        file.parent.mkdir(exist_ok=True)
        file.write_text("words")
    result = run()
    found = [name for name in ODD if name.endswith(b".pdf")]
    assert (result.totals.reasons, result.totals.read) == ([], len(found))
    said = list(run.out.rglob("said.txt"))
    assert len(said) == len(found)
    for file in said:
        assert file.resolve().is_relative_to(run.out.resolve())
        assert str(file.relative_to(run.out)).isprintable()
    page = (run.out / "summary.html").read_text()
    assert "<b>&amp;" not in page
    assert "\x1b" not in page
    assert "'=1+1.pdf" in (run.out / "summary.csv").read_text(encoding="utf-8-sig")


TURNING = "\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
NAMES = st.binary(min_size=1, max_size=30).filter(lambda n: b"/" not in n and b"\0" not in n and n not in (b".", b".."))
PLACES = st.lists(NAMES, min_size=1, max_size=4).map(lambda parts: Path(os.fsdecode(b"/".join(parts))))


@settings(deadline=None, max_examples=150)
@given(st.sets(PLACES, min_size=1, max_size=8))
def test_no_two_sets_share_a_folder_or_stand_in_one_anothers(places: set[Path]) -> None:
    """Whatever the names: the folders are apart, printable, below the output folder, and none is ours."""
    sets = sorted(place for place in places if not any(place in other.parents for other in places))
    folders = out_folders(sets)
    assert len({str(folder).casefold() for folder in folders}) == len(sets)
    for folder in folders:
        assert not any(folder in other.parents for other in folders)
        assert not folder.is_absolute()
        assert ".." not in folder.parts
        assert not any(unicodedata.category(char) in ("Cc", "Cs") or char in TURNING for char in str(folder))
        assert folder.parts[0].casefold() not in {HIDDEN, *SUMMARIES}


@given(NAMES)
def test_any_name_comes_through_its_code(name: bytes) -> None:
    path = Path(os.fsdecode(name))
    assert decoded(coded(path)) == path
    assert coded(path).isascii()


def test_a_plain_name_keeps_its_folder_whatever_comes_beside_it() -> None:
    """Answers in its log are found again."""
    assert out_folders([Path("x/a.pdf")]) == [Path("x/a.pdf")]
    assert out_folders([Path("x/a.pdf"), Path("x/b?.pdf")])[0] == Path("x/a.pdf")
