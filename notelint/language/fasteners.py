"""Fasteners as called for: `3-8d`, `(10) .148x3`, `five 16d nails`, `5/8"Ø x 10"`, `(8) #9 x 1-1/2" screws`, ..."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple

from notelint.language.fastener_patterns import (
    AT,
    COUNT_AFTER,
    COUNT_BEFORE,
    DIA_WORD,
    ELLIPTIC,
    KINDS,
    LONG,
    METRIC,
    NOT_AT,
    NOUN,
    PER,
    SIZE,
    SPACED,
)
from notelint.language.pipeline import Found
from notelint.language.quantities import NUMBER_WORDS, figure, find_quantities
from notelint.model import Fastener, FastenerKind
from notelint.trade.nails import nail
from notelint.trade.vocabulary import phrases


class FastenerSpan(NamedTuple):
    """A fastener with where its words start and end, and where the next begins."""

    fastener: Fastener
    start: int
    end: int
    reach: int


@lru_cache(maxsize=1)
def _types() -> tuple[tuple[str, re.Pattern[str]], ...]:
    return tuple((p.name, p.pattern) for p in phrases() if p.kind == "fastener type")


def without_metric(text: str) -> str:
    """`text` with metric equals ("(4.1 x 89 mm)") blanked out, as long as before."""
    return METRIC.sub(lambda m: " " * len(m.group()), text) if "mm" in text else text


def find_fasteners(text: str, start: int, end: int, members: list[Found], *, hint: FastenerKind | None = None) -> list[FastenerSpan]:
    """Fasteners called for in characters start..end of `text` (plain form), in order.

    `members` are the member terms of the text; `hint` is the kind that a column head or the clause's subject gives.
    """
    part = without_metric(text[start:end])
    heads = _heads(part, hint)
    spans: list[FastenerSpan] = []
    for i, head in enumerate(heads):
        reach = heads[i + 1].start if i + 1 < len(heads) else len(part)
        stop = min(reach, _stop(part, head.end, reach))
        fastener = _complete(part, head, stop, i == 0, members, start)
        spans.append(
            FastenerSpan(
                fastener.model_copy(update={"start": start + head.start, "end": start + head.end}),
                start + head.start,
                start + head.end,
                start + stop,
            )
        )
    return _with_elliptic(part, spans, members, start)


class _Head(NamedTuple):
    start: int
    size_start: int
    end: int
    kind: FastenerKind | None
    count: int | None
    penny: str | None
    diameter: float | None
    length: float | None
    number: int | None
    short: bool


def _heads(part: str, hint: FastenerKind | None) -> list[_Head]:
    found: list[_Head] = []
    for match in SIZE.finditer(part):
        bare = found[-1].kind if found and not (found[-1].penny or found[-1].diameter or found[-1].number) else None
        head = _head(part, match, hint or bare, found[-1].end if found else 0)
        if head is None:
            continue
        if found and _sized_later(part, found[-1], head):
            found[-1] = head._replace(start=found[-1].start, count=found[-1].count)
            continue
        if found and _is_gloss(part, found[-1], head):
            found[-1] = _merged(found[-1], head)
            continue
        found.append(head)
    return found


def _sized_later(part: str, last: _Head, head: _Head) -> bool:
    """ "8 screws 1/4 x 3 in.", "ten nails, 10d x 1-1/2": the number and the noun stand before the size."""
    bare = last.penny is None and last.diameter is None and last.number is None
    return (
        bare
        and head.count is None
        and head.kind in (last.kind, None)
        and bool(re.fullmatch(r"\s?[,(:]?\s?(?:of\s|each\s)?", part[last.end : head.start]))
    )


def _is_gloss(part: str, last: _Head, head: _Head) -> bool:
    """A size in brackets straight after a penny size says the same nail again."""
    gap = part[last.end : head.start]
    return (
        head.count is None
        and head.kind in (None, last.kind)
        and bool(
            re.fullmatch(r"\s?(?:nails?|common|box|sinker)?\s?(?:\(|=|is|are|shall be|to be|must be|,\s?i\.e\.|means|measures?)\s?", gap)
        )
        and bool(last.penny)
    )


def _merged(last: _Head, head: _Head) -> _Head:
    return last._replace(
        end=head.end, penny=last.penny or head.penny, diameter=last.diameter or head.diameter, length=last.length or head.length
    )


def _head(part: str, match: re.Match[str], hint: FastenerKind | None, after: int) -> _Head | None:
    group = match.groupdict()
    diameter = length = None
    penny = number = None
    kind: FastenerKind | None = None
    if group["penny"]:
        penny, kind = f"{int(group['penny'])}d", "nail"
        length = next((figure(group[k]) for k in ("plen", "plen2", "plen3", "plen4", "plen5", "plen6") if group[k]), None)
        diameter = next((figure(group[k]) for k in ("pdia", "pdia2", "pdia3") if group[k]), None)
    elif group["short"]:
        penny, kind = f"{int(group['short'])}d", "nail"
        length = next((figure(group[k]) for k in ("slen", "slen2") if group[k]), None)
    elif group["number"]:
        number = int(group["number"])
        kind, length = "screw", next((figure(group[k]) for k in ("nlen", "nlen2") if group[k]), None)
        if (
            length is None
            and not re.match(r"\s?(?:[a-z-]+\s){0,3}screws?", part[match.end() :])
            and "screw" not in match.group()
            and hint != "screw"
        ):
            return None
    elif group["ldia"]:
        diameter, length = figure(group["ldia"]), figure(group["ldia_len"])
        kind = _noun(part, match, after) or "nail"
        if diameter is None or diameter > 0.35:
            return None
    elif group["howmany"]:
        written = group["howmany"].strip("() ")
        count = NUMBER_WORDS.get(written) or int(written)
        return _Head(
            match.start(),
            match.start(),
            match.end(),
            "screw" if group["what"].startswith("screw") else "nail",
            count,
            None,
            None,
            None,
            None,
            False,
        )
    elif group["lump"]:
        return _lump(part, match, hint, after)
    elif group["dia"]:
        diameter, length = figure(group["dia"]), figure(group["dlen"])
        kind = _pair_kind(part, match, hint, after, diameter, length)
    else:
        diameter = figure(group["only"])
        kind = _only_kind(part, match, hint, after)
    if kind is None or (diameter is not None and not 0.05 <= diameter <= 1.5):
        return None
    start, count = _count(part, match, after)
    end = match.end()
    return _Head(start, match.start(), end, kind, count, penny, diameter, length, number, bool(group["short"]))


def _lump(part: str, match: re.Match[str], hint: FastenerKind | None, after: int) -> _Head | None:
    """ "7-0.148 x 1-1/2", "12-1/4 x 3 screws": a count and a diameter with a hyphen between; "1-1/4 x 6 in." alone is steel."""
    diameter, length, count = figure(match["dia2"]), figure(match["dlen2"]), int(match["lump"])
    noun = _noun(part, match, after)
    decimal = "." in match["dia2"]
    if diameter is None or length is None or not (decimal or ((noun or hint) and count > 1)):
        return None
    kind = noun or ("nail" if decimal and diameter < 0.2 else hint)
    return (
        _Head(match.start(), match.start(), match.end(), kind, count, None, diameter, length, None, False)
        if kind and length > diameter
        else None
    )


def _pair_kind(
    part: str, match: re.Match[str], hint: FastenerKind | None, after: int, diameter: float | None, length: float | None
) -> FastenerKind | None:
    if diameter is None or length is None or length < diameter * 2 or length > 60:
        return None
    if re.match(r"\s?x\s?\d", part[match.end() :]) or re.search(r"(?:ga\.?|gauge|x)\s?$", part[: match.start()]):
        return None
    kind = _noun(part, match, after)
    if kind is None and diameter < 0.2 and re.search(r"\.\d", match["dia"]):
        return "nail"
    return kind or (hint if diameter <= 0.35 or hint not in ("nail", "screw") else None)


def _only_kind(part: str, match: re.Match[str], hint: FastenerKind | None, after: int) -> FastenerKind | None:
    if not match["unit"] and not match["word"] and "." not in match["only"] and "/" not in match["only"] and not match["only"].isalpha():
        return None
    rest = part[match.end() :]
    if re.search(r"(?:x|by)\s?$", part[: match.start()]) or re.match(
        r"\s?(?:mil\b|x\s?\d|thick|plate|t&g|tongue|wide|gap|air|lap|slope|per|square|sq|o\.?\s?c|pt|from|past|psf|long|clear|washer|to \d|-?\d)",
        rest,
    ):
        return None
    kind = _noun(part, match, after, near=3 if not match["word"] else 5)
    if kind in ("nail", None) and match["word"] and hint:
        return hint if kind is None else kind
    if kind is None and hint in ("anchor bolt", "bolt", "rod") and (match["word"] or "/" in match["only"]):
        return hint
    return kind


def _noun(part: str, match: re.Match[str], after: int, near: int = 6) -> FastenerKind | None:
    """The fastener's noun: the first within some words to the right, else one just to the left."""
    right = re.match(
        rf"(?:{DIA_WORD}|\s?,?\s?[a-z0-9'./-]+){{0,{near}}}",
        re.split(r"[;(]|,\s?\(|\bto\b|\band\b|\bat\b|\binto\b|@|\bwith\b|w/", part[match.end() : match.end() + 60])[0],
    )
    if right:
        noun = NOUN.search(right.group() + " ")
        if noun:
            return KINDS[str(noun.lastgroup)]
    left = part[max(after, match.start() - 40) : match.start()]
    nouns = list(NOUN.finditer(left))
    if nouns and re.fullmatch(
        r"s?\s?[:,(-]?\s?(?:shall be|are|is|to be|be|of|min\.?|minimum|with|\(?\d{1,3}\)?\s?-?|:|=|at least|\w+ \(\d+\)|a|an|provide|use|\s)*\s?(?:(?:galv\w*|hot-dip\w*|stainless|steel|cast-in-place|f1554|a307|grade \d+|new)\s?,?\s?)*",
        left[nouns[-1].end() :],
    ):
        return KINDS[str(nouns[-1].lastgroup)]
    return None


def _count(part: str, match: re.Match[str], after: int) -> tuple[int, int | None]:
    left = part[after : match.start()]
    found = COUNT_BEFORE.search(left[-48:])
    if not found:
        return match.start(), None
    if found["bare"] and (
        re.search(r"(?:\bat|@|no\.|#|grade|\bx|type)\s?$", left[-48:][: found.start()]) or not re.match(r"[\d.#n]", match.group())
    ):
        return match.start(), None
    if re.search(r"rows? of\s?$", left[-48:]):
        return match.start(), None
    word = found["word"]
    value = (
        NUMBER_WORDS[word.strip()] if word else int(next(v for v in (found["paren"], found["dash"], found["times"], found["bare"]) if v))
    )
    return match.start() - (len(left[-48:]) - found.start()), value if 0 < value <= 200 else None


def _stop(part: str, start: int, reach: int) -> int:
    """Where the words of one fastener end: at a semicolon or full stop, at the next fastener otherwise."""
    stop = re.search(r";|\.\s[a-z]", part[start:reach])
    return start + stop.start() if stop and part[start + stop.start()] == ";" else reach


def _complete(part: str, head: _Head, stop: int, first: bool, members: list[Found], offset: int) -> Fastener:
    words = part[head.start : stop]
    tail = part[head.end : stop]
    kind_type = next(
        (
            name
            for name, pattern in _types()
            if pattern.search(part[head.start : min(stop, head.end + 30)]) and (name != "short" or head.length is None)
        ),
        None,
    )
    after = COUNT_AFTER.match(tail) if head.count is None else None
    count = head.count if after is None else (NUMBER_WORDS.get(after["n"].strip()) or int(after["n"]))
    per = PER.search(tail[:48] if head.kind in ("nail", "screw", "lag screw", None) else "") or (
        PER.search(part[: head.start][-30:]) if first else None
    )
    spaced = _spacing(tail) if head.kind in ("nail", "screw", "lag screw", "bolt") else None
    long = LONG.match(tail) if head.length is None else None
    if long:
        head = head._replace(length=figure(long["v"]))
    stated = tuple(
        n
        for n, v in (("penny", head.penny), ("diameter_in", head.diameter), ("length_in", head.length), ("type", kind_type))
        if v is not None
    )
    sized = _looked_up(head, kind_type)
    return Fastener(
        kind=head.kind,
        count=count,
        penny=head.penny,
        type=kind_type,
        diameter_in=sized[0],
        length_in=sized[1],
        per=("end" if per["half"] else per["what"]) if per else None,
        into=_into(part, head, stop, members, offset),
        spacing_in=spaced,
        fill="fill" in words and "hole" in words,
        number=head.number,
        stated=stated,
    )


def _spacing(tail: str) -> float | None:
    """Spacing of nails in inches: "at 6 in. o.c.", "per 16 in."."""
    for quantity in find_quantities(tail[:64]):
        if (
            quantity.unit == "in"
            and quantity.start <= 48
            and AT.search(tail[: quantity.start])
            and not NOT_AT.match(tail[quantity.end :])
            and not re.search(r"[;(]", tail[: quantity.start])
        ):
            return quantity.value
    match = SPACED.match(tail)
    if not match:
        return None
    group = "v" if match["v"] else "v2"
    measured = next((q.value for q in find_quantities(tail) if q.unit == "in" and q.start <= match.start(group) < q.end), None)
    return measured if measured is not None else figure(match[group])


def _looked_up(head: _Head, kind_type: str | None) -> tuple[float | None, float | None]:
    """Diameter and length, filled from the nail table where size and type fix them."""
    diameter, length = head.diameter, head.length
    if head.penny and kind_type in ("common", "box", "sinker"):
        row = nail(head.penny, kind_type)
        if row is not None:
            return diameter if diameter is not None else row.diameter_in, length if length is not None else row.length_in
    if head.short and head.penny:
        row = nail(head.penny, "common")
        return diameter if diameter is not None or row is None else row.diameter_in, length if length is not None else 1.5
    return diameter, length


def _into(part: str, head: _Head, stop: int, members: list[Found], offset: int) -> str | None:
    tail = part[head.end : stop]
    direct = re.match(r"(?:\s?(?:in\b\.?|nails?|screws?|bolts?|common|structural|sd|ea\.?|each))*\s?(?:@\s)?", tail)
    at = offset + head.end + (direct.end() if direct else 0)
    beside = next((m.name for m in members if at <= m.start <= at + 1 and m.kind == "member"), None)
    if beside:
        return beside
    for match in re.finditer(r"\b(?:to|into|in|thru|through)\s", tail):
        at = offset + head.end + match.end()
        name = next((m.name for m in members if at <= m.start <= at + 16 and m.kind == "member"), None)
        if name:
            return name
    lead = re.search(r"([^,;|]{2,40})\s?:\s?$", part[: head.start])
    if lead and not re.search(r"\w\s(?:to|into)\s", lead[1]):
        begin, finish = offset + lead.start(), offset + lead.end()
        named = [m.name for m in members if begin <= m.start < finish and m.kind == "member"]
        return named[0] if named else None
    return None


def _with_elliptic(part: str, spans: list[FastenerSpan], members: list[Found], offset: int) -> list[FastenerSpan]:
    """Adds "(8) to plate and stud" after a sized fastener: same nail, other count and member."""
    if not spans:
        return spans
    out: list[FastenerSpan] = []
    for span in spans:
        out.append(span)
        tail = part[span.end - offset : span.reach - offset]
        for match in ELLIPTIC.finditer(tail):
            at = span.end + match.end()
            into = next((m.name for m in members if at <= m.start <= at + 16 and m.kind == "member"), None)
            if into is None or (not match["to"] and (not match["n"] and not match["again"] or not any(m.start == at for m in members))):
                continue
            count = int(match["n"]) if match["n"] else NUMBER_WORDS.get(match["w"].strip()) or int(match["w"])
            again = span.fastener.model_copy(update={"count": count, "into": into, "start": span.end + match.start(), "end": at})
            if out[-1] is span and span.fastener.into == into:
                out[-1] = span._replace(fastener=span.fastener.model_copy(update={"into": None}))
            out.append(FastenerSpan(again, span.end + match.start(), at, span.reach))
    return out
