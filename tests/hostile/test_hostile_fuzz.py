"""Damage nobody thought of: sound plan sets with bytes changed, and words in no order.

Runs a fixed number of examples. To look longer, give the number:
    NOTELINT_FUZZ=20000 .venv/bin/python -m pytest tests/hostile/test_hostile_fuzz.py
A file that fails is kept by hypothesis and tried first in the next run; put it on the list of its kind once it is understood.
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from hostile_outcomes import outcome_of
from hostile_pdfs import document, flate, saved, sheet, writing
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from notelint.language import read_language
from notelint.model import Layout, Passage

EXAMPLES = int(os.environ.get("NOTELINT_FUZZ", "40"))
MANY = settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
SOUND = (
    saved(document(2)),
    sheet(),
    sheet(flate(writing(["1. HOLD-DOWNS HD-3 AT EACH END."] * 20)), entries=b"/Filter /FlateDecode"),
    sheet(page=b"/Annots [<< /Type /Annot /Subtype /FreeText /Rect [40 40 300 90] /Contents (HD-3) >>] /Rotate 90"),
)
BITS = (
    b"",
    b"0",
    b"-1",
    b"9999999999",
    b"/",
    b"<<",
    b">>",
    b"[",
    b"]",
    b"(",
    b")",
    b"endobj",
    b"stream",
    b"endstream",
    b"1 0 R",
    b"3 0 R",
    b"\0",
    b"\xff",
)


@st.composite
def damaged(draw: st.DrawFn) -> bytes:
    """A sound file in which some stretches are replaced, left out, doubled or moved."""
    data = draw(st.sampled_from(SOUND))
    for _ in range(draw(st.integers(1, 6))):
        at = draw(st.integers(0, max(0, len(data) - 1)))
        to = min(len(data), at + draw(st.integers(0, 40)))
        match draw(st.sampled_from(["bit", "bytes", "cut", "double"])):
            case "bit":
                data = data[:at] + draw(st.sampled_from(BITS)) + data[to:]
            case "bytes":
                data = data[:at] + draw(st.binary(max_size=8)) + data[to:]
            case "double":
                data = data[:to] + data[at:]
            case _:
                data = data[:at] + data[to:]
    return data


@MANY
@given(damaged())
def test_a_damaged_plan_set_gives_a_review_or_one_reason(data: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "a.pdf"
        file.write_bytes(data)
        done, reason = outcome_of(file)
        assert done is not None or reason


PLAIN = """HOLD-DOWN HD-3 (10) 10d @ 12" O.C. EACH STUD STRAP 3/4" SEE 4/S-5 TYP. U.N.O. NAILS PLATE BOLTS 1-1/2 X x - / : ; . , ( ) TO AT
    NOT OR AND NO #9 0.131 Ø ½ | = 5'-3 lb plf GA. MIN. ___ 2x6 16d ST-22 ١ AS REQUIRED SAME BY OTHERS"""
WORDS = st.sampled_from([*PLAIN.split(), "\u0301"])


@MANY
@given(st.lists(st.one_of(WORDS, st.text(max_size=6)), max_size=30).map(" ".join), st.sampled_from(["note", "row", "callout", "heading"]))
def test_words_in_no_order_are_read_without_a_fault(text: str, kind: str) -> None:
    """And every requirement quotes the very characters it was read from."""
    text = " ".join(text.split())
    passage = Passage(id="p1", page=1, sheet="S-1", kind=kind, label="note 1", text=text)  # type: ignore[arg-type]
    reading = read_language(Layout(passages=(passage,)))
    for one in reading.requirements:
        assert one.quote == text[one.start : one.end]
    for mark in reading.marks:
        assert 0 <= mark.start <= mark.end <= len(text)
