"""Crops show the words they are about, on turned sheets too."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from sample_set import HEIGHT, TURNS, WIDTH, make_review, question, where
from sample_set import LINES as SAMPLE_LINES

from notelint.errors import CannotWrite
from notelint.model import Box, Review, Where
from notelint.writers.job import Job
from notelint.writers.pictures import CROP_WIDTH, MOST_SHOTS, OUTLINE, Picture, Pictures, Shot, crop_region, draw, place_region, plan_shots

SIZES = dict.fromkeys(TURNS, (WIDTH, HEIGHT))


@pytest.fixture(scope="module")
def pictures(review: Review, plan_set: Path) -> Pictures:
    return draw(plan_set, review)


@given(st.floats(0, 1200), st.floats(0, 780), st.floats(1, 1300), st.floats(1, 900))
def test_crop_region_holds_the_box_and_stays_on_the_sheet(left: float, top: float, wide: float, high: float) -> None:
    box = Box(left, top, min(WIDTH, left + wide), min(HEIGHT, top + high))
    region = crop_region(box, WIDTH, HEIGHT)
    assert region.x0 <= box.x0 + 1e-6 and region.top <= box.top + 1e-6
    assert region.x1 >= box.x1 - 1e-6 and region.bottom >= box.bottom - 1e-6
    assert region.x0 >= 0 and region.top >= 0 and region.x1 <= WIDTH + 1e-6 and region.bottom <= HEIGHT + 1e-6
    assert region.x1 - region.x0 >= CROP_WIDTH - 1e-6


def test_crop_region_of_a_small_sheet_is_the_sheet() -> None:
    assert crop_region(Box(10, 10, 20, 20), 100, 50) == Box(0, 0, 100, 50)


def ink_in(picture: Picture, shot: Shot, box: Box) -> int:
    """Dark pixels of a crop within a box given in points of the sheet."""
    image = Image.open(io.BytesIO(picture.data)).convert("L")
    scale = image.width / (shot.region.x1 - shot.region.x0)
    part = image.crop(tuple(round((v - o) * scale) for v, o in zip(box, (*shot.region[:2], *shot.region[:2]), strict=True)))
    return sum(part.histogram()[:80])


@pytest.mark.parametrize("page", sorted({line.page for line in SAMPLE_LINES}), ids=lambda page: f"turned {TURNS[page]} (page {page})")
def test_crop_shows_ink_where_the_words_stand_and_outlines_them(review: Review, pictures: Pictures, page: int) -> None:
    number, shot, picture = next(
        (q.number, shot, picture) for q in review.questions for shot, picture in pictures.crops.get(q.number, ()) if shot.page == page
    )
    box = shot.boxes[0]
    assert box in {w.box for w in review.questions[number - 1].where}
    assert ink_in(picture, shot, box) > 200
    assert ink_in(picture, shot, Box(shot.region.x0, shot.region.top, shot.region.x1, box.top - 6)) < 20, (
        "the words stand outside the frame"
    )
    image = Image.open(io.BytesIO(picture.data)).convert("RGB")
    scale = image.width / (shot.region.x1 - shot.region.x0)
    middle = round(((box.x0 + box.x1) / 2 - shot.region.x0) * scale)
    above = [
        image.getpixel((middle, y))
        for y in range(round((box.top - 5 - shot.region.top) * scale), round((box.top - shot.region.top) * scale))
    ]
    assert any(sum(abs(a - b) for a, b in zip(pixel, OUTLINE, strict=True)) < 60 for pixel in above), "no frame above the words"


def test_each_sheet_with_a_question_is_drawn_as_displayed(pictures: Pictures) -> None:
    assert sorted(pictures.sheets) == [1, 2, 3, 4, 5]
    for picture in pictures.sheets.values():
        assert Image.open(io.BytesIO(picture.data)).format == "WEBP"
        assert picture.width / picture.height == pytest.approx(WIDTH / HEIGHT, rel=0.01)


def place(x: float, top: float, page: int = 1) -> Where:
    return Where(sheet="S-1", page=page, label="callout", quote="ST-3", box=Box(x, top, x + 40, top + 10))


def test_places_close_together_share_a_crop() -> None:
    shots = plan_shots(question(1, "r", "bid", "?", place(300, 300), place(330, 340), place(300, 700)), SIZES)
    assert [shot.places for shot in shots] == [(0, 1), (2,)]
    assert all(box.x0 >= shots[0].region.x0 and box.bottom <= shots[0].region.bottom for box in shots[0].boxes)


def test_many_places_give_no_more_than_the_most_crops() -> None:
    many = [place(100, 100 + 5 * i, page=page) for page in TURNS for i in range(3)]
    assert len(plan_shots(question(1, "r", "bid", "?", *many), SIZES)) == MOST_SHOTS


def test_a_place_without_box_or_on_an_unknown_page_gives_no_crop() -> None:
    nowhere = where(SAMPLE_LINES[0], "note").model_copy(update={"box": Box(0, 0, 0, 0)})
    assert plan_shots(question(1, "r", "bid", "?", nowhere, place(1, 1, page=99)), SIZES) == ()


def test_a_page_that_is_not_there_costs_its_picture_only(review: Review, plan_set: Path) -> None:
    ghost = review.sheets[0].model_copy(update={"page": 40})
    asked = question(9, "r", "bid", "?", place(100, 100, page=40), place(150, 400))
    made = draw(plan_set, review.model_copy(update={"sheets": (*review.sheets, ghost), "questions": (asked,)}))
    assert sorted(made.sheets) == [1] and 40 in made.failed


def test_a_grainy_scan_is_held_in_few_bytes(tmp_path: Path) -> None:
    path = tmp_path / "scan.pdf"
    Image.effect_noise((1224, 792), 120).convert("RGB").save(path, resolution=72)
    review = make_review(path)
    made = draw(
        path, review.model_copy(update={"sheets": review.sheets[:1], "questions": (question(1, "r", "bid", "?", place(300, 300)),)})
    )
    ((_, picture),) = made.crops[1]
    assert picture.kind == "jpeg" and len(picture.data) < 200_000
    assert Image.open(io.BytesIO(picture.data)).format == "JPEG"


def test_a_plan_set_changed_since_it_was_read_is_not_shown(review: Review, plan_set: Path, tmp_path: Path) -> None:
    other = tmp_path / "small house.pdf"
    other.write_bytes(plan_set.read_bytes() + b"\n")
    with pytest.raises(CannotWrite, match="changed since it was read"):
        Job(review, other).pictures  # noqa: B018


def test_a_plan_set_that_is_gone_is_told(review: Review, tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match=r"gone\.pdf"):
        Job(review, tmp_path / "gone.pdf").pictures  # noqa: B018


def test_a_note_is_shown_with_the_number_that_hangs_beside_it() -> None:
    """The words of a wide note begin 40 points right of its number; a callout there needs no more room than before."""
    words = Box(300.0, 100.0, 700.0, 112.0)
    note = Where(sheet="G-1", page=1, label="note 14", quote="", box=words)
    callout = note.model_copy(update={"label": "callout"})
    assert place_region(note, (1000.0, 800.0)).x0 <= 260.0
    assert place_region(callout, (1000.0, 800.0)) == crop_region(words, 1000.0, 800.0)
