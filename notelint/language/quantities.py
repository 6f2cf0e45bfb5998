"""Quantities in words and figures: lengths, gauges, pennies, loads, counts; ranges as one.

Lengths come out in inches whatever they were written in. What a length is for is told in `roles`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

NUMBER_WORDS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10, "eleven": 11,
    "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16, "eighteen": 18, "twenty": 20, "twenty-four": 24,
}  # fmt: skip
WORD_NUMBER = "(?:" + "|".join(sorted(NUMBER_WORDS, key=len, reverse=True)) + r")\b"
_GLYPHS = {"¼": 0.25, "½": 0.5, "¾": 0.75, "⅛": 0.125, "⅜": 0.375, "⅝": 0.625, "⅞": 0.875, "⅓": 1 / 3, "⅔": 2 / 3}
_G = "[" + "".join(_GLYPHS) + "]"

FIGURE = (
    rf"(?:\d{{1,4}}\s?-?\s?{_G}|{_G}|\d{{1,3}}\s?-\s?\d{{1,2}}\s?/\s?\d{{1,2}}|\d{{1,3}}\s\d{{1,2}}/\d{{1,2}}|\d{{1,4}}\s?/\s?\d{{1,2}}"
    rf"|\d{{1,3}}(?:,\d{{3}})+(?:\.\d+)?|\d+\.\d+|\.\d+|\d+)"
)
_INCH = (
    r"(?:\s?(?:\"|''|´´)|\s{0,3}-?(?:inches|inch)\b|\s{0,3}-?in\b(?!\s(?:the|a|an|to|of(?! (?:that|it|which|its|this)\b)"
    r"|each|every|all|place|wood|line|one|two|both"
    r"|field|floor|wall|crawl)\b)\.?)"
)
_FOOT = r"(?:\s?'(?!')|\s?-?(?:feet|foot)\b|\s?-?ft\b\.?)"

_LENGTH = re.compile(
    rf"(?<![\w./])(?<!\d,)(?:(?P<feet>\d{{1,3}}(?:\.\d+)?){_FOOT}(?:\s?-?\s?(?P<inches>{FIGURE}){_INCH}"
    rf"|\s?-\s?(?P<bare>{FIGURE})(?![\w/\"']))?"
    rf"|(?P<only>{FIGURE}){_INCH})"
)
_FRACTION_WORDS = {
    "half": 0.5,
    "one-half": 0.5,
    "one half": 0.5,
    "quarter": 0.25,
    "one-quarter": 0.25,
    "three-quarter": 0.75,
    "three quarter": 0.75,
    "three-quarters": 0.75,
    "three-eighths": 0.375,
    "five-eighths": 0.625,
    "five eighths": 0.625,
    "seven-eighths": 0.875,
    "seven eighths": 0.875,
}
_WORD_LENGTH = re.compile(
    r"\b(?P<w>"
    + "|".join(sorted([*NUMBER_WORDS, *_FRACTION_WORDS], key=len, reverse=True))
    + r"|a|an|thirty-two|forty-eight|sixteen)(?: and (?:a |one[- ])?(?P<and>half|quarter))?[ -](?P<unit>inch(?:es)?|foot|feet|ft\b)"
)
_DEGREE_INCH = re.compile(rf"(?<![\w.,/])(?P<only>{FIGURE})\s?°(?=\s?(?:o\.?\s?c|dia|x|@|embed|long|,|$))")
_ON_CENTER = (
    r"(?:\s{0,3}[,(]?\s?(?:max\.?|maximum|min\.?)?\)?\s?(?:o\.?\s?/?\s?c\b\.?|on[ -]?centers?\b|on[ -]?centres?\b|c\.?\s?/?\s?c\b\.?"
    r"|c\.?\s?to\s?c\b\.?|ctrs?\b\.?|cent(?:er|re)s\b|oc\b\.?))"
)
_BARE_SPACING = re.compile(rf"(?<![\w.,/])(?P<only>{FIGURE})(?={_ON_CENTER})")
_BARE_FEET = re.compile(rf"(?<![\w.,/-])([1-9])-(\d|1[01])(?={_ON_CENTER})")
"""Feet and inches with a dash alone: "6-0 o.c."."""
_AT_FIGURE = re.compile(
    rf"@\s?(?P<only>[4-9]|[1-9]\d)(?!\s?(?:[\w.]*\d|['\"°%/-]|x\b|ft\b|feet\b|foot\b|in\b|inch|mm\b|psf|plf|lbs?\b|ga\b|deg"
    rf"|pcf)|{_ON_CENTER})(?=[\s,;:.)]|$)"
)
"""Terse callouts leave the unit out: "5/8 @ 48", "joists @ 16: all stack", "8d @ 6 edge"."""
_BARE_EMBED = re.compile(r"(?<![\w.,/x-])(?P<only>\d{1,2}(?:-1/2)?)(?=\s?(?:min\.?\s|minimum\s)?(?:embed|buried\b|sunk\b))")
_WORD_IN_CONCRETE = re.compile(rf"\blong,?\s(?:and\s|with\s)?(?P<w>{WORD_NUMBER})(?=\sin(?:to)?\s(?:the\s)?concrete\b)")
"""The depth of a bolt whose unit stands with its length alone: "twelve inches long, seven in concrete"."""
_BARE_ENDS = re.compile(r"(?<![\w.,/x-])(?P<only>\d{1,2})(?=\s?from (?:\w+ ){0,2}ends?\b)")
"""Distances from plate ends with the unit left out: "4 to 12 from stick ends"."""
_PENNY = re.compile(
    r"(?<![\w.,/])(\d{1,2})\s?-?\s?(?:(?:(?<! )d|(?<= )d(?=\s(?:[a-z]+\s)?nails?|\s?@|\s?x\s?[\d.]|\s(?:common|box|sinker"
    r"|galv)|$)|penny|pennyweight)\b(?![-/.]\w)|d(?=x\s?\d))|(?<!\w)n(8|10|16)(?=\s|\)|,|;|$|\s?nail)"
)
_GAUGE = re.compile(
    r"(?<![\w.,/])(\d{1,2})\s?-?\s?(?:ga\b\.?|gauge\b|gage\b|gauges\b|gages\b|g\.a\.)|(?<!\w)(?:ga\.?|gauge)\s?(\d{1,2})(?!\w)"
)
_SCREW_NUMBER = re.compile(r"(?<!\w)(?:#|no\.\s?)(\d{1,2})(?=\s?(?:x\s?\d|x\s?\.\d|[a-z -]{0,24}screw))")
_LOAD = re.compile(
    r"(?<![\w.,/])(\d{1,3}(?:,\d{3})+|\d+(?:\.\d+)?)\s?-?\s?(plf|lbs?\.?\s?/\s?(?:lin(?:eal|ear)?\.?\s)?(?:ft|foot)\b\.?|lbs?\.? "
    r"per (?:lin(?:eal|ear)?\.? )?f(?:t|oot)\b\.?|pounds per (?:lineal |linear )?foot|#\s?/\s?(?:ft|')"
    r"|psf|psi|pcf|mph|m\.p\.h\.|kips?\b|k\b(?!-)|lbs?\b\.?|pounds?\b|#(?!\d)|percent\b|pct\b|%)"
)
_STATED_FACTOR = re.compile(r"every (?:other|second|2nd)\b|each second\b|alternate\b")
_LEADING_OF_RANGE = re.compile(rf"(?<![\w.,/])({FIGURE})\s?(?:{_INCH}|{_FOOT})?\s?(?:to|-|–|or)\s?$")
_LOADS = {"psf": "psf", "psi": "psi", "pcf": "pcf", "mph": "mph", "m.p.h.": "mph", "percent": "percent", "pct": "percent", "%": "percent"}


class Quantity(NamedTuple):
    """A quantity in characters start..end: `value` in `unit`, and `high` where a range is given."""

    start: int
    end: int
    value: float
    unit: str
    high: float | None = None


@lru_cache(maxsize=8192)
def figure(text: str) -> float | None:
    """The number that "1-1/2", "1 1/2", "5/8", ".131", "3,000", "1½" or "21/2" (its space lost) stands for; None if none."""
    text = re.sub(r"\s*/\s*", "/", text.strip()).replace(",", "")
    if text in _FRACTION_WORDS:
        return _FRACTION_WORDS[text]
    glyph = re.fullmatch(rf"(\d*)\s?-?\s?({_G})", text)
    if glyph:
        return float(glyph[1] or 0) + _GLYPHS[glyph[2]]
    mixed = re.fullmatch(r"(\d+)\s?[- ]\s?(\d+)/(\d+)", text)
    if mixed:
        return int(mixed[1]) + int(mixed[2]) / int(mixed[3]) if int(mixed[3]) else None
    simple = re.fullmatch(r"(\d+)/(\d+)", text)
    if simple:
        return _fraction(simple[1], simple[2])
    try:
        return float(text)
    except ValueError:
        return None


def _fraction(upper: str, lower: str) -> float | None:
    """A fraction; "21/2" with more above than below is 2-1/2 with its space lost."""
    if not int(lower):
        return None
    if int(upper) <= int(lower) or len(upper) < 2 or int(lower) not in (2, 4, 8, 16, 32):
        return int(upper) / int(lower)
    for cut in range(1, len(upper)):
        rest = int(upper[cut:])
        if 0 < rest < int(lower):
            return int(upper[:cut]) + rest / int(lower)
    return int(upper) / int(lower)


def _glued_inches(text: str) -> float | None:
    """Inches after feet whose fraction lost its slash: "334" is 3-3/4, "1112" is 11-1/2; None where the figure stands as it is."""
    value = figure(text)
    if value is None or value < 12 or not text.isdigit():
        return value
    for lower_digits in (2, 1):
        upper, lower = text[:-lower_digits], text[-lower_digits:]
        if int(lower) not in (2, 4, 8, 16):
            continue
        for upper_digits in (2, 1):
            if 0 < len(upper) - upper_digits <= 2 and 0 < int(upper[-upper_digits:]) < int(lower) and int(upper[:-upper_digits]) < 12:
                return int(upper[:-upper_digits]) + int(upper[-upper_digits:]) / int(lower)
    return value


def _lengths(text: str) -> Iterator[Quantity]:
    for match in _LENGTH.finditer(text):
        if match["only"]:
            value = figure(match["only"])
        else:
            inches = match["inches"] or match["bare"]
            value = float(match["feet"]) * 12 + ((_glued_inches(inches) or 0.0) if inches else 0.0)
        if value is not None:
            yield Quantity(match.start(), match.end(), round(value, 4), "in")
    for match in _WORD_LENGTH.finditer(text):
        value = _word_value(match["w"])
        if value is not None and not (match["w"] in ("a", "an") and text[match.end() :].startswith((" of", " wide", " long"))):
            value += _FRACTION_WORDS.get(match["and"] or "", 0.0)
            yield Quantity(match.start(), match.end(), value * (12 if match["unit"][0] == "f" else 1), "in")
    for match in _WORD_IN_CONCRETE.finditer(text):
        yield Quantity(match.start("w"), match.end("w"), float(NUMBER_WORDS[match["w"]]), "in")
    for match in _BARE_FEET.finditer(text):
        yield Quantity(match.start(), match.end(), int(match[1]) * 12.0 + int(match[2]), "in")
    for pattern in (_DEGREE_INCH, _BARE_SPACING, _AT_FIGURE, _BARE_EMBED, _BARE_ENDS):
        for match in pattern.finditer(text):
            value = figure(match["only"])
            if value is not None:
                yield Quantity(match.start("only"), match.end(), round(value, 4), "in")


def _word_value(word: str) -> float | None:
    """The number that a word stands for: "six", "half", "a"."""
    if word in ("a", "an"):
        return 1.0
    if word in _FRACTION_WORDS:
        return _FRACTION_WORDS[word]
    tens = {"thirty-two": 32, "forty-eight": 48}
    value = NUMBER_WORDS.get(word, tens.get(word))
    return None if value is None else float(value)


def _loads(text: str) -> Iterator[Quantity]:
    for match in _LOAD.finditer(text):
        value, written = float(match[1].replace(",", "")), match[2]
        unit = _LOADS.get(written)
        if unit is None:
            per_foot = written == "plf" or "/" in written or "per" in written
            unit = "plf" if per_foot else "lb"
            if written.startswith("k"):
                value *= 1000
            elif written == "#" and value < 100:  # "3 #4 bars", "8# nails": no load is written so
                continue
        yield Quantity(match.start(), match.end(), value, unit)


def _simple(text: str) -> Iterator[Quantity]:
    for match in _PENNY.finditer(text):
        yield Quantity(match.start(), match.end(), float(match[1] or match[2]), "penny")
    for match in _GAUGE.finditer(text):
        yield Quantity(match.start(), match.end(), float(match[1] or match[2]), "gauge")
    for match in _SCREW_NUMBER.finditer(text):
        yield Quantity(match.start(), match.end(), float(match[1]), "screw number")
    for match in _STATED_FACTOR.finditer(text):
        yield Quantity(match.start(), match.end(), 2.0, "ratio")


_TO = re.compile(r"\s?(?:to|-|thru|through)\s?")


def _with_ranges(text: str, found: list[Quantity]) -> Iterator[Quantity]:
    """Two lengths joined by "to" become one with a high end, as does a bare figure before one ("4-1/2 to 12 in.")."""
    skip = False
    for i, one in enumerate(found):
        if skip:
            skip = False
            continue
        after = found[i + 1] if i + 1 < len(found) else None
        if after and one.unit == after.unit == "in" and one.value < after.value and _TO.fullmatch(text[one.end : after.start]):
            yield Quantity(one.start, after.end, one.value, "in", after.value)
            skip = True
            continue
        lead = _LEADING_OF_RANGE.search(text[max(0, one.start - 16) : one.start]) if one.unit == "in" else None
        low = figure(lead[1]) if lead else None
        if lead and low is not None and low < one.value and not text[: one.start].endswith(" or "):
            yield Quantity(max(0, one.start - 16) + lead.start(), one.end, low, "in", one.value)
        else:
            yield one


_WORDED = re.compile(r"every|alternat|inch|foot|feet|concrete")


def find_quantities(text: str) -> tuple[Quantity, ...]:
    """All quantities of `text` (as made by `plain`), in order, none overlapping another."""
    if not any(c.isdigit() for c in text) and not any(g in text for g in _GLYPHS) and not _WORDED.search(text):
        return ()
    every = sorted([*_lengths(text), *_loads(text), *_simple(text)], key=lambda q: (q.start, -q.end))
    apart: list[Quantity] = []
    for one in every:
        if not apart or one.start >= apart[-1].end:
            apart.append(one)
        elif one.end - one.start > apart[-1].end - apart[-1].start and one.start <= apart[-1].start:
            apart[-1] = one
    return tuple(_with_ranges(text, apart))
