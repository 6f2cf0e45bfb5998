"""The terminal shows foreign text as text."""

from __future__ import annotations

import io

import pytest
from rich.console import Console

from notelint.model import CAUTION, Recheck, RecheckLine, Review
from notelint.writers.rulebook import print_checks
from notelint.writers.terminal import make_console, print_review, render_review


def shown(review: Review, *, colour: bool = False, recheck: Recheck | None = None, width: int = 200) -> str:
    stream = io.StringIO()
    console = Console(file=stream, width=width, markup=False, highlight=False, force_terminal=colour)
    print_review(review, recheck=recheck, console=console)
    return stream.getvalue()


def test_questions_stand_under_their_stage(review: Review) -> None:
    text = shown(review)
    assert text.index("ASK BEFORE BIDDING") < text.index("calls out ST-3") < text.index("ASK BEFORE THE POUR") < text.index("longer bolts")
    assert all(question.question.splitlines()[0][:30] in text for question in review.questions[:6])
    assert "7 in + 3.00 in" in text and "page 6: no readable text" in text and "strap-reach" in text
    assert CAUTION in " ".join(text.split())


def test_building_is_shown_with_its_words(review: Review) -> None:
    line = next(line for line in shown(review).splitlines() if "Storeys" in line)
    assert "2" in line and '"SECOND FLOOR FRAMING PLAN", S-3' in line


def test_load_path_stands_from_roof_to_footing_with_words_and_place(review: Review) -> None:
    text = shown(review)
    assert text.index("Roof to wall top, storey 2") < text.index("Upper studs to lower studs") < text.index("Sill to foundation, storey 1")
    line = next(line for line in text.splitlines() if "Sill to foundation" in line)
    assert "partly stated" in line and '5/8" anchor bolts at 48 in (S-2, note 9), still needs embedment' in line
    assert "weakest: floor-to-floor, storey 1: 1,235 lb against 1,400 lb" in text


def test_markup_in_foreign_text_is_not_obeyed(review: Review) -> None:
    assert "*bold* [red]" in shown(review, colour=True)


def test_control_characters_are_written_out(review: Review) -> None:
    text = shown(review)
    assert "\\u0007" in text and "\\u202e" in text
    assert not any(ord(c) < 32 and c != "\n" for c in text) and "\u202e" not in text


def test_no_colour_where_the_output_is_no_terminal(review: Review, capsys: pytest.CaptureFixture[str]) -> None:
    print_review(review)
    assert "\x1b" not in capsys.readouterr().out


def test_no_color_switches_colours_off(review: Review, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    assert "\x1b[36m" not in shown(review, colour=True)


def test_a_narrow_encoding_loses_letters_not_the_output(review: Review, monkeypatch: pytest.MonkeyPatch) -> None:
    raw = io.BytesIO()
    monkeypatch.setattr("sys.stdout", io.TextIOWrapper(raw, encoding="ascii"))
    odd = review.model_copy(update={"file": "Ñandú ⌀.pdf"})
    console = make_console()
    console.print(render_review(odd))
    console.file.flush()
    assert b"and\\xfa \\u2300.pdf" in raw.getvalue()


def test_comparison_shows_status_and_what_is_answered(review: Review) -> None:
    first, last = review.questions[0], review.questions[5]
    lines = (RecheckLine(status="new", question=first), RecheckLine(status="answered", question=last, new_words=last.where))
    text = shown(review.model_copy(update={"questions": (first,)}), recheck=Recheck(file="old.pdf", lines=lines))
    assert "[new in the revised set]" in text
    assert "against old.pdf: 1 answered, 0 still open, 0 changed, 1 new" in text
    assert "now S-5, note 12: 12. TIE CUT PLATES" in text
    assert text.index("ANSWERED SINCE") < text.index("What carries compression")


@pytest.mark.parametrize("width", [60, 80, 100, 200])
def test_no_line_ends_with_blanks(review: Review, width: int) -> None:
    lines = shown(review, width=width).splitlines()
    assert [line for line in lines if line != line.rstrip()] == []
    assert max(map(len, lines)) <= width


@pytest.mark.parametrize("width", [60, 80, 100])
def test_a_long_line_of_places_goes_on_below_its_beginning(review: Review, width: int) -> None:
    where = review.questions[0].where[0].model_copy(update={"label": "a schedule with quite a long name, row of a mark, " * 3})
    question = review.questions[0].model_copy(update={"where": (where,)})
    text = shown(review.model_copy(update={"questions": (question,)}), width=width)
    lines = text.splitlines()
    head = next(i for i, line in enumerate(lines) if line.startswith(f"{question.number:>3}  "))
    assert lines[head + 1].startswith("     ") and "row of a mark" in " ".join(text.split())


@pytest.mark.parametrize("width", [80, 100, 200])
def test_the_storeys_of_a_floor_line_stay_together(review: Review, width: int) -> None:
    assert "storey 2 to 1" in shown(review, width=width)


@pytest.mark.parametrize(("columns", "width"), [("72", 72), ("160", 160), ("", 100), ("wide", 100), ("0", 100), ("9" * 30, 100)])
def test_columns_says_how_wide_a_piped_report_is(monkeypatch: pytest.MonkeyPatch, columns: str, width: int) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    assert make_console().width == width


def test_kinds_of_check_with_parameters_stand_before_the_others(capsys: pytest.CaptureFixture[str]) -> None:
    print_checks()
    text = capsys.readouterr().out
    assert text.index("words-lacking: any") < text.index("Without parameters") < text.index("strap-reach")
    assert "no parameters" not in text and len(text.splitlines()) < 40
