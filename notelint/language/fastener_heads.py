"""Where the words of each fastener begin: its number, size and kind."""

from __future__ import annotations

import re
from typing import NamedTuple

from notelint.language.fastener_patterns import COUNT_BEFORE, DIA_WORD, KINDS, NOUN, SIZE
from notelint.language.quantities import NUMBER_WORDS, figure
from notelint.model import FastenerKind


class Head(NamedTuple):
    """The number and size of one fastener as written, in characters start..end of the stretch."""

    start: int
    size_start: int
    end: int
    kind: FastenerKind | None
    number_of: int | None
    penny: str | None
    diameter: float | None
    length: float | None
    number: int | None
    short: bool
    same: bool = False  # "eight of the same": sized like the one before


def heads_of(part: str, hint: FastenerKind | None) -> list[Head]:
    """Every fastener of `part` (plain form) in order; `hint` is the kind where the words name none."""
    found: list[Head] = []
    for match in SIZE.finditer(part):
        bare = found[-1].kind if found and not (found[-1].penny or found[-1].diameter or found[-1].number) else None
        head = _head(part, match, hint or bare, found[-1].end if found else 0)
        if head is None:
            continue
        if found and _sized_later(part, found[-1], head):
            found[-1] = head._replace(start=found[-1].start, number_of=found[-1].number_of)
            continue
        if found and _sizes_all(part, found[-1], head):
            found = [_with_size(f, head) if _bare(f) and f.kind in (head.kind, None) else f for f in found]
            continue
        if found and _is_gloss(part, found[-1], head):
            found[-1] = _merged(found[-1], head)
            continue
        found.append(head)
    return found


def _bare(head: Head) -> bool:
    return head.penny is None and head.diameter is None and head.number is None


_ALL_OF_SIZE = re.compile(
    r"[^.;|]{0,70}[,;(-]\s?(?:and\s)?(?:all|every one|each one|both)(?: of (?:them|these|which|it))?(?: are| being|:| of)?\s$"
)


def _sizes_all(part: str, last: Head, head: Head) -> bool:
    """A size that closes the numbers before it: "seven nails in the truss, seven in the stud, all 0.148 x 1-1/2"."""
    return (
        _bare(last) and head.number_of is None and head.kind in (last.kind, None) and bool(_ALL_OF_SIZE.match(part[last.end : head.start]))
    )


def _with_size(last: Head, head: Head) -> Head:
    return last._replace(penny=head.penny, diameter=head.diameter, length=head.length, number=head.number, short=head.short)


def _sized_later(part: str, last: Head, head: Head) -> bool:
    """Number and noun stand before the size: "8 screws 1/4 x 3 in.", "ten nails, 10d x 1-1/2"."""
    return (
        _bare(last)
        and head.number_of is None
        and head.kind in (last.kind, None)
        and bool(re.fullmatch(r"\s?[,(:]?\s?(?:of\s|each\s)?", part[last.end : head.start]))
    )


def _is_gloss(part: str, last: Head, head: Head) -> bool:
    """A size in brackets, or after "is" or a comma, that says the same nail again."""
    if head.number_of is not None or head.kind not in (None, last.kind) or not last.penny:
        return False
    gap = part[last.end : head.start]
    if re.fullmatch(r"\s?(?:nails?)?,\s?", gap):
        return head.penny is None and head.diameter is not None and last.diameter in (None, head.diameter)
    return bool(
        re.fullmatch(r"\s?(?:nails?|common|box|sinker)?\s?(?:\(|=|is|are|shall be|to be|must be|,\s?i\.e\.|means|measures?)\s?", gap)
    )


def _merged(last: Head, head: Head) -> Head:
    return last._replace(
        end=head.end, penny=last.penny or head.penny, diameter=last.diameter or head.diameter, length=last.length or head.length
    )


class _Size(NamedTuple):
    """What a size says: kind of fastener and its dimensions."""

    kind: FastenerKind | None
    penny: str | None = None
    diameter: float | None = None
    length: float | None = None
    number: int | None = None


def _head(part: str, match: re.Match[str], hint: FastenerKind | None, after: int) -> Head | None:
    if match["howmany"] or match["again"]:
        return _number_alone(match)
    if match["lump"]:
        return _lump(part, match, hint, after)
    if match["lump3"]:
        diameter, kind = figure(match["dia3"]), _noun(part, match, after) or hint
        if kind not in ("nail", "screw") or diameter is None or diameter > _THICKEST_NAIL_IN:
            return None
        return Head(match.start(), match.start(), match.end(), kind, int(match["lump3"]), None, diameter, None, None, False)
    size = _size(part, match, hint, after)
    if size.kind is None or (size.diameter is not None and not _THINNEST_NAIL_IN <= size.diameter <= 1.5):
        return None
    start, number_of = _count(part, match, after)
    if match["only"] and size.kind == "nail" and size.diameter and size.diameter > _THICKEST_NAIL_IN:
        whole = number_of if number_of and re.fullmatch(rf"{number_of}\s", part[start : match.start()]) else 0
        return Head(start, match.start(), match.end(), "nail", None if whole else number_of, None, None, whole + size.diameter, None, False)
    return Head(
        start, match.start(), match.end(), size.kind, number_of, size.penny, size.diameter, size.length, size.number, bool(match["short"])
    )


def _size(part: str, match: re.Match[str], hint: FastenerKind | None, after: int) -> _Size:
    """The size as written; its kind is None where it is no fastener's."""
    if match["penny"] or match["short"]:
        length = _in_inches(_first(match, "plen", "plen2", "plen3", "plen4", "plen5", "plen6", "slen", "slen2"))
        return _Size("nail", f"{int(match['penny'] or match['short'])}d", _first(match, "pdia", "pdia2", "pdia3", "pdia4", "pdia5"), length)
    if match["number"]:
        length = _first(match, "nlen", "nlen2")
        named = "screw" in match.group() or re.match(r"\s?(?:[a-z-]+\s){0,3}screws?", part[match.end() :])
        bar = (length or 0) > _LONGEST_SCREW_IN or re.match(r"\"?\s(?:x\s)?(?:\w+\s)?(?:dowels?|bars?|rebar)", part[match.end() :])
        return _Size(
            "screw" if not bar and (length is not None or named or hint == "screw") else None, length=length, number=int(match["number"])
        )
    if match["ldia"]:
        diameter = figure(match["ldia"])
        small = diameter is not None and diameter <= _THICKEST_NAIL_IN
        return _Size((_noun(part, match, after) or "nail") if small else None, diameter=diameter, length=figure(match["ldia_len"]))
    if match["dia"]:
        diameter, length = figure(match["dia"]), figure(match["dlen"])
        return _Size(_pair_kind(part, match, hint, after, diameter, length), diameter=diameter, length=length)
    return _Size(_only_kind(part, match, hint, after), diameter=figure(match["only"]))


_THICKEST_NAIL_IN = 0.35
_THINNEST_NAIL_IN = 0.08
_LONGEST_SCREW_IN = 12


def _in_inches(length: float | None) -> float | None:
    """A nail longer than any was written in millimetres: "10d x 38"."""
    return length if length is None or length <= _LONGEST_SCREW_IN else round(length / 25.4 * 8) / 8


def _first(match: re.Match[str], *names: str) -> float | None:
    return next((figure(match[name]) for name in names if match[name]), None)


def _number_alone(match: re.Match[str]) -> Head:
    """A number of nails or screws without their size: "(13) nails"."""
    written = (match["howmany"] or match["again"]).strip("() ")
    kind: FastenerKind = "screw" if (match["what"] or "").startswith("screw") else "nail"
    number_of = NUMBER_WORDS.get(written) or int(written)
    same = bool(match["same"] or match["again"])
    return Head(match.start(), match.start(), match.end(), kind, number_of, None, None, None, None, False, same)


def _lump(part: str, match: re.Match[str], hint: FastenerKind | None, after: int) -> Head | None:
    """A count and a diameter with a hyphen between: "7-0.148 x 1-1/2", "12-1/4 x 3 screws"; "1-1/4 x 6 in." alone is steel."""
    diameter, length, count = figure(match["dia2"]), figure(match["dlen2"]), int(match["lump"])
    noun = _noun(part, match, after)
    decimal = "." in match["dia2"]
    if diameter is None or length is None or not (decimal or ((noun or hint) and count > 1)):
        return None
    kind = noun or ("nail" if decimal and diameter < 0.2 else hint)
    return (
        Head(match.start(), match.start(), match.end(), kind, count, None, diameter, length, None, False)
        if kind and length > diameter
        else None
    )


def _pair_kind(
    part: str, match: re.Match[str], hint: FastenerKind | None, after: int, diameter: float | None, length: float | None
) -> FastenerKind | None:
    if diameter is None or length is None or length < diameter * 2 or length > 60:
        return None
    if re.match(r"\s?x\s?\d", part[match.end() :]) or re.search(r"(?:ga\.?|gauge|(?<![a-z])x)\s?$", part[: match.start()]):
        return None
    kind = _noun(part, match, after)
    if kind is None and diameter < 0.2 and re.search(r"\.\d", match["dia"]):
        return "nail"
    if kind is None and hint in ("rod", "anchor bolt", "bolt") and diameter <= _THICKEST_NAIL_IN:
        return "screw" if diameter >= 0.2 else None
    return kind or (hint if diameter <= _THICKEST_NAIL_IN or hint not in ("nail", "screw") else None)


def _only_kind(part: str, match: re.Match[str], hint: FastenerKind | None, after: int) -> FastenerKind | None:
    if not match["unit"] and not match["word"] and "." not in match["only"] and "/" not in match["only"] and not match["only"].isalpha():
        return None
    rest = part[match.end() :]
    if re.search(r"(?:(?<![a-z])x|\bby)\s?$", part[: match.start()]) or re.match(
        r"\s?(?:mil\b|x\s?\d|thick|plate|t&g|tongue|wide|gap|air|lap|slope|per|square|sq|o\.?\s?c|pt|from|past|psf|long|clear"
        r"|washer|to \d|-?\d)",
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
        r"s?\s?[:,(-]?\s?(?:shall be|are|is|to be|be|of|min\.?|minimum|with|\(?\d{1,3}\)?\s?-?|:|=|at least|\w+ \(\d+\)|a|an"
        r"|provide|use|\s)*\s?(?:(?:galv\w*|hot-dip\w*|stainless|steel|cast-in-place|f1554|a307|grade \d+|new)\s?,?\s?)*",
        left[nouns[-1].end() :],
    ):
        return KINDS[str(nouns[-1].lastgroup)]
    return None


def _count(part: str, match: re.Match[str], after: int) -> tuple[int, int | None]:
    left = part[after : match.start()]
    kept = left.rstrip()
    if len(left) - len(kept) > 1 and kept:  # a metric equal was blanked out between the number and the size
        start, number_of = _count_in(part[: after + len(kept)] + " ", after + len(kept) + 1, match, after)
        return start, number_of
    return _count_in(part, match.start(), match, after)


def _count_in(part: str, at: int, match: re.Match[str], after: int) -> tuple[int, int | None]:
    """The number that stands right before `at`, and where it begins."""
    left = part[after:at]
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
    return at - (len(left[-48:]) - found.start()), value if 0 < value <= 200 else None
