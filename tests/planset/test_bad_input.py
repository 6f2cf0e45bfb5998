"""Files and pages that cannot be read cost one clear line, and no other sheet."""

from __future__ import annotations

import zlib
from collections.abc import Callable
from pathlib import Path

import pikepdf
import pytest
from reportlab.pdfgen import canvas
from sheetkit import draw, lines, read

from notelint.errors import UnreadablePlanSet
from notelint.planset import crop, limits, read_plan_set

NOTE = lines("ALL STUDS ARE TIED TO THE SILL PLATE", "STRAPS AS SCHEDULED")


def _truncated(path: Path) -> None:
    whole = draw(path, NOTE, NOTE).read_bytes()
    path.write_bytes(whole[: len(whole) // 3])


def _locked(path: Path) -> None:
    plain = draw(path.with_suffix(".plain"), NOTE)
    with pikepdf.open(plain) as pdf:
        pdf.save(path, encryption=pikepdf.Encryption(owner="a", user="b"))


def _pageless(path: Path) -> None:
    with pikepdf.new() as pdf:
        pdf.save(path)


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (Path.exists, "no such file"),
        (Path.mkdir, "is a folder"),
        (lambda path: path.write_bytes(b""), "is empty"),
        (lambda path: path.write_bytes(b"PK\x03\x04 a drawing"), "is not a PDF"),
        (_truncated, "cut off"),
        (lambda path: path.write_bytes(b"%PDF-1.7\n%%EOF"), "damaged"),
        (_locked, "password"),
        (_pageless, "no pages"),
    ],
    ids=["missing", "folder", "empty", "no pdf", "truncated", "nothing inside", "password", "no pages"],
)
def test_file_that_cannot_be_opened_is_named_in_one_line(tmp_path: Path, make: Callable[[Path], object], says: str) -> None:
    path = tmp_path / "set of plans.pdf"
    make(path)
    with pytest.raises(UnreadablePlanSet, match=says) as caught:
        read_plan_set(path)
    message = str(caught.value)
    assert "set of plans.pdf" in message and "\n" not in message and len(message) < 300


def _change_second(path: Path, change: Callable[[pikepdf.Pdf, pikepdf.Object], None]) -> Path:
    draw(path, NOTE, NOTE, NOTE)
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        change(pdf, pdf.pages[1].obj)
        pdf.save(path)
    return path


def _stream(pdf: pikepdf.Pdf, raw: bytes, **entries: object) -> pikepdf.Object:
    return pdf.make_indirect(pikepdf.Stream(pdf, raw, **entries))


def _garbage(pdf: pikepdf.Pdf, page: pikepdf.Object) -> None:
    packed = zlib.compress(page.Contents.read_bytes())
    page.Contents = _stream(pdf, packed[:20] + b"\xff" * 40 + packed[60:], Filter=pikepdf.Name.FlateDecode)


def _cut_off(pdf: pikepdf.Pdf, page: pikepdf.Object) -> None:
    packed = zlib.compress(b"q BT /F1 10 Tf 72 500 Td (A NOTE) Tj ET Q " + bytes(i % 251 for i in range(4000)), 0)
    page.Contents = _stream(pdf, packed[:40], Filter=pikepdf.Name.FlateDecode)


def _bomb(pdf: pikepdf.Pdf, page: pikepdf.Object) -> None:
    packed = zlib.compress(b"0 0 m 1 1 l S\n" * (limits.MAX_STREAM_BYTES // 14 + 10), 9)
    page.Contents = _stream(pdf, packed, Filter=pikepdf.Name.FlateDecode)


def _forms_of_forms(pdf: pikepdf.Pdf, page: pikepdf.Object) -> None:
    """Each form draws the next ten times: ten thousand million drawings in all."""
    form = _stream(pdf, b"0 0 m 9 9 l S", Type=pikepdf.Name.XObject, Subtype=pikepdf.Name.Form, BBox=[0, 0, 9, 9])
    for _ in range(10):
        inner = pikepdf.Dictionary(XObject=pikepdf.Dictionary(F=form))
        form = _stream(pdf, b"/F Do " * 10, Type=pikepdf.Name.XObject, Subtype=pikepdf.Name.Form, BBox=[0, 0, 9, 9], Resources=inner)
    page.Resources.XObject = pikepdf.Dictionary(F=form)
    page.Contents = _stream(pdf, b"/F Do")


def _absurd_size(_: pikepdf.Pdf, page: pikepdf.Object) -> None:
    page.MediaBox = pikepdf.Array([0, 0, 5_000_000, 5_000_000])


def _no_size(_: pikepdf.Pdf, page: pikepdf.Object) -> None:
    page.MediaBox = pikepdf.Array([0, 0, 5, 5])


def _no_contents(pdf: pikepdf.Pdf, page: pikepdf.Object) -> None:
    page.Contents = pdf.make_indirect(pikepdf.Dictionary(Not="a stream"))


def _huge_picture(pdf: pikepdf.Pdf, page: pikepdf.Object) -> None:
    picture = _stream(
        pdf, zlib.compress(b"\x00" * 1000), Type=pikepdf.Name.XObject, Subtype=pikepdf.Name.Image, Width=30_000, Height=30_000,
        ColorSpace=pikepdf.Name.DeviceGray, BitsPerComponent=8, Filter=pikepdf.Name.FlateDecode,
    )  # fmt: skip
    page.Resources.XObject = pikepdf.Dictionary(I=picture)
    page.Contents = _stream(pdf, b"q 700 0 0 500 10 10 cm /I Do Q")


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        (_garbage, "damaged"),
        (_cut_off, "damaged"),
        (_no_contents, "damaged"),
        (_bomb, "more drawing instructions"),
        (_forms_of_forms, "more drawing instructions"),
        (_absurd_size, "no sheet"),
        (_no_size, "no sheet"),
        (_huge_picture, "picture too large"),
    ],
    ids=["garbage", "cut off", "no stream", "bomb", "forms of forms", "absurd size", "no size", "huge picture"],
)
def test_sheet_that_cannot_be_read_is_listed_and_the_others_are_read(
    tmp_path: Path, change: Callable[[pikepdf.Pdf, pikepdf.Object], None], reason: str
) -> None:
    found = read_plan_set(_change_second(tmp_path / "a.pdf", change))
    assert [len(found.sheets[i].words) for i in (0, 2)] == [11, 11]
    (unread,) = found.unread
    assert unread.page == 2 and reason in unread.reason and "\n" not in unread.reason


def test_words_before_the_damage_are_kept_and_the_sheet_listed(tmp_path: Path) -> None:
    def change(pdf: pikepdf.Pdf, page: pikepdf.Object) -> None:
        text = b"BT /F1 10 Tf 72 500 Td (STRAP ST-4 AT EACH STUD) Tj ET " + b"\n".join(
            b"%d %d m" % (i * 7919 % 613, i) for i in range(3000)
        )
        packed = zlib.compress(text, 1)
        page.Contents = _stream(pdf, packed[: len(packed) // 2], Filter=pikepdf.Name.FlateDecode)

    found = read_plan_set(_change_second(tmp_path / "a.pdf", change))
    assert "ST-4" in [w.text for w in found.sheets[1].words]
    assert [u.page for u in found.unread] == [2]


def test_blank_page_is_blank_and_no_error(tmp_path: Path) -> None:
    found = read_plan_set(draw(tmp_path / "a.pdf", NOTE, canvas.Canvas.getPageNumber))
    assert [s.kind for s in found.sheets] == ["drawing", "blank"]
    assert not found.unread


def test_sheet_without_text_is_listed_where_pictures_are_not_read(tmp_path: Path) -> None:
    def outlined(c: canvas.Canvas) -> None:
        for row in range(60):
            c.line(100, 100 + 5 * row, 500, 100 + 5 * row)

    found = read(draw(tmp_path / "a.pdf", outlined))
    assert found.sheets[0].text == "none"
    assert "no text" in found.unread[0].reason


def test_thousands_of_annotations_are_bounded(tmp_path: Path) -> None:
    path = draw(tmp_path / "a.pdf", NOTE)
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        entry = {"Type": pikepdf.Name.Annot, "Subtype": pikepdf.Name.Square, "Contents": "SW-1"}
        count = limits.MAX_ANNOTATIONS + 500
        pdf.pages[0].Annots = pikepdf.Array(
            [pikepdf.Dictionary(Rect=[i % 700, i // 10, i % 700 + 20, i // 10 + 8], **entry) for i in range(count)]
        )
        pdf.save(path)
    found = read(path)
    assert len(found.sheets[0].words) <= limits.MAX_ANNOTATIONS + 11
    assert "annotations" in found.unread[0].reason


def test_pages_over_the_limit_are_listed_in_one_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(limits, "MAX_PAGES", 2)
    found = read_plan_set(draw(tmp_path / "a.pdf", *[NOTE] * 5))
    assert len(found.sheets) == 2
    (unread,) = found.unread
    assert unread.page == 3 and "pages 3 to 5" in unread.reason


def test_many_empty_pages_are_read_in_fair_time(tmp_path: Path) -> None:
    with pikepdf.new() as pdf:
        for _ in range(1500):
            pdf.add_blank_page(page_size=(612, 792))
        pdf.save(tmp_path / "a.pdf")
    assert {s.kind for s in read(tmp_path / "a.pdf").sheets} == {"blank"}


def test_progress_is_told_page_by_page(tmp_path: Path) -> None:
    told: list[tuple[int, int, str]] = []
    read_plan_set(draw(tmp_path / "a.pdf", NOTE, NOTE), progress=lambda done, total, what: told.append((done, total, what)))
    assert told[0][:2] == (0, 2) and told[-1][:2] == (2, 2)


def test_crop_shows_the_part_of_the_sheet_as_displayed(tmp_path: Path) -> None:
    path = draw(tmp_path / "a.pdf", lambda c: c.rect(100, 500, 50, 20, fill=1), rotate=90)
    picture = crop(path, 1, (480, 80, 640, 200), scale=2)
    assert picture.size == (320, 240)
    assert picture.getextrema()[0] == (0, 255)


def test_crop_of_a_page_that_is_not_there_says_so(tmp_path: Path) -> None:
    with pytest.raises(UnreadablePlanSet, match="no page 9"):
        crop(draw(tmp_path / "a.pdf", NOTE), 9, (0, 0, 10, 10))
