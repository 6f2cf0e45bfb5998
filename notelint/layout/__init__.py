"""Words on sheets to passages: notes, schedule rows, callouts and titles, in the order and scope in which a person reads them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy

from notelint.abreast import of_each
from notelint.layout.flow import flow
from notelint.layout.links import details, index, references
from notelint.layout.passages import Maker, add_callouts, add_column, add_table, add_titles
from notelint.layout.references import sheet_prefix
from notelint.layout.setaside import content_words
from notelint.layout.sheet import Read, read_sheet
from notelint.layout.text import Known
from notelint.model import Layout, Sheet

__all__ = ["lay_out"]

USUAL_PREFIXES = frozenset(["A", "S", "G", "C", "D", "E", "M", "P", "L", "T", "N"])


_DENSE = 5_000  # words of a set from which a second process is worth its start


def lay_out(sheets: Sequence[Sheet], *, beside: bool = False) -> Layout:
    """Read the sheets of a set, in page order, into passages, references, detail titles and the sheet index.

    With `beside` a second process may read some of them.
    """
    prefixes = frozenset(USUAL_PREFIXES | {sheet_prefix(s.number) for s in sheets if s.number})
    words = content_words(sheets)
    known = Known(w.text for one in words for w in one)

    bare = [sheet.model_copy(update={"words": (), "segments": numpy.zeros((0, 4), numpy.float32)}) for sheet in sheets]

    def read_one(index: int) -> Read:
        return read_sheet(sheets[index], words[index], prefixes)._replace(sheet=bare[index])

    reads = of_each(read_one, len(sheets), beside=beside and sum(map(len, words)) >= _DENSE)
    maker = Maker(known)
    carried = flow(reads)
    for read, columns in zip(reads, carried, strict=True):
        for column, extra in columns:
            add_column(maker, read, column, extra)
        for table in read.tables:
            add_table(maker, read, table)
        add_titles(maker, read)
        add_callouts(maker, read)
    passages = tuple(maker.made)
    return Layout(
        passages=passages,
        references=references(reads, passages, prefixes),
        details=details(reads),
        index=index(passages),
    )
