"""The sheet's number: the mark in its title block, told from all the marks that look like one.

No single sign is enough: the type may be small, the block may stand on any edge, the label SHEET may be missing. Each sign adds to a
mark's score; the strongest is that on other sheets of the set another mark of the same kind stands on the very same place.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence
from statistics import median
from typing import NamedTuple

from notelint.abreast import of_each
from notelint.model import Box, Sheet
from notelint.planset.runs import Run, distance, runs_of

_NUMBER = re.compile(r"[A-Z]{1,3}[-.]?\d{1,3}(?:[.-]\d{1,2})?[A-Z]?")
_SPLIT = re.compile(r"(?:[A-Z]{1,3} ?- ?\d{1,3}(?:\.\d{1,2})?|[A-Z]{1,2} \d{1,2}(?:\.\d{1,2})?)")
_NUMERAL = re.compile(r"\d{1,2}(?:\.\d{1,2})?")
_LARGE = 1.8  # a number without letter or label is in type this much larger than is usual on the sheet
_MISREAD = re.compile(r"[A-Z]{1,2}[-.]?[\dOIl]{1,3}")  # a reader of pictures takes 0 for O and 1 for I
_LABEL = re.compile(r"(?:SHEET|SHT|DWG|DRAWING|PLAN|PAGE)\b[ .:#]*(?:NO|NUMBER|NUM|#)?\b[ .:#]*", re.IGNORECASE)
_NO_LABEL = re.compile(r"\b(?:TITLE|NAME|CONTENTS|INDEX|LIST|SIZE|SCALE|DATE|BY)\b", re.IGNORECASE)
_OF = re.compile(r"(?:SHEET|SHT)[ .:#]*(?:NO\.?)?[ .:#]*(\d{1,3})(?: *(?:OF|/) *\d{1,3})?", re.IGNORECASE)
_OUT_OF = re.compile(r"(\d{1,2}) OF \d{1,2}", re.IGNORECASE)
_REFERS = re.compile(r"\b(?:SEE|PER|ON|TO|AT|REFER|DETAIL|DET|SECTION|FROM|TYPE|FORM|MODEL)\b[ .:]*(?:SHEET|SHT)?[ .:]*$", re.IGNORECASE)
_PREFIXES = set("ASGNCMPETLDFR")  # disciplines, by common practice

LEAST = 3.4  # score below which a mark is not taken for the sheet's number


class Candidate(NamedTuple):
    """A mark that may be the sheet's number."""

    value: str
    box: Box
    size: float
    score: float


def sheet_numbers(sheets: Sequence[Sheet], *, beside: bool = False) -> list[Candidate | None]:
    """The number of each sheet, None where it has none; with `beside` in two processes at most."""
    found = of_each(lambda index: _candidates(sheets[index]), len(sheets), beside=beside)
    listed = set().union(*(_listed(sheet) for sheet in sheets)) if sheets else set()
    slots = _slots(sheets, found)
    out: list[Candidate | None] = []
    for sheet, candidates, shares in zip(sheets, found, slots, strict=True):
        full = [
            c._replace(score=c.score + 4.0 * share + (1.0 if c.value in listed else 0.0) - 3.0 * _in_bubble(c, sheet))
            for c, share in zip(candidates, shares, strict=True)
        ]
        best = max(full, key=lambda c: c.score, default=None)
        out.append(best if best is not None and best.score >= LEAST else None)
    return out


def _candidates(sheet: Sheet) -> list[Candidate]:
    """Marks near an edge of the sheet, with what speaks for each on its own sheet."""
    width, height = sheet.width, sheet.height
    edge = [w for w in sheet.words if w.x1 > 0.76 * width or w.bottom > 0.82 * height or w.top < 0.1 * height or w.x0 < 0.1 * width]
    if not edge:
        return []
    usual = median(w.size for w in sheet.words)
    runs = runs_of(edge)
    labels = [run for run in runs if _LABEL.match(run.text) and not _NO_LABEL.search(run.text)]
    out = []
    for run in runs:
        for value, box, size, led in _marks(run, sheet.text == "ocr"):
            own = led or any(label is not run and _labels(label, run) for label in labels)
            if _is_numeral(value) and not own and size < _LARGE * usual:
                continue
            out.append(Candidate(value, box, size, _own_score(value, box, size / usual, own, sheet)))
    return out


def _marks(run: Run, read: bool) -> list[tuple[str, Box, float, bool]]:
    """Marks in a run: value, box, type height, and whether a label leads up to it in the same run."""
    out = []
    for index, word in enumerate(run.words):
        text = word.text.strip(".,:;()")
        value = text.upper()
        if not _NUMBER.fullmatch(value):
            if not (read and len(run.words) == 1 and _MISREAD.fullmatch(text)):
                continue
            value = text[0] + text[1:].replace("O", "0").replace("I", "1").replace("l", "1")
        before = " ".join(w.text for w in run.words[:index])
        if _REFERS.search(before) or (index and run.words[index - 1].text.endswith("/")):
            continue
        out.append((value, Box(*word[1:5]), word.size, bool(before and _LABEL.fullmatch(before + " "))))
    if not out and _SPLIT.fullmatch(run.text):
        out.append((run.text.replace(" ", "" if "-" in run.text else "-"), run.box, run.size, False))
    of = _OF.fullmatch(run.text) or _OUT_OF.fullmatch(run.text)
    if of:
        out.append((of.group(1), run.box, run.size, True))
    elif not out and len(run.words) == 1 and _is_numeral(run.text):
        out.append((run.text, run.box, run.size, False))
    return out


def _is_numeral(value: str) -> bool:
    """Whether a number has no letter: `3`, `2.0`."""
    return bool(_NUMERAL.fullmatch(value))


def _labels(label: Run, run: Run) -> bool:
    """Whether a label stands by itself directly above, below or before the mark."""
    alone = bool(_LABEL.fullmatch(label.text + " "))
    return alone and distance(label.box, run.box) <= 1.3 * run.size + 8


def _own_score(value: str, box: Box, relative: float, own: bool, sheet: Sheet) -> float:
    """What speaks for a mark on its own sheet: a label, large type, the lower right corner, a usual prefix."""
    right, foot = (sheet.width - box.x1) / sheet.width, (sheet.height - box.bottom) / sheet.height
    other = max(min(right, box.x0 / sheet.width), min(foot, box.top / sheet.height))
    corner = max(0.0, 1.5 - 4.0 * max(right, foot), 0.8 - 4.0 * other)
    score = (3.0 if own else 0.0) + max(0.0, min(3.0, 1.5 * (relative - 1.0))) + corner
    if _is_numeral(value):
        return score - 2.0
    letters = re.match(r"[A-Z]+", value)
    return score + (0.5 if letters and letters.group()[0] in _PREFIXES and len(letters.group()) <= 2 else 0.0)


def _in_bubble(candidate: Candidate, sheet: Sheet) -> bool:
    """Whether the mark stands in a drawn circle, as the sheet a detail is found on does."""
    x, y = (candidate.box.x0 + candidate.box.x1) / 2, (candidate.box.top + candidate.box.bottom) / 2
    return any(c.x0 <= x <= c.x1 and c.top <= y <= c.bottom and c.x1 - c.x0 < 6 * candidate.size for c in sheet.circles)


def _slots(sheets: Sequence[Sheet], found: Sequence[Sequence[Candidate]]) -> list[list[float]]:
    """For each candidate: on what share of the like sheets a different mark of like size stands on the same place."""
    groups: dict[tuple[int, int], list[int]] = defaultdict(list)
    for index, sheet in enumerate(sheets):
        groups[round(sheet.width / 36), round(sheet.height / 36)].append(index)
    out = [[0.0] * len(candidates) for candidates in found]
    for members in groups.values():
        cells: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
        for index in members:
            for place, candidate in enumerate(found[index]):
                cells[_cell(sheets[index], candidate)].append((index, place))
        for (column, row), here in cells.items():
            near = [entry for dx in (-1, 0, 1) for dy in (-1, 0, 1) for entry in cells.get((column + dx, row + dy), ())]
            for index, place in here:
                out[index][place] = _share(index, found[index][place], near, found, len(members))
    return out


def _cell(sheet: Sheet, candidate: Candidate) -> tuple[int, int]:
    """Place of a candidate's middle, in steps of 1.5 percent of the sheet's longer side, from the lower right corner."""
    step = 0.015 * max(sheet.width, sheet.height)
    x, y = (candidate.box.x0 + candidate.box.x1) / 2, (candidate.box.top + candidate.box.bottom) / 2
    return int((sheet.width - x) / step), int((sheet.height - y) / step)


def _share(index: int, candidate: Candidate, near: Sequence[tuple[int, int]], found: Sequence[Sequence[Candidate]], members: int) -> float:
    if members < 2:
        return 0.0
    others: dict[int, str] = {}
    for other, place in near:
        mark = found[other][place]
        if (
            other != index
            and abs(mark.size - candidate.size) <= 0.25 * candidate.size
            and _is_numeral(mark.value) == _is_numeral(candidate.value)
        ):
            others.setdefault(other, mark.value)
    different = len({v for v in others.values() if v != candidate.value})
    return min(1.0, different / max(1, min(members - 1, 6)))


def _listed(sheet: Sheet) -> set[str]:
    """Marks of a sheet index: three or more below one another, each with words to its right."""
    marks = [w for w in sheet.words if w.turn == 0 and _NUMBER.fullmatch(w.text.upper())]
    if len(marks) < 3:
        return set()
    columns: dict[int, list[str]] = defaultdict(list)
    heads = {round(w.x0 / 6) for w in sheet.words if re.fullmatch(r"SHEET|SHT\.?|NO\.?|DWG\.?|INDEX|DRAWING|DRAWINGS", w.text.upper())}
    for w in marks:
        columns[round(w.x0 / 6)].append(w.text.upper())
    return {v for at, values in columns.items() if len(set(values)) >= 3 and heads & {at - 1, at, at + 1} for v in values}
