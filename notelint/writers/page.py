"""NAME.page.html: one file that opens from disk, on a phone at the site and on paper; no scripts, nothing from a network."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import NamedTuple

import jinja2
from markupsafe import Markup

from notelint.model import CAUTION, Box, Question, RecheckLine, SheetLine, Where
from notelint.writers.files import write_text
from notelint.writers.job import Job
from notelint.writers.pictures import Picture, Shot, has_box
from notelint.writers.section import Lettered, draw_section, letter_joints
from notelint.writers.words import (
    COUNT_NOTE,
    STAGE_HEADS,
    STATUS_WORDS,
    building_lines,
    clean,
    count_of,
    joined,
    place_of,
    places_of,
    pounds,
    quoted,
    recheck_summary,
    sheet_name,
    unread_line,
)


class Place(NamedTuple):
    """A place as the page names it; `link` is where its sheet's picture stands, if it is shown."""

    name: str
    quote: str
    link: str | None


class Crop(NamedTuple):
    """A picture of a place."""

    source: Markup
    width: int
    height: int
    points: int  # width of what it shows on the sheet
    alt: str
    places: tuple[Place, ...]


class Item(NamedTuple):
    """A question ready to be set on the page."""

    question: Question
    head: str
    crops: tuple[Crop, ...]
    elsewhere: tuple[Place, ...]  # places that no crop shows
    line: RecheckLine | None


class Pin(NamedTuple):
    """A frame on a sheet's picture, in percent of its width and height, and the questions that point to it."""

    numbers: tuple[int, ...]
    left: float
    top: float
    width: float
    height: float


class SheetPicture(NamedTuple):
    """A sheet that is shown."""

    page: int
    name: str
    title: str
    source: Markup
    width: int
    height: int
    pins: tuple[Pin, ...]


def write_page(job: Job, target: Path) -> None:
    """Writes the page."""
    write_text(target, make_page(job))


def make_page(job: Job) -> str:
    """The page as text."""
    review = job.review
    joints = letter_joints(review.building, review.load_path)
    return _template().render(
        job=job,
        review=review,
        caution=CAUTION,
        count_note=COUNT_NOTE,
        css=Markup(_resource("page.css")),
        summary=_summary(job),
        stages=tuple((stage, STAGE_HEADS[stage], tuple(_item(job, q) for q in questions)) for stage, questions in job.by_stage),
        building=building_lines(review.building),
        section=draw_section(review.building, joints) if joints else None,
        joints=joints,
        joint_places=_joint_places,
        sheets=tuple(_sheet(job, sheet) for sheet in review.sheets if sheet.page in job.pictures.sheets),
        unread=tuple(unread_line(one) for one in review.not_checked),
        not_drawn=tuple(f"page {page}: {reason}" for page, reason in job.pictures.failed.items()),
        status_words=STATUS_WORDS,
    )


@lru_cache(maxsize=1)
def _template() -> jinja2.Template:
    world = jinja2.Environment(autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    world.filters.update(clean=clean, pounds=pounds, joined=joined, place=place_of)
    world.globals.update(sheet_name=sheet_name, count_of=count_of, recheck_summary=recheck_summary)
    return world.from_string(_resource("page.html.j2"))


def _resource(name: str) -> str:
    return files("notelint.writers").joinpath(name).read_text(encoding="utf-8")


def _summary(job: Job) -> str:
    parts = [f"{len(questions)} {STAGE_HEADS[stage].removeprefix('Ask ')}" for stage, questions in job.by_stage]
    count = count_of(len(job.review.questions), "question")
    return f"{count}: {', '.join(parts)}" if parts else "Nothing to ask was found in the words that were read"


def _item(job: Job, question: Question) -> Item:
    shown = job.pictures.crops.get(question.number, ())
    crops = tuple(_crop(job, question, shot, picture) for shot, picture in shown)
    covered = {index for shot, _ in shown for index in shot.places}
    elsewhere = _places(job, [where for index, where in enumerate(question.where) if index not in covered])
    return Item(question, places_of(question, most=2), crops, elsewhere, job.lines.get(question.key))


def _crop(job: Job, question: Question, shot: Shot, picture: Picture) -> Crop:
    places = _places(job, [question.where[index] for index in shot.places])
    words = "; ".join(place.quote for place in places if place.quote)
    alt = f"Part of {places[0].name.split(',')[0]}, the words outlined: {words}" if words else f"Part of {places[0].name}, outlined"
    points = round(shot.region.x1 - shot.region.x0)
    return Crop(_data(picture), picture.width, picture.height, points, alt[:400], places)


def _places(job: Job, wheres: Sequence[Where]) -> tuple[Place, ...]:
    """The places by page, those that read the same once, with the link to the sheet's picture."""
    made: list[Place] = []
    for page in dict.fromkeys(where.page for where in wheres):
        link = f"#sheet-{page}" if page in job.pictures.sheets else None
        made += [Place(name, quote, link) for name, quote in quoted([where for where in wheres if where.page == page])]
    return tuple(made)


def _joint_places(one: Lettered) -> str:
    return "; ".join(dict.fromkeys(place_of(where) for where in one.state.where))


def _sheet(job: Job, sheet: SheetLine) -> SheetPicture:
    picture = job.pictures.sheets[sheet.page]
    name = sheet_name(sheet.number, sheet.page)
    return SheetPicture(
        sheet.page,
        name,
        clean(sheet.title or ""),
        _data(picture),
        picture.width,
        picture.height,
        _pins(job.review.questions, sheet),
    )


def _pins(questions: Sequence[Question], sheet: SheetLine) -> tuple[Pin, ...]:
    """One frame for each box, however many questions point to it."""
    numbers: dict[Box, dict[int, None]] = {}
    for question in questions:
        for where in question.where:
            if where.page == sheet.page and has_box(where.box):
                numbers.setdefault(where.box, {})[question.number] = None
    wide, high = sheet.width / 100, sheet.height / 100
    return tuple(
        Pin(
            tuple(asked),
            *(round(one, 3) for one in (box.x0 / wide, box.top / high, (box.x1 - box.x0) / wide, (box.bottom - box.top) / high)),
        )
        for box, asked in numbers.items()
    )


def _data(picture: Picture) -> Markup:
    """The picture as an address that needs no network."""
    return Markup(f"data:image/{picture.kind};base64,{base64.b64encode(picture.data).decode('ascii')}")
