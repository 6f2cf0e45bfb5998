"""Fasteners as called for: `3-8d`, `(10) .148x3`, `five 16d nails`, `5/8"Ø x 10"`, `(8) #9 x 1-1/2" screws`, ..."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple

from notelint.language.fastener_heads import Head, heads_of
from notelint.language.fastener_patterns import AT, COUNT_AFTER, ELLIPTIC, LONG, METRIC, NOT_AT, PER, SPACED
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


def type_in(words: str, *, sized: bool = True) -> str | None:
    """The kind of nail or screw that plain words name; "short" only where no length is given (`sized` false)."""
    return next((name for name, pattern in _types() if pattern.search(words) and (name != "short" or not sized)), None)


def without_metric(text: str) -> str:
    """`text` with metric equals ("(4.1 x 89 mm)") blanked out, as long as before."""
    return METRIC.sub(lambda m: " " * len(m.group()), text) if "mm" in text else text


def find_fasteners(text: str, start: int, end: int, members: list[Found], *, hint: FastenerKind | None = None) -> list[FastenerSpan]:
    """Fasteners called for in characters start..end of `text` (plain form), in order.

    `members` are the member terms of the text; `hint` is the kind that a column head or the clause's subject gives.
    """
    part = without_metric(text[start:end])
    heads = heads_of(part, hint)
    spans: list[FastenerSpan] = []
    for i, head in enumerate(heads):
        reach = heads[i + 1].start if i + 1 < len(heads) else len(part)
        stop = min(reach, _stop(part, head.end, reach))
        fastener = _complete(part, head, stop, i == 0, members, start)
        if head.same:
            fastener = _as_before(fastener, spans or find_fasteners(text, 0, start, members, hint=hint))
        spans.append(
            FastenerSpan(
                fastener.model_copy(update={"start": start + head.start, "end": start + head.end}),
                start + head.start,
                start + head.end,
                start + stop,
            )
        )
    return _with_elliptic(part, spans, members, start)


def _as_before(fastener: Fastener, before: list[FastenerSpan]) -> Fastener:
    """ "Eight of the same nails": sized like the last sized one before it."""
    size = next((s.fastener for s in reversed(before) if s.fastener.stated and s.fastener.kind in ("nail", "screw")), None)
    if size is None:
        return fastener
    own = {"count": fastener.count, "per": fastener.per, "into": fastener.into, "spacing_in": fastener.spacing_in, "fill": fastener.fill}
    return size.model_copy(update=own)


def _stop(part: str, start: int, reach: int) -> int:
    """Where the words of one fastener end: at a semicolon or full stop, at the next fastener otherwise."""
    stop = re.search(r";|\.\s[a-z]", part[start:reach])
    return start + stop.start() if stop and part[start + stop.start()] == ";" else reach


def _complete(part: str, head: Head, stop: int, first: bool, members: list[Found], offset: int) -> Fastener:
    words = part[head.start : stop]
    tail = part[head.end : stop]
    kind_type = type_in(part[head.start : min(stop, head.end + 30)], sized=head.length is not None)
    after = COUNT_AFTER.match(tail) if head.number_of is None else None
    count = head.number_of if after is None else (NUMBER_WORDS.get(after["n"].strip()) or int(after["n"]))
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
    sized = _shortened(head, kind_type)
    return Fastener(
        kind=head.kind,
        count=count,
        penny=head.penny,
        type=kind_type,
        diameter_in=sized[0],
        length_in=sized[1],
        per=("end" if per["half"] else per["what"]) if per else "total" if _TOTAL.match(tail) else None,
        into=_into(part, head, stop, members, offset),
        spacing_in=spaced,
        fill="fill" in words and "hole" in words,
        number=head.number,
        stated=stated,
    )


_TOTAL = re.compile(r"^[^,;(]{0,12}\b(?:in )?total\b")


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
    if measured is not None:
        return measured
    edges = re.fullmatch(r"(\d{1,2})\s?/\s?\d{1,2}", match[group])  # "8d @ 6/12": edges and field
    return float(edges[1]) if edges else figure(match[group])


def looked_up(
    penny: str | None, kind_type: str | None, diameter_in: float | None, length_in: float | None
) -> tuple[float | None, float | None]:
    """Diameter and length in inches, filled from the nail table where penny size and type fix them (NDS Table L4)."""
    row = nail(penny, kind_type) if penny and kind_type in ("common", "box", "sinker") else None
    if row is None:
        return diameter_in, length_in
    return diameter_in if diameter_in is not None else row.diameter_in, length_in if length_in is not None else row.length_in


def _shortened(head: Head, kind_type: str | None) -> tuple[float | None, float | None]:
    """Dimensions of one fastener; "N10" is a 10d common nail cut to 1-1/2 in."""
    if head.short and head.penny:
        return looked_up(head.penny, "common", head.diameter, head.length if head.length is not None else _SHORT_NAIL_IN)
    return looked_up(head.penny, kind_type, head.diameter, head.length)


_SHORT_NAIL_IN = 1.5


def _into(part: str, head: Head, stop: int, members: list[Found], offset: int) -> str | None:
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
    before = max(0, head.start - 60)  # more is never looked at, and a long note holds many fasteners
    lead = re.search(r"([^,;|]{2,40})\s?:\s?$", part[before : head.start])
    if lead and not re.search(r"\w\s(?:to|into)\s", lead[1]):
        begin, finish = offset + before + lead.start(), offset + before + lead.end()
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
            said_again = match["to"] or ((match["n"] or match["again"]) and any(m.start == at for m in members))
            if into is None or not said_again:
                continue
            count = int(match["n"]) if match["n"] else NUMBER_WORDS.get(match["w"].strip()) or int(match["w"])
            again = span.fastener.model_copy(update={"count": count, "into": into, "start": span.end + match.start(), "end": at})
            if out[-1] is span and span.fastener.into == into:
                out[-1] = span._replace(fastener=span.fastener.model_copy(update={"into": None}))
            out.append(FastenerSpan(again, span.end + match.start(), at, span.reach))
    return out
