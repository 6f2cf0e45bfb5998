"""NAME.marked.pdf: a copy of the plan set with each question's words highlighted and a numbered note beside them.

Highlights and notes are ordinary annotations (ISO 32000-1, 12.5): any reader shows, hides and removes them. The original stays as it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

import pikepdf
import pypdfium2
from pikepdf import Array, Dictionary, Name, Pdf, String

from notelint.errors import CannotWrite, UnreadablePlanSet
from notelint.model import CAUTION, Box, Question, Review
from notelint.planset.document import opened, placing, structure_of
from notelint.planset.place import Placing
from notelint.writers.badges import Ink, place_badge
from notelint.writers.files import write_whole
from notelint.writers.job import Job
from notelint.writers.pictures import has_box
from notelint.writers.words import STAGE_HEADS, clean, joined, place_of

YELLOW = (1.0, 0.85, 0.2)
RED = (0.66, 0.2, 0.0)
PRINT, NO_ROTATE = 4, 16  # annotation flags (ISO 32000-1, table 165)
Corner = tuple[float, float]


class Mark(NamedTuple):
    """A question's place on one sheet as displayed: the words, if any, and the badge with the number."""

    page: int
    name: str  # unique in the file
    words: Box | None
    badge: Box
    question: Question


def write_marked(job: Job, target: Path) -> None:
    """Writes the marked copy. Raises CannotWrite with the reason where the PDF cannot be opened, read or given notes."""
    name = job.plan_set.name
    try:
        placings, ink = _measure(job.unchanged_plan_set, pages_of(job.review))
        marks = tuple(plan_marks(job.review, ink))
        with structure_of(job.plan_set) as pdf:
            if not pdf.allow.modify_annotation:
                raise CannotWrite(f"{name}: its owner allows no notes in it; ask for a copy that does. The other outputs do not need it.")
            _add(pdf, marks, placings)
            write_whole(target, lambda draft: pdf.save(draft, encryption=pdf.is_encrypted))
    except pikepdf.PasswordError as error:
        raise CannotWrite(f"{name}: asks for a password; save a copy without one to have it marked.") from error
    except (pikepdf.PdfError, pypdfium2.PdfiumError, UnreadablePlanSet) as error:
        reason = clean(str(error)).removeprefix(f"{name}: ")[:160]
        raise CannotWrite(f"{name}: cannot be marked ({reason}); print it to a new PDF and review that.") from error
    except (TypeError, AttributeError, KeyError, IndexError) as error:  # objects of another kind than the format asks for
        raise CannotWrite(f"{name}: cannot be marked (its pages are not built as they should be); print it to a new PDF.") from error


def _measure(plan_set: Path, pages: set[int]) -> tuple[dict[int, Placing], dict[int, Ink]]:
    """How each of the pages is placed, and what is drawn on it."""
    with opened(plan_set) as document:
        found = {page: document[page - 1] for page in sorted(pages) if 1 <= page <= len(document)}
        return {page: placing(sheet) for page, sheet in found.items()}, {page: Ink(sheet) for page, sheet in found.items()}


def pages_of(review: Review) -> set[int]:
    """The pages that get a mark; the first where a question points to none."""
    pages = {where.page for question in review.questions for where in question.where}
    return pages | {sheet.page for sheet in review.sheets[:1]}


def plan_marks(review: Review, ink: dict[int, Ink]) -> Iterator[Mark]:
    """A mark for each place of each question; what has no place is marked at the head of its sheet or of the first."""
    sizes = {sheet.page: (sheet.width, sheet.height) for sheet in review.sheets}
    taken: list[tuple[int, Box]] = []
    lit: set[tuple[int, Box]] = set()  # words that several questions point to are highlighted once
    for question in review.questions:
        spots = list(dict.fromkeys((where.page, where.box) for where in question.where if where.page in sizes))
        for index, (page, box) in enumerate(spots or [(page, Box(0.0, 0.0, 0.0, 0.0)) for page in list(sizes)[:1]]):
            words = box if has_box(box) else None
            badge = place_badge(question.number, words, sizes[page], [other for at, other in taken if at == page], ink.get(page))
            taken.append((page, badge))
            yield Mark(page, f"notelint-{question.number}-{index + 1}", None if (page, box) in lit else words, badge, question)
            lit.add((page, box))


def to_page(spot: Placing, x: float, y: float) -> Corner:
    """A point of the sheet as displayed in the page's own coordinates: the way back of Placing.points."""
    match spot.rotate:
        case 90:
            return spot.x0 + y, spot.y0 + x
        case 180:
            return spot.x1 - x, spot.y0 + y
        case 270:
            return spot.x1 - y, spot.y1 - x
        case _:
            return spot.x0 + x, spot.y1 - y


def _add(pdf: Pdf, marks: Sequence[Mark], placings: dict[int, Placing]) -> None:
    for page in sorted({mark.page for mark in marks} & placings.keys()):
        sheet = pdf.pages[page - 1]
        old = sheet.obj.get("/Annots")
        notes = list(old) if isinstance(old, Array) else []
        for mark in marks:
            if mark.page == page:
                notes += [pdf.make_indirect(one) for one in _annotations(pdf, mark, placings[page])]
        sheet.obj.Annots = Array(notes)


def _annotations(pdf: Pdf, mark: Mark, spot: Placing) -> Iterator[Dictionary]:
    if mark.words is not None:
        yield _highlight(pdf, mark, mark.words, spot)
    yield _note(pdf, mark, spot)


def _said(question: Question) -> str:
    """The note's words: question, why, arithmetic, and that it is a question."""
    parts = [f"{question.number}. {STAGE_HEADS[question.ask_before]}", clean(question.question), f"Why: {clean(question.why)}"]
    if question.arithmetic:
        parts.append(joined(question.arithmetic))
    if len(question.where) > 1:
        parts.append("Places: " + "; ".join(dict.fromkeys(place_of(where) for where in question.where)))
    return "\n".join([*parts, CAUTION])


def _common(mark: Mark, kind: str, rect: Box, looks: pikepdf.Object, flags: int) -> Dictionary:
    return Dictionary(
        Type=Name.Annot,
        Subtype=Name(f"/{kind}"),
        Rect=_rounded(rect),
        Contents=String(_said(mark.question)),
        T=String("notelint"),
        Subj=String(f"Question {mark.question.number}"),
        NM=String(f"{mark.name}-{kind.lower()}"),
        F=flags,
        AP=Dictionary(N=looks),
    )


def _highlight(pdf: Pdf, mark: Mark, words: Box, spot: Placing) -> Dictionary:
    """Corners in the order that readers expect: upper left, upper right, lower left, lower right of the words as displayed."""
    ends = ((words.x0, words.top), (words.x1, words.top), (words.x0, words.bottom), (words.x1, words.bottom))
    corners = [to_page(spot, *end) for end in ends]
    rect = _around(corners)
    area = Box(rect.x0, rect.top, rect.x1 - rect.x0, rect.bottom - rect.top)
    content = f"/Clear gs {_numbers(YELLOW)} rg {_numbers(area)} re f".encode()
    clear = Dictionary(Type=Name.ExtGState, BM=Name.Multiply, ca=0.6)
    looks = _form(pdf, content, rect, Dictionary(ExtGState=Dictionary(Clear=clear)))
    looks.Group = Dictionary(S=Name.Transparency)
    made = _common(mark, "Highlight", rect, looks, PRINT)
    made.QuadPoints = Array([round(value, 2) for corner in corners for value in corner])
    made.C = Array(YELLOW)
    made.CA = 0.6
    return made


def _note(pdf: Pdf, mark: Mark, spot: Placing) -> Dictionary:
    """A note that shows its number.

    Most readers keep a note upright on a turned page whatever its flags, turning it about the upper left corner of its rectangle
    (ISO 32000-1, 12.5.6.4); the flag tells the others to do so too, and the rectangle hangs from that corner.
    """
    badge, number = mark.badge, str(mark.question.number)
    wide, high = badge.x1 - badge.x0, badge.bottom - badge.top
    size = high * 0.78
    left = (wide - 0.556 * size * len(number)) / 2  # a digit of Helvetica is 0.556 of its size wide
    text = f"BT 1 1 1 rg /Digits {size:.2f} Tf {left:.2f} {high * 0.22:.2f} Td ({number}) Tj ET"
    content = f"{_numbers(RED)} rg 0 0 {wide:.2f} {high:.2f} re f {text}".encode()
    font = Dictionary(Type=Name.Font, Subtype=Name.Type1, BaseFont=Name("/Helvetica-Bold"), Encoding=Name.WinAnsiEncoding)
    looks = _form(pdf, content, Box(0.0, 0.0, wide, high), Dictionary(Font=Dictionary(Digits=font)))
    x, y = to_page(spot, badge.x0, badge.top)
    made = _common(mark, "Text", Box(x, y - high, x + wide, y), looks, PRINT | NO_ROTATE)
    made.Name = Name.Comment
    made.C = Array(RED)
    made.Open = False
    return made


def _form(pdf: Pdf, content: bytes, box: Box, resources: Dictionary) -> pikepdf.Stream:
    looks = pdf.make_stream(content)
    looks.Type, looks.Subtype, looks.BBox, looks.Resources = Name.XObject, Name.Form, _rounded(box), resources
    return looks


def _numbers(values: Sequence[float]) -> str:
    return " ".join(f"{value:.2f}" for value in values)


def _around(corners: Sequence[Corner]) -> Box:
    """The rectangle around points, lower left corner first, as the format writes it."""
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return Box(min(xs), min(ys), max(xs), max(ys))


def _rounded(box: Box) -> Array:
    return Array([round(value, 2) for value in box])
