"""Findings become questions: one defect one question, ordered by the stage at which a late answer costs most."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from string import Formatter

from notelint.model import STAGES, Finding, Question, Where
from notelint.places import spoken_place
from notelint.rulebook.schema import Rule

MOST_PLACES = 40  # of one question; the count of the rest is said


def ask(findings: Sequence[Finding], rules: Sequence[Rule]) -> tuple[Question, ...]:
    """Questions in order of stage, then of the place in the set, numbered from 1."""
    by_name = {rule.name: rule for rule in rules}
    merged = _merge(findings)
    order = {rule.name: i for i, rule in enumerate(rules)}
    ranked = sorted(merged, key=lambda f: (STAGES.index(by_name[f.rule].ask_before), *_place_order(f), order[f.rule]))
    questions, keys = [], dict[str, int]()
    for number, finding in enumerate(ranked, 1):
        rule = by_name[finding.rule]
        key = _key(finding)
        keys[key] = keys.get(key, 0) + 1
        questions.append(
            Question(
                number=number,
                key=key if keys[key] == 1 else f"{key}-{keys[key]}",
                rule=rule.name,
                family=rule.family,
                ask_before=rule.ask_before,
                question=worded(rule.question, finding),
                why=" ".join(rule.why.split()),
                arithmetic=finding.arithmetic,
                sources=rule.cited_lines(),
                where=finding.where[:MOST_PLACES],
            )
        )
    return tuple(questions)


def _merge(findings: Sequence[Finding]) -> list[Finding]:
    """The same rule about the same subject is one finding with several places."""
    merged: dict[tuple[str, str], Finding] = {}
    for finding in findings:
        key = (finding.rule, finding.subject)
        if not finding.subject or key not in merged:
            merged[key if finding.subject else (finding.rule, f"#{len(merged)}")] = finding
            continue
        old = merged[key]
        places = old.where + tuple(w for w in finding.where if w not in old.where)
        lines = old.arithmetic + tuple(a for a in finding.arithmetic if a not in old.arithmetic)
        merged[key] = old.model_copy(update={"where": places, "arithmetic": lines})
    return list(merged.values())


def _place_order(finding: Finding) -> tuple[int, float]:
    return (finding.where[0].page, finding.where[0].box.top) if finding.where else (0, 0.0)


def worded(pattern: str, finding: Finding) -> str:
    """The rule's wording with its blanks filled; a blank nothing is known for is left out with its sentence."""
    values = {**_place_values(finding.where), **finding.values, **({"subject": finding.subject} if finding.subject else {})}
    values = {**values, **finding.values}
    sentences = re.split(r"(?<=[.?!])\s+(?=[A-Z{\"(])", " ".join(pattern.split()))
    kept = []
    for sentence in sentences:
        blanks = [name for _, name, _, _ in Formatter().parse(sentence) if name]
        if all(values.get(b) for b in blanks):
            kept.append(sentence.format_map(values))
    text = " ".join(kept) or " ".join(pattern.split())
    return _tidied(text[:1].upper() + text[1:])


def _tidied(text: str) -> str:
    """One mark at the end of a quote: its own full stop stands for the sentence's, and gives way to a comma."""
    text = re.sub(r"([.?!])\u201d\.", "\\1\u201d", text)
    return re.sub(r"(?<=[a-z]{3})[.;,]\u201d(?=[,;])", "\u201d", text, flags=re.IGNORECASE)


def _place_values(where: tuple[Where, ...]) -> dict[str, str]:
    if not where:
        return {}
    places = list(dict.fromkeys(spoken_place(w) for w in where))
    shown = places[:6]
    more = len(places) - len(shown)
    return {
        "place": places[0],
        "places": "; ".join(shown) + (f"; and {more} more places" if more else ""),
        "quote": quoted(where[0].quote),
    }


def quoted(text: str, most: int = 220) -> str:
    """The set's own words between double quotation marks, cut at a word where long."""
    text = " ".join(text.split())
    if len(text) > most:
        text = text[:most].rsplit(" ", 1)[0] + " ..."
    return f"\u201c{text}\u201d"


def _key(finding: Finding) -> str:
    """Stable across runs and revisions: rests on the rule and its subject, not on numbers of notes or pages."""
    subject = finding.subject or (_gist(finding.where[0].quote) if finding.where else "")
    digest = hashlib.sha256(f"{finding.rule}\n{subject.casefold()}".encode()).hexdigest()[:8]
    return f"{finding.rule}-{digest}"


def _gist(quote: str) -> str:
    """The quote without what a redraw changes: case, spaces, punctuation, leading numbers."""
    return re.sub(r"[^a-z0-9]+", " ", re.sub(r"^\W*\d+\W+", "", quote.casefold())).strip()
