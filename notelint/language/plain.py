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
# "7 inches (178 mm) in the concrete", "14\" (356) long": the inch value moves up to the words that follow the metric equal.
_UNIT = r"(?:\s?-?(?:inch(?:es)?|in\b\.?|\"|feet|foot|ft\b\.?|'))"
_COUNTED = r"(?:one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|fourteen|fifteen|sixteen|eighteen|twenty)"
_METRIC_LAST = re.compile(
    rf"(?P<said>(?:(?:\(?\d{{1,2}}\)?|{_COUNTED})\s(?:[a-z]+\s)?(?:nails?|screws?|bolts?)\s)?"
    rf"(?:\d[\d/.]*(?:-\d/\d+)?{_UNIT}?\s?(?:x|by)\s?)?(?P<last>\d+(?:[- ]\d+/\d+|/\d+|\.\d+)?|\.\d+){_UNIT})"
    r"\s?\((?P<equal>\d[\d.,]*(?:\s?(?:x|by|to|and|-)\s?\d[\d.,]*)*)\s?(?P<unit>mm|cm|m)?\)",
    re.IGNORECASE,
)
# "[813 mm]", "900 mm [36 in]": square brackets around a measure are round ones to the reader
_MEASURED = re.compile(
    r"(?:(?<=mm )|(?<=mm)|(?<=M1\d )|(?<=M2\d )|(?<=M8 ))\[\s?([^\[\]]{1,24})\s?\]"
    r"|\[\s?([^\[\]]{0,20}\d[^\[\]]{0,20}?(?:mm|cm|\bm|[kM]?Pa|kN(?:/m)?)[23]?)\s?\]"
)
_MM_PER_INCH = 25.4
_FILLED_IN = re.compile(r"\(\s+([\w\d][\w\d/.' \"-]*?)\s+\)")


@lru_cache(maxsize=4096)
def plain(text: str) -> str:
    """`text` in lower case with one form for quotes, dashes, times and diameter signs; as long as `text`."""
    flat = text.translate(_SAME)
    if "[" in flat:
        flat = _MEASURED.sub(lambda m: f"({(m[1] or m[2]).ljust(len(m.group()) - 2)})", flat)
    if "(" in flat:
        flat = _FILLED_IN.sub(lambda m: f"  {m[1]}".ljust(len(m.group())), flat)
    if "mm" in flat:
        flat = _METRIC_FIRST.sub(lambda m: f"{m[1]} ".rjust(len(m.group())), flat)
    if _METRIC_LAST.search(flat):
        flat = _METRIC_LAST.sub(_moved_up, flat)
    if "[" in flat:
        flat = flat.replace("[", " ").replace("]", " ")
    lower = flat.lower()
    lower = lower if len(lower) == len(flat) else "".join(c.lower() if len(c.lower()) == 1 else c for c in flat)
    return _in_figures(lower)


_ONES = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_TEENS = ("ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen")
_TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_VALUES = (
    {word: i + 1 for i, word in enumerate(_ONES)}
    | {word: i + 10 for i, word in enumerate(_TEENS)}
    | {word: 10 * i + 20 for i, word in enumerate(_TENS)}
)
_SPELT = re.compile(
    rf"\b(?P<n>(?:{'|'.join(_TENS)})(?:[- ](?:{'|'.join(_ONES)}))?|{'|'.join(_TEENS)}|{'|'.join(_ONES)})"
    r"(?=[- ](?:gauge|gage|inch(?:es)?|f(?:oo|ee)t|penny)\b)"
)
_PARTS = {"half": 2, "quarter": 4, "eighth": 8, "sixteenth": 16}
_SPELT_PART = re.compile(
    r"\b(?P<n>one|three|five|seven|nine|eleven|thirteen)[- ](?P<d>half|quarter|eighth|sixteenth)s?"
    r"(?:(?P<of>\sof\san)(?=\sinch\b)|(?=[- ](?:inch|bolts?|rods?|screws?|anchors?|plywood|thick|diameter|in diameter)\b))"
)


def _in_figures(low: str) -> str:
    """Measures spelt out in figures, right before their unit: "sixteen-gauge" is "     16-gauge", "five eighths of an inch" "5/8 inch"."""
    if not any(word in low for word in ("inch", "gauge", "gage", "foot", "feet", "penny", "eighth", "quarter", "half", "sixteenth")):
        return low
    low = _SPELT_PART.sub(lambda m: f"{_VALUES[m['n']]}/{_PARTS[m['d']]}".rjust(len(m.group())), low)
    return _SPELT.sub(lambda m: str(sum(_VALUES[w] for w in re.split("[- ]", m["n"]))).rjust(len(m.group())), low)


def _moved_up(match: re.Match[str]) -> str:
    """The inch value right-justified over its metric equal; figures in brackets that are no equal stand as they are."""
    if not match["unit"] and not _is_equal(match["last"], match["equal"]):
        return match.group()
    return match["said"].rjust(len(match.group()))


def _is_equal(inches: str, millimetres: str) -> bool:
    """Whether a bare figure in brackets is the millimetres of the inches before it: "14\" (356)", not "16\" (2)"."""
    whole, _, fraction = inches.replace(" ", "-").rpartition("-")
    upper, _, lower = fraction.partition("/")
    if not re.fullmatch(r"\d+(?:\.\d+)?", millimetres) or lower == "0":
        return False
    value = float(whole or 0) + (float(upper) / float(lower) if lower else float(upper))
    return abs(value * _MM_PER_INCH - float(millimetres)) <= 1.0 + 0.02 * float(millimetres)
