"""The wall from roof to footing as a line drawing, each joint with what is known of its tie.

The drawing is a diagram of the house as read, not to scale; a tie is drawn on the middle of the wall because its face is seldom given.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from markupsafe import Markup

from notelint.model import Building, Joint, JointState, JointStateName, LoadPath
from notelint.writers.words import JOINT_NAMES, clean, joint_name, sheet_name

WALL, HALF = 92.0, 10.0  # middle of the wall and half its thickness, in drawing units
LABELS = 196.0  # left edge of the labels
WIDTH = 400.0
STUD, PLATE, FLOOR = 138.0, 7.0, 26.0  # heights
LABEL_STEP = 37.0
SIDE = 4.5  # ties that pass each other stand side by side
LABEL_CHARS = 30

SHORT_NAMES: dict[str, str] = {"floor-to-floor": "Studs across the floor"}
STATE_CLASSES: dict[JointStateName, str] = {"stated": "yes", "partly stated": "part", "not stated": "no", "not needed": "free"}


class Lettered(NamedTuple):
    """A joint with the letter it carries in drawing and list."""

    letter: str
    name: str
    state: JointState
    css: str


class Tie(NamedTuple):
    """Where a joint stands in the drawing: its middle across, and from y0 down to y1."""

    x: float
    y0: float
    y1: float


@dataclass
class Drawing:
    """Shapes drawn so far, ties by joint and storey, and how far down the drawing has come."""

    shapes: list[Markup] = field(default_factory=list)
    ties: dict[tuple[Joint, int], Tie] = field(default_factory=dict)
    y: float = 0.0

    def add(self, template: str, **values: float | str) -> None:
        """One shape; values are escaped."""
        self.shapes.append(Markup(template).format(**{k: f"{v:g}" if isinstance(v, float) else v for k, v in values.items()}))

    def block(self, css: str, left: float, width: float, height: float, *, move: bool = True) -> None:
        """A rectangle from the present height down."""
        self.add('<rect class="{css}" x="{x}" y="{y}" width="{w}" height="{h}"/>', css=css, x=left, y=self.y, w=width, h=height)
        if move:
            self.y += height

    def line(self, css: str, *points: tuple[float, float]) -> None:
        """An open line through points."""
        self.add('<polyline class="{css}" points="{points}"/>', css=css, points=" ".join(f"{x:g},{y:g}" for x, y in points))


def letter_joints(building: Building, path: LoadPath) -> tuple[Lettered, ...]:
    """The joints, highest first, each with a letter: A to Z, then A2 to Z2 and so on."""
    made = []
    for index, state in enumerate(path.joints):
        round_, place = divmod(index, 26)
        letter = chr(ord("A") + place) + (str(round_ + 1) if round_ else "")
        made.append(Lettered(letter, joint_name(state, building.storeys), state, STATE_CLASSES[state.state]))
    return tuple(made)


def draw_section(building: Building, joints: tuple[Lettered, ...]) -> Markup:
    """The drawing as an SVG element, with a title and a description in words."""
    drawing = _draw_wall(building, joints)
    bottom = max(drawing.y, _draw_labels(drawing, joints)) + 12
    said = "; ".join(f"{one.letter}: {one.name}: {one.state.state}" for one in joints)
    head = Markup(
        '<svg class="section" viewBox="0 0 {width} {height}" role="img" aria-labelledby="section-title section-words" '
        'xmlns="http://www.w3.org/2000/svg"><title id="section-title">Wall from roof to footing</title>'
        '<desc id="section-words">{said}</desc>'
    ).format(width=f"{WIDTH:g}", height=f"{bottom:g}", said=said)
    return head + Markup("").join(drawing.shapes) + Markup("</svg>")


def _draw_wall(building: Building, joints: tuple[Lettered, ...]) -> Drawing:
    drawing = Drawing(y=10.0)
    top = max([building.storeys or 1, *(j.state.storey + (j.state.joint == "floor-to-floor") for j in joints)], default=1)
    top = min(top, 6)
    _roof(drawing, building.roof, top)
    for storey in range(top, 0, -1):
        _storey(drawing, storey)
        if storey > 1:
            start = drawing.y
            _platform(drawing)
            drawing.ties["floor-to-floor", storey - 1] = Tie(WALL - SIDE, start - PLATE - 24, drawing.y + 2 * PLATE + 22)
    _foundation(drawing, building.foundation)
    if any(j.state.joint in ("post-head", "post-foot") for j in joints):
        _post(drawing, {j.state.storey for j in joints if j.state.joint in ("post-head", "post-foot")})
    return drawing


def _roof(drawing: Drawing, roof: str | None, storey: int) -> None:
    low, peak, right = drawing.y + 66, drawing.y, LABELS - 22
    drawing.line("wood", (12, low + 4), (right, peak))
    drawing.line("wood", (12, low + 12), (right, peak + 8))
    if roof == "trusses":
        drawing.line("wood", (WALL - HALF - 22, low), (right, low))
        drawing.line("wood", (WALL - HALF, low + 8), (right, low + 8))
        drawing.line("web", (WALL + 8, low), (WALL + 30, low - 36), (WALL + 56, low), (right, low - 50))
    else:
        drawing.line("far" if roof is None else "wood", (WALL - HALF, low + 8), (right, low + 8))
    drawing.add('<text class="note" x="12" y="{y}">{words}</text>', y=peak + 14, words=clean(roof or "roof not found"))
    drawing.y = low + 8
    drawing.ties["roof-to-wall", storey] = Tie(WALL, low - 12, drawing.y + PLATE + 4)
    drawing.ties["ridge", storey] = Tie(right, peak - 2, peak + 12)


def _storey(drawing: Drawing, storey: int) -> None:
    left, wide = WALL - HALF, 2 * HALF
    drawing.block("wood", left, wide, PLATE)
    drawing.block("wood", left, wide, PLATE)
    top = drawing.y
    drawing.ties["plate-to-stud", storey] = Tie(WALL + SIDE, top - 10, top + 20)
    drawing.block("wood", left, wide, STUD)
    drawing.add('<rect class="far" x="{x}" y="{y}" width="{w}" height="18"/>', x=left - 26, y=top + 34, w=wide + 52)
    drawing.ties["header-to-stud", storey] = Tie(WALL, top + 36, top + 66)
    drawing.add('<text class="note" x="12" y="{y}">storey {n}</text>', y=top + STUD / 2 + 30, n=str(storey))
    drawing.ties["stud-to-sill", storey] = Tie(WALL + SIDE, drawing.y - 20, drawing.y + PLATE - 1)
    drawing.block("wood", left, wide, PLATE)


def _platform(drawing: Drawing) -> None:
    """Subfloor, rim joist and joist."""
    drawing.block("wood", WALL - HALF, LABELS - 22 - WALL + HALF, 4.0)
    drawing.block("joist", WALL - HALF, LABELS - 22 - WALL + HALF, FLOOR, move=False)
    drawing.block("wood", WALL - HALF, 6.0, FLOOR)


def _foundation(drawing: Drawing, kind: str | None) -> None:
    left, wide = WALL - HALF, 2 * HALF
    if kind in ("crawl space", "basement", "piers"):
        _platform(drawing)
        old = drawing.ties["stud-to-sill", 1]
        drawing.block("treated", left, wide, PLATE)
        drawing.ties["stud-to-sill", 1] = old._replace(y1=drawing.y - 1)
    sill = drawing.y
    drawing.ties["sill-to-foundation", 1] = Tie(WALL - SIDE, sill - PLATE - 3, sill + 26)
    if kind == "slab":
        drawing.line("earth", (8, sill + 16), (left - 4, sill + 16))
        points = f"{left - 4:g},{sill:g} {LABELS - 22:g},{sill:g} {LABELS - 22:g},{sill + 14:g} {WALL + 34:g},{sill + 14:g} "
        points += f"{WALL + 24:g},{sill + 52:g} {left - 4:g},{sill + 52:g}"
        drawing.add('<polygon class="concrete" points="{points}"/>', points=points)
        drawing.y += 52
    else:
        high = {"basement": 110.0, "crawl space": 58.0, "piers": 58.0}.get(kind or "", 50.0)
        solid = "concrete" if kind else "unknown"
        drawing.line("earth", (8, sill + 22), (left - 2, sill + 22))
        drawing.block(solid, left - 2, wide + 4, high)
        if kind == "basement":
            drawing.add('<rect class="concrete" x="{x}" y="{y}" width="{w}" height="8"/>', x=WALL + HALF + 2, y=drawing.y - 8, w=60.0)
        drawing.block(solid, left - 16, wide + 32, 16.0)
    drawing.y += 14
    drawing.add('<text class="note" x="12" y="{y}">{words}</text>', y=drawing.y, words=clean(kind or "foundation not found"))


def _post(drawing: Drawing, storeys: set[int]) -> None:
    """A free-standing post under a beam, below the wall."""
    drawing.y += 26
    drawing.add('<text class="note" x="12" y="{y}">post</text>', y=drawing.y + 62)
    drawing.block("wood", WALL - 60, 120.0, 16.0)
    head = drawing.y
    drawing.block("wood", WALL - 7, 14.0, 74.0)
    foot = drawing.y
    drawing.block("concrete", WALL - 18, 36.0, 26.0)
    for storey in storeys:
        drawing.ties["post-head", storey] = Tie(WALL, head - 12, head + 16)
        drawing.ties["post-foot", storey] = Tie(WALL, foot - 16, foot + 14)


def _draw_labels(drawing: Drawing, joints: tuple[Lettered, ...]) -> float:
    """Ties, leaders and labels; labels keep apart. Gives the lowest label's bottom."""
    placed = [
        (one, drawing.ties[one.state.joint, one.state.storey]) for one in joints if (one.state.joint, one.state.storey) in drawing.ties
    ]
    placed.sort(key=lambda pair: (pair[1].y0 + pair[1].y1) / 2)
    free = 24.0
    for one, tie in placed:
        middle = (tie.y0 + tie.y1) / 2
        y = max(free, middle)
        free = y + LABEL_STEP
        _tie(drawing, one, tie)
        drawing.line(f"leader {one.css}", (WALL + HALF + 2, middle), (LABELS - 34, middle), (LABELS - 6, y))
        _label(drawing, one, y)
    return free - LABEL_STEP / 2


def _tie(drawing: Drawing, one: Lettered, tie: Tie) -> None:
    """A band across the joint: full, broken, or an empty outline with a question mark, so that it reads without colour."""
    if one.state.state == "not stated":
        middle = (tie.y0 + tie.y1) / 2
        drawing.add('<circle class="tie no" cx="{x}" cy="{y}" r="7"/>', x=tie.x, y=middle)
        drawing.add('<text class="ask" x="{x}" y="{y}">?</text>', x=tie.x, y=middle + 4.5)
        return
    drawing.line(f"tie {one.css}", (tie.x, tie.y0), (tie.x, tie.y1))
    if one.state.state == "stated":
        for y in (tie.y0 + 2, tie.y1 - 2):
            drawing.add('<circle class="nail" cx="{x}" cy="{y}" r="1.6"/>', x=tie.x, y=y)


def _label(drawing: Drawing, one: Lettered, y: float) -> None:
    drawing.add('<circle class="badge {css}" cx="{x}" cy="{y}" r="10"/>', css=one.css, x=LABELS + 5, y=y)
    drawing.add('<text class="letter {css}" x="{x}" y="{y}">{letter}</text>', css=one.css, x=LABELS + 5, y=y + 4.5, letter=one.letter)
    name = SHORT_NAMES.get(one.state.joint, JOINT_NAMES.get(one.state.joint, one.state.joint))
    drawing.add('<text class="name" x="{x}" y="{y}">{words}</text>', x=LABELS + 21, y=y - 3, words=name)
    drawing.add(
        '<text class="state {css}" x="{x}" y="{y}">{words}</text>', css=one.css, x=LABELS + 21, y=y + 12, words=_state_words(one.state)
    )


def _state_words(state: JointState) -> str:
    """As in "stated: S-3", short enough to stand beside the drawing; the full words stand in the list."""
    sheets = ", ".join(dict.fromkeys(sheet_name(where.sheet, where.page) for where in state.where))
    words = f"{state.state}: {sheets}" if sheets else state.state
    return words if len(words) <= LABEL_CHARS else words[: LABEL_CHARS - 1].rstrip(" ,:") + "…"
