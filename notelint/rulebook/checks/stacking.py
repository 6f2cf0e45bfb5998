"""Checks of what stands over what: spacings that do not line up, offsets, stacking not said, posts through floors."""

from __future__ import annotations

import re
from collections.abc import Iterator

from notelint.loadpath.ties import CONNECTORS
from notelint.mechanics.spacing import line_up
from notelint.model import Fact, Finding
from notelint.rulebook.case import Case
from notelint.rulebook.checks.joints import NoParameters

ROOF_MEMBERS = ("truss", "rafter", "roof joist")
_PLURAL = {"truss": "trusses", "rafter": "rafters", "roof joist": "roof joists", "joist": "joists", "stud": "studs"}


def framing_not_stacked(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Stated spacings that do not line up, or floors said to be offset, with nothing given for it."""
    yield from _spacings(case)
    yield from _offsets(case)


def _spacings(case: Case) -> Iterator[Finding]:
    allowed = case.has("added-support", "bearing-allowance")
    studs = [f for f in case.facts("spacing") if f.subject == "stud" and f.text in {"main", "bearing"} and f.value]
    if not studs or allowed:
        return
    overs = [f for f in case.facts("spacing") if f.subject in ROOF_MEMBERS and f.text == "main" and f.value]
    overs = [f for f in overs if _is_the_roof(case, f)]
    if case.has("roof-aligned"):
        overs = []
    joists = (
        [] if case.has("joist-aligned") else [f for f in case.facts("spacing") if f.subject == "joist" and f.text == "main" and f.value]
    )
    for over in [*overs, *joists]:
        under = _studs_below(case, studs, over)
        if under is None:
            continue
        result = line_up(float(over.value or 0), float(under.value or 0), over=_PLURAL.get(over.subject or "", "members"), under="studs")
        if result.all_land or (over.subject == "joist" and (over.value or 0) < 19):
            continue
        yield Finding(
            rule="", subject=f"{over.subject} {over.value:g} on stud {under.value:g}", where=(case.where_of(over), case.where_of(under)),
            arithmetic=result.lines,
            values={"first": f"{_PLURAL.get(over.subject or '', 'members')} at {over.value:g} in", "second": f"studs at {under.value:g} in",
                    "answer": f"they line up only every {result.every_in:g} in",
                    "lacks": _missed(_PLURAL.get(over.subject or "", "upper members"))},
        )  # fmt: skip
        return
    yield from _studs_over_studs(case, studs)


def _is_the_roof(case: Case, f: Fact) -> bool:
    """A spacing of the roof the house has, not of a copied note about another kind of roof."""
    names = {"truss": "trusses", "rafter": "rafters", "roof joist": "roof joists"}
    return case.building.roof is None or names[f.subject or ""] == case.building.roof


def _studs_below(case: Case, studs: list[Fact], over: Fact) -> Fact | None:
    """The stud spacing the member bears on: the top storey's for a roof; any where none is limited to a storey."""
    top = case.building.storeys or 1
    wanted = top if over.subject in ROOF_MEMBERS else max(1, top - 1)
    fitting = [f for f in studs if not f.storeys or wanted in f.storeys]
    # the finest spacing that is said decides in favour of silence where two are said
    fine = [f for f in fitting if line_up(float(over.value or 1), float(f.value or 1)).all_land]
    return (fine or fitting or [None])[0]  # type: ignore[list-item]


def _studs_over_studs(case: Case, studs: list[Fact]) -> Iterator[Finding]:
    upper = [f for f in studs if f.storeys and min(f.storeys) >= 2]
    lower = [f for f in studs if f.storeys and max(f.storeys) == min(f.storeys) == 1]
    for a in upper:
        for b in lower:
            result = line_up(float(a.value or 0), float(b.value or 0), over="upper studs", under="lower studs")
            if not result.all_land:
                yield Finding(
                    rule="", subject="studs over studs", where=(case.where_of(a), case.where_of(b)), arithmetic=result.lines,
                    values={"first": f"upper studs at {a.value:g} in", "second": f"lower studs at {b.value:g} in",
                            "answer": f"they line up only every {result.every_in:g} in", "lacks": _missed("upper studs")},
                )  # fmt: skip
                return


def _missed(over: str) -> str:
    """What is asked of members that land between the studs below."""
    return f"May {over} bear on the plates between the studs, or are studs, blocking or a transfer to be added under them, and which?"


_OFFSET = (
    "What carries the load and the uplift of the upper framing across the offset: a beam, doubled joists or blocking, "
    "with which ties and which fasteners?"
)


def quoted(text: str) -> str:
    """Words of the set between quotation marks."""
    return f"\u201c{' '.join(text.split())}\u201d"


_ABOVE_BELOW = re.compile(r"above|below|over|under|upper|lower|second|first|third|\(e\)|\(n\)|existing|floor|stairs")


def _offsets(case: Case) -> Iterator[Finding]:
    transfer = list(case.facts("carried"))
    for f in case.facts("offset"):
        text = case.words_of(f).lower()
        whole = case.passages[f.passage].text.lower()
        if not _ABOVE_BELOW.search(text):
            continue
        if any(t.passage == f.passage for t in transfer) or re.search(
            r"carried|beam|transfer|girder|\badd(?:ed)?\b[^.;]{0,30}\bstuds?\b|(?:dbl\.?|doubled?|tripled?) (?:floor "
            r")?joist|blocking|header|supported"
            r"|\b(?:lvl|lsl|psl|glulam|glb)\b"
            r"|\b(?:pick|carr|tak)\w* (?:it|them|that|this|the wall) up|\bcarr(?:y|ies) (?:it|them|that|this)\b",
            whole,
        ):
            continue
        if any(_of_an_offset(case, t) for t in transfer):
            continue
        yield Finding(rule="", subject="offset", where=(case.where_of(f),), values={"first": quoted(case.words_of(f)), "lacks": _OFFSET})
        return


def _of_an_offset(case: Case, transfer: Fact) -> bool:
    """Whether a transfer elsewhere speaks of an offset or set-back."""
    return bool(re.search(r"offset|set ?back|out of line", case.passages[transfer.passage].text.lower()))


def stacking_not_stated(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Floor-to-floor ties in two storeys or more, and nothing says that studs and posts stack."""
    if (case.building.storeys or 1) < 2 or case.has("stacks"):
        return
    crossing = [r for r in case.duties if r.joint == "floor-to-floor" and r.device in CONNECTORS]
    if crossing:
        shown = sorted(crossing, key=lambda r: (r.defines, r.page))
        yield Finding(rule="", subject="stacking", where=tuple(case.where_of(r) for r in shown[:2]))


def post_through_floor(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Posts over a framed floor and nothing that carries them through it."""
    if (case.building.storeys or 1) < 2:
        return
    if any(not _rod_alone(case.words_of(f).lower()) for f in case.facts("through-floor")):
        return
    standing = [f for f in case.facts("stands-on-floor") if f.subject == "post" or _posts(case, f)]
    upper = [
        f
        for f in case.facts("post")
        if _upper_post(f"{' '.join(case.passages[f.passage].headings)} {case.passages[f.passage].text}".lower())
    ]
    upper += [f for f in case.facts("floor-said", "floor-named") if (f.value or 0) >= 2 and _post_row(case, f)]
    held = [r for r in case.duties if r.device in {"hold-down", "rod"} and r.joint == "floor-to-floor"]
    found = [*standing, *upper]
    if not found and not held:
        return
    # the post itself first, then notes about posts: a note on stacking is no post
    found.sort(key=lambda f: case.passages[f.passage].kind == "note")
    where = [case.where_of(f) for f in found] or [case.where_of(r) for r in held]
    unique = list({(w.page, w.quote): w for w in where}.values())
    yield Finding(rule="", subject="posts over floors", where=tuple(unique[:4]))


def _post_row(case: Case, f: Fact) -> bool:
    """A line of a post schedule that puts its post in an upper storey."""
    p = case.passages[f.passage]
    return p.kind == "row" and bool(re.search(r"\bposts?\b|\bcolumns?\b", " ".join(p.headings).lower()))


def _rod_alone(text: str) -> bool:
    """Words of a rod that goes on through the floor carry no post."""
    return bool(re.search(r"\brods?\b|coupler", text)) and not re.search(r"post|block|squash|stud|column", text)


def _posts(case: Case, f: Fact) -> bool:
    return bool(re.search(r"\bposts?\b|\bcolumns?\b", case.words_of(f).lower()))


def _upper_post(text: str) -> bool:
    """Words that put a post above a framed floor: under a ridge, a girder truss or a roof beam, in an upper storey."""
    if not re.search(r"\bposts?\b|\bcolumns?\b", text):
        return False
    return bool(re.search(
        r"under (?:each |the |every )?(?:ridge|girder truss|hip|roof beam)|second (?:floor|story|storey|level)|2nd (?:fl\b|flr"
        r"|floor|stor|level)|level (?:2|two|3|three)\b|upper|third (?:floor|story)|post above|posts above|ridge beam"
        , text))  # fmt: skip


KINDS = {
    "framing-not-stacked": (NoParameters, framing_not_stacked),
    "stacking-not-stated": (NoParameters, stacking_not_stated),
    "post-through-floor": (NoParameters, post_through_floor),
}
