"""Hostile plan sets: each gives a review or one clear reason, in its own process, within its limits."""

from __future__ import annotations

from pathlib import Path

import pytest
from hostile_outcomes import outcome_of
from hostile_pdfs import PDFS

READS_ON = {
    "cross-reference-shifted", "turned-by-an-odd-angle", "locked-against-change-only", "outline-in-a-ring", "form-fields-in-a-ring",
    "file-that-wants-to-run-programs", "fifty-thousand-notes", "notes-of-the-wrong-kind",
    "one-sound-sheet-among-broken-ones", "box-inside-out", "picture-that-is-its-own-mask", "note-that-is-its-own-parent",
}  # fmt: skip
"""Files whose words can be had in spite of all."""
NAMED_AS_UNREAD = {
    "form-that-draws-itself", "forms-that-multiply", "bomb-packed-twice", "bomb-of-blanks", "box-of-a-billion-points",
    "five-thousand-pages", "picture-larger-than-memory", "letters-that-mean-a-book-each",
}  # fmt: skip
"""Files with sheets that are not read: never passed over in silence."""
SAID = {
    "empty": "empty", "web-page": "not a PDF", "locked-with-a-password": "password", "cut-after-a-quarter": "cut off",
    "no-pages": "no pages",
}  # fmt: skip


@pytest.mark.parametrize("name", PDFS)
def test_a_hostile_plan_set_gives_a_review_or_one_reason(name: str, tmp_path: Path) -> None:
    """No crash, no fault of ours, no hang; and where words can be had, they are."""
    file = tmp_path / f"{name}.pdf"
    file.write_bytes(PDFS[name]())
    done, reason = outcome_of(file)
    if name in READS_ON:
        assert done is not None, reason
        assert any(sheet.text == "vector" for sheet in done.review.sheets)
    if name in NAMED_AS_UNREAD:
        assert done is not None, reason
        assert done.review.not_checked
    if name in SAID:
        assert done is None
        assert SAID[name] in reason
