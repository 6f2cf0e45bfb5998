"""The spaCy pipeline that finds trade terms: own tokenizer, a span ruler over the vocabulary, no model."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

import spacy
from spacy.language import Language

from notelint.language.tokens import TradeTokenizer, cut
from notelint.language.words import look_up_form
from notelint.trade.vocabulary import phrases, spellings

_SPANS = "terms"


class Found(NamedTuple):
    """A vocabulary term in characters start..end of a text."""

    kind: str
    name: str
    start: int
    end: int


class Pipeline(NamedTuple):
    """The pipeline and its tokenizer, whose `scanned` switch mends words of a scan."""

    nlp: Language
    tokenizer: TradeTokenizer
    first_words: frozenset[str]


@lru_cache(maxsize=1)
def pipeline() -> Pipeline:
    """The pipeline, built at first use."""
    nlp = spacy.blank("xx")
    tokenizer = TradeTokenizer(nlp.vocab)
    nlp.tokenizer = tokenizer
    ruler = nlp.add_pipe("span_ruler", config={"phrase_matcher_attr": "NORM", "validate": True, "spans_key": _SPANS, "spans_filter": None})
    ruler.add_patterns(_patterns())
    first = frozenset(look_up_form(w) for s in spellings() for w in cut(s.text)[:1])
    return Pipeline(nlp, tokenizer, first)


def _patterns() -> list[dict[str, str]]:
    """One phrase a spelling; of two with the same look-up form the first stands."""
    seen: dict[tuple[str, ...], dict[str, str]] = {}
    for spelling in spellings():
        key = tuple(look_up_form(w) for w in cut(spelling.text) if not w.isspace())
        seen.setdefault(key, {"label": spelling.kind, "pattern": spelling.text, "id": spelling.name})
    return list(seen.values())


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


def find_terms(text: str, low: str, *, scanned: bool = False) -> list[Found]:
    """Vocabulary terms of `text` in order; `low` is `plain(text)`, `scanned` tells that it came from OCR."""
    built = pipeline()
    built.tokenizer.scanned = scanned
    doc = built.nlp(text)
    found = _apart(Found(span.label_, span.id_, span.start_char, span.end_char) for span in doc.spans[_SPANS])
    for phrase in phrases():
        if phrase.kind != "fastener type":
            found += [Found(phrase.kind, phrase.name, m.start(), m.end()) for m in phrase.pattern.finditer(low) if m.end() > m.start()]
    return sorted(found, key=lambda f: (f.start, -f.end))
