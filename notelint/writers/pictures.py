"""Pictures of sheets and of the places that questions point to. Each sheet is drawn once."""

from __future__ import annotations

import io
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

import pypdfium2
from PIL import Image, ImageDraw

from notelint.errors import CannotWrite, UnreadablePlanSet
from notelint.model import Box, Question, Review, Where
from notelint.planset.document import opened, render

SHARPEST = 2.5  # pixels a point: 180 dpi
MOST_PIXELS = 16e6  # of a drawn sheet; a 36 x 24 in sheet comes to 136 dpi
SHEET_WIDTH = 2200  # pixels of an embedded sheet picture at most
SHEETS_BYTES = 7_500_000  # for all embedded sheet pictures of one set; a third more once written as text
CROP_WIDTH, CROP_HEIGHT, CROP_PAD = 270.0, 108.0, 30.0  # points: at least 3-3/4 x 1-1/2 in, and some room around the words
LABEL_ROOM = 45.0  # points left of a note's words in which its hanging number stands
CROP_PIXELS = 1300  # widest crop
JOINED_HEIGHT = 200.0  # points: places further apart than that are shown apart
GRAINY = 30_000  # bytes; a crop that takes more as a line drawing is a scan, which another form holds in less
MOST_SHOTS = 4  # for one question; further places are named in words
OUTLINE = (196, 60, 0)


class Picture(NamedTuple):
    """An encoded picture and its size in pixels."""

    data: bytes
    width: int
    height: int
    kind: str  # "png", "jpeg" or "webp"


class Shot(NamedTuple):
    """A part of a sheet to be shown for a question: the places on it, by their index in the question, and their boxes."""

    page: int
    region: Box
    places: tuple[int, ...]
    boxes: tuple[Box, ...]


@dataclass
class Pictures:
    """Sheet pictures (WebP) by page, crops (PNG, or JPEG for scans) by question number, and why a sheet could not be drawn."""

    sheets: dict[int, Picture] = field(default_factory=dict)
    crops: dict[int, tuple[tuple[Shot, Picture], ...]] = field(default_factory=dict)
    failed: dict[int, str] = field(default_factory=dict)


def crop_region(box: Box, width: float, height: float) -> Box:
    """The part of a sheet to show around `box`: padded, wide enough to see where it stands, kept within the sheet."""
    x0, x1 = _stretch(box.x0, box.x1, CROP_WIDTH, width)
    top, bottom = _stretch(box.top, box.bottom, CROP_HEIGHT, height)
    return Box(x0, top, x1, bottom)


def _stretch(low: float, high: float, least: float, limit: float) -> tuple[float, float]:
    low, high = max(0.0, min(low, limit)), max(0.0, min(high, limit))
    grow = max(CROP_PAD, (least - (high - low)) / 2)
    start = min(max(0.0, low - grow), max(0.0, limit - (high - low + 2 * grow)))
    return start, min(limit, max(high, start + (high - low) + 2 * grow))


def place_region(where: Where, size: tuple[float, float]) -> Box:
    """The part of a sheet to show for a place; for a note, as far left as the number that hangs beside its words."""
    region = crop_region(where.box, *size)
    if not where.label.startswith("note "):
        return region
    return Box(max(0.0, min(region.x0, where.box.x0 - LABEL_ROOM)), region.top, region.x1, region.bottom)


def has_box(box: Box) -> bool:
    """Whether a box encloses anything."""
    return box.x1 > box.x0 and box.bottom > box.top


def plan_shots(question: Question, sizes: dict[int, tuple[float, float]]) -> tuple[Shot, ...]:
    """What to show for a question: places close to each other in one shot, MOST_SHOTS at most. `sizes` are the sheets' in points."""
    shots: list[Shot] = []
    for index, where in enumerate(question.where):
        page, box = where.page, where.box
        if page not in sizes or not has_box(box):
            continue
        new = Shot(page, place_region(where, sizes[page]), (index,), (box,))
        for at, shot in enumerate(shots):
            if joined := _joined(shot, new, sizes[page]):
                shots[at] = joined
                break
        else:
            if len(shots) < MOST_SHOTS:
                shots.append(new)
    return tuple(shots)


def _joined(shot: Shot, new: Shot, size: tuple[float, float]) -> Shot | None:
    """Both in one shot, where they stand on one sheet and the shot stays about as wide as before and not too high."""
    if shot.page != new.page:
        return None
    boxes = (*shot.boxes, *new.boxes)
    around = Box(min(b.x0 for b in boxes), min(b.top for b in boxes), max(b.x1 for b in boxes), max(b.bottom for b in boxes))
    around_both = crop_region(around, *size)
    region = Box(min(shot.region.x0, new.region.x0, around_both.x0), around_both.top, around_both.x1, around_both.bottom)
    widest = max(shot.region.x1 - shot.region.x0, new.region.x1 - new.region.x0)
    if region.x1 - region.x0 > 1.2 * widest or region.bottom - region.top > max(JOINED_HEIGHT, shot.region.bottom - shot.region.top):
        return None
    return Shot(shot.page, region, (*shot.places, *new.places), boxes)


def draw(plan_set: Path, review: Review) -> Pictures:
    """Draws each sheet that a question points to once, and the crops from it. CannotWrite where the plan set cannot be opened any more."""
    sizes = {sheet.page: (sheet.width, sheet.height) for sheet in review.sheets}
    wanted: dict[int, list[tuple[int, Shot]]] = {}
    for question in review.questions:
        for shot in plan_shots(question, sizes):
            wanted.setdefault(shot.page, []).append((question.number, shot))
    made = Pictures()
    try:
        with opened(plan_set) as document:
            for page in sorted(wanted):
                _add_sheet(made, document, page, wanted[page], SHEETS_BYTES // len(wanted))
    except UnreadablePlanSet as error:
        raise CannotWrite(f"{error} Its sheets cannot be shown.") from error
    return made


def _add_sheet(made: Pictures, document: pypdfium2.PdfDocument, page: int, shots: list[tuple[int, Shot]], room: int) -> None:
    try:
        sheet, scale = _drawn(document, page)
    except (pypdfium2.PdfiumError, MemoryError, ValueError) as error:
        made.failed[page] = f"cannot be drawn ({type(error).__name__})"
        return
    for number, shot in shots:
        made.crops[number] = (*made.crops.get(number, ()), (shot, _crop(sheet, scale, shot)))
    made.sheets[page] = _sheet(sheet, room)


def _drawn(document: pypdfium2.PdfDocument, page: int) -> tuple[Image.Image, float]:
    """The sheet as displayed, and its pixels a point."""
    if not 1 <= page <= len(document):
        raise ValueError(f"no page {page}")
    sheet = document[page - 1]
    width, height = sheet.get_size()
    scale = min(SHARPEST, (MOST_PIXELS / max(1.0, width * height)) ** 0.5)
    picture = render(sheet, Box(0.0, 0.0, width, height), scale)
    return picture, picture.width / width


def _crop(sheet: Image.Image, scale: float, shot: Shot) -> Picture:
    region = shot.region
    picture = sheet.crop(_pixels(region, scale))
    pen = ImageDraw.Draw(picture)
    for box in shot.boxes:
        frame = Box(box.x0 - 3 - region.x0, box.top - 3 - region.top, box.x1 + 3 - region.x0, box.bottom + 3 - region.top)
        pen.rectangle(_pixels(frame, scale), outline=OUTLINE, width=max(2, round(scale)))
    if picture.width > CROP_PIXELS:
        picture = picture.resize((CROP_PIXELS, max(1, round(picture.height * CROP_PIXELS / picture.width))), Image.Resampling.LANCZOS)
    drawn = _encode(picture.quantize(32, method=Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE), "PNG")
    scanned = _encode(picture, "JPEG", quality=70) if len(drawn) > GRAINY else drawn
    if len(scanned) < len(drawn):
        return Picture(scanned, picture.width, picture.height, "jpeg")
    return Picture(drawn, picture.width, picture.height, "png")


def _pixels(box: Box, scale: float) -> tuple[int, int, int, int]:
    x0, top = int(box.x0 * scale), int(box.top * scale)
    return x0, top, max(x0 + 1, round(box.x1 * scale)), max(top + 1, round(box.bottom * scale))


def _sheet(sheet: Image.Image, room: int) -> Picture:
    """The whole sheet, made smaller until it fits into `room` bytes or is hardly legible."""
    widest = min(SHEET_WIDTH, sheet.width)
    data, small = b"", sheet
    for width in (round(widest * part) for part in (1.0, 0.75, 0.55, 0.4)):
        small = sheet.resize((width, max(1, round(sheet.height * width / sheet.width))), Image.Resampling.BOX)
        data = _encode(small, "WEBP", quality=55, method=0)
        if len(data) <= room:
            break
    return Picture(data, small.width, small.height, "webp")


def _encode(picture: Image.Image, kind: str, **options: int) -> bytes:
    stream = io.BytesIO()
    picture.save(stream, kind, **options)
    return stream.getvalue()
