"""Bound-in pages are told from the designer's sheets."""

from __future__ import annotations

from pathlib import Path

import pytest
from sheetkit import both, draw, lines, read

TRUSS_LETTER = (
    "ROOF TRUSS ENGINEERING", "Job 2231, trusses T01 to T14, sealed drawings follow.",
    "Truss T03  Qty 12  Ply 1  Span 28-04-00", "TCLL 20.0 psf  TCDL 10.0  BCLL 0.0  BCDL 10.0",
    "Reactions: 2=1240/0-3-8, 8=1188/0-3-8", "Max Uplift 2=-412, 8=-309", "Top chord 2x4 SP No.2, bottom chord 2x4, webs 2x4 SP No.3",
)  # fmt: skip
CALCULATION = (
    "WIND UPLIFT CALCULATION", "p = q (GCp - GCpi) = 31.2 psf", "T = p x trib = 31.2 x 14 x 2 = 874 lb", "Tributary width = 14 ft",
    "Allowable = 1,015 lb > 874 lb  O.K.", "Overturning moment M = 4,310 ft-lb", "Resisting moment = 5,100 ft-lb", "Ratio = 0.85  check",
)  # fmt: skip
FORM = (
    "APPLICATION FOR BUILDING PERMIT", "Owner: ______________  Phone: __________", "Contractor: ____________  License No. ______",
    "Parcel: ________  Valuation $ ________", "Number of tie-downs and straps: ______", "I hereby certify that the above is true.",
    "Signature ______________  Date ______", "FOR OFFICE USE ONLY   Fee: ______",
)  # fmt: skip
NOTES = ("GENERAL NOTES", *["Provide strap ST-4 at each stud, nailed with (8) 10d x 1-1/2 in. to stud and to plate."] * 12)
LETTER_NOTES = (
    "STRUCTURAL NOTES", *["Trusses are designed by the truss maker for the uplift of the design wind and the permit drawings."] * 12,
)  # fmt: skip


@pytest.mark.parametrize(
    ("texts", "foot", "kind"),
    [
        (TRUSS_LETTER, "Page 3 of 12", "truss letter"),
        (CALCULATION, "4 of 9", "calculation"),
        (FORM, "Form B-12", "form"),
        (NOTES, "Sheet N-1", "notes"),
        (LETTER_NOTES, "Sheet S-0", "notes"),
    ],
    ids=["truss letter", "calculation", "form", "typed notes", "notes that speak of trusses"],
)
def test_kind_of_a_typed_page(tmp_path: Path, texts: tuple[str, ...], foot: str, kind: str) -> None:
    head = lines(texts[0], x=72, top=720, size=14, font="Helvetica-Bold")
    page = both(head, lines(*texts[1:], x=72, top=680), lines(foot, x=480, top=30, size=8))
    sheet = read(draw(tmp_path / "a.pdf", page, size=(612, 792))).sheets[0]
    assert sheet.kind == kind


@pytest.mark.parametrize(
    ("title", "kind"),
    [("COVER SHEET AND NOTES", "cover"), ("GENERAL NOTES", "notes"), ("CONNECTOR SCHEDULES", "schedule"), ("ROOF FRAMING PLAN", "drawing")],
)
def test_kind_of_a_sheet_follows_its_title(tmp_path: Path, title: str, kind: str) -> None:
    page = both(
        lines("HD-3 AT EACH END", "TRUSSES AT 24 IN.", x=100, top=600),
        lines("SHEET TITLE", title, x=1080, top=120),
        lines("S-2", x=1150, top=40, size=26),
    )
    (sheet,) = read(draw(tmp_path / "a.pdf", page, size=(1224, 792))).sheets
    assert (sheet.number, sheet.kind) == ("S-2", kind)
