"""Checks of the load path: a joint nothing ties, anchors with a value lacking, posts, openings, faces, existing work, weak links."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from notelint.language.joints import CONCRETE
from notelint.language.rows import role_of_column
from notelint.loadpath.building import low_wind
from notelint.loadpath.path import anchor_lacks, covers_line, sill_anchor
from notelint.loadpath.ties import CONNECTORS, STUDS, reaches_stud, ties
from notelint.model import Fact, Finding, Joint, JointState, Passage, Requirement
from notelint.places import spoken_place
from notelint.rulebook.case import Case, mark_key
from notelint.rulebook.checks.vague import said_definitely, vague_about, vague_parts
from notelint.rulebook.schema import Strict

JOINT_WORDS: dict[str, str] = {
    "roof-to-wall": "roof ties",
    "plate-to-stud": "plate-to-stud ties",
    "header-to-stud": "header ties",
    "floor-to-floor": "ties across the floor",
    "stud-to-sill": "stud-to-sill ties",
    "sill-to-foundation": "sill anchors",
}


class NoParameters(Strict):
    """A check without parameters."""


class JointNotStated(Strict):
    """Asks where nothing ties a joint of the load path.

    `needs_storeys`: least number of storeys; `after`: a joint that must be tied for this one to matter; `needs_fact`: a fact the
    set must state (such as "header") for the joint to be there.
    """

    joint: Joint
    needs_storeys: int = 1
    after: Joint | None = None
    needs_fact: str | None = None


def states(case: Case, joint: str) -> list[JointState]:
    """The states of a joint, one a storey line."""
    return [j for j in case.load_path.joints if j.joint == joint]


def looked(case: Case, but: str) -> str:
    """What else ties the chain and where: shows the reader that the set was read."""
    found = []
    for j in case.load_path.joints:
        if j.joint != but and j.joint in JOINT_WORDS and j.where:
            w = j.where[0]
            line = f"{JOINT_WORDS[j.joint]} are on {spoken_place(w)}"
            if line not in found:
                found.append(line)
    return "; ".join(found[:4]) or "no other tie of the chain was found either"


def joint_not_stated(parameters: JointNotStated, case: Case) -> Iterator[Finding]:
    """See JointNotStated."""
    storeys = case.building.storeys or 1
    if storeys < parameters.needs_storeys:
        return
    if parameters.needs_fact and not case.has(parameters.needs_fact):
        return
    if parameters.joint == "roof-to-wall" and not case.building.roof:
        return
    if not _has_walls(case) or (parameters.joint == "header-to-stud" and case.has("header-tie")):
        return
    if parameters.after and not any(s.state in {"stated", "partly stated"} for s in states(case, parameters.after)):
        return
    open_lines = [s for s in states(case, parameters.joint) if s.state == "not stated"]
    if not open_lines or vague_about(case, parameters.joint):
        return
    yield Finding(
        rule="", subject=parameters.joint, where=_evidence(parameters, case),
        values={"looked": looked(case, parameters.joint), "lacks": _lines(open_lines, parameters.joint), "answer": ""},
    )  # fmt: skip


_WALL_MEMBERS = {"stud", "top plate", "sole plate", "sill plate", "upper stud", "lower stud", "king stud", "jack stud", "header", "wall"}


def _has_walls(case: Case) -> bool:
    """Whether the set shows framed walls at all; a porch or deck alone has none of the wall's joints."""
    return (
        case.building.storeys is not None
        or any(
            (t.kind == "member" and t.name in _WALL_MEMBERS) or (t.kind == "place" and t.name.endswith(" wall"))
            for c in case.reading.clauses
            if c.passage in case.passages
            for t in c.terms
        )
        or any(r.joint in JOINT_WORDS for r in case.duties)
    )


def _lines(open_lines: list[JointState], joint: str) -> str:
    if joint != "floor-to-floor":
        return JOINT_WORDS.get(joint, joint)
    names = {1: "second", 2: "third", 3: "fourth"}
    return " and ".join(f"the {names.get(s.storey, str(s.storey + 1))} floor line" for s in open_lines)


def _evidence(parameters: JointNotStated, case: Case) -> tuple:  # type: ignore[type-arg]
    """Words the question rests on: the roof tie that stops at the plate, the header, the roof."""
    if parameters.after:
        found = [r for r in case.duties if ties(r, parameters.after)]
        return tuple(case.where_of(r) for r in sorted(found, key=lambda r: (r.defines, r.page))[:3])
    if parameters.needs_fact:
        return tuple(case.where_of(f) for f in list(case.facts(parameters.needs_fact))[:2])
    if parameters.joint == "roof-to-wall":
        return tuple(case.where_of(f) for f in list(case.facts("roof"))[:2])
    return ()


# ---------------------------------------------------------------- sill anchors


def sill_anchorage(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Sill plates on concrete or masonry: diameter, spacing, embedment and end distance of their anchors."""
    sills = [c for c in case.reading.clauses if c.passage in case.passages and any(t.name == "sill plate" for t in c.terms)]
    anchors = [r for r in case.duties if sill_anchor(r)]
    on_concrete = case.building.foundation in {"slab", "crawl space", "basement", "slab with grade beams"}
    if not sills and not anchors and not on_concrete:
        return
    blanks = [r for r in case.reading.requirements if r.device == "anchor bolt" and r.stance == "blank" and r.passage in case.passages]
    if vague_about(case, "sill-to-foundation"):
        return
    lacks = anchor_lacks(anchors, {f.name for f in case.reading.facts if case.has(f.name)})
    if lacks:
        shown = sorted(anchors or blanks, key=lambda r: (r.kind == "row", r.page))
        yield Finding(
            rule="", subject="sill anchors", where=tuple(case.where_of(r) for r in shown[:4]), values={"lacks": spoken_list(lacks)}
        )


def spoken_list(items: list[str]) -> str:
    """ "a", "a and b", "a, b and c" """
    return items[0] if len(items) == 1 else ", ".join(items[:-1]) + " and " + items[-1]


# ---------------------------------------------------------------- openings


def opening_hold_down(_: NoParameters, case: Case) -> Iterator[Finding]:
    """An opening 6 ft or wider in an outside wall with nothing that holds the studs beside it down."""
    if low_wind(case.building, case.reading) and (case.has("code-nailing") or any(s.state == "not needed" for s in case.load_path.joints)):
        return
    openings = list(case.facts("wide-opening"))
    if not openings or any(_beside_opening(r) for r in case.duties):
        return
    if any(_tag_alone(case, r) for r in case.duties):
        return
    widest = sorted(openings, key=lambda f: (case.passages[f.passage].kind == "row", -(f.value or 0)))
    shown = list({case.words_of(f): f for f in widest}.values())[:3]
    yield Finding(
        rule="", subject="wide openings", where=tuple(case.where_of(f) for f in shown),
        values={"first": " and ".join(case.words_of(f) for f in shown), "looked": looked(case, "opening")},
    )  # fmt: skip


_JAMB = re.compile(
    r"opening|opng|op'g|\bo\.?h\.? d|jamb|garage door|sliding|door|each side of|full.?height|panel end|braced wall|shear wall"
    r"|wall panel|trimmer|king stud|portal|all posts|shearwall|left (?:and|&|or) right of|\bl\.? ?(?:and|&) ?r\.? of|either side of"
    r"|beside (?:each|every|any|all|the)"
)


def _beside_opening(r: Requirement) -> bool:
    """Whether the requirement holds the wall down beside openings: a hold-down, or a strap or anchor from its studs, said there."""
    if r.device not in {"hold-down", "rod", "embedded strap", "strap", "sill strap", "stud tie"}:
        return False
    words = f"{r.quote} {r.place or ''}".lower()
    if r.device in {"hold-down", "rod", "embedded strap"}:
        return bool(_JAMB.search(words))
    down = r.joint in {"floor-to-floor", "stud-to-sill", "sill-to-foundation"}
    return (
        down
        and bool(
            re.search(r"each side|both sides|jamb|beside|either side|left (?:and|&|or) right|ends? of (?:each |every |all )?opening", words)
        )
        and "opening" in words + "jamb door"
    )


def _tag_alone(case: Case, r: Requirement) -> bool:
    """A hold-down mark alone on a plan: where it stands is drawn, not said, so its openings may be covered."""
    if r.device != "hold-down" or r.kind != "callout" or not r.mark:
        return False
    bare = re.sub(r"[^a-z0-9]", "", case.passages[r.passage].text.lower()) == mark_key(r.mark).lower()
    if not bare:
        return False
    said = [o for o in case.by_mark.get(mark_key(r.mark), ()) if o.kind in {"note", "row"} and (o.place or "")]
    return not said or any(not re.search(r"corner", (o.place or "").lower()) for o in said)


# ---------------------------------------------------------------- posts

_OUTSIDE = ("porch", "deck", "carport", "landing", "balcony")


def post_ties(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Posts that carry a porch, deck, carport or beam: a connector at the foot and one at the head."""
    posts = [f for f in case.facts("post-at") if f.subject in _OUTSIDE and not _of_unused_row(case, f)]
    contexts = list(dict.fromkeys(f.subject or "" for f in posts))
    free = [f for f in case.facts("post") if f.text is None and _free_standing(case, f)]
    for context in contexts:
        here = [f for f in posts if f.subject == context]
        lacks = _open_ends(case, context)
        if lacks:
            yield _post_finding(case, f"{context} posts", here, lacks)
    if not contexts and free:
        lacks = _open_ends(case, "")
        if lacks:
            yield _post_finding(case, "free-standing posts", free, lacks)


_ENDS: tuple[tuple[str, Joint], ...] = (("foot", "post-foot"), ("head", "post-head"))
_AT_END = {"post-foot": CONCRETE, "post-head": frozenset({"beam", "header"})}


def _open_ends(case: Case, context: str) -> list[str]:
    """Ends of the posts of a context that have no connector and no vague words either (which are asked about as such)."""
    return [end for end, joint in _ENDS if not _post_end(case, joint, context) and not _vague_end(case, joint, context)]


def _vague_end(case: Case, joint: Joint, context: str) -> bool:
    """Whether vague words are all that is said of this end of the posts: "fasten the beam to the posts suitably"."""
    for part in vague_parts(case):
        p = case.passages[part.passage]
        at_end = part.joint == joint or ("post" in part.members and part.members & _AT_END[joint])
        here = set(part.scope) | {c for c in _OUTSIDE if c in f"{' '.join(p.headings)} {p.text} {p.place or ''}".lower()}
        if at_end and context in here and not said_definitely(case, part):
            return True
    return False


def _of_unused_row(case: Case, f: Fact) -> bool:
    """Whether the words are a schedule's line whose mark nothing uses: it tells of a piece, not of a post of this house."""
    marks = [mark_key(r.mark) for rows in case.definitions.values() for r in rows if r.mark and r.passage == f.passage and r.kind == "row"]
    return any(all(r.kind == "row" for r in case.by_mark.get(key, ())) and len(case.by_mark.get(key, ())) < 2 for key in marks)


_POST_ANSWER = {
    "foot": "Which base holds its foot, by mark or by size, with which fasteners, which anchor and which embedment?",
    "head": "Which cap or strap joins the beam to its head, by mark or by size, with which fasteners into each?",
}


def _post_finding(case: Case, subject: str, facts: list[Fact], lacks: list[str]) -> Finding:
    shown = sorted(facts, key=lambda f: (case.passages[f.passage].kind == "row", case.passages[f.passage].page))
    return Finding(
        rule="", subject=subject, where=tuple(case.where_of(f) for f in shown[:3]),
        values={"lacks": " and its ".join(lacks), "looked": looked_posts(case), "answer": " ".join(_POST_ANSWER[end] for end in lacks)},
    )  # fmt: skip


def looked_posts(case: Case) -> str:
    """Which post connectors the set does give, and where."""
    found = [r for r in case.duties if r.device in {"post base", "post cap"}]
    if not found:
        return "no post base or post cap is called for"
    return "; ".join(dict.fromkeys(f"{r.mark or r.device} is on {spoken_place(r)}" for r in found[:3]))


def _free_standing(case: Case, f: Fact) -> bool:
    text = case.words_of(f).lower()
    return bool(re.search(r"free.?standing|column|exposed|basement|crawl|carr(?:y|ies)|support", text)) and not re.search(r"wall", text)


_DECK_BOARDS = re.compile(r"\b5/4\s?(?:x\s?\d\s?)?deck(?:ing)?\b|\bdeck(?:ing)?\s(?:boards?|screws?)\b|\b(?:roof|floor) deck\b")
"""Boards to walk on make no deck of a porch."""
_CONTEXTS = (*_OUTSIDE, "crawl space", "basement", "girder")


_POST_DEVICES = CONNECTORS - {"roof tie", "stud tie", "header tie"} | {"anchor bolt", "nailing"}
_END_COLUMN = {"post-foot": re.compile(r"\bbase|\bfoot|bottom|\bshoe"), "post-head": re.compile(r"\bcap\b|\bhead|\btop\b|at beam")}


def _in_post_table(case: Case, joint: str, context: str) -> bool:
    """Whether a post schedule's base or cap column names a connector for posts of the context."""
    for p in case.passages.values():
        if p.kind != "row" or not re.search(r"post|column|pier", f"{' '.join(p.headings)} {p.text}".lower()):
            continue
        named = {t.name for c in case.clauses_of.get(p.id, ()) for t in c.terms if t.kind == "place"} & {"porch", "carport"}
        here = {c for c in _CONTEXTS if c in p.text.lower()} | named
        for column, start, end in p.cells:
            cell = p.text[start:end].strip(" -.").lower()
            if (
                _END_COLUMN[joint].search(column.lower())
                and cell
                and cell not in {"none", "n/a"}
                and (not here or not context or context in here)
            ):
                return True
    return False


def _post_end(case: Case, joint: str, context: str) -> bool:
    """Whether a connector is given at this end of the posts of a context (porch, deck ...)."""
    if _in_post_table(case, joint, context):
        return True
    device = "post base" if joint == "post-foot" else "post cap"
    for r in case.duties:
        if (r.joint != joint and r.device != device) or r.vague:
            continue
        if r.device not in _POST_DEVICES or (r.device == "nailing" and joint == "post-foot"):
            continue
        scope = _post_scope(case, r)
        if not scope or not context or context in scope:
            return True
    return False


def _post_scope(case: Case, r: Requirement) -> set[str]:
    """Places that the words about a post connector limit it to: its own, its detail's title, and those of its mark elsewhere."""
    about = case.by_mark.get(mark_key(r.mark), (r,)) if r.mark else (r,)
    found: set[str] = set()
    for one in about:
        p = case.passages[one.passage]
        title = " ".join(d.title for d in case.layout.details if (d.page, d.number) == (p.page, p.detail))
        text = f"{p.text} {title} {p.place or ''}".lower()
        named = {t.name for c in case.clauses_of.get(p.id, ()) for t in c.terms if t.kind == "place"} & {"porch", "carport"}
        text = _DECK_BOARDS.sub(" ", text)
        here = {c for c in _CONTEXTS if re.search(rf"\b{c}s?\b", text)} | named
        found |= here - {"girder"} or here
    return found


# ---------------------------------------------------------------- faces


def one_face_tie(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Roof ties called for on the inside (or one) face alone, with the tie below them not said to be on that face."""
    roof = [r for r in case.duties if r.joint == "roof-to-wall" and r.device in CONNECTORS]
    one = [r for r in roof if r.face in {"inside", "one"}]
    marks = {mark_key(r.mark) for r in one if r.mark}
    if not one:
        return
    same = [r for r in roof if r.mark and mark_key(r.mark) in marks] or one
    if any(r.face in {"outside", "both"} for r in roof) or any(reaches_stud(r) for r in same):
        return
    below = [r for r in case.duties if r.joint == "plate-to-stud" and r.device in CONNECTORS]
    if any(r.face in {"inside", "both"} or "same face" in r.quote.lower() or "same side" in r.quote.lower() for r in below):
        return
    first = one[0]
    yield Finding(
        rule="", subject=first.mark or "roof tie", where=tuple(case.where_of(r) for r in [*one, *(b for b in below if b.face)][:4])
    )


# ---------------------------------------------------------------- existing work

_MEETS = re.compile(
    r"\b(meet|join|connect|attach|tie|dowel|key|anchor|fasten|against|to \(e\)|to existing|abut|bear|epoxy|ledger|secure|match|lap|splice)"
    r"|(?:footing|foundation|stem wall|wall|framing|roof|slab) (?:at|on|to) (?:the )?(?:\(e\)|existing)"
)
_VERIFY = re.compile(r"\bverif|v\.?i\.?f\.?\b|field condition|conditions? allow|confirm in field|to be determined|t\.?b\.?d\b")


_STANDS = re.compile(
    r"(?:existing|\(e\)|\bexist\.?|\bex\.) (?:house|residence|dwelling|building|home|structure|foundation|footing|stem wall|wall"
    r"|framing|slab|basement)\b"
)
_GONE = re.compile(r"demolish|demolition|remove|removed|taken (?:down|out)|to be moved|detached")


_DETACHED = re.compile(
    r"\b(?:new|proposed)\b[^.;]{0,20}\bdetached\b|\bdetached\b[^.;]{0,30}\b(?:garage|building|structure|dwelling"
    r"|studio|shop|unit)\b"
)


def _apart(case: Case) -> bool:
    """Whether the new work is a building of its own, and no passage speaks of an addition or a joint between new and existing."""
    texts = [p.text.lower() for p in case.passages.values()]
    if not any(_DETACHED.search(t) for t in texts):
        return False
    return not any("addition" in t or (_names_existing(t) and _MEETS.search(t) and not re.search("to remain", t)) for t in texts)


def existing_joint(_: NoParameters, case: Case) -> Iterator[Finding]:
    """New work on or against an existing house: how it joins the existing foundation and framing."""
    if _apart(case):
        return
    beside = [p for p in case.passages.values() if _STANDS.search(p.text.lower()) and not _GONE.search(p.text.lower())]
    if not case.has("existing") or not (case.has("new") or case.has("new-and-existing") or (beside and case.building.foundation)):
        return
    asked = False
    for p in case.passages.values():
        low = p.text.lower()
        if not _names_existing(low) or not _MEETS.search(low) or not _VERIFY.search(low):
            continue
        if not re.search(r"\(n\)|\bnew\b|addition|footing|stem|foundation|ledger|framing", low):
            continue
        if any(_sized(case, r) for r in case.duties if r.passage == p.id and r.joint == "new-to-existing"):
            continue
        asked = True
        yield Finding(rule="", subject=f"existing work, {p.sheet or p.page} {p.label}", where=(case.where(p.id),))
    if asked or any(_joined_with_size(case, p) for p in case.passages.values()):
        return
    joined = [r for r in case.duties if r.joint == "new-to-existing"]
    if not any(_sized(case, r) or r.vague or r.device for r in joined) and not vague_about(case, "new-to-existing"):
        where = [case.where_of(f) for f in list(case.facts("new-and-existing"))[:2]] or [case.where(p.id) for p in beside[:2]]
        yield Finding(rule="", subject="existing work", where=tuple(where))


_NEW = re.compile(
    r"\(n\)|\bnew\b|addition|\bdowels?\b|ledger"
    r"|\b(?:bolt|lag|screw|nail|fasten|epox|pin|tie|strap|anchor|attach|secur|connect|splic|join)\w*\b(?:(?!exist|\(e\))[^.;]){0,40}"
    r"\b(?:to|into|in)\b(?:(?!exist|\(e\))[^.;]){0,8}(?:\(e\)|exist)"
)
"""Words of new work, or of something fixed to the existing: what is fixed to it is not it."""


def _joined_with_size(case: Case, p: Passage) -> bool:
    """Whether a passage joins something new to the existing work with a fastener, dowel or connector of given size."""
    low = p.text.lower()
    new = _NEW.search(low)
    if not _names_existing(low) or not new or _VERIFY.search(low):
        return False
    if new.end() - new.start() > 12 and _names_existing(re.split(r"[.;]", low[: new.start()])[-1]):
        return False  # one existing piece fixed to another
    dowel = re.search(r"#\s?\d\b[^.;]{0,20}dowel|dowel[^.;]{0,25}(#\s?\d|\d/\d)|epox", low)
    dowel = dowel or re.search(r"(?:resin|epoxy|adhesive|grout)\W?(?:set|ed|bonded)", low)
    return bool(dowel) or any(_sized(case, r) for r in case.duties if r.passage == p.id)


def _names_existing(low: str) -> bool:
    return "(e)" in low or "existing" in low or "exist." in low


def _sized(case: Case, r: Requirement) -> bool:
    """Whether a connector or anchor with size is given: a mark that is defined, a fastener with a size, or steel."""
    if r.mark and mark_key(r.mark) in case.definitions:
        return True
    return bool(r.steel) or any(f.diameter_in or f.penny or f.number for f in r.fasteners)


# ---------------------------------------------------------------- weak link


def weak_link(_: NoParameters, case: Case) -> Iterator[Finding]:
    """A stated capacity below the stated demand, or below the ties above and below it where no demand is stated."""
    seen = False
    for r in case.reading.requirements:
        if r.passage not in case.passages or r.stance in {"denied", "legend"}:
            continue
        if r.capacity_lb and r.demand_lb and r.capacity_lb < r.demand_lb - 0.5:
            seen = True
            yield Finding(
                rule="", subject=f"{r.mark or r.device} {_level(r)}".strip(), where=(case.where_of(r),),
                arithmetic=(
                    f"{r.capacity_lb:,.0f} lb stated against {r.demand_lb:,.0f} lb asked: {r.demand_lb - r.capacity_lb:,.0f} "
                    f"lb short"
                    ,),
                values={"first": f"{r.capacity_lb:,.0f} lb", "second": f"{r.demand_lb:,.0f} lb", "subject": f"{r.mark or r.device}"},
            )  # fmt: skip
    for finding in [] if seen else _rows_below(case):
        seen = True
        yield finding
    if not seen:
        yield from _against_line_demand(case)


_FIGURE = re.compile(r"\d[\d,]*(?:\.\d+)?")


def _rows_below(case: Case) -> Iterator[Finding]:
    """Rows of a table with a demand and a capacity column, whatever the row is about."""
    for p in case.passages.values():
        if p.kind != "row":
            continue
        figures: dict[str, float] = {}
        for column, start, end in p.cells:
            role = role_of_column(column)
            found = _FIGURE.search(p.text[start:end])
            if role in {"demand", "capacity"} and found:
                figures.setdefault(role, float(found.group().replace(",", "")))
        if len(figures) == 2 and figures["capacity"] < figures["demand"] - 0.5:
            capacity, demand = figures["capacity"], figures["demand"]
            name = next((u.mark for u in case.reading.marks if u.passage == p.id), p.text.split(" | ")[0])
            yield Finding(
                rule="",
                subject=name,
                where=(case.where(p.id),),
                arithmetic=(f"{capacity:,.0f} stated against {demand:,.0f} asked: {demand - capacity:,.0f} short",),
                values={"first": f"{capacity:,.0f}", "second": f"{demand:,.0f}", "subject": name},
            )


def _level(r: Requirement) -> str:
    return " ".join(str(s) for s in r.storeys) + ("" if r.storeys else r.quote[:40])


CHAIN: tuple[Joint, ...] = ("roof-to-wall", "plate-to-stud", "floor-to-floor", "stud-to-sill")


@dataclass(frozen=True)
class _Link:
    """A tie of the chain with its stated capacity: lb a tie, and lb per foot where its spacing is known."""

    joint: str
    r: Requirement
    lb: float
    spacing: float | None

    @property
    def plf(self) -> float | None:
        return self.lb * 12 / self.spacing if self.spacing else None

    @property
    def name(self) -> str:
        return self.r.mark or self.r.device or self.joint

    def line(self) -> str:
        """Its capacity in words."""
        if self.spacing and self.plf:
            return f"{self.name}: {self.lb:,.0f} lb every {self.spacing:g} in = {self.plf:,.0f} plf"
        return f"{self.name}: {self.lb:,.0f} lb each"


def _family(case: Case, r: Requirement) -> tuple[Requirement, ...]:
    return case.by_mark.get(mark_key(r.mark), ()) if r.mark else ()


def _spacing(case: Case, r: Requirement) -> float | None:
    """The tie's own spacing, else that of the members it stands at each of."""
    for one in (r, *_family(case, r)):
        if one.spacing_in:
            return one.spacing_in
    if not any(one.each for one in (r, *_family(case, r))):
        return None
    member = next((m for m in ("truss", "rafter", "roof joist") if any(m in one.joins for one in (r, *_family(case, r)))), "stud")
    found = [f.value for f in case.facts("spacing") if f.subject == member and f.text in {"main", "bearing"} and f.value]
    return found[0] if found else None


_CORNERS = re.compile(r"corner|each end|ends of|jamb|opening|garage door|only")
_NOT_TIES = r"(?! (?:\w+ )?(?:truss|rafter|stud|plate|member|bay|floor|stor|row|ply|plies|2x|nail|screw|leg|end))"
_PAIR = re.compile(rf"\b(?:two{_NOT_TIES}|\(2\){_NOT_TIES}|pair of|2 -{_NOT_TIES}|both faces|each face|each side of (?:the )?truss)\b")


def _capacity(case: Case, r: Requirement) -> float | None:
    """A stated capacity; the one load column of a connector's schedule line is its capacity where the demand stands elsewhere."""
    if r.capacity_lb or not r.defines or r.kind != "row":
        return r.capacity_lb
    return r.demand_lb if case.has("uplift-demand") else None


def _chain_links(case: Case) -> list[_Link]:
    """The best tie of each joint along the wall, roof first; ties at corners and openings alone are no part of the line."""
    links = []
    for joint in CHAIN:
        found = []
        for r in case.duties:
            if r.joint != joint or (r.device not in CONNECTORS and not (r.device is None and r.mark)) or r.device == "hold-down":
                continue
            capacity = next((c for one in (r, *_family(case, r)) if (c := _capacity(case, one))), None)
            if capacity and not (_CORNERS.search((r.place or "").lower()) and not r.spacing_in):
                pair = 2 if any(_PAIR.search(one.quote.lower()) for one in (r, *_family(case, r))) else 1
                found.append(_Link(joint, r, capacity * pair, _spacing(case, r)))
        if found:
            links.append(max(found, key=lambda link: (link.plf or 0, link.lb)))
    return links


def _against_line_demand(case: Case) -> Iterator[Finding]:
    links = _chain_links(case)
    demands = list(case.facts("uplift-demand"))
    if demands:
        yield from _below_demand(case, links, demands)
    elif len(links) >= 3 and not any(r.demand_lb or r.demand_plf for r in case.duties):
        yield from _dip(case, links)


_ROOF_MEMBER = r"(?:roof )?(?:truss|rafter|trs|rftr)"
_ONE_TO_ONE = re.compile(rf"\b(?:each|every|all|ea\.?)\s{_ROOF_MEMBER}")
_ONE_TO_MANY = re.compile(rf"\b(?:(?:every|each|ea\.?)\s(other|second|2nd|third|3rd)|(alternate|alternating))\s{_ROOF_MEMBER}")


def _members_a_tie(r: Requirement) -> int | None:
    """How many roof members one tie holds, where its words say so: 1 for "under each truss", 2 for "at every second truss"."""
    words = f"{r.place or ''} {r.quote}".lower()
    if many := _ONE_TO_MANY.search(words):
        return 3 if (many.group(1) or "") in {"third", "3rd"} else 2
    return 1 if _ONE_TO_ONE.search(words) else None


def _below_demand(case: Case, links: list[_Link], demands: list[Fact]) -> Iterator[Finding]:
    """The first tie down the wall that is below the stated demand; pounds per member against pounds, else plf against plf."""
    for demand in sorted(demands, key=lambda f: -(f.value or 0)):
        value = demand.value or 0
        roof = [f.value for f in case.facts("spacing") if f.subject == (demand.subject or "truss") and f.text == "main" and f.value]
        plf = value if demand.text == "plf" else value * 12 / roof[0] if roof else None
        for link in links:
            several = _members_a_tie(link.r) if demand.text == "lb" else None
            if several:
                if link.lb < several * value - 0.5:
                    need = several * value
                    asked = f"{value:,.0f} lb asked at each {demand.subject or 'member'}"
                    asked = asked if several == 1 else f"{asked}, {several} to a tie: {need:,.0f} lb"
                    lines = [asked, f"{link.name}: {link.lb:,.0f} lb each"]
                    yield _weak(case, link, demand, lines, f"{link.lb:,.0f} lb", f"{need:,.0f} lb")
                    return
                continue
            at_each = demand.text == "lb" and link.joint == "roof-to-wall" and (not roof or not link.spacing or link.spacing == roof[0])
            if at_each and link.lb < value - 0.5:
                lines = [f"{value:,.0f} lb asked at each {demand.subject or 'member'}", link.line()]
                yield _weak(case, link, demand, lines, f"{link.lb:,.0f} lb", f"{value:,.0f} lb")
                return
            if not at_each and plf and link.plf and link.spacing and link.plf < plf - 0.5:
                need = plf * link.spacing / 12
                asked = f"{value:,.0f} plf" if demand.text == "plf" else f"{value:,.0f} lb every {roof[0]:g} in = {plf:,.0f} plf"
                lines = [f"{asked}, at {link.spacing:g} in {need:,.0f} lb a tie", link.line()]
                yield _weak(case, link, demand, lines, f"{link.lb:,.0f} lb", f"{need:,.0f} lb")
                return


def _weak(case: Case, link: _Link, demand: Fact, lines: list[str], first: str, second: str) -> Finding:
    return Finding(
        rule="",
        subject=f"{link.joint} {link.name}",
        where=(case.where_of(link.r), case.where_of(demand)),
        arithmetic=tuple(lines),
        values={"first": first, "second": second, "subject": link.name},
    )


def _dip(case: Case, links: list[_Link]) -> Iterator[Finding]:
    """No demand stated: one tie below the ties above and below it. Pounds are compared where no spacing differs."""
    spaced = [link.spacing for link in links]
    by_foot = all(spaced)
    if not by_foot and len({s for s in spaced if s}) > 1:
        return
    for above, link, below in zip(links, links[1:], links[2:], strict=False):
        here, up, down = ((x.plf or 0) if by_foot else x.lb for x in (link, above, below))
        if here < up - 0.5 and here < down - 0.5:
            unit = "plf" if by_foot else "lb"
            yield Finding(
                rule="",
                subject=f"{link.joint} {link.name}",
                where=tuple(case.where_of(x.r) for x in (link, above, below)),
                arithmetic=tuple(x.line() for x in (above, link, below)),
                values={"first": f"{here:,.0f} {unit}", "second": f"{min(up, down):,.0f} {unit}", "subject": link.name},
            )
            return


KINDS = {
    "joint-not-stated": (JointNotStated, joint_not_stated),
    "sill-anchorage": (NoParameters, sill_anchorage),
    "opening-hold-down": (NoParameters, opening_hold_down),
    "post-ties": (NoParameters, post_ties),
    "one-face-tie": (NoParameters, one_face_tie),
    "existing-joint": (NoParameters, existing_joint),
    "weak-link": (NoParameters, weak_link),
}

__all__ = ["KINDS", "STUDS", "NoParameters", "covers_line", "looked", "spoken_list", "states"]
