"""Slips of text recognition mended in place: the text keeps its length, so that offsets hold."""

from __future__ import annotations

import re

from notelint.language.words import look_up_form

_MIXED = re.compile(r"(?<![\w./-])[a-z0-9]*[a-z]{2,}[a-z0-9]*[01568][a-z0-9]*|(?<![\w./-])[a-z]?[01568][a-z]{3,}")
_TURNED = str.maketrans("01568", "olsgb")
_AT = re.compile(r"(?<=\s)[0o](?=\s\d{1,3}\s?[\"'])")
_SLASH = re.compile(r"(?<![\w./])[s](?=/(?:8|16|32)\b)")


def mended(low: str) -> str:
    """`low` with figures read for letters turned back ("b0lts"), "0 48 in." read as "@ 48 in.", "s/8" as "5/8"."""
    low = _AT.sub("@", low)
    low = _SLASH.sub("5", low)
    return _MIXED.sub(lambda m: _turned(m.group()), low)


def _turned(word: str) -> str:
    turned = word.translate(_TURNED)
    return turned if not turned.isdigit() and turned.isalpha() and look_up_form(word, True) == look_up_form(turned) else word
