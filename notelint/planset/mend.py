"""What a reader of pictures commonly mistakes and a word's own shape gives away. What only the trade's words tell is mended later."""

from __future__ import annotations

import re
from collections.abc import Sequence

_RULES: tuple[tuple[re.Pattern[str], str], ...] = (
    (re.compile(r"(?<=[A-Z])0+(?=[A-Z])"), "O"),  # RO0F, PLYW00D
    (re.compile(r"(?<=[a-z])0+(?=[a-z])"), "o"),
    (re.compile(r"(?<![\w.#/])0(?=[A-Z]{2}|\.C\b|[NFR]\b)"), "O"),  # 0N, 0.C., 0THER
    (re.compile(r"(?<![\w.#/])0(?=[a-z]{2}|\.c\b|[nfr]\b)"), "o"),
    (re.compile(r"(?<=[A-Z]{3})0(?![\w.-])"), "O"),  # RADI0
    (re.compile(r"(?<=\d\")[0O](?![\w.])"), "Ø"),  # 5/8"0
)
_FASTENER_END = re.compile(r"\d+d|\d+D|.*[\"']|NAILS?|nails?|BOLTS?|bolts?|SCREWS?|screws?")
_SPACING = re.compile(r"\d+(?:\.\d+|[ -]\d+/\d+)?(?:\"|'(?:-\d+\")?)\W*")


def mended(texts: Sequence[str]) -> list[str]:
    """The words of one line, each mended by its shape; a lone zero between a fastener and a spacing is the sign for `at`."""
    out = [_by_shape(text) for text in texts]
    for at, text in enumerate(out):
        if text in ("T0", "t0") and len(out) > 2:
            out[at] = "TO" if text == "T0" else "to"
        if text in ("0", "O") and 0 < at < len(out) - 1 and _FASTENER_END.fullmatch(out[at - 1]) and _SPACING.fullmatch(out[at + 1]):
            out[at] = "@"
    return out


def _by_shape(text: str) -> str:
    for pattern, letter in _RULES:
        text = pattern.sub(lambda found, letter=letter: letter * len(found.group()), text)  # type: ignore[misc]
    return text
