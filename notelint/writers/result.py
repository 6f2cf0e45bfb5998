"""The form of the result file NAME.review.json, version 1. review.schema.json is made from it.

Boxes are [x0, top, x1, bottom] in points, origin top left of the sheet as displayed, rounded to 0.1.
A key may be added in version 1; none is renamed, removed or given another meaning.
"""

from __future__ import annotations

import math
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from notelint.model import Device, FastenerKind, Joint, JointStateName, RecheckStatus, SheetKind, Stage, TextSource

FORMAT: Literal["notelint review 1"] = "notelint review 1"


def round_box(box: tuple[float, ...]) -> tuple[float, ...]:
    """A box to 0.1 pt; what is no number becomes 0."""
    return tuple(round(one, 1) if math.isfinite(one) else 0.0 for one in box)


BoxOut = Annotated[tuple[float, float, float, float], BeforeValidator(round_box)]


class Part(BaseModel):
    """A part of the result file: made from the fields of the same names of a record; unknown keys are refused in the file."""

    model_config = ConfigDict(frozen=True, extra="forbid", from_attributes=True)


class SheetOut(Part):
    """A page of the plan set."""

    page: int = Field(ge=1)
    number: str | None
    title: str | None
    text: TextSource
    kind: SheetKind
    width: float
    height: float


class PlanSetOut(Part):
    """The file that was read."""

    file: str
    sha256: str
    sheets: tuple[SheetOut, ...]


class BuildingOut(Part):
    """What the building was taken to be."""

    storeys: int | None
    roof: str | None
    foundation: str | None
    wind_mph: float | None
    exposure: str | None
    code: str | None


class WhereOut(Part):
    """A place on a sheet and its words."""

    sheet: str | None
    page: int
    label: str
    quote: str
    box: BoxOut


class BuildingFromOut(Part):
    """Where one thing about the building was read."""

    name: str
    value: str | int | float | None
    from_words: str
    where: WhereOut | None


class FastenerOut(Part):
    """One kind of fastener; what is not written is null."""

    kind: FastenerKind | None
    count: int | None
    penny: str | None
    type: str | None
    diameter_in: float | None
    length_in: float | None
    per: str | None
    into: str | None
    spacing_in: float | None
    fill: bool
    coating: str | None
    number: int | None
    stated: tuple[str, ...]


class SteelOut(Part):
    """Stated body of a connector."""

    gauge: int | None
    thickness_in: float | None
    width_in: float | None
    length_in: float | None


class RequirementOut(Part):
    """One device called for at one joint."""

    id: str
    sheet: str | None
    page: int
    label: str
    quote: str
    box: BoxOut
    mark: str | None
    device: Device | None
    joint: Joint | None
    joins: tuple[str, ...]
    fasteners: tuple[FastenerOut, ...]
    steel: SteelOut | None
    spacing_in: float | None
    embedment_in: float | None
    end_distance_in: float | None
    place: str | None
    face: Literal["inside", "outside", "both", "one"] | None
    storeys: tuple[int, ...]
    coating: str | None
    capacity_lb: float | None
    demand_lb: float | None
    demand_plf: float | None
    see: tuple[str, ...]
    defines: bool


class JointOut(Part):
    """One joint of the load path at one storey line."""

    joint: Joint
    storey: int
    state: JointStateName
    requirements: tuple[str, ...]
    capacity_lb: float | None
    computed_lb: float | None
    arithmetic: tuple[str, ...]
    demand_lb: float | None
    lacks: tuple[str, ...]
    words: str | None
    where: tuple[WhereOut, ...]


class LoadPathOut(Part):
    """Joints from roof to footing, highest first."""

    joints: tuple[JointOut, ...]
    weakest: str | None


class AnswerOut(Part):
    """What the designer typed."""

    answer: str
    answered_by: str
    date: str


class QuestionOut(Part):
    """One question. `status` and `answer` stand only in a comparison with an earlier set."""

    number: int
    key: str
    rule: str
    family: str
    ask_before: Stage
    question: str
    why: str
    arithmetic: tuple[str, ...]
    sources: tuple[str, ...]
    where: tuple[WhereOut, ...]
    status: RecheckStatus | None = None
    old_words: tuple[WhereOut, ...] = ()
    answer: AnswerOut | None = None


class AnsweredOut(Part):
    """A question of the earlier set that the revised set answers."""

    key: str
    rule: str
    question: str
    where: tuple[WhereOut, ...]
    new_words: tuple[WhereOut, ...]
    answer: AnswerOut | None


class RecheckOut(Part):
    """The earlier set and what is answered since."""

    file: str
    sha256: str
    answered: tuple[AnsweredOut, ...]


class HardwareOut(Part):
    """One mark of the hardware list. `callouts` counts callouts, not pieces."""

    mark: str
    device: str | None
    item: str
    fasteners: str
    callouts: int
    sheets: tuple[str, ...]
    capacity_lb: float | None
    lacks: tuple[str, ...]


class UnreadOut(Part):
    """A sheet, or a part of one, that was not checked."""

    page: int
    sheet: str | None
    reason: str


class Result(Part):
    """The whole file."""

    format: Literal["notelint review 1"]
    plan_set: PlanSetOut
    building: BuildingOut
    building_from: tuple[BuildingFromOut, ...]
    requirements: tuple[RequirementOut, ...]
    load_path: LoadPathOut
    questions: tuple[QuestionOut, ...]
    hardware: tuple[HardwareOut, ...]
    not_checked: tuple[UnreadOut, ...]
    rules_not_run: tuple[str, ...]
    recheck: RecheckOut | None = None
    caution: str
