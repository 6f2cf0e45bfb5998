"""NAME.letter.docx: a letter to the designer with numbered questions, pictures of the places, and room to answer."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import docx
from docx.enum.table import WD_TABLE_ALIGNMENT
from docx.oxml.ns import qn
from docx.oxml.parser import OxmlElement
from docx.shared import Inches, Pt, RGBColor

from notelint.model import CAUTION, JointState, Question, RecheckLine, Where
from notelint.writers.files import write_whole
from notelint.writers.job import Job
from notelint.writers.pictures import Picture, Shot
from notelint.writers.words import (
    STAGE_HEADS,
    STATUS_WORDS,
    building_lines,
    clean,
    count_of,
    joined,
    joint_name,
    joint_words,
    places_of,
    quoted,
    sheet_name,
    unread_line,
)

TEXT_WIDTH = 6.7  # inches between the margins
HEAD_WIDTH = 1.8
LONGEST_CROP = 0.85  # inches high
CROP_SCALE = 0.75  # of the sheet's own size
MOST_CROPS = 2  # in a letter; the page shows more
GREY = RGBColor(0x4A, 0x57, 0x63)

OPENING = (
    "Dear [Name of designer],\n"
    "We have read the plan set named above and ask you to answer the questions below before the work they concern. They are grouped by "
    "the stage before which we need the answer. Please answer in the boxes, or send a revised sheet."
)
CLOSING = "Thank you.\n[Your name]\n[Your firm, telephone, e-mail]"


def write_letter(job: Job, target: Path) -> None:
    """Writes the letter."""
    document = make_letter(job)
    write_whole(target, lambda draft: document.save(str(draft)))


def make_letter(job: Job) -> Any:
    """The letter as a docx document."""
    document = docx.Document()
    _set_up(document, job)
    _opening(document, job)
    for stage, questions in job.by_stage:
        document.add_heading(STAGE_HEADS[stage], level=1)
        for question in questions:
            _question(document, job, question)
    if not job.review.questions:
        document.add_paragraph("We have no question from the words of this set.")
    _answered(document, job)
    _closing(document, job)
    return document


def _set_up(document: Any, job: Job) -> None:
    """Letter paper, margins, plain type, page numbers, and the file's name as title."""
    section = document.sections[0]
    section.page_width, section.page_height = Inches(8.5), Inches(11)
    for side in ("left_margin", "right_margin", "top_margin", "bottom_margin"):
        setattr(section, side, Inches(0.9))
    for name, size in (("Normal", 9.5), ("Heading 1", 13), ("Heading 2", 10.5), ("Title", 20)):
        style = document.styles[name]
        style.font.name, style.font.size = "Calibri", Pt(size)
        style.font.color.rgb = RGBColor(0, 0, 0)
        fonts = style.element.get_or_add_rPr().get_or_add_rFonts()
        for kind in ("w:ascii", "w:hAnsi", "w:eastAsia", "w:cs"):
            fonts.set(qn(kind), "Calibri")
        for theme in ("w:asciiTheme", "w:hAnsiTheme", "w:eastAsiaTheme", "w:cstheme"):
            fonts.attrib.pop(qn(theme), None)
    document.styles["Normal"].paragraph_format.space_after = Pt(3)
    document.core_properties.title = f"Questions about {clean(job.review.file)}"[:255]
    document.core_properties.author = ""
    document.core_properties.comments = ""
    footer = section.footer.paragraphs[0]
    _grey(footer, f"{clean(job.review.file)}, page ")
    _page_number(footer)


def _page_number(paragraph: Any) -> None:
    run = paragraph.add_run()
    run.font.size, run.font.color.rgb = Pt(9), GREY
    for kind, text in (("begin", None), (None, "PAGE"), ("end", None)):
        if kind:
            part = OxmlElement("w:fldChar")
            part.set(qn("w:fldCharType"), kind)
        else:
            part = OxmlElement("w:instrText")
            part.text = text
        run._r.append(part)


def _opening(document: Any, job: Job) -> None:
    review = job.review
    for line in ("[Your firm]", "[Date]", "", "[Name of designer]", "[Address of designer]"):
        document.add_paragraph(line).paragraph_format.space_after = Pt(0)
    document.add_heading("Questions about the plan set", level=1)
    rows = [("Project", "[Name and place of the project]"), ("Plan set", clean(review.file))]
    rows.append(("Sheets", _sheets(job)))
    rows += [(name, f"{value} ({source})" if source else value) for name, value, source, _ in building_lines(review.building)]
    rows.append(("Questions", str(len(review.questions))))
    if job.recheck:
        rows.append(("Compared with", clean(job.recheck.file)))
    _table(document, rows)
    for text in OPENING.split("\n"):
        document.add_paragraph(text)


def _sheets(job: Job) -> str:
    sheets = job.review.sheets
    return f"{count_of(len(sheets), 'sheet')}: {', '.join(sheet_name(sheet.number, sheet.page) for sheet in sheets)}"


def _table(document: Any, rows: list[tuple[str, str]]) -> None:
    table = document.add_table(rows=0, cols=2)
    table.style, table.alignment, table.autofit = "Table Grid", WD_TABLE_ALIGNMENT.LEFT, False
    table.columns[0].width, table.columns[1].width = Inches(HEAD_WIDTH), Inches(TEXT_WIDTH - HEAD_WIDTH)
    for name, value in rows:
        cells = table.add_row().cells
        for cell, text, width, bold in ((cells[0], name, HEAD_WIDTH, True), (cells[1], value, TEXT_WIDTH - HEAD_WIDTH, False)):
            cell.width = Inches(width)
            cell.paragraphs[0].paragraph_format.space_before = cell.paragraphs[0].paragraph_format.space_after = Pt(1)
            cell.paragraphs[0].add_run(text).bold = bold
    document.add_paragraph().paragraph_format.space_after = Pt(0)


def _question(document: Any, job: Job, question: Question) -> None:
    first = len(document.paragraphs)
    line = job.lines.get(question.key)
    status = f" ({STATUS_WORDS[line.status]})" if line else ""
    document.add_heading(f"{question.number}. {places_of(question, most=3)}{status}", level=2)
    document.add_paragraph().add_run(clean(question.question)).bold = True
    for shot, picture in job.pictures.crops.get(question.number, ())[:MOST_CROPS]:
        _crop(document, shot, picture, question)
    _quotes(document, question.where)
    for step in question.arithmetic:
        _quote(document, clean(step))
    why = document.add_paragraph()
    why.add_run("Why we ask: ").italic = True
    why.add_run(clean(question.why))
    if question.sources:
        _grey(document.add_paragraph(), f"Sources: {joined(question.sources)}")
    for paragraph in document.paragraphs[first:]:  # a question stands on one page with its answer box
        paragraph.paragraph_format.keep_with_next = True
    _room(document, line)


def _quotes(document: Any, wheres: Sequence[Where]) -> None:
    for place, quote in quoted(wheres):
        _quote(document, f"{place}: “{quote}”" if quote else place)


def _quote(document: Any, text: str) -> None:
    paragraph = document.add_paragraph(text)
    paragraph.paragraph_format.left_indent = Inches(0.3)
    paragraph.paragraph_format.space_after = Pt(3)


def _crop(document: Any, shot: Shot, picture: Picture, question: Question) -> None:
    """The picture about as large as on the sheet, within the text's width, with alternative text and a thin frame."""
    natural = CROP_SCALE * (shot.region.x1 - shot.region.x0) / 72
    width = min(TEXT_WIDTH, natural, LONGEST_CROP * picture.width / picture.height)
    paragraph = document.add_paragraph()
    paragraph.paragraph_format.space_after = Pt(3)
    drawn = paragraph.add_run().add_picture(io.BytesIO(picture.data), width=Inches(width))
    drawn._inline.docPr.set("descr", f"Part of the sheet, the words outlined. {places_of(question, most=3)}")
    line = OxmlElement("a:ln")
    line.set("w", "6350")
    fill, colour = OxmlElement("a:solidFill"), OxmlElement("a:srgbClr")
    colour.set("val", "C9CFD4")
    fill.append(colour)
    line.append(fill)
    drawn._inline.graphic.graphicData.pic.spPr.append(line)


def _room(document: Any, line: RecheckLine | None) -> None:
    """An empty box for the answer; an answer given before stands in it."""
    table = document.add_table(rows=1, cols=1)
    table.style = "Table Grid"
    cell = table.rows[0].cells[0]
    table.rows[0].height = Inches(0.7)
    said = line.answer if line else None
    cell.paragraphs[0].add_run("Answer: ").italic = True
    if said:
        signed = ", ".join(clean(part) for part in (said.answered_by, said.date) if part)
        cell.paragraphs[0].add_run(clean(said.answer) + (f" ({signed})" if signed else ""))
    document.add_paragraph().paragraph_format.space_after = Pt(0)


def _answered(document: Any, job: Job) -> None:
    if not job.answered:
        return
    document.add_heading("Answered by the revised set, with thanks", level=1)
    for line in job.answered:
        document.add_paragraph(clean(line.question.question))
        _quotes(document, line.new_words)


def _closing(document: Any, job: Job) -> None:
    review = job.review
    for text in CLOSING.split("\n"):
        document.add_paragraph(text).paragraph_format.space_after = Pt(0)
    if review.load_path.joints:
        document.add_heading("The load path as we read it, roof to footing", level=2)
        _table(document, [(joint_name(one, review.building.storeys), _joint(one)) for one in review.load_path.joints])
    document.add_heading("Not checked", level=2)
    said = [unread_line(one) for one in review.not_checked] + [f"a rule could not run: {clean(name)}" for name in review.rules_not_run]
    for text in said or ["No sheet was found without words. Drawings without words are not checked."]:
        _quote(document, text)
    document.add_heading("What this list is", level=2)
    document.add_paragraph(CAUTION).paragraph_format.keep_together = True


def _joint(state: JointState) -> str:
    words = joint_words(state)
    return f"{state.state}: {words}" if words else state.state


def _grey(paragraph: Any, text: str) -> None:
    run = paragraph.add_run(text)
    run.font.size, run.font.color.rgb = Pt(9), GREY
