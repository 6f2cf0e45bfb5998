"""The form in which a word is looked up: lower case, singular, without dots; misspelt and scanned words mended."""

from __future__ import annotations

import re
from functools import lru_cache

from rapidfuzz import process
from rapidfuzz.distance import OSA

from notelint.trade.vocabulary import plain_words, spellings

_WORD = re.compile(r"[a-z]+")
_KEEP_S = ("ss", "us", "is", "os")
_SHORTEST_MENDED = 6
_SCAN_LETTERS = str.maketrans("01568", "olsgb")


def singular(word: str) -> str:
    """`word` without its plural ending."""
    if len(word) <= 3 or word.endswith(_KEEP_S) or not word.endswith("s"):
        return word
    if word.endswith("ies") and len(word) > 4 and word != "ties":
        return word[:-3] + "y"
    if word.endswith(("sses", "xes", "ches", "shes")):
        return word[:-2]
    return word[:-1]


def base(word: str) -> str:
    """The look-up form of one written word, before any mending."""
    if len(word) > 2 and word[-1] == "s" and word[:-1].isupper() and word[:-1].isalpha():  # "HDs", "ABs"
        word = word[:-1]
    low = word.lower()
    if "." in low and len(low) > 1 and not low[0].isdigit():
        return low.replace(".", "")
    for ending in ("'s", "s'"):
        if low.endswith(ending) and len(low) > 3:
            return low[:-2]
    return singular(low)


@lru_cache(maxsize=1)
def trade_words() -> frozenset[str]:
    """All single words of the vocabulary in look-up form."""
    return frozenset(base(w) for s in spellings() for w in re.findall(r"[a-z]{2,}", s.text.lower()))


@lru_cache(maxsize=1)
def _known() -> frozenset[str]:
    return trade_words() | frozenset(base(w) for w in plain_words()) | plain_words()


@lru_cache(maxsize=1)
def _targets() -> tuple[str, ...]:
    return tuple(sorted(w for w in trade_words() if len(w) >= _SHORTEST_MENDED))


@lru_cache(maxsize=20000)
def look_up_form(word: str, scanned: bool = False) -> str:
    """The form under which `word` is looked up; with `scanned`, figures read for letters are turned back as well."""
    form = base(word)
    if not form or form in _known() or len(form) < (4 if scanned else _SHORTEST_MENDED):
        return form
    if scanned and not form.isalpha() and sum(c.isalpha() for c in form) >= 3:
        turned = form.translate(_SCAN_LETTERS)
        if turned in _known():
            return turned
    if not form.isalpha():
        return form
    return _nearest(form, scanned) or form


def _nearest(form: str, scanned: bool) -> str | None:
    """The one trade word within a slip or two of `form`, with the same first letter (any in a scan)."""
    if len(form) < _SHORTEST_MENDED:
        return None
    slips = 2 if len(form) >= 9 else 1
    near = process.extract(form, _targets(), scorer=OSA.distance, score_cutoff=slips, limit=3)
    near = [n for n in near if scanned or n[0][0] == form[0]]
    if not near or (len(near) > 1 and near[0][1] == near[1][1]):
        return None
    return str(near[0][0])


@lru_cache(maxsize=4096)
def pieces(word: str) -> tuple[str, ...]:
    """A glued word cut into known words ("BOLTSATTYPICAL" into three), or the word alone."""
    low = word.lower()
    if len(low) < 7 or len(low) > 60 or not low.isascii() or not low.isalpha() or base(low) in _known() or low in _known():
        return (word,)
    best: list[list[int] | None] = [[] if i == 0 else None for i in range(len(low) + 1)]
    for end in range(1, len(low) + 1):
        for start in range(max(0, end - 16), end):
            so_far = best[start]
            if so_far is None or not _may_stand(low[start:end]):
                continue
            cut = [*so_far, end]
            known = best[end]
            if known is None or len(cut) < len(known):
                best[end] = cut
    cuts = best[-1]
    if (
        cuts is None
        or len(cuts) < 2
        or not any(base(low[a:b]) in trade_words() and b - a > 3 for a, b in zip([0, *cuts], cuts, strict=False))
    ):
        return (word,)
    return tuple(word[a:b] for a, b in zip([0, *cuts], cuts, strict=False))


_SHORT = frozenset({
    "a", "an", "at", "to", "of", "on", "in", "or", "by", "and", "the", "per", "all", "ea", "each", "oc", "typ", "no", "max", "min",
    "with", "for", "from", "is", "be",
})  # fmt: skip


def _may_stand(part: str) -> bool:
    """Whether `part` may be a word inside a glued one: short ones only from a short list."""
    return part in _SHORT if len(part) < 4 else (base(part) in _known() or part in _known())
