"""Hostile words on a sheet: markup, formulas, control and direction characters, notes without end."""

from __future__ import annotations

import csv
import html
import random
from pathlib import Path

import openpyxl
import pytest
from hostile_outcomes import outcome_of
from hostile_pdfs import flate, saved, sheet, writing
from pikepdf import Array, Dictionary, Name, Page, Pdf

from notelint.model import Box, BuildingFact, HardwareLine, Question, Review, Unread, Where
from notelint.writers import write

FORMATS = ("page", "letter", "log", "marked", "csv", "json", "md")
TRADE = (
    'HOLD-DOWN HD-3 (10) 10d @ 12" O.C. EACH STUD STRAP 3/4" SEE S-1 TYP. U.N.O. NAILS PLATE BOLT 1-1/2 X RAFTER SILL'.split()  # noqa: SIM905
)

HARM = {
    "markup": "<script>alert(1)</script><img src=x onerror=alert(2)>",
    "markup-broken-out": '"><svg onload=alert(3)>--></style>',
    "template": "{{ 7*7 }} {% include '/etc/passwd' %} ${7*7}",
    "formula": "=HYPERLINK('http://x','y')",
    "formula-by-plus": "+cmd|' /C calc'!A0",
    "terminal": "\x1b[2J\x1b]0;owned\x07 \x08\x08",
    "direction": "\u202eREPPU\u202c \u2066x\u2069",
    "console-markup": "[bold red]x[/] [link=file:///etc/passwd]y[/link]",
    "no-characters": "\ud800 \ufffe \x00 \ufeff",
    "table-in-text": "| --- | `code` # head |a|b|",
    "stacked-accents": "a" + "\u0301" * 3000,
}


def with_note(text: str) -> bytes:
    """A sheet that carries the text as an annotation, as any Unicode."""
    pdf = Pdf.new()
    note = Dictionary(Type=Name.Annot, Subtype=Name.FreeText, Rect=Array([40, 300, 900, 700]))
    note.Contents = text.encode("utf-16", "surrogatepass")
    page = Dictionary(Type=Name.Page, MediaBox=[0, 0, 1224, 792], Annots=Array([note]))
    pdf.pages.append(Page(page))
    return saved(pdf)


def harmed(review: Review, words: str) -> Review:
    """The review with these words wherever words of a plan set can stand."""
    where = Where(sheet=words, page=1, label=words, quote=words, box=Box(40.0, 90.0, 400.0, 200.0))
    asked = Question(
        number=1, key="k", rule="post-ties", family="load-path", ask_before="framing", question=words, why=words, where=(where, where)
    )
    line = HardwareLine(mark=words, item=words, fasteners=words, sheets=(words,), lacks=(words,))
    fact = BuildingFact(name="roof", value=words, from_words=words, where=where)
    building = review.building.model_copy(update={"roof": words, "code": words, "facts": (fact,)})
    sheets = tuple(sheet.model_copy(update={"number": words, "title": words}) for sheet in review.sheets)
    unread = (Unread(page=1, sheet=words, reason=words),)
    return review.model_copy(
        update={"questions": (asked,), "hardware": (line,), "building": building, "sheets": sheets, "not_checked": unread}
    )


@pytest.mark.parametrize("name", HARM)
def test_harmful_words_are_shown_and_nothing_else(name: str, tmp_path: Path) -> None:
    """In every output they are text: no markup, no formula, no character that turns or steers."""
    file = tmp_path / "a.pdf"
    file.write_bytes(with_note(f"1. HOLD-DOWNS {HARM[name]} AS REQUIRED AT SHEAR WALLS."))
    done, reason = outcome_of(file, FORMATS)
    assert done is not None, reason
    written = write(
        harmed(done.review, HARM[name].encode("utf-16", "surrogatepass").decode("utf-16", "replace")), FORMATS, tmp_path, plan_set=file
    )
    files = {one.name.split(".", 1)[1]: one for one in written}
    page = files["page.html"].read_text(encoding="utf-8")
    assert not [tag for tag in ("<script>", "<img src=x", "<svg onload") if tag in page]
    assert name != "template" or "{{ 7*7 }}" in html.unescape(page)
    table = files["questions.csv"].read_text(encoding="utf-8-sig")
    assert not set("\x1b\x07\x08\u202e\u202c\u2066\u2069\x00") & set(page + table)
    with files["questions.csv"].open(encoding="utf-8-sig", newline="") as source:
        assert not [cell for row in csv.reader(source) for cell in row if cell[:1] in ("=", "+", "-", "@")]
    book = openpyxl.load_workbook(files["log.xlsx"])
    assert not [cell for rows in book for row in rows.iter_rows() for cell in row if cell.data_type == "f"]


def lines(words: list[str], per: int = 14) -> list[str]:
    """Words in lines."""
    return [" ".join(words[at : at + per]) for at in range(0, len(words), per)]


def columns(text: list[str], size: float = 2.0) -> bytes:
    """A large sheet full of columns of small type."""
    parts = [writing(text[at : at + 240], size).replace(b"40 740 Td", b"%d 740 Td" % (20 + at // 4)) for at in range(0, len(text), 240)]
    return sheet(flate(b"".join(parts)), page=b"/MediaBox [0 0 3400 800]", entries=b"/Filter /FlateDecode")


def mixed(count: int, seed: int = 5) -> list[str]:
    """Trade words in no sense."""
    dice = random.Random(seed)
    return [dice.choice(TRADE) for _ in range(count)]


MANY = {
    "words-of-the-trade-in-no-order": lambda: columns(lines(mixed(4_000))),
    "one-note-of-two-megabytes": lambda: columns([" ".join(mixed(4_000)) * 100]),
    "annotation-of-two-megabytes": lambda: with_note(" ".join(mixed(400_000))),
    "one-mark-four-thousand-times": lambda: columns(lines(["HD-3"] * 4_000)),
    "four-thousand-marks": lambda: columns(lines([f"ST-{number}" for number in range(4_000)])),
    "four-thousand-references": lambda: columns(lines(["SEE", "4/S-5"] * 2_000)),
    "nails-at-nails-at": lambda: columns(lines(["12d", "@"] * 2_000)),
    "strap-and-strap-and": lambda: columns(lines(["STRAP", "AND"] * 2_000)),
    "nothing-but-brackets": lambda: columns(lines(["(", "("] * 2_000)),
    "nothing-but-blanks": lambda: columns(lines(["______"] * 4_000)),
    "digits-without-end": lambda: columns(["1" * 20_000, "1-" * 10_000, "3/" * 10_000]),
    "quotes-without-end": lambda: columns(["'\"" * 10_000, ", " * 10_000]),
    "numbered-notes": lambda: columns([f"{number}. STRAP {number} AT EACH STUD" for number in range(1, 1_000)]),
    "headings": lambda: columns(["GENERAL NOTES"] * 1_000),
    "labels-in-one-place": lambda: sheet(b"".join(b"BT /F1 9 Tf 99 99 Td (HD-%d STRAP) Tj ET " % n for n in range(3_000))),
}


@pytest.mark.parametrize("name", MANY)
def test_words_without_end_are_read_within_bounds(name: str, tmp_path: Path) -> None:
    """A sheet that holds more words than any true one gives a review, or is named as not read in whole."""
    file = tmp_path / "a.pdf"
    file.write_bytes(MANY[name]())
    done, reason = outcome_of(file)
    assert done is not None, reason
    assert len(done.review.sheets) == 1
