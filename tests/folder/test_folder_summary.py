"""The summary of a run: what stands in it, and that nothing in it can do harm."""

from __future__ import annotations

import csv
import html
import re
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from urllib.parse import unquote

import openpyxl
import pytest

from notelint.folder.find import Skipped
from notelint.folder.names import out_folders
from notelint.folder.records import Gap, Outcome
from notelint.folder.summary import write_summary
from notelint.folder.totals import Totals
from notelint.model import CAUTION

TIES = Gap(rule="post-ties", family="load-path", stage="framing", questions=2)
NAILS = Gap(rule="nail-type", family="fasteners", stage="bid", questions=1)
UNREAD = tuple(f"page {number}: no readable text" for number in range(5))
SETS = {
    Path("a.pdf"): Outcome(state="read", sheets=4, gaps=(TIES, NAILS), files=("a.page.html", "a.log.xlsx"), seconds=1.5),
    Path("b c/=d #1.pdf"): Outcome(state="read", sheets=9, gaps=(TIES,), unread=5, not_checked=UNREAD, files=("x.log.xlsx",)),
    Path("clean.pdf"): Outcome(state="read", sheets=1),
    Path("locked.pdf"): Outcome(state="refused", reason="locked.pdf: asks for a password; save a copy without one."),
    Path("odd.pdf"): Outcome(state="read", sheets=1, rules_not_run=("nail-type",)),
    Path("<script>alert(1)</script>.pdf"): Outcome(state="failed", kind="died", reason="+cmd|' /C calc'!A0: \x1b[2J\u202egnorw"),
}
SKIPPED = (Skipped(Path("=list.csv"), "is no PDF"), Skipped(Path("two\nlines.txt"), "is no PDF"))
Outcomes = Callable[[], Iterator[tuple[Path, Path, Outcome]]]


@pytest.fixture
def written(tmp_path: Path) -> tuple[Path, Path, Path]:
    """Page, table and workbook."""
    folders = out_folders(list(SETS))

    def outcomes() -> Iterator[tuple[Path, Path, Outcome]]:
        return zip(SETS, folders, SETS.values(), strict=True)

    page, table, book = write_summary(tmp_path, tmp_path / "in", outcomes, Totals(outcomes()), SKIPPED)
    return page, table, book


def rows(table: Path) -> dict[str, dict[str, str]]:
    """Rows of the table by plan set."""
    with table.open(encoding="utf-8-sig", newline="") as source:
        return {row["plan set"]: row for row in csv.DictReader(source)}


def test_the_table_counts_by_stage_and_family(written: Sequence[Path]) -> None:
    row = rows(written[1])["a.pdf"]
    assert {key: row[key] for key in ("questions", "before bid", "before pour", "before framing", "load-path", "fasteners")} == {
        "questions": "3", "before bid": "1", "before pour": "0", "before framing": "2", "load-path": "2", "fasteners": "1",
    }  # fmt: skip
    assert (row["sheets"], row["not checked"], row["seconds"], row["state"]) == ("4", "0", "1.5", "read")


def test_sheets_not_checked_and_rules_not_run_are_named(written: Sequence[Path]) -> None:
    """The first of them, and how many more."""
    table = rows(written[1])
    assert table["b c/=d #1.pdf"]["remarks"] == "; ".join(UNREAD[:3]) + " and 2 more"
    assert table["odd.pdf"]["remarks"] == "rules that could not run: nail-type"


def test_a_set_that_was_not_read_says_why(written: Sequence[Path]) -> None:
    row = rows(written[1])["locked.pdf"]
    assert (row["state"], row["remarks"]) == ("not read", "locked.pdf: asks for a password; save a copy without one.")
    assert "asks for a password" in written[0].read_text(encoding="utf-8")


def test_skipped_files_are_named(written: Sequence[Path]) -> None:
    row = rows(written[1])["two lines.txt"]
    assert (row["state"], row["remarks"]) == ("skipped", "is no PDF")
    assert "two lines.txt: is no PDF" in written[0].read_text(encoding="utf-8")


def test_the_most_frequent_gaps_come_first(written: Sequence[Path]) -> None:
    """In how many sets, and how many questions."""
    sheet = openpyxl.load_workbook(written[2])["Most frequent gaps"]
    assert [tuple(row) for row in sheet.values] == [
        ("rule", "family", "sets", "questions"), ("post-ties", "load-path", 2, 4), ("nail-type", "fasteners", 1, 1),
    ]  # fmt: skip
    page = written[0].read_text(encoding="utf-8")
    assert page.index("post-ties") < page.index("nail-type")


def test_every_summary_says_what_it_is_not(written: Sequence[Path]) -> None:
    book = openpyxl.load_workbook(written[2])
    said = [str(row[0]) for sheet in book for row in sheet.values]
    assert CAUTION in said
    assert all(CAUTION in html.unescape(file.read_text(encoding="utf-8-sig")) for file in written[:2])


def test_links_lead_to_the_sets_outputs(written: Sequence[Path]) -> None:
    links = [html.unescape(link) for link in re.findall(r'<a href="(.*?)"', written[0].read_text(encoding="utf-8"))]
    assert [unquote(link) for link in links] == ["./a.pdf/a.page.html", "./b c/=d #1.pdf"]
    assert "#" not in "".join(links)


def test_names_and_reasons_are_text_and_nothing_else(written: Sequence[Path]) -> None:
    """No markup, no formula, no control or direction character."""
    page, table = (file.read_text(encoding="utf-8-sig") for file in written[:2])
    assert "<script>" not in page
    assert not set("\x1b\u202e") & set(page + table)
    assert {"'=list.csv", "'+cmd|' /C calc'!A0: [2Jgnorw"} <= {cell for row in rows(written[1]).values() for cell in row.values()} | set(
        rows(written[1])
    )
    sheet = openpyxl.load_workbook(written[2])["Plan sets"]
    assert {cell.data_type for row in sheet.iter_rows() for cell in row if isinstance(cell.value, str)} == {"s"}
