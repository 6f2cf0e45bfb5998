"""The letter, opened as the zip of XML that it is."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import lxml.etree
import pytest
from PIL import Image

from notelint.model import CAUTION, Answer, Recheck, RecheckLine, Review
from notelint.writers import write

W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
WP = "{http://schemas.openxmlformats.org/drawingml/2006/wordprocessingDrawing}"


@pytest.fixture(scope="module")
def path(review: Review, plan_set: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    (made,) = write(review, ["letter"], tmp_path_factory.mktemp("letter"), plan_set=plan_set)
    return made


def body(path: Path) -> lxml.etree._Element:
    with zipfile.ZipFile(path) as parts:
        assert parts.testzip() is None
        return lxml.etree.fromstring(parts.read("word/document.xml"))


def paragraphs(path: Path) -> list[str]:
    return ["".join(t.text or "" for t in p.iter(f"{W}t")) for p in body(path).iter(f"{W}p")]


def test_every_question_stands_under_its_stage_with_its_number(path: Path, review: Review) -> None:
    lines = paragraphs(path)
    heads = ["Ask before bidding", "Ask before the pour", "Ask before framing", "Ask before rough-in", "Ask before walls are closed"]
    places = [lines.index(head) for head in heads]
    assert places == sorted(places)
    for question in review.questions[:6]:
        at = lines.index(question.question)
        assert lines[at - 1].startswith(f"{question.number}. ")


def test_question_has_quote_reason_and_arithmetic(path: Path) -> None:
    lines = paragraphs(path)
    assert 'S-2, note 9: “9. ANCHOR BOLTS 5/8" x 10" AT 48" O.C.”' in lines
    assert lines.count("Why we ask: A strap is as strong as the nails in its shorter end.") == 7
    assert "10.78 in > 10 in" in lines


def test_there_is_room_for_each_answer(path: Path, review: Review) -> None:
    boxes = [t for t in body(path).iter(f"{W}tbl") if "".join(x.text or "" for x in t.iter(f"{W}t")).startswith("Answer:")]
    assert len(boxes) == len(review.questions)
    assert all(int(height.get(f"{W}val")) >= 1000 for box in boxes for height in box.iter(f"{W}trHeight"))


def test_names_are_left_to_fill_in_and_the_caution_stands_at_the_end(path: Path) -> None:
    lines = [line for line in paragraphs(path) if line]
    assert {"[Name of designer]", "[Your name]", "[Date]"} <= set(lines)
    assert lines[-1] == CAUTION
    assert any("no readable text" in line for line in lines)


def test_load_path_is_shown_as_read(path: Path) -> None:
    lines = paragraphs(path)
    assert (
        lines[lines.index("Upper studs to lower studs, storey 2 to 1") + 1]
        == "stated: ST-3 strap at each stud (S-1, note 7), capacity 1,235 lb"
    )
    assert lines[lines.index("Roof to wall top, storey 2") + 1] == "not stated"


def test_sheet_data_is_in_the_head(path: Path) -> None:
    text = "\n".join(paragraphs(path))
    assert "6 sheets: S-1, S-2, S-3, S-4, S-5, page 6" in text
    assert '2 ("SECOND FLOOR FRAMING PLAN", S-3)' in text


def test_crops_are_pictures_with_words_for_those_who_cannot_see_them(path: Path) -> None:
    drawings = list(body(path).iter(f"{WP}docPr"))
    assert len(drawings) == 7 and all("the words outlined" in one.get("descr") for one in drawings)
    with zipfile.ZipFile(path) as parts:
        media = [name for name in parts.namelist() if name.startswith("word/media/")]
        assert all(Image.open(io.BytesIO(parts.read(name))).format == "PNG" for name in media)
    widths = [int(one.get("cx")) / 914400 for one in body(path).iter(f"{WP}extent")]
    assert all(1 < width <= 6.7 for width in widths)


def test_hostile_text_is_harmless(path: Path) -> None:
    with zipfile.ZipFile(path) as parts:
        raw = parts.read("word/document.xml").decode("utf-8")
    assert "<script" not in raw and "\x07" not in raw and "\u202e" not in raw
    assert any("<script>alert(1)</script>" in line for line in paragraphs(path))


def test_comparison_carries_answers_over(review: Review, plan_set: Path, tmp_path: Path) -> None:
    first, second, *_, gone = review.questions
    said = Answer(key=first.key, answer="14 ga.", answered_by="the designer", date="2026-03-02")
    lines = (RecheckLine(status="open", question=first, answer=said), RecheckLine(status="answered", question=gone, new_words=second.where))
    (path,) = write(
        review.model_copy(update={"questions": (first,)}),
        ["letter"],
        tmp_path,
        plan_set=plan_set,
        recheck=Recheck(file="old.pdf", lines=lines),
    )
    text = "\n".join(paragraphs(path))
    assert "Answer: 14 ga. (the designer, 2026-03-02)" in text and "(still open)" in text
    assert text.index("Answered by the revised set") < text.index(gone.question[-15:])
