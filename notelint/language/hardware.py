"""The user's hardware list: what bare model numbers are.

A text file of lines with separators (comma, semicolon or tab, told from the first line). The first line names the columns:
`mark` (needed), `device`, `item`, `fasteners`, `uplift_lb`, `notes`. Devices are written with the agreed names ("hold-down", ...) or
any words the vocabulary knows.
"""

from __future__ import annotations

import csv
import re
import stat
from pathlib import Path
from typing import get_args

from notelint.errors import BadHardwareList
from notelint.language.pipeline import find_terms
from notelint.language.plain import plain
from notelint.model import Cell, Device, Layout, Passage, Record

_LARGEST_BYTES = 2_000_000
_MOST_LINES = 20_000
_COLUMNS = ("mark", "device", "item", "fasteners", "uplift_lb", "notes")
_DEVICES = frozenset(get_args(Device))


class HardwareEntry(Record):
    """One line of the list."""

    mark: str
    device: Device | None = None
    item: str = ""
    fasteners: str = ""
    uplift_lb: float | None = None
    notes: str = ""
    line: int = 0


class HardwareList(Record):
    """The whole list and where it was read from."""

    lines: tuple[HardwareEntry, ...] = ()
    source: str = ""


def load_hardware_list(path: Path) -> HardwareList:
    """Reads a hardware list.

    Raises BadHardwareList with file, line and reason where it cannot be used.
    """
    try:
        found = path.stat()
        if not stat.S_ISREG(found.st_mode):
            raise BadHardwareList(f"{path}: is no file; give a text file with a first line such as mark,device,fasteners")
        if found.st_size > _LARGEST_BYTES:
            raise BadHardwareList(f"{path}: larger than {_LARGEST_BYTES // 1_000_000} MB; give a list of the set's hardware only")
        text = path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise BadHardwareList(
            f"{path}: cannot be read ({error.strerror}); give a text file with a first line such as mark,device,fasteners"
        ) from error
    except UnicodeDecodeError as error:
        raise BadHardwareList(f"{path}: is no UTF-8 text; save the list as CSV in UTF-8") from error
    return HardwareList(lines=tuple(_entries(path, text)), source=path.name)


def _entries(path: Path, text: str) -> list[HardwareEntry]:
    lines = text.splitlines()
    if not lines or not lines[0].strip():
        raise BadHardwareList(f"{path}: line 1 is empty; it must name the columns, for example mark,device,fasteners,uplift_lb")
    if len(lines) > _MOST_LINES:
        raise BadHardwareList(f"{path}: more than {_MOST_LINES} lines; give a list of the set's hardware only")
    separator = max((",", ";", "\t"), key=lines[0].count)
    try:
        rows = list(csv.reader(lines, delimiter=separator, strict=True))
    except csv.Error as error:
        raise BadHardwareList(f"{path}: {error}; check the quotes") from error
    heads = [h.strip().lower().replace(" ", "_") for h in rows[0]]
    _check_heads(path, heads)
    out: dict[str, HardwareEntry] = {}
    for number, row in enumerate(rows[1:], start=2):
        if any(cell.strip() for cell in row):
            entry = _entry(path, number, heads, row)
            if entry.mark in out:
                raise BadHardwareList(f"{path}: line {number}: mark {entry.mark!r} stands already in line {out[entry.mark].line}")
            out[entry.mark] = entry
    return list(out.values())


def _check_heads(path: Path, heads: list[str]) -> None:
    if "mark" not in heads:
        raise BadHardwareList(f"{path}: line 1 has no column 'mark'; columns are {', '.join(_COLUMNS)}")
    for head in heads:
        if head not in _COLUMNS:
            raise BadHardwareList(f"{path}: line 1: unknown column {head!r}; columns are {', '.join(_COLUMNS)}")
        if heads.count(head) > 1:
            raise BadHardwareList(f"{path}: line 1: column {head!r} stands twice")


def _entry(path: Path, number: int, heads: list[str], row: list[str]) -> HardwareEntry:
    if len(row) > len(heads):
        raise BadHardwareList(
            f"{path}: line {number}: {len(row)} cells under {len(heads)} columns; put cells that hold separators in quotes"
        )
    values = {head: cell.strip() for head, cell in zip(heads, row, strict=False)}
    if not values.get("mark"):
        raise BadHardwareList(f"{path}: line {number}: no mark")
    return HardwareEntry(
        mark=values["mark"],
        device=_device(path, number, values.get("device", "")),
        item=values.get("item", ""),
        fasteners=values.get("fasteners", ""),
        uplift_lb=_load(path, number, values.get("uplift_lb", "")),
        notes=values.get("notes", ""),
        line=number,
    )


def _device(path: Path, number: int, words: str) -> Device | None:
    if not words:
        return None
    low = plain(words)
    if low in _DEVICES:
        return low  # type: ignore[return-value]
    named = next((t.name for t in find_terms(words, low) if t.kind == "device" and t.name in _DEVICES), None)
    if named is None:
        raise BadHardwareList(f"{path}: line {number}: device {words!r} is unknown; use one of {', '.join(sorted(_DEVICES))}")
    return named  # type: ignore[return-value]


def _load(path: Path, number: int, words: str) -> float | None:
    if not words:
        return None
    try:
        value = float(words.replace(",", "").removesuffix("lb").removesuffix("lbs").strip())
    except ValueError as error:
        raise BadHardwareList(f"{path}: line {number}: uplift_lb {words!r} is no number of pounds") from error
    if not 0 <= value < 1_000_000:
        raise BadHardwareList(f"{path}: line {number}: uplift_lb {words!r} is out of range")
    return value


LIST_PAGE = 0  # no sheet of the set: the words stand in the user's own list


def with_hardware(layout: Layout, hardware: HardwareList) -> Layout:
    """The layout with a schedule line for every mark of the user's list that stands somewhere in the set.

    What a bare model number means then comes from the list as it would from a schedule, fasteners and capacity included.
    """
    said = {re.sub(r"[^A-Z0-9]", "", word.upper()) for p in layout.passages for word in re.findall(r"[A-Za-z]{1,6}[-. ]?\d[\w.-]*", p.text)}
    lines = [e for e in hardware.lines if re.sub(r"[^A-Z0-9]", "", e.mark.upper()) in said]
    return layout.model_copy(update={"passages": (*layout.passages, *(_as_row(e, hardware.source) for e in lines))})


def _as_row(entry: HardwareEntry, source: str) -> Passage:
    uplift = f"{entry.uplift_lb:,.0f} lb" if entry.uplift_lb else ""
    said = (("MARK", entry.mark), ("ITEM", " ".join(x for x in (entry.device or "", entry.item) if x)), ("FASTENERS", entry.fasteners))
    cells, text = [], ""
    for column, words in (*said, ("CAPACITY", uplift)):
        text += " | " if text else ""
        cells.append(Cell(column, len(text), len(text) + len(words)))
        text += words
    return Passage(
        id=f"list{entry.line}", page=LIST_PAGE, sheet=None, kind="row", label=f"your hardware list {source}, line {entry.line}", text=text,
        headings=("CONNECTOR SCHEDULE",), cells=tuple(cells),
    )  # fmt: skip
