"""A small plan set with turned sheets, and a review of it written by hand."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import NamedTuple

from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from notelint.model import (
    Box,
    Building,
    BuildingFact,
    Fastener,
    HardwareLine,
    JointState,
    LoadPath,
    Question,
    Requirement,
    Review,
    SheetLine,
    Unread,
    Where,
)

WIDTH, HEIGHT = 1224.0, 792.0  # as displayed
FONT, SIZE = "Helvetica", 10.0
NASTY = '=HYPERLINK("x")<script>alert(1)</script>\x07\u202egnp.exe & *bold* [red]'


class Line(NamedTuple):
    """A line of text as it shall stand on the displayed sheet: left end and baseline from the top."""

    page: int
    left: float
    base: float
    text: str

    @property
    def box(self) -> Box:
        """From a little above the capitals to below the baseline."""
        return Box(self.left, self.base - 8.0, self.left + stringWidth(self.text, FONT, SIZE), self.base + 2.5)


STRAP = Line(1, 150, 400, "7. STRAP ST-3 AT EACH STUD ACROSS THE FLOOR, (8) 16d NAILS")
BOLT = Line(2, 820, 610, '9. ANCHOR BOLTS 5/8" x 10" AT 48" O.C.')
TRUSS = Line(3, 90, 120, "3. ROOF TRUSSES AT 24 IN. O.C.")
STUD = Line(4, 500, 700, "6. STUDS AT 16 IN. O.C.")
PLATE = Line(5, 640, 300, "12. TIE CUT PLATES WITH A STRAP")
LINES = (STRAP, BOLT, TRUSS, STUD, PLATE)
TURNS = {1: 0, 2: 90, 3: 180, 4: 270, 5: 90, 6: 0}
CROPPED_PAGE, CROP_LEFT, CROP_BOTTOM = 5, 36.0, 72.0  # this sheet's crop box does not start at the origin


def draw_plan_set(path: Path) -> None:
    """Six sheets turned by 0, 90, 180, 270, 90 (within a crop box) and 0 degrees; the last has no text."""
    canvas = Canvas(str(path), invariant=1)
    for page, turn in TURNS.items():
        wide, high = (WIDTH, HEIGHT) if turn in (0, 180) else (HEIGHT, WIDTH)
        left, bottom = (CROP_LEFT, CROP_BOTTOM) if page == CROPPED_PAGE else (0.0, 0.0)
        media = (wide + 2 * left, high + 2 * bottom)
        canvas.setPageSize(media if turn in (0, 180) else media[::-1])  # the canvas takes the size as displayed
        canvas.setCropBox((left, bottom, left + wide, bottom + high))
        canvas.setPageRotation(turn)
        start = {0: (left, bottom), 90: (left + wide, bottom), 180: (left + wide, bottom + high), 270: (left, bottom + high)}[turn]
        canvas.translate(*start)
        canvas.rotate(turn)
        canvas.setFont(FONT, SIZE)
        for line in LINES:
            if line.page == page:
                canvas.drawString(line.left, HEIGHT - line.base, line.text)
        canvas.rect(30, 30, WIDTH - 60, HEIGHT - 60)
        canvas.showPage()
    canvas.save()


def where(line: Line, label: str, quote: str | None = None) -> Where:
    return Where(sheet=f"S-{line.page}", page=line.page, label=label, quote=line.text if quote is None else quote, box=line.box)


def question(
    number: int, rule: str, stage: str, text: str, *places: Where, family: str = "fasteners", steps: tuple[str, ...] = ()
) -> Question:
    return Question(
        number=number,
        key=f"{rule}:{number}",
        rule=rule,
        family=family,
        ask_before=stage,
        question=text,
        why="A strap is as strong as the nails in its shorter end.",
        arithmetic=steps,
        sources=("common practice, no source",),
        where=places,
    )


def sample_questions() -> tuple[Question, ...]:
    """Seven questions, each stage at least once; one about something absent; one full of hostile text."""
    bolt_steps = ("7 in + 3.00 in + 0.23 in + 0.55 in = 10.78 in", "10.78 in > 10 in")
    return (
        question(
            1, "mark-not-scheduled", "bid", "S-1 note 7 calls out ST-3. Which connector is it?", where(STRAP, "note 7"), family="references"
        ),
        question(
            2,
            "bolt-too-short",
            "pour",
            "S-2 note 9: longer bolts, or one plate?",
            where(BOLT, "note 9"),
            family="placing",
            steps=bolt_steps,
        ),
        question(3, "fastener-length", "framing", 'S-1 note 7 gives "16d" but no length. Which length?', where(STRAP, "note 7")),
        question(
            4,
            "framing-not-stacked",
            "framing",
            "Trusses at 24 in over studs at 16 in. Are studs to be added?",
            where(TRUSS, "note 3"),
            where(STUD, "note 6"),
        ),
        question(5, "floor-to-floor-tie", "framing", "Nothing ties upper studs to lower studs. What does?", family="load-path"),
        question(
            6,
            "cut-plate-tension-only",
            "rough-in",
            "What carries compression at a cut plate?",
            where(PLATE, "note 12"),
            family="cut-plates",
        ),
        question(7, "vague-wording", "cover", f"{NASTY} is said. What is meant?", where(STRAP, NASTY, NASTY), family="wording"),
    )


def sample_building() -> Building:
    facts = (
        BuildingFact(
            name="storeys", value=2, from_words='"SECOND FLOOR FRAMING PLAN", S-3', where=where(TRUSS, "title", "SECOND FLOOR FRAMING PLAN")
        ),
        BuildingFact(name="roof", value="trusses", from_words='"ROOF TRUSSES", S-3 note 3', where=where(TRUSS, "note 3")),
        BuildingFact(name="foundation", value="crawl space", from_words="given by the user"),
        BuildingFact(name="wind_mph", value=140.0, from_words="assumed"),
    )
    return Building(storeys=2, roof="trusses", foundation="crawl space", wind_mph=140.0, facts=facts)


def sample_requirements() -> tuple[Requirement, ...]:
    nails = Fastener(kind="nail", count=8, penny="16d", diameter_in=0.162, per="end", stated=("penny",))
    strap = Requirement(
        id="r1", passage="p1", sheet="S-1", page=1, label="note 7", quote=STRAP.text, box=STRAP.box, start=0, end=60, kind="note",
        mark="ST-3", device="strap", joint="floor-to-floor", fasteners=(nails,), place="at each stud", each=True,
    )  # fmt: skip
    bolt = Requirement(
        id="r2", passage="p2", sheet="S-2", page=2, label="note 9", quote=BOLT.text, box=BOLT.box, start=0, end=37, kind="note",
        device="anchor bolt", joint="sill-to-foundation", spacing_in=48.0,
        fasteners=(Fastener(kind="anchor bolt", diameter_in=0.625, length_in=10.0),),
    )  # fmt: skip
    return strap, bolt


def sample_load_path() -> LoadPath:
    bolt = {"requirements": ("r2",), "words": '5/8" anchor bolts at 48 in', "lacks": ("embedment",), "where": (where(BOLT, "note 9"),)}
    strap = {"requirements": ("r1",), "words": "ST-3 strap at each stud", "where": (where(STRAP, "note 7"),), "capacity_lb": 1235.0}
    joints = (
        JointState(joint="roof-to-wall", storey=2, state="not stated"),
        JointState(joint="plate-to-stud", storey=2, state="stated", words="stud tie ST-1", where=(where(TRUSS, "note 3"),)),
        JointState(joint="header-to-stud", storey=2, state="not needed"),
        JointState(joint="floor-to-floor", storey=1, state="stated", **strap),
        JointState(joint="plate-to-stud", storey=1, state="not stated"),
        JointState(joint="header-to-stud", storey=1, state="partly stated", words="header tie HT-2", lacks=("nails",)),
        JointState(joint="stud-to-sill", storey=1, state="not stated"),
        JointState(joint="sill-to-foundation", storey=1, state="partly stated", **bolt),
        JointState(joint="post-foot", storey=1, state="not stated", lacks=("connector",)),
    )
    return LoadPath(joints=joints, weakest="floor-to-floor, storey 1: 1,235 lb against 1,400 lb")


def make_review(path: Path) -> Review:
    """The review of a plan set drawn by draw_plan_set."""
    kinds = {page: "none" if page == 6 else "vector" for page in TURNS}
    sheets = tuple(
        SheetLine(
            page=page, number=f"S-{page}" if page < 6 else None, title="FRAMING", text=text, kind="drawing", width=WIDTH, height=HEIGHT
        )
        for page, text in kinds.items()
    )
    hardware = (
        HardwareLine(
            mark="ST-3", device="strap", item="14 ga. x 2-1/2 in.", fasteners="16d", callouts=10, sheets=("S-1",), lacks=("nail length",)
        ),
        HardwareLine(mark="=CMD()", device=None, item=NASTY, callouts=1, sheets=("S-2", "S-3"), capacity_lb=900.0),
    )
    return Review(
        file=path.name,
        path=str(path),
        sha256=hashlib.sha256(path.read_bytes()).hexdigest(),
        sheets=sheets,
        building=sample_building(),
        requirements=sample_requirements(),
        load_path=sample_load_path(),
        questions=sample_questions(),
        hardware=hardware,
        not_checked=(Unread(page=6, sheet=None, reason="no readable text"),),
        rules_not_run=("strap-reach",),
    )
