"""Finds trade terms with spaCy: own tokenizer, a phrase matcher over the vocabulary, no model."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

from spacy.matcher import PhraseMatcher
from spacy.tokens import Doc
from spacy.vocab import Vocab

from notelint.language.tokens import TradeTokenizer, cut
from notelint.language.words import look_up_form
from notelint.trade.vocabulary import Spelling, phrases, spellings


class Found(NamedTuple):
    """A vocabulary term in characters start..end of a text."""

    kind: str
    name: str
    start: int
    end: int


class Pipeline(NamedTuple):
    """The tokenizer, whose `scanned` switch mends words of a scan, and the matcher with kind and name of each of its keys."""

    tokenizer: TradeTokenizer
    matcher: PhraseMatcher
    terms: dict[int, tuple[str, str]]
    first_words: frozenset[str]


@lru_cache(maxsize=1)
def pipeline() -> Pipeline:
    """The pipeline, built at first use."""
    vocab = Vocab()
    tokenizer = TradeTokenizer(vocab)
    matcher = PhraseMatcher(vocab, attr="NORM")
    terms: dict[int, tuple[str, str]] = {}
    for (kind, name), texts in _patterns().items():
        key = f"{kind}: {name}"
        matcher.add(key, [tokenizer(text) for text in texts])
        terms[vocab.strings[key]] = kind, name
    first = frozenset(look_up_form(w) for s in spellings() for w in cut(s.text)[:1])
    return Pipeline(tokenizer, matcher, terms, first)


def _patterns() -> dict[tuple[str, str], list[str]]:
    """Texts by kind and name, one a spelling; of two with the same look-up form the first stands."""
    seen: dict[tuple[str, ...], Spelling] = {}
    for spelling in spellings():
        key = tuple(look_up_form(w) for w in cut(spelling.text) if not w.isspace())
        seen.setdefault(key, spelling)
    found: dict[tuple[str, str], list[str]] = {}
    for spelling in seen.values():
        found.setdefault((spelling.kind, spelling.name), []).append(spelling.text)
    return found


def _apart(found: Iterable[Found]) -> list[Found]:
    """Terms none of which overlaps another: the longer of two, and of two that only cross the later ("porch post cap" is a post cap)."""
    out: list[Found] = []
    for term in sorted(found, key=lambda f: (f.start, -f.end)):
        if out and term.start < out[-1].end:
            if term.end <= out[-1].end or (out[-1].kind == "device" and term.kind == "member"):
                continue
            out.pop()
        out.append(term)
    return out


def _found(built: Pipeline, doc: Doc, key: int, start: int, end: int) -> Found:
    kind, name = built.terms[key]
    last = doc[end - 1]
    return Found(kind, name, doc[start].idx, last.idx + len(last))


def find_terms(text: str, low: str, *, scanned: bool = False) -> list[Found]:
    """Vocabulary terms of `text` in order; `low` is `plain(text)`, `scanned` tells that it came from OCR."""
    built = pipeline()
    built.tokenizer.scanned = scanned
    doc = built.tokenizer(text)
    found = _apart(_found(built, doc, key, start, end) for key, start, end in built.matcher(doc))
    for phrase in phrases():
        if phrase.kind != "fastener type":
            found += [Found(phrase.kind, phrase.name, m.start(), m.end()) for m in phrase.pattern.finditer(low) if m.end() > m.start()]
    return sorted(found, key=lambda f: (f.start, -f.end))
