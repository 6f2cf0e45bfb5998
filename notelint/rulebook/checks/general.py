"""Checks an office can use in its own rules without Python: words, lacking words, lacking fields, limits."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import AfterValidator, Field, FiniteFloat, model_validator

from notelint.model import Device, Finding, Joint, PassageKind, Requirement
from notelint.rulebook.case import Case
from notelint.rulebook.schema import Strict


def _has_words(text: str) -> str:
    """A phrase is compared by its letters and figures, so it must have some."""
    if not re.search(r"[A-Za-z0-9]", text):
        raise ValueError(f"{text!r} holds no letter or figure to look for")
    return text


Phrase = Annotated[str, Field(min_length=2, max_length=120), AfterValidator(_has_words)]
Phrases = Annotated[list[Phrase], Field(max_length=60)]
SomePhrases = Annotated[list[Phrase], Field(min_length=1, max_length=60)]
FieldName = Literal["fasteners", "anchor", "spacing", "embedment", "end distance", "capacity", "place", "coating", "length", "count"]


class Words(Strict):
    """Asks about every passage that holds one of `any` (and one of each list in `with_any`), unless it holds one of `unless`,
    or one of `answered_by` stands anywhere in the set. Plain words, letter case and white space aside; no patterns."""

    any: SomePhrases
    with_any: Phrases = Field(default_factory=list)
    unless: Phrases = Field(default_factory=list)
    answered_by: Phrases = Field(default_factory=list)
    on: list[PassageKind] = Field(default=["note", "row", "callout", "text"], min_length=1)


class WordsLacking(Strict):
    """Asks once where the set holds one of `needs_any` (or always, where that is empty) and nowhere one of `any`."""

    any: SomePhrases
    needs_any: Phrases = Field(default_factory=list)


class FieldLacking(Strict):
    """Asks about requirements of a device (or joint) that do not say a field, nor does the schedule line of their mark.

    `lacks` names the fields, all of which a full answer holds; `in_words` are words that count as an answer.
    """

    device: Device | None = None
    joint: Joint | None = None
    lacks: list[FieldName] = Field(default_factory=list)
    in_words: Phrases = Field(default_factory=list)
    on: list[PassageKind] = Field(default=["note", "row", "callout"], min_length=1)
    own_words_only: bool = False
    """True: the callout's own words must say it; its mark's schedule line is no answer."""

    @model_validator(mode="after")
    def _asks_for_something(self) -> FieldLacking:
        if not self.lacks and not self.in_words:
            raise ValueError("give lacks (fields) or in_words (words that count as an answer); without them nothing is asked")
        if self.device is None and self.joint is None:
            raise ValueError("give a device or a joint whose requirements are looked at")
        return self


class Limit(Strict):
    """Asks where a stated field of a device (or joint) is beyond a limit of the office. Inches or pounds."""

    device: Device | None = None
    joint: Joint | None = None
    field: Literal["spacing_in", "embedment_in", "end_distance_in", "capacity_lb"]
    at_most: FiniteFloat | None = None
    at_least: FiniteFloat | None = None

    @model_validator(mode="after")
    def _has_a_limit(self) -> Limit:
        if self.at_most is None and self.at_least is None:
            raise ValueError("give at_most or at_least; without them nothing is asked")
        return self


def plain(text: str) -> str:
    """Text for comparing words: lower case, single spaces, no full stop after a word, a space at either end."""
    words = re.sub(r"[^a-z0-9/'\".#&+-]+", " ", text.casefold()).split()
    return f" {' '.join(word.rstrip('.') for word in words)} "


def holds(text: str, phrases: list[str]) -> str | None:
    """The first phrase that stands in the text as whole words; linear in both, so no input can make it run away."""
    inside = plain(text)
    return next((p for p in phrases if plain(p) in inside or plain(p).rstrip() + "s " in inside), None)


def words(parameters: Words, case: Case) -> Iterator[Finding]:
    """See Words."""
    if parameters.answered_by and any(holds(p.text, parameters.answered_by) for p in case.passages.values()):
        return
    for p in case.passages.values():
        if p.kind not in parameters.on or not (found := holds(p.text, parameters.any)):
            continue
        if parameters.with_any and not holds(p.text, parameters.with_any):
            continue
        if not holds(p.text, parameters.unless):
            yield Finding(rule="", where=(case.where(p.id),), subject=found.casefold())


def words_lacking(parameters: WordsLacking, case: Case) -> Iterator[Finding]:
    """See WordsLacking."""
    needing = [p for p in case.passages.values() if holds(p.text, parameters.needs_any)]
    if parameters.needs_any and not needing:
        return
    if not any(holds(p.text, parameters.any) for p in case.passages.values()):
        yield Finding(rule="", where=tuple(case.where(p.id) for p in needing[:5]), subject=parameters.any[0].casefold())


def _says(r: Requirement, name: str) -> bool:
    fasteners = [f for f in r.fasteners if f.kind not in {"anchor bolt", "rod"}]
    said: dict[str, object] = {
        "fasteners": fasteners,
        "anchor": [f for f in r.fasteners if f.kind in {"anchor bolt", "rod"}] or r.embedment_in,
        "spacing": r.spacing_in or r.each,
        "embedment": r.embedment_in,
        "end distance": r.end_distance_in,
        "capacity": r.capacity_lb,
        "place": r.place or r.each or r.spacing_in,
        "coating": r.coating or [f for f in r.fasteners if f.coating],
        "length": [f for f in fasteners if f.length_in],
        "count": [f for f in fasteners if f.count or f.fill or f.spacing_in],
    }
    return bool(said[name])


def field_lacking(parameters: FieldLacking, case: Case) -> Iterator[Finding]:
    """See FieldLacking."""
    for r in case.duties:
        if (parameters.device and r.device != parameters.device) or (parameters.joint and r.joint != parameters.joint):
            continue
        if r.kind not in parameters.on or holds(case.passages[r.passage].text, parameters.in_words):
            continue
        family = () if parameters.own_words_only or not r.mark else case.by_mark.get("".join(c for c in r.mark.upper() if c.isalnum()), ())
        lacks = [name for name in parameters.lacks if not any(_says(one, name) for one in (r, *family))]
        if lacks or (parameters.in_words and not parameters.lacks):
            yield Finding(rule="", where=(case.where_of(r),), subject=r.mark or r.device or "", values={"lacks": " and ".join(lacks)})


def limit(parameters: Limit, case: Case) -> Iterator[Finding]:
    """See Limit."""
    for r in case.duties:
        if (parameters.device and r.device != parameters.device) or (parameters.joint and r.joint != parameters.joint):
            continue
        value = getattr(r, parameters.field)
        if value is None:
            continue
        over = parameters.at_most is not None and value > parameters.at_most
        under = parameters.at_least is not None and value < parameters.at_least
        if over or under:
            bound = parameters.at_most if over else parameters.at_least
            name, unit = parameters.field.rsplit("_", 1)
            yield Finding(
                rule="", where=(case.where_of(r),), subject=r.mark or r.device or "",
                values={"first": f"{value:g} {unit}", "second": f"{bound:g} {unit}"},
                arithmetic=(f"{name.replace('_', ' ')} {value:g} {unit} against {bound:g} {unit} (the office's limit)",),
            )  # fmt: skip


KINDS = {
    "words": (Words, words),
    "words-lacking": (WordsLacking, words_lacking),
    "field-lacking": (FieldLacking, field_lacking),
    "limit": (Limit, limit),
}
