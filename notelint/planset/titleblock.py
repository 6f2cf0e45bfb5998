"""Title blocks: number, title, discipline, revision, scale, and the part of the sheet that the block takes."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Sequence
from typing import Any

import numpy
from numpy.typing import NDArray

from notelint.abreast import of_each
from notelint.model import Box, Sheet, Word
from notelint.planset.numbers import Candidate, sheet_numbers
from notelint.planset.runs import Run, distance, runs_of

_DISCIPLINES = {
    "A": "architectural", "C": "civil", "D": "details", "E": "electrical", "F": "fire protection", "G": "general", "L": "landscape",
    "M": "mechanical", "N": "notes", "P": "plumbing", "S": "structural", "T": "title",
}  # fmt: skip
"""Meaning of a sheet number's first letter: common practice, no source."""

_TITLE_LABEL = re.compile(
    r"(?:(?:SHEET|DRAWING|DWG\.?) (?:TITLE|NAME|CONTENTS?|DESCRIPTION)|TITLE|CONTENTS?|DESCRIPTION)[ .:]*", re.IGNORECASE
)
_ANY_LABEL = re.compile(
    r"(?:SHEET|SHT|DWG|DRAWING|PROJECT|JOB|DATE|DRAWN|CHECKED|CHK'?D|SCALE|REV(?:ISIONS?)?|TITLE|CLIENT|OWNER|FILE|ISSUED?|BY|NO|DESIGNED|"
    r"APPROVED|PLOT(?:TED)?|STATUS|PHONE|TEL|FAX|SEAL|COPYRIGHT)\b.*",
    re.IGNORECASE,
)
_DATE = re.compile(r"\d{1,4}[./-]\d{1,2}[./-]\d{1,4}")
_REVISION = re.compile(r"\bREV(?:ISION)?(?:\.|:| NO\.?| #)*\s+#?([A-Z]|\d{1,2})\b(?![./-]\d)", re.IGNORECASE)
_SCALE = re.compile(r"\bSCALE\s*:?\s*(.+)", re.IGNORECASE)
_SCALE_VALUE = re.compile(r"\d.*=.*\d|AS (?:NOTED|SHOWN|INDICATED)|N\.?T\.?S\.?|NONE|NOT TO SCALE|VARIES|1 ?: ?\d+", re.IGNORECASE)


def name_sheets(sheets: Sequence[Sheet], *, beside: bool = False) -> list[Sheet]:
    """The sheets with what their title blocks say of them; with `beside` in two processes at most."""
    numbers = sheet_numbers(sheets, beside=beside)
    common = _common(sheets)
    blocks = _blocks(sheets, numbers, common)

    def said(index: int) -> dict[str, Any]:
        sheet, number, block = sheets[index], numbers[index], blocks[index]
        return {} if number is None or block is None else _said(sheet, number, block, common.get(_like(sheet), set()))

    found = of_each(said, len(sheets), beside=beside)
    named = [sheet.model_copy(update=update) if update else sheet for sheet, update in zip(sheets, found, strict=True)]
    lead = _shared_lead([sheet.title for sheet in named if sheet.title])
    return [s.model_copy(update={"title": s.title[lead:].strip(" -,:|")}) if s.title and lead else s for s in named]


def _said(sheet: Sheet, number: Candidate, block: Box, common: set[tuple[str, int, int]]) -> dict[str, Any]:
    """What a title block says, by the names of a sheet's fields."""
    inside = runs_of([w for w in sheet.words if _within(w, block)])
    near = inside if _is_strip(sheet, block) else runs_of([w for w in sheet.words if _within(w, _reach(sheet, number))])
    return {
        "number": number.value,
        "title": _title(sheet, number, inside, near, common),
        "discipline": _discipline(number.value),
        "revision": _first(_REVISION, near),
        "scale": _scale(near),
        "block": block,
    }


def _shared_lead(titles: Sequence[str]) -> int:
    """Length of the words that all titles of a set begin with, as the project's name does; 0 where that would leave a title empty."""
    if len(titles) < 3:
        return 0
    first, last = min(titles), max(titles)
    lead = next((i for i, (a, b) in enumerate(zip(first, last, strict=False)) if a != b), min(len(first), len(last)))
    while lead and titles[0][lead - 1] != " ":
        lead -= 1
    return lead if lead >= 12 and all(len(t) > lead for t in titles) else 0


def _discipline(number: str) -> str | None:
    return _DISCIPLINES.get(number[0])


def _like(sheet: Sheet) -> tuple[int, int]:
    return round(sheet.width / 36), round(sheet.height / 36)


def _spot(sheet: Sheet, word: Word) -> tuple[str, int, int]:
    return word.text, round((sheet.width - word.x0) / 8), round((sheet.height - word.top) / 8)


def _common(sheets: Sequence[Sheet]) -> dict[tuple[int, int], set[tuple[str, int, int]]]:
    """Words that stand on the same place on most sheets of a size: firm, project, labels, frame letters."""
    groups: dict[tuple[int, int], list[Sheet]] = defaultdict(list)
    for sheet in sheets:
        groups[_like(sheet)].append(sheet)
    out = {}
    for like, members in groups.items():
        count = Counter(spot for s in members for spot in {_spot(s, w) for w in s.words}) if len(members) > 1 else Counter()
        out[like] = {spot for spot, n in count.items() if n >= max(2, 0.6 * len(members))}
    return out


def _is_common(sheet: Sheet, word: Word, common: set[tuple[str, int, int]]) -> bool:
    text, x, y = _spot(sheet, word)
    return any((text, x + dx, y + dy) in common for dx in (-1, 0, 1) for dy in (-1, 0, 1))


def _within(word: Word, box: Box) -> bool:
    return box.x0 <= (word.x0 + word.x1) / 2 <= box.x1 and box.top <= (word.top + word.bottom) / 2 <= box.bottom


# ---------------------------------------------------------------- where the block stands


def _blocks(
    sheets: Sequence[Sheet], numbers: Sequence[Candidate | None], common: dict[tuple[int, int], set[tuple[str, int, int]]]
) -> list[Box | None]:
    """The strip along an edge that a long line cuts off, on the same place on most sheets of a size; else what repeats about the number."""
    strips = [_strips(sheet, number) if number else [] for sheet, number in zip(sheets, numbers, strict=True)]
    votes = Counter((_like(sheet), _rounded(strip)) for sheet, own in zip(sheets, strips, strict=True) for strip in own)
    alike = Counter(_like(sheet) for sheet, number in zip(sheets, numbers, strict=True) if number)
    out: list[Box | None] = []
    for sheet, number, own in zip(sheets, numbers, strips, strict=True):
        if number is None:
            out.append(None)
            continue
        like = _like(sheet)
        kept = [s for s in own if alike[like] < 3 or votes[like, _rounded(s)] >= 0.5 * alike[like]]
        smallest = min(kept, key=lambda b: (-votes[like, _rounded(b)], (b.x1 - b.x0) * (b.bottom - b.top)), default=None)
        out.append(smallest or _around(sheet, number, common.get(like, set())))
    return out


def _rounded(box: Box) -> tuple[int, ...]:
    return tuple(round(v / 4) for v in box)


def _strips(sheet: Sheet, number: Candidate) -> list[Box]:
    """Strips along an edge, with the number in them, that a long line cuts off."""
    width, height = sheet.width, sheet.height
    x0, top, x1, bottom = number.box
    lines = sheet.segments
    if not len(lines):
        return []
    across, down = abs(lines[:, 0] - lines[:, 2]), abs(lines[:, 1] - lines[:, 3])
    upright = _levels(lines[(across < 1.0) & (down >= 0.5 * height), 0])
    level = _levels(lines[(down < 1.0) & (across >= 0.5 * width), 1])
    out = [Box(x, 0.0, width, height) for x in upright if 0.6 * width < x < x0]
    out += [Box(0.0, 0.0, x, height) for x in upright if x1 < x < 0.3 * width]
    out += [Box(0.0, y, width, height) for y in level if 0.65 * height < y < top]
    out += [Box(0.0, 0.0, width, y) for y in level if bottom < y < 0.3 * height]
    return out


def _levels(values: NDArray[numpy.float32]) -> list[float]:
    """Different values; no more than a sheet's frame and block may give."""
    return sorted({round(float(v), 1) for v in values})[:400]


def _is_strip(sheet: Sheet, block: Box) -> bool:
    return (block.x1 - block.x0) * (block.bottom - block.top) > 0.02 * sheet.width * sheet.height


def _reach(sheet: Sheet, number: Candidate) -> Box:
    """Where the rest of a block without a frame may stand: about the number, a fifth of the sheet each way."""
    x, y = 0.2 * sheet.width, 0.2 * sheet.height
    return Box(number.box.x0 - x, number.box.top - y, number.box.x1 + x, number.box.bottom + y)


def _around(sheet: Sheet, number: Candidate, common: set[tuple[str, int, int]]) -> Box:
    """The box around the number and the repeated words near it, where no line cuts a strip off."""
    reach_x, reach_y = 0.3 * sheet.width, 0.3 * sheet.height
    x0, top, x1, bottom = number.box
    if sheet.width < 700 and sheet.height < 900:  # a typed page: the line at its head or foot
        return Box(0.0, top - 4, sheet.width, sheet.height) if top > sheet.height / 2 else Box(0.0, 0.0, sheet.width, bottom + 4)
    near = [
        w for w in sheet.words
        if x0 - reach_x < w.x0 and w.x1 < x1 + reach_x and top - reach_y < w.top and w.bottom < bottom + reach_y
        and len(w.text) > 1 and _is_common(sheet, w, common)
    ]  # fmt: skip
    boxes = [number.box, *(Box(*w[1:5]) for w in near)]
    box = Box(min(b.x0 for b in boxes) - 4, min(b.top for b in boxes) - 4, max(b.x1 for b in boxes) + 4, max(b.bottom for b in boxes) + 4)
    box = box._replace(
        x1=sheet.width if box.x1 > 0.9 * sheet.width else box.x1, bottom=sheet.height if box.bottom > 0.9 * sheet.height else box.bottom
    )
    share = (box.x1 - box.x0) * (box.bottom - box.top) / (sheet.width * sheet.height)
    return box if share <= 0.2 else Box(x0 - 4, top - 4, x1 + 4, bottom + 4)


# ---------------------------------------------------------------- what the block says


def _title(sheet: Sheet, number: Candidate, inside: Sequence[Run], near: Sequence[Run], common: set[tuple[str, int, int]]) -> str | None:
    """What follows the title's label; else the largest words of the block that other sheets do not share; else the page's largest."""
    own = [r for r in inside if _may_be_title(r, number) and not all(_is_common(sheet, w, common) for w in r.words)]
    for label in near:
        match = _TITLE_LABEL.match(label.text)
        if match and match.end() == len(label.text):
            below = [r for r in near if r is not label and _may_be_title(r, number) and _follows(label, r)]
            if below:
                return _with_next(min(below, key=lambda r: distance(label.box, r.box)), near, number)
        elif match and label.text[: match.end()].rstrip().endswith(":"):
            return label.text[match.end() :].strip()
    if own and (common or len(inside) < 30):
        largest = max(r.size for r in own)
        best = min((r for r in own if r.size >= 0.9 * largest), key=lambda r: distance(r.box, number.box))
        return _with_next(best, inside, number)
    level = [w for w in sheet.words if w.turn == 0 and not _within(w, number.box)]
    largest = max((w.size for w in level), default=0.0)
    runs = runs_of([w for w in level if w.size >= 0.6 * largest])
    runs.sort(key=lambda r: (-r.size, r.box.top))
    return next((r.text for r in runs if len(r.text) >= 6 and _may_be_title(r, number)), None)


def _may_be_title(run: Run, number: Candidate) -> bool:
    letters = sum(map(str.isalpha, run.text))
    is_number = distance(run.box, number.box) == 0 and number.value in run.text.upper().replace(" ", "")
    return (
        letters >= 3
        and letters >= 0.5 * len(run.text)
        and not is_number
        and not _ANY_LABEL.fullmatch(run.text)
        and not _DATE.search(run.text)
    )


def _follows(label: Run, run: Run) -> bool:
    """Whether a run stands below a label, or behind it on its line, in the writing's own direction."""
    if label.turn != run.turn:
        return False
    below = run.frame[1] - label.frame[3]
    overlaps = run.frame[0] < label.frame[2] + 14 * label.size and run.frame[2] > label.frame[0] - 2 * label.size
    return (-0.3 * label.size <= below <= 3.5 * run.size and overlaps) or (
        abs(run.frame[3] - label.frame[3]) < label.size and 0 < run.frame[0] - label.frame[2] < 6 * label.size
    )


def _with_next(first: Run, inside: Sequence[Run], number: Candidate) -> str:
    """The run and the lines that go on below it (or stand above it) in the same type."""
    lines = [first]
    for step in (1, -1):
        last = first
        while True:
            more = [r for r in inside if r not in lines and _may_be_title(r, number) and _next_line(last, r, step)]
            if not more or len(lines) >= 4:
                break
            last = more[0]
            lines.append(last)
    return " ".join(r.text for r in sorted(lines, key=lambda r: r.frame[3]))


def _next_line(last: Run, run: Run, step: int) -> bool:
    pitch = (run.frame[3] - last.frame[3]) * step
    overlaps = run.frame[0] < last.frame[2] and run.frame[2] > last.frame[0]
    same = run.turn == last.turn and abs(run.size - last.size) <= 0.08 * last.size and run.words[0].bold == last.words[0].bold
    return same and overlaps and 0.8 * last.size <= pitch <= 1.6 * last.size


def _first(pattern: re.Pattern[str], runs: Sequence[Run]) -> str | None:
    for run in runs:
        found = pattern.search(run.text)
        if found:
            return found.group(1).strip()
    return None


def _scale(runs: Sequence[Run]) -> str | None:
    """The scale behind or below its label."""
    for run in runs:
        found = _SCALE.search(run.text)
        if found and _SCALE_VALUE.match(found.group(1).strip()):
            return found.group(1).strip()
        if re.fullmatch(r"SCALE\s*:?", run.text, re.IGNORECASE):
            near = [r for r in runs if r is not run and _follows(run, r) and _SCALE_VALUE.match(r.text)]
            if near:
                return min(near, key=lambda r: distance(run.box, r.box)).text
    return None
