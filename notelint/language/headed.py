"""Lines of a label and a value under a heading that names the piece: "ANCHOR BOLTS / Size: 5/8 in. / Spacing: 4 ft"."""

from __future__ import annotations

import re
from collections.abc import Sequence

from notelint.language.assemble import build
from notelint.language.plain import plain
from notelint.language.said_joints import Subject
from notelint.language.words_of import GENERAL, Read, read_words
from notelint.model import Requirement

_LONGEST = 90  # characters of a line that is a label and its value
_LABEL = re.compile(
    r"^\W*(?:[a-z][a-z /.&'-]{1,28}:\s|(?:at\s|@\s?)?\d|(?:diameter|size|spacing|embed\w*|depth|end dist\w*|length"
    r"|first bolt|nails?)\b)"
)
_MARK = re.compile(r":\s*([A-Z]{1,5}-?\d{1,4}[A-Z]?)(?![\w/\"'.])")


def headed(words: Sequence[Read]) -> dict[str, Subject]:
    """What lines are about by the heading they stand under, by passage id: bolts, or a piece whose mark one of the lines gives."""
    groups: dict[tuple[str | None, tuple[str, ...]], list[Read]] = {}
    for read in words:
        passage = read.passage
        if passage.kind in ("note", "text") and passage.headings and len(passage.text) <= _LONGEST and _LABEL.match(read.low):
            groups.setdefault((passage.sheet, passage.headings), []).append(read)
    out: dict[str, Subject] = {}
    for (_, headings), lines in groups.items():
        device = _device_of(lines[0], headings[-1]) if len(lines) > 1 else None
        mark = next((m[1] for read in lines if (m := _MARK.search(read.passage.text))), None)
        if device and (mark or device == "anchor bolt"):
            out |= {read.passage.id: Subject(device, mark) for read in lines}
    return out


def _device_of(read: Read, heading: str) -> str | None:
    """The one device that a heading names."""
    words = read_words(read.passage.model_copy(update={"text": heading, "spots": (), "cells": ()}), frozenset(), frozenset())
    names = words.names(0, len(words.low), "device") - GENERAL
    if not names and re.search(r"\b(?:sill|mudsill|foundation) bolts?\b", plain(heading)):
        return "anchor bolt"
    return next(iter(names)) if len(names) == 1 else None


def read_headed(read: Read, subject: Subject) -> list[Requirement]:
    """The line's requirement: the heading's piece with the value that the line gives."""
    built = build(read, 0, len(read.low), subject, hint="anchor bolt" if subject.device == "anchor bolt" else None)
    return [r.model_copy(update={"named": r.named or bool(subject.mark)}) for r in built[:1]]
