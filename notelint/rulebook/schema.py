"""The form of a rule file, of its examples and of an office's settings file."""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, field_validator

from notelint.model import Stage

Family = Literal["load-path", "fasteners", "cut-plates", "stacking", "placing", "references", "wording", "office"]
Name = Annotated[str, Field(pattern=r"^[a-z][a-z0-9-]{1,60}$")]
Line = Annotated[str, Field(min_length=1, max_length=2000)]

BLANKS = ("place", "places", "quote", "subject", "lacks", "first", "second", "looked", "answer", "more")


def _blanks_known(text: str) -> str:
    """A question's wording may hold the agreed blanks and no other brace, so that none can fail when it is filled."""
    rest = re.sub(r"\{(?:" + "|".join(BLANKS) + r")\}", "", text)
    if "{" in rest or "}" in rest:
        held = re.search(r"\{[^{}]*\}?|\}", rest)
        raise ValueError(f"{held.group(0) if held else rest!r} is no blank; the blanks are {', '.join('{' + b + '}' for b in BLANKS)}")
    return text


Wording = Annotated[str, Field(min_length=1, max_length=2000), AfterValidator(_blanks_known)]


class Strict(BaseModel):
    """A part of a rule file; unknown keys are refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", coerce_numbers_to_str=False)


class Source(Strict):
    """A published document a rule rests on."""

    document: Line
    edition: str = ""
    section: str = ""
    says: str = ""

    def line(self) -> str:
        """The source as a letter would cite it."""
        return " ".join(part for part in (self.document, self.edition, self.section) if part)


class ExampleBuilding(Strict):
    """What the user would say of the example's building."""

    storeys: int | None = None
    roof: str | None = None
    foundation: str | None = None
    wind_mph: float | None = None
    exposure: str | None = None
    code: str | None = None


class Entry(Strict):
    """One thing that stands on a sheet of an example."""

    note: Line | None = None
    heading: Line | None = None
    callout: Line | None = None
    times: int = Field(default=1, ge=1, le=50)
    detail: str | None = None
    title: Line | None = None
    see: Line | None = None
    schedule: Line | None = None
    rows: list[list[str]] | None = None
    index: list[list[str]] | None = None

    @field_validator("detail", mode="before")
    @classmethod
    def _number_as_text(cls, value: Any) -> Any:
        return str(value) if isinstance(value, int) else value

    @field_validator("rows", "index", mode="before")
    @classmethod
    def _cells_as_text(cls, value: Any) -> Any:
        if not isinstance(value, list):
            return value
        return [[str(c) if isinstance(c, int | float) else c for c in row] if isinstance(row, list) else row for row in value]


class Example(Strict):
    """A small plan set in words that must be asked about, or must not."""

    name: Line
    because: Line
    near_miss: bool = False
    building: ExampleBuilding = ExampleBuilding()
    sheets: dict[str, list[Entry | str]]
    expect: list[str] = []


class Examples(Strict):
    """Both sides of a rule."""

    asks: list[Example] = []
    silent: list[Example] = []


class Rule(Strict):
    """One rule, as its file says it."""

    name: Name
    family: Family
    ask_before: Stage
    question: Wording
    why: Line
    sources: list[Source | Line] = Field(min_length=1)
    check: dict[str, Any]
    examples: Examples = Examples()
    replaces_wording: bool = False

    def source_lines(self) -> tuple[str, ...]:
        """The sources, one line each."""
        return tuple(s if isinstance(s, str) else s.line() for s in self.sources)

    def cited_lines(self) -> tuple[str, ...]:
        """The sources that are documents, one line each; what is said of practice, memory or arithmetic is the rule file's own remark."""
        return tuple(s.line() for s in self.sources if not isinstance(s, str) and s.document != "arithmetic")


class Change(Strict):
    """An office's change to a rule: another stage or wording."""

    ask_before: Stage | None = None
    question: Wording | None = None
    why: Line | None = None


class Settings(Strict):
    """`office.yaml` in a folder of office rules."""

    switch_off: list[Name] = []
    change: dict[Name, Change] = {}
