"""Text as it is searched: one character for each character of the sheet, so that offsets hold."""

from __future__ import annotations

import re
from functools import lru_cache

_SAME = str.maketrans(
    {
        "\u201c": '"', "\u201d": '"', "\u2033": '"', "\u02ba": '"', "\u2019": "'", "\u2018": "'", "\u2032": "'", "\u00b4": "'",
        "`": "'", "\u2013": "-", "\u2014": "-", "\u2011": "-", "\u2010": "-", "\u2212": "-", "\u00d7": "x", "\u00a0": " ",
        "\u2007": " ", "\u202f": " ", "\u2044": "/", "\u00f8": "\u00d8", "\u2205": "\u00d8", "\u03a6": "\u00d8", "\u03c6": "\u00d8",
        "\u2300": "\u00d8", "\t": " ", "\n": " ", "\r": " ",
    }
)  # fmt: skip


# "1200 mm (4 ft)" reads as its inch value; a fill-in sheet's "( 5/8 )" and "[5/8]" read without the form's brackets.
_METRIC_FIRST = re.compile(r"\d+(?:\.\d+)?(?:\s?(?:to|x|-)\s?\d+(?:\.\d+)?)?\s?mm\s?\(([^()]{1,24})\)")
_FILLED_IN = re.compile(r"\(\s+([\w\d][\w\d/.' \"-]*?)\s+\)")


@lru_cache(maxsize=4096)
def plain(text: str) -> str:
    """`text` in lower case with one form for quotes, dashes, times and diameter signs; as long as `text`."""
    flat = text.translate(_SAME)
    if "(" in flat:
        flat = _FILLED_IN.sub(lambda m: f"  {m[1]}".ljust(len(m.group())), flat)
    if "mm" in flat:
        flat = _METRIC_FIRST.sub(lambda m: f"{m[1]} ".rjust(len(m.group())), flat)
    if "[" in flat:
        flat = flat.replace("[", " ").replace("]", " ")
    lower = flat.lower()
    return lower if len(lower) == len(flat) else "".join(c.lower() if len(c.lower()) == 1 else c for c in flat)
