"""Parts of a passage: sentences, what stands between semicolons, cells of a row. Shortened words do not end a sentence."""

from __future__ import annotations

import re
from collections.abc import Iterator

_END = re.compile(r"(?P<word>[\w'.&]*)[.](?=\s)|[;|]")
_SHORTENED = frozenset({
    "in", "ft", "no", "dia", "o.c", "conn", "typ", "ea", "ext", "int", "dbl", "min", "max", "galv", "approx", "sim",
    "reqd", "req'd", "cont", "horiz", "vert", "hdr", "pl", "bd", "sq", "brg", "fdn", "ftg", "flr", "trtd", "p.t", "eng",
    "equiv", "conc", "reinf", "emb", "embed", "struct", "bldg", "opng", "stl", "oz", "ga", "com", "gr", "elev", "dim",
    "dwg", "det", "a.b", "u.n", "b.s", "e.s", "w.p", "perp", "opp",
})  # fmt: skip


def parts(text: str) -> Iterator[tuple[int, int]]:
    """Start and end of each part, in order; the mark that ends it included."""
    start = 0
    for m in _END.finditer(text.lower()):
        if (m.group("word") or "") in _SHORTENED:
            continue
        if text[start : m.end()].strip():
            yield start, m.end()
        start = m.end()
    if text[start:].strip():
        yield start, len(text)


def part_around(text: str, start: int, end: int) -> tuple[int, int]:
    """Start and end of the parts that hold characters start..end, blanks at the ends left out."""
    about = [(a, b) for a, b in parts(text) if a < end and start < b] or [(0, len(text))]
    a, b = about[0][0], about[-1][1]
    found = text[a:b]
    return a + len(found) - len(found.lstrip()), b - (len(found) - len(found.rstrip(" |;")))
