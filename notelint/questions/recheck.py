"""A revised plan set against the earlier one: each question answered by new words, still open, changed, or new."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from rapidfuzz import fuzz

from notelint.model import Answer, Joint, Layout, Passage, Question, Recheck, RecheckLine, Requirement, Review, Where

SAME_WORDS = 92  # rapidfuzz ratio from which two quotes are the same words, spacing and numbering aside
SAME_PLACE = 72  # token ratio from which two questions of one rule are about the same thing
ABOUT = 45  # token ratio from which new words are about an earlier question
LIKE = 60  # token ratio from which words with the same mark are about the same point
MOST_NEW_WORDS = 3
_MARK = re.compile(r"\b[A-Z]{1,4}-?\d{1,4}[A-Z]?\b")

TOPICS: dict[str, str] = {
    "roof-to-wall-tie": "tie rafter truss plate roof uplift connector each",
    "plate-to-stud-tie": "tie top plate stud strap each uplift",
    "header-tie": "tie strap header king stud each end",
    "opening-hold-down": "hold-down each side opening garage door jamb anchor",
    "floor-to-floor-tie": "strap floor line upper stud lower stud rim rod",
    "stud-to-sill-tie": "strap stud sill plate each tie",
    "sill-anchorage": "anchor bolt sill plate embedment spacing ends diameter",
    "post-ties": "post base cap connector beam foot head",
    "cut-plate-not-covered": "top plate cut bored notched pipe strap",
    "cut-plate-tension-only": "top plate cut block blocking compression scab",
    "cut-plate-tie-size": "top plate cut tie nails each side gauge wide",
    "framing-not-stacked": "trusses studs added stud under bear between blocking beam carries",
    "stacking-not-stated": "studs posts stack align floor over",
    "post-through-floor": "squash blocks blocking under posts floor continuous post",
    "strap-nailing-order": "nail strap upper end after roof moisture content percent dry lumber",
    "embedded-placement": "template dimension edge distance set anchors before pour",
    "fastener-coating": "hot-dip galvanized stainless G185 connectors nails treated",
    "nail-type": "nails common box diameter",
    "design-basis": "wind speed exposure category code edition",
}


def compare(old: Review, new: Review, old_words: Layout, new_words: Layout, answers: Mapping[str, Answer] | None = None) -> Recheck:
    """Every earlier question with what became of it, then the new ones; answers typed into the earlier log carried over."""
    typed = answers or {}
    pairs, left_old, left_new = _pair(old.questions, new.questions)
    fresh = _fresh(old_words, new_words)
    lines = [_still(a, b, typed) for a, b in pairs]
    lines += [
        RecheckLine(status="answered", question=q, new_words=_answering(q, fresh, new.requirements), answer=typed.get(q.key))
        for q in left_old
    ]  # fmt: skip
    lines += [RecheckLine(status="new", question=q) for q in left_new]
    return Recheck(file=old.file, sha256=old.sha256, lines=tuple(lines))


Pairs = list[tuple[Question, Question]]


def _pair(old: Sequence[Question], new: Sequence[Question]) -> tuple[Pairs, list[Question], list[Question]]:
    """Questions of both sets that are one: by key, else of one rule about much the same words."""
    by_key = {q.key: q for q in new}
    pairs: Pairs = [(q, by_key[q.key]) for q in old if q.key in by_key]
    taken = {b.key for _, b in pairs}
    left_old = [q for q in old if q.key not in by_key]
    left_new = [q for q in new if q.key not in taken]
    for q in list(left_old):
        best = max((n for n in left_new if n.rule == q.rule), key=lambda n: _alike(q, n), default=None)
        if best is not None and _alike(q, best) >= SAME_PLACE:
            pairs.append((q, best))
            left_old.remove(q)
            left_new.remove(best)
    return pairs, left_old, left_new


def _quotes(q: Question) -> str:
    return " ".join(w.quote for w in q.where) or q.question


def _alike(a: Question, b: Question) -> float:
    """0 to 100: shared marks decide where both name some, else the words."""
    marks_a, marks_b = set(_MARK.findall(a.question)), set(_MARK.findall(b.question))
    if marks_a and marks_b and not marks_a & marks_b:
        return 0.0
    return float(fuzz.token_set_ratio(_quotes(a), _quotes(b)))


def _still(a: Question, b: Question, typed: Mapping[str, Answer]) -> RecheckLine:
    """Open where the words are the same, changed where they are not."""
    same = fuzz.ratio(plain(_quotes(a)), plain(_quotes(b))) >= SAME_WORDS or a.question == b.question
    return RecheckLine(
        status="open" if same else "changed", question=b, old_words=() if same else a.where[:MOST_NEW_WORDS],
        answer=typed.get(a.key) or typed.get(b.key),
    )  # fmt: skip


def plain(text: str) -> str:
    """Words for comparing: lower case, letters and figures only."""
    return " ".join(re.findall(r"[a-z0-9/.\-]+", text.casefold()))


def _fresh(old: Layout, new: Layout) -> list[Passage]:
    """Passages of the revised set whose words did not stand in the earlier one, wherever they were moved or renumbered."""
    before = {plain(p.text) for p in old.passages}
    return [p for p in new.passages if p.kind != "heading" and plain(p.text) not in before]


_ASKED_JOINT: dict[str, Joint] = {
    "roof-to-wall-tie": "roof-to-wall",
    "plate-to-stud-tie": "plate-to-stud",
    "header-tie": "header-to-stud",
    "floor-to-floor-tie": "floor-to-floor",
    "stud-to-sill-tie": "stud-to-sill",
    "sill-anchorage": "sill-to-foundation",
    "cut-plate-not-covered": "cut-plate",
    "cut-plate-tension-only": "cut-plate",
    "existing-joint": "new-to-existing",
}
_ASKED_DEVICES: dict[str, set[str]] = {"opening-hold-down": {"hold-down", "rod", "embedded strap"}, "post-ties": {"post base", "post cap"}}


_REFERENCE = re.compile(r"(?<![\w/-])(\d{1,2}[A-Z]?|[A-Z])\s?/\s?([A-Z]{1,3})-?\s?(\d[\d.]*)(?!\w)")  # 9/S-4


def _names_in(text: str) -> set[str]:
    """References (9/S-4) and marks (ST-3) in words; the sheet of a reference is no mark."""
    references = {f"{detail}/{letters}{digits.rstrip('.')}" for detail, letters, digits in _REFERENCE.findall(text)}
    return references | {mark.replace("-", "") for mark in _MARK.findall(_REFERENCE.sub(" ", text))}


def _named(q: Question) -> set[str]:
    """What the question is about: the names common to its wording and its quotes, but no sheet it is found on."""
    sheets = {w.sheet.replace("-", "") for w in q.where if w.sheet}
    asked = _names_in(q.question) - sheets
    quoted = set().union(*(_names_in(w.quote) for w in q.where)) if q.where else asked
    references = {n for n in asked & quoted if "/" in n}
    return references or {n for n in (asked & quoted or asked) if "/" not in n}


def _like(q: Question, p: Passage) -> bool:
    """Whether words with the same mark also speak of it as one of the question's quotes does."""
    return any(fuzz.token_sort_ratio(plain(w.quote), plain(p.text)) >= LIKE for w in q.where)


def _answering(q: Question, fresh: Sequence[Passage], requirements: Sequence[Requirement]) -> tuple[Where, ...]:
    """New words about what the question asked: requirements at its joint first, then its mark or reference; nothing where none is."""
    direct = {r.passage for r in requirements if r.joint == _ASKED_JOINT.get(q.rule, "-") or r.device in _ASKED_DEVICES.get(q.rule, set())}
    named = _named(q)
    topic = TOPICS.get(q.rule, "")
    scored = []
    for p in fresh:
        of_joint = p.id in direct and len(p.text.split()) > 2
        of_mark = bool(named & _names_in(p.text)) and (bool(topic) or _like(q, p))
        if not (of_joint or of_mark):
            continue  # words that are only similar are no evidence
        score = fuzz.token_set_ratio(plain(topic), plain(p.text)) if topic else 0.0
        score += (100 if of_joint else 0) + (60 if of_mark else 0)
        if score >= ABOUT:
            scored.append((score, p))
    scored.sort(key=lambda s: -s[0])
    if scored and scored[0][0] >= 100:
        scored = [s for s in scored if s[0] >= 100]  # words at the joint itself leave the merely similar behind
    return tuple(Where(sheet=p.sheet, page=p.page, label=p.label, quote=p.text, box=p.box()) for _, p in scored[:MOST_NEW_WORDS])
