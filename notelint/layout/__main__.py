"""Developer's look at what layout makes of a plan set.

    python -m notelint.layout PLANSET.pdf [--page N]... [--no-ocr]

prints one line a passage (page, kind, label, headings, text), then references, detail titles and the sheet index.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path

from notelint.errors import NotelintError
from notelint.layout import lay_out
from notelint.model import Layout, Passage
from notelint.planset import read_plan_set


def passage_line(passage: Passage) -> str:
    """One passage on one line; cells and place after the text."""
    tail = ""
    if passage.cells:
        tail += " [" + " | ".join(cell.column for cell in passage.cells) + "]"
    if passage.detail or passage.place:
        tail += f" <{passage.detail or '-'}, {passage.place or '-'}>"
    if passage.also:
        tail += f" x{len(passage.also) + 1}"
    pages = sorted({spot.page for spot in passage.spots})
    if len(pages) > 1:
        tail += f" pages {pages}"
    heads = " > ".join(passage.headings)
    return f"{passage.page:3} {passage.kind:8} {passage.label[:40]:30} ({heads}) {passage.text}{tail}"


def lines(layout: Layout, pages: frozenset[int]) -> Iterator[str]:
    """The whole layout as lines of text; all pages where none is named."""
    yield from (passage_line(p) for p in layout.passages if not pages or p.page in pages)
    for ref in layout.references:
        yield f"reference {ref.sheet}: {ref.detail} on {ref.target} ({ref.quote})"
    for title in layout.details:
        yield f"detail {title.sheet}: {title.number} {title.title}"
    for entry in layout.index:
        yield f"index {entry.sheet}: {entry.number} {entry.title}"


def main() -> int:
    """Read the arguments and print."""
    parser = argparse.ArgumentParser(prog="python -m notelint.layout", description="print the passages of a plan set")
    parser.add_argument("file", type=Path)
    parser.add_argument("--page", type=int, action="append", default=[])
    parser.add_argument("--no-ocr", action="store_true")
    options = parser.parse_args()
    try:
        plan_set = read_plan_set(options.file, ocr=not options.no_ocr)
    except NotelintError as error:
        sys.stderr.write(f"{error}\n")
        return error.exit_code
    for line in lines(lay_out(plan_set.sheets), frozenset(options.page)):
        sys.stdout.write(line + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
