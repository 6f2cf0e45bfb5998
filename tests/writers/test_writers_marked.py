"""Marks sit on their words, on turned and cropped sheets, and the original stays as it was."""

from __future__ import annotations

import hashlib
from pathlib import Path

import numpy
import pdfplumber
import pikepdf
import pypdfium2
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sample_set import LINES, TURNS, Line, draw_plan_set, make_review, question

from notelint.errors import CannotWrite
from notelint.model import Box, Review, Where
from notelint.planset.place import Placing
from notelint.writers import write
from notelint.writers.badges import place_badge
from notelint.writers.marked import to_page


@pytest.fixture(scope="module")
def marked(review: Review, plan_set: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    (path,) = write(review, ["marked"], tmp_path_factory.mktemp("marked"), plan_set=plan_set)
    return path


def picture(path: Path, page: int, scale: float = 2.0, notes: bool = True) -> numpy.ndarray:
    document = pypdfium2.PdfDocument(path)
    shown = document[page - 1].render(scale=scale, draw_annots=notes).to_numpy()[..., :3].astype(int)[..., ::-1]
    document.close()
    return shown


def part(shown: numpy.ndarray, box: Box, scale: float = 2.0) -> numpy.ndarray:
    return shown[round(box.top * scale) : round(box.bottom * scale), round(box.x0 * scale) : round(box.x1 * scale)]


def yellow(pixels: numpy.ndarray) -> numpy.ndarray:
    return (pixels[..., 0] > 220) & (pixels[..., 1] > 180) & (pixels[..., 2] < 190)


def red(pixels: numpy.ndarray) -> numpy.ndarray:
    return (pixels[..., 0] > 130) & (pixels[..., 1] < 90) & (pixels[..., 2] < 60)


@given(
    st.sampled_from([0, 90, 180, 270]),
    st.floats(-50, 50),
    st.floats(-50, 50),
    st.floats(100, 3000),
    st.floats(100, 3000),
    st.floats(0, 1),
    st.floats(0, 1),
)
def test_to_page_is_the_way_back_of_the_reading_of_a_sheet(
    turn: int, x0: float, y0: float, wide: float, high: float, u: float, v: float
) -> None:
    spot = Placing(x0, y0, x0 + wide, y0 + high, turn)
    x, y = to_page(spot, u * spot.width, v * spot.height)
    back = spot.points(numpy.array([x]), numpy.array([y]))
    assert back[0][0] == pytest.approx(u * spot.width, abs=1e-6) and back[1][0] == pytest.approx(v * spot.height, abs=1e-6)


@pytest.mark.parametrize("line", LINES, ids=lambda line: f"turned {TURNS[line.page]} (page {line.page})")
def test_highlight_covers_its_words_and_little_else(marked: Path, line: Line) -> None:
    """Seen as a reader shows it."""
    shown = picture(marked, line.page)
    inside = part(shown, line.box)
    assert (yellow(inside) | (inside.sum(axis=2) < 500)).mean() > 0.97
    assert (inside.sum(axis=2) < 300).sum() > 100, "the words are still to be read"
    assert yellow(shown).sum() == pytest.approx(yellow(inside).sum(), rel=0.08)


@pytest.mark.parametrize("line", LINES, ids=lambda line: f"turned {TURNS[line.page]} (page {line.page})")
def test_numbered_badge_stands_upright_beside_its_words(marked: Path, line: Line) -> None:
    shown = picture(marked, line.page, scale=4.0)
    rows, columns = numpy.nonzero(red(shown))
    near = (abs(rows / 4 - line.base) < 40) & (columns / 4 > line.box.x0 - 70) & (columns / 4 < line.box.x1 + 70)
    assert near.sum() > 1000
    wide, high = (numpy.ptp(columns[near]) / 4, numpy.ptp(rows[near]) / 4)
    assert wide > high, "a badge lies along the writing, as its number does"
    assert not red(part(shown, line.box, 4.0)).any(), "no badge on the words"


def test_marks_are_ordinary_annotations_with_the_question_in_them(marked: Path) -> None:
    """Read by another library than wrote them."""
    with pdfplumber.open(marked) as pdf:
        notes = [(page.page_number, note["data"]) for page in pdf.pages for note in page.annots]
    kinds = [str(data["Subtype"]) for _, data in notes]
    assert kinds.count("/'Highlight'") == len(LINES)
    assert kinds.count("/'Text'") == 8, "one a place, and one at the head of the first sheet for the question without a place"
    with pikepdf.open(marked) as pdf:
        for page in pdf.pages[:5]:
            for note in page.Annots:
                assert "/N" in note.AP and int(note.F) & 4 and str(note.Contents).split("\n")[1]
                if note.Subtype == "/Highlight":
                    assert len(note.QuadPoints) == 8
        said = [str(note.Contents) for page in pdf.pages[:5] for note in page.Annots if note.Subtype == "/Text"]
    assert sum(text.startswith("2. Ask before the pour\nS-2 note 9: longer bolts") for text in said) == 1
    assert all("approves and rejects nothing" in text for text in said)
    assert not any("\u202e" in text or "\x07" in text for text in said)


def test_marks_lie_within_their_quads(marked: Path) -> None:
    with pikepdf.open(marked) as pdf:
        for page in pdf.pages[:5]:
            for note in page.Annots:
                if note.Subtype == "/Highlight":
                    xs, ys = [float(v) for v in note.QuadPoints][::2], [float(v) for v in note.QuadPoints][1::2]
                    assert [float(v) for v in note.Rect] == pytest.approx([min(xs), min(ys), max(xs), max(ys)], abs=0.02)


def test_taking_the_marks_out_gives_the_sheet_back(marked: Path, plan_set: Path) -> None:
    for page in TURNS:
        assert numpy.array_equal(picture(marked, page, 1.0, notes=False), picture(plan_set, page, 1.0))


def test_the_original_is_untouched(review: Review, plan_set: Path, tmp_path: Path) -> None:
    before = plan_set.read_bytes()
    write(review, ["marked"], tmp_path, plan_set=plan_set)
    assert plan_set.read_bytes() == before


def with_hash(review: Review, path: Path) -> Review:
    return review.model_copy(update={"sha256": hashlib.sha256(path.read_bytes()).hexdigest()})


def test_notes_that_were_there_stay(plan_set: Path, review: Review, tmp_path: Path) -> None:
    path = tmp_path / "noted.pdf"
    with pikepdf.open(plan_set) as pdf:
        old = pikepdf.Dictionary(Type=pikepdf.Name.Annot, Subtype=pikepdf.Name.Text, Rect=[10, 10, 30, 30], Contents="mine")
        pdf.pages[0].Annots = pikepdf.Array([pdf.make_indirect(old)])
        pdf.save(path)
    (made,) = write(with_hash(review, path), ["marked"], tmp_path, plan_set=path)
    with pikepdf.open(made) as pdf:
        assert str(pdf.pages[0].Annots[0].Contents) == "mine" and len(pdf.pages[0].Annots) > 1


@pytest.mark.parametrize(
    ("encryption", "reason"),
    [
        pytest.param(pikepdf.Encryption(owner="o", user="u"), "password", id="asks for a password"),
        pytest.param(
            pikepdf.Encryption(owner="o", allow=pikepdf.Permissions(modify_annotation=False)), "allows no notes", id="notes forbidden"
        ),
    ],
)
def test_a_locked_plan_set_is_refused_with_the_reason(
    plan_set: Path, review: Review, tmp_path: Path, encryption: pikepdf.Encryption, reason: str
) -> None:
    path = tmp_path / "locked.pdf"
    with pikepdf.open(plan_set) as pdf:
        pdf.save(path, encryption=encryption)
    with pytest.raises(CannotWrite, match=rf"locked\.pdf.*{reason}"):
        write(with_hash(review, path), ["marked"], tmp_path / "out", plan_set=path)
    assert list((tmp_path / "out").iterdir()) == []


def test_a_plan_set_locked_against_other_things_stays_locked(plan_set: Path, review: Review, tmp_path: Path) -> None:
    path = tmp_path / "half.pdf"
    with pikepdf.open(plan_set) as pdf:
        pdf.save(path, encryption=pikepdf.Encryption(owner="o", allow=pikepdf.Permissions(extract=False)))
    (made,) = write(with_hash(review, path), ["marked"], tmp_path, plan_set=path)
    with pikepdf.open(made) as pdf:
        assert pdf.is_encrypted and not pdf.allow.extract and "/Annots" in pdf.pages[0]


@pytest.mark.parametrize("content", [b"%PDF-1.7\nnothing\n%%EOF", b"no pdf at all"], ids=["damaged", "no PDF"])
def test_what_cannot_be_opened_is_refused_and_leaves_nothing(review: Review, tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "odd.pdf"
    path.write_bytes(content)
    with pytest.raises(CannotWrite, match=r"odd\.pdf"):
        write(with_hash(review, path), ["marked"], tmp_path / "out", plan_set=path)
    assert list((tmp_path / "out").iterdir()) == []


def test_many_questions_at_one_place_get_badges_apart() -> None:
    words, taken = Box(300, 300, 500, 312), []
    for number in range(1, 15):
        badge = place_badge(number, words, (1224, 792), taken, None)
        assert all(badge.x1 <= b.x0 or b.x1 <= badge.x0 or badge.bottom <= b.top or b.bottom <= badge.top for b in [*taken, words])
        taken.append(badge)


@pytest.mark.parametrize(
    "words", [Box(0, 0, 60, 10), Box(1200, 780, 1224, 792), Box(0, 0, 1224, 792)], ids=["corner", "far corner", "whole sheet"]
)
def test_a_badge_stays_on_the_sheet(words: Box) -> None:
    badge = place_badge(12, words, (1224, 792), [], None)
    assert badge.x0 >= 0 and badge.top >= 0 and badge.x1 <= 1224 and badge.bottom <= 792


def test_a_question_about_a_page_that_is_not_there_is_marked_nowhere(tmp_path: Path) -> None:
    path = tmp_path / "x.pdf"
    draw_plan_set(path)
    ghost = Where(sheet="S-99", page=99, label="note 1", quote="x", box=Box(1, 1, 9, 9))
    review = make_review(path)
    asked = question(1, "r", "bid", "?", ghost)
    listed = review.sheets[0].model_copy(update={"page": 99})
    (made,) = write(
        review.model_copy(update={"questions": (asked,), "sheets": (*review.sheets, listed)}), ["marked"], tmp_path, plan_set=path
    )
    with pikepdf.open(made) as pdf:
        assert not any("/Annots" in page for page in pdf.pages)
