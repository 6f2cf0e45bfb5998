"""The types that pass between the stages, and nothing else.

Boxes are in points (1/72 in), origin at the top left of the sheet as displayed (after /Rotate), y downwards.
Lengths whose name ends in `_in` are inches, `_lb` pounds of force, `_plf` pounds per foot, `_mph` miles per hour.
Every record read from a sheet keeps the words it came from: a passage id with a character span, or a quote with its box.
"""

from __future__ import annotations

from typing import Any, Literal, NamedTuple

import numpy
from pydantic import BaseModel, ConfigDict, Field

Stage = Literal["bid", "pour", "framing", "rough-in", "cover"]
STAGES: tuple[Stage, ...] = ("bid", "pour", "framing", "rough-in", "cover")

Device = Literal[
    "anchor bolt", "sill strap", "embedded strap", "hold-down", "strap", "roof tie", "stud tie", "header tie", "post base",
    "post cap", "hanger", "plate tie", "rod", "sheathing", "nailing", "blocking", "angle",
]  # fmt: skip
Joint = Literal[
    "roof-to-wall", "plate-to-stud", "header-to-stud", "floor-to-floor", "stud-to-sill", "sill-to-foundation", "post-head",
    "post-foot", "new-to-existing", "cut-plate", "plate-splice", "ridge", "other",
]  # fmt: skip
FastenerKind = Literal["nail", "screw", "bolt", "lag screw", "anchor bolt", "rod"]
TextSource = Literal["vector", "ocr", "none"]
SheetKind = Literal["drawing", "notes", "schedule", "cover", "truss letter", "calculation", "form", "blank"]
PassageKind = Literal["note", "row", "callout", "title", "heading", "text"]


class Record(BaseModel):
    """A frozen value; unknown fields are refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)


class Box(NamedTuple):
    """A rectangle on a sheet as displayed, in points."""

    x0: float
    top: float
    x1: float
    bottom: float


# ---------------------------------------------------------------- planset: what stands on a sheet


class Word(NamedTuple):
    """One word as displayed. `turn` is how far its writing is turned clockwise: 0, 90, 180 or 270 degrees."""

    text: str
    x0: float
    top: float
    x1: float
    bottom: float
    size: float  # height of the type in points
    turn: int = 0
    sure: float = 1.0  # 1 from a text layer, the reader's confidence from OCR
    bold: bool = False


class Sheet(Record):
    """One page of the plan set with its words in no particular order."""

    page: int  # 1-based
    width: float
    height: float
    text: TextSource
    words: tuple[Word, ...] = ()
    segments: Any = Field(default_factory=lambda: numpy.zeros((0, 4), dtype=numpy.float32))
    """Straight line segments, (n, 4) float32 of x0, top, x1, bottom; long ones are table rules and leaders."""
    circles: tuple[Box, ...] = ()  # closed round shapes of a bubble's size
    number: str | None = None  # "S-1"
    title: str | None = None
    discipline: str | None = None
    revision: str | None = None
    scale: str | None = None
    kind: SheetKind = "drawing"
    block: Box | None = None  # the title block, set aside by layout
    reason: str | None = None  # why the sheet (or part of it) could not be read


class Unread(Record):
    """A sheet, or a part of one, that was not checked, and why."""

    page: int
    sheet: str | None
    reason: str


# ---------------------------------------------------------------- layout: what a person sees as one piece of text


class Spot(NamedTuple):
    """Where characters start..end of a passage's text stand."""

    start: int
    end: int
    page: int
    box: Box
    sure: float = 1.0


class Cell(NamedTuple):
    """A cell of a schedule row: the column's head as written, and its characters start..end in the passage's text."""

    column: str
    start: int
    end: int


class Passage(Record):
    """A note, a schedule row, a callout, a title: read as one, quoted as one."""

    id: str  # "p17", unique in the set
    page: int
    sheet: str | None
    kind: PassageKind
    label: str  # what a letter would call it: "note 7", "STRAP SCHEDULE, row ST-3", "callout", "detail 4"
    text: str  # words joined by single spaces; cells of a row joined by " | "
    headings: tuple[str, ...] = ()  # headings it stands under, outermost first; for a row the schedule's title
    cells: tuple[Cell, ...] = ()  # of a schedule row
    spots: tuple[Spot, ...] = ()  # one a word, in reading order
    detail: str | None = None  # number of the detail or section it belongs to, on its own sheet
    place: str | None = None  # nearest named place (plan title, room, leader's end) where one is near
    also: tuple[tuple[int, Box], ...] = ()  # further places (page, box) where the same callout stands
    source: SheetKind = "drawing"

    def box(self, start: int = 0, end: int | None = None) -> Box:
        """The smallest box around characters start..end that stand on this passage's page; zeros where none does."""
        end = len(self.text) if end is None else end
        boxes = [s.box for s in self.spots if s.page == self.page and s.start < end and s.end > start]
        if not boxes:
            return Box(0.0, 0.0, 0.0, 0.0)
        return Box(min(b.x0 for b in boxes), min(b.top for b in boxes), max(b.x1 for b in boxes), max(b.bottom for b in boxes))

    def cell(self, *names: str) -> str | None:
        """Text of the first cell whose column head is one of `names`, letter case aside."""
        wanted = {n.casefold() for n in names}
        for column, start, end in self.cells:
            if column.casefold() in wanted:
                return self.text[start:end]
        return None


class Reference(Record):
    """A detail bubble or "see detail 4/S-5": a detail number and the sheet it should stand on."""

    page: int
    sheet: str | None
    detail: str | None
    target: str | None  # sheet number as written; None where only a detail number is given (same sheet)
    quote: str
    box: Box


class DetailTitle(Record):
    """A drawing's own number and title on a sheet."""

    page: int
    sheet: str | None
    number: str
    title: str
    box: Box


class IndexEntry(Record):
    """A line of the sheet index: a sheet number and its title."""

    page: int
    sheet: str | None  # the sheet the index stands on
    number: str
    title: str
    box: Box


class Layout(Record):
    """All that layout makes of a plan set."""

    passages: tuple[Passage, ...] = ()
    references: tuple[Reference, ...] = ()
    details: tuple[DetailTitle, ...] = ()
    index: tuple[IndexEntry, ...] = ()
    unread: tuple[Unread, ...] = ()


# ---------------------------------------------------------------- language: what the words say


class Term(Record):
    """A trade term or quantity found in a passage: characters start..end, what kind it is and its one agreed name.

    Kinds: device, member, fastener, quantity, mark, place, act, state, qualifier, code, system (see shared/vocabulary).
    """

    kind: str
    name: str  # the agreed name: "top plate" for "DBL. PL.", "hold-down" for "H.D."
    start: int
    end: int
    value: float | None = None  # a quantity in `unit`
    high: float | None = None  # upper end of a range
    unit: str | None = None  # "in", "lb", "plf", "psi", "psf", "mph", "gauge", "percent", "penny", "screw number", "count", "ratio"
    role: str | None = None  # what the quantity is: "spacing", "length", "diameter", "embedment", "width", ...


class Clause(Record):
    """One statement of a passage."""

    passage: str
    start: int
    end: int
    terms: tuple[Term, ...] = ()
    stance: Literal["duty", "permission", "denied", "legend", "blank"] = "duty"


class Fastener(Record):
    """One kind of fastener as called for; what is not written is None."""

    kind: FastenerKind | None = None
    count: int | None = None
    penny: str | None = None  # "10d"
    type: str | None = None  # "common", "box", "sinker", "ring shank", "structural screw", ...
    diameter_in: float | None = None
    length_in: float | None = None
    per: str | None = None  # what one count is for: "end", "side", "stud", "joist", ...
    into: str | None = None  # the member it goes into, as an agreed member name
    spacing_in: float | None = None
    fill: bool = False  # "fill all holes"
    coating: str | None = None  # "hot-dip galvanized", "stainless", ...
    number: int | None = None  # screw gauge number: 9 for #9
    stated: tuple[str, ...] = ()
    """Which of penny, diameter_in, length_in and type stand in the words; the rest was looked up in the nail table."""
    start: int = 0
    end: int = 0


class Steel(Record):
    """Stated body of a connector: sheet thickness and outline."""

    gauge: int | None = None
    thickness_in: float | None = None
    width_in: float | None = None
    length_in: float | None = None


class Requirement(Record):
    """One device called for at one joint, in one clause or schedule row."""

    id: str
    passage: str
    sheet: str | None
    page: int
    label: str
    quote: str  # the passage's text from start to end
    box: Box
    start: int
    end: int
    kind: PassageKind  # of its passage
    mark: str | None = None  # as written: "HD-3"
    defines: bool = False  # a schedule, legend or key row that says what the mark is
    device: Device | None = None
    joint: Joint | None = None
    joins: tuple[str, ...] = ()  # agreed member names it ties together, as far as named
    fasteners: tuple[Fastener, ...] = ()
    steel: Steel | None = None
    spacing_in: float | None = None
    embedment_in: float | None = None
    end_distance_in: float | None = None
    place: str | None = None  # words that say where: "each end of shear walls"
    face: Literal["inside", "outside", "both", "one"] | None = None
    each: bool = False  # "each truss", "every stud", "all headers"
    storeys: tuple[int, ...] = ()  # storeys it is limited to, counted from 1; empty = not limited
    scope: tuple[str, ...] = ()  # agreed names of limits: "exterior wall", "garage", "porch", "existing", "shear wall", ...
    stance: Literal["duty", "permission", "denied", "legend", "blank"] = "duty"
    vague: str | None = None  # the words, where only "as required", "adequate", ... says how
    to_maker: str | None = None  # the words, where fasteners are left to the manufacturer's literature
    coating: str | None = None
    capacity_lb: float | None = None
    demand_lb: float | None = None
    demand_plf: float | None = None
    see: tuple[str, ...] = ()  # "shear wall schedule", "4/S-5": where the rest is said to stand
    unless_noted: bool = False
    named: bool = False  # can be bought by what is written: mark, model, or size


class MarkUse(Record):
    """A mark standing somewhere: defined (schedule, legend, "X = ..."), or used."""

    mark: str  # as written
    key: str  # "HD3" for "HD-3", "HD 3", "(HD) 3"
    passage: str
    start: int
    end: int
    defines: bool = False


class Fact(Record):
    """A statement about the building or the work that is no requirement of one connector.

    `name` says what ("stud-spacing", "wind", "moisture-limit", "framing-stacks", ...), `value` and `text` what it is.
    """

    name: str
    passage: str
    start: int
    end: int
    value: float | None = None
    text: str | None = None
    subject: str | None = None
    storeys: tuple[int, ...] = ()


class Reading(Record):
    """All that language makes of a plan set's passages."""

    clauses: tuple[Clause, ...] = ()
    requirements: tuple[Requirement, ...] = ()
    marks: tuple[MarkUse, ...] = ()
    facts: tuple[Fact, ...] = ()


# ---------------------------------------------------------------- load path, rules, questions


class Where(Record):
    """A place a question points to."""

    sheet: str | None
    page: int
    label: str
    quote: str
    box: Box


class BuildingFact(Record):
    """One thing the building was taken to be, and from which words; `where` is None where the user said so or it was assumed."""

    name: Literal["storeys", "roof", "foundation", "wind_mph", "exposure", "code"]
    value: str | int | float | None
    from_words: str  # one line a person can check: quote and place, or "given by the user", or "assumed"
    where: Where | None = None


class Building(Record):
    """What the set was taken to describe."""

    storeys: int | None = None
    roof: str | None = None
    foundation: str | None = None
    wind_mph: float | None = None
    exposure: str | None = None
    code: str | None = None
    facts: tuple[BuildingFact, ...] = ()


JointStateName = Literal["stated", "partly stated", "not stated", "not needed"]


class JointState(Record):
    """One joint of the load path at one storey line."""

    joint: Joint
    storey: int  # 1 = on the foundation; for floor-to-floor the lower of the two storeys
    state: JointStateName
    requirements: tuple[str, ...] = ()  # ids
    capacity_lb: float | None = None  # as stated
    computed_lb: float | None = None  # by the nails alone (NDS), where no capacity is stated and all it needs is
    arithmetic: tuple[str, ...] = ()  # of the computed value
    demand_lb: float | None = None
    lacks: tuple[str, ...] = ()  # what a full answer still needs
    words: str | None = None  # what ties it, in the set's words, for a person
    where: tuple[Where, ...] = ()


class LoadPath(Record):
    """Joints from roof to footing, highest first."""

    joints: tuple[JointState, ...] = ()
    weakest: str | None = None  # one line: joint, storey, capacity against demand


class Finding(Record):
    """What a rule's check found, before it is worded."""

    rule: str
    values: dict[str, str] = {}  # for the wording's blanks
    where: tuple[Where, ...] = ()
    arithmetic: tuple[str, ...] = ()
    subject: str = ""  # what the question is about, for its key: a mark, a joint, a sheet
    order: float = 0.0


class Question(Record):
    """One question for the designer, ready to send."""

    number: int
    key: str  # stable across runs and revisions
    rule: str
    family: str
    ask_before: Stage
    question: str
    why: str
    arithmetic: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    where: tuple[Where, ...] = ()


class HardwareLine(Record):
    """One mark of the hardware list read from the set. `callouts` counts callouts, which is no count of pieces."""

    mark: str
    device: str | None = None
    item: str = ""  # the schedule's words
    fasteners: str = ""
    callouts: int = 0
    sheets: tuple[str, ...] = ()
    capacity_lb: float | None = None
    lacks: tuple[str, ...] = ()


class SheetLine(Record):
    """A sheet as the result file lists it."""

    page: int
    number: str | None
    title: str | None
    text: TextSource
    kind: SheetKind
    width: float
    height: float


class Review(Record):
    """Everything a writer needs about one plan set."""

    file: str  # the name, without its folder
    path: str  # where it was read from
    sha256: str
    sheets: tuple[SheetLine, ...]
    building: Building
    requirements: tuple[Requirement, ...]
    load_path: LoadPath
    questions: tuple[Question, ...]
    hardware: tuple[HardwareLine, ...] = ()
    not_checked: tuple[Unread, ...] = ()
    rules_not_run: tuple[str, ...] = ()  # a rule whose check failed: named, never silent
    seconds: float = 0.0


class Answer(Record):
    """What the designer typed into a log for one question. `date` is as typed or ISO (yyyy-mm-dd) where the cell held a date."""

    key: str
    answer: str
    answered_by: str = ""
    date: str = ""
    question: str = ""  # the question's words in that log


RecheckStatus = Literal["answered", "open", "changed", "new"]


class RecheckLine(Record):
    """One question of a revised set against the earlier one.

    `question` is the revised set's question (open, changed, new) or, for "answered", the earlier set's, which is no longer asked.
    """

    status: RecheckStatus
    question: Question
    new_words: tuple[Where, ...] = ()  # answered: the words of the revised set that answer it
    old_words: tuple[Where, ...] = ()  # changed: what stood there before
    answer: Answer | None = None  # carried over from the earlier log


class Recheck(Record):
    """A revised set against an earlier one."""

    file: str  # the earlier plan set's name
    sha256: str = ""
    lines: tuple[RecheckLine, ...] = ()


CAUTION = (
    "This list holds questions from reading words. It is no engineering review, it approves and rejects nothing, and silence on a "
    "point is no approval. The designer of record, the local code and the building official govern; connectors are installed by "
    "their maker's instructions."
)
