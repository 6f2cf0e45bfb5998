"""Checks of cut top plates: not covered, bridged in tension alone, a tie below the code's least."""

from __future__ import annotations

import re
from collections.abc import Iterator

from notelint.model import Fastener, Finding, Requirement
from notelint.rulebook.case import Case, mark_key
from notelint.rulebook.checks.joints import NoParameters, spoken_list
from notelint.rulebook.checks.penetration import value_of
from notelint.trade.nails import nails_of_penny, same_diameter
from notelint.trade.tables import at_least_16_gauge, minimum

TENSION = {"strap", "plate tie", "stud tie", "angle", "roof tie", "sill strap"}
_CARRIES = re.compile(
    r"compression|\bblock(?:ing)?\b|\bscabs?\b|\bsplice plate|added plates?|additional plates?|plywood gusset|gusset"
    r"|doubler|sistered?|third plate|solid|2x\d? (?:block|scab|plate|piece)|stud each side|header over"
)
_RATED = re.compile(r"compression and tension|tension and compression|rated for (?:both )?(?:tension|compression)|both ways|push")


_WALL_WORDS = frozenset({"stud", "top plate", "exterior wall", "bearing wall", "upper stud", "lower stud"})


def cut_plate_not_covered(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Wood bearing or exterior walls, and nothing said of a plate that is cut, bored or notched."""
    if case.has("cut-plate") or _cut_requirements(case):
        return
    walls = any(t.name in _WALL_WORDS for c in case.reading.clauses if c.passage in case.passages for t in c.terms)
    if walls:
        pipes = [
            c for c in case.reading.clauses if c.passage in case.passages and any((t.kind, t.name) == ("state", "pipe") for t in c.terms)
        ]
        shown = sorted(pipes, key=lambda c: not re.search(r"\b[2-9](?:-1/2)?\s?(?:\"|in)", case.words_of(c)))
        yield Finding(rule="", subject="cut plates", where=tuple(case.where_of(c) for c in shown[:2]))


def _cut_requirements(case: Case) -> list[Requirement]:
    return [r for r in case.duties if r.joint == "cut-plate"]


def _repairs(case: Case) -> list[Requirement]:
    """Requirements that repair a cut plate with a device, schedule lines of their marks included."""
    found = [r for r in _cut_requirements(case) if r.device in TENSION or (r.device is None and (r.fasteners or r.steel))]
    keys = {mark_key(r.mark) for r in found if r.mark}
    more = [
        r
        for k in keys
        for r in case.by_mark.get(k, ())
        if r not in found and (r.joint in {"cut-plate", "plate-splice", None, "other"} or r.defines)
    ]
    return found + more


def cut_plate_tension_only(_: NoParameters, case: Case) -> Iterator[Finding]:
    """A strap or tie across the cut, and nothing that carries compression."""
    repairs = _repairs(case)
    if not repairs or case.has("cut-plate-compression"):
        return
    if any(r.joint == "cut-plate" and r.device == "blocking" for r in case.duties):
        return
    texts = [case.passages[r.passage].text.lower() for r in repairs]
    details = {(case.passages[r.passage].page, case.passages[r.passage].detail) for r in repairs if case.passages[r.passage].detail}
    texts += [p.text.lower() for p in case.passages.values() if (p.page, p.detail) in details]
    if any(_CARRIES.search(t) or _RATED.search(t) for t in texts):
        return
    main = sorted(repairs, key=lambda r: (r.defines, r.kind != "note", r.page))
    yield Finding(rule="", subject=main[0].mark or "cut plate tie", where=tuple(case.where_of(r) for r in main[:3]))


def cut_plate_tie_size(_: NoParameters, case: Case) -> Iterator[Finding]:
    """The tie at a cut plate against IRC R602.6.1: steel, width, nails each side, reach past the opening."""
    repairs = _repairs(case)
    if not repairs:
        return
    by_name: dict[str, list[Requirement]] = {}
    for r in repairs:
        by_name.setdefault(mark_key(r.mark) if r.mark else f"#{r.passage}", []).append(r)
    if any(k.startswith("#") for k in by_name) and len(by_name) > 1:
        by_name = {"all": repairs} if len({k for k in by_name if not k.startswith("#")}) <= 1 else by_name
    for name, found in by_name.items():
        below, lacks, lines = _measure(case, found)
        scheduled = any(r.defines and r.fasteners for r in found)
        if scheduled:
            lacks = []
        if not below and not lacks:
            continue
        subject = next((r.mark for r in found if r.mark), "the tie at the cut plate")
        shown = sorted(found, key=lambda r: (not r.steel and not r.fasteners, r.page))
        yield Finding(
            rule="", subject=subject or name, where=tuple(case.where_of(r) for r in shown[:3]), arithmetic=tuple(lines),
            values={"first": spoken_list(below) if below else "", "lacks": spoken_list(lacks) if lacks else ""},
        )  # fmt: skip


_SHEET = re.compile(r"(?<![\d(])(0?\.0\d{1,3})\s*(?:\"|in\.?|inch)?(?:\s*(?:thick|min\.?))?(?:\s*(?:x|by)\s*(\d(?:-\d/\d)?)\s*(?:\"|in))?")


def _measure(case: Case, found: list[Requirement]) -> tuple[list[str], list[str], list[str]]:
    below: list[str] = []
    lacks: list[str] = []
    lines: list[str] = []
    steels = [r.steel for r in found if r.steel]
    gauges = [s.gauge for s in steels if s.gauge is not None]
    thick = [s.thickness_in for s in steels if s.thickness_in is not None]
    widths = [s.width_in for s in steels if s.width_in is not None]
    for r in found:
        for m in _SHEET.finditer(r.quote.lower()):
            thick.append(float(m.group(1)))
            if m.group(2):
                widths.append(value_of(m.group(2)))
    nails = [f for r in found for f in r.fasteners if f.kind in {"nail", "screw", None}]
    if thick or gauges:
        fine = at_least_16_gauge(max(thick)) if thick else at_least_16_gauge(None, min(gauges))
        if not fine:
            said = f"{max(thick):g} in" if thick else f"{min(gauges)} ga."
            below.append(f"{said} steel")
            lines.append(f"{said} against {minimum('cut-plate-tie-thickness').value:g} in (16 ga.) least (IRC R602.6.1)")
    else:
        lacks.append("thickness")
    if widths:
        if max(widths) < minimum("cut-plate-tie-width").value - 1e-6:
            below.append(f"{max(widths):g} in wide")
            lines.append(f"{max(widths):g} in wide against {minimum('cut-plate-tie-width').value:g} in least (IRC R602.6.1)")
    else:
        lacks.append("width")
    _measure_nails(nails, below, lacks, lines)
    for past in (re.search(r"(\d+(?:-\d/\d)?)\s*(?:in\.?|\")\s*(?:past|beyond)", case.passages[r.passage].text.lower()) for r in found):
        if past and float(past.group(1).split("-")[0]) < minimum("cut-plate-tie-reach").value:
            below.append(f"{past.group(1)} in past the cut")
            lines.append(f"{past.group(1)} in past the cut against {minimum('cut-plate-tie-reach').value:g} in least (IRC R602.6.1)")
    return below, lacks, lines


def _measure_nails(nails: list[Fastener], below: list[str], lacks: list[str], lines: list[str]) -> None:
    counts = [f.count for f in nails if f.count]
    if not nails or not counts:
        lacks.append("nails each side")
        return
    least = minimum("cut-plate-tie-nails").value
    if max(counts) < least:
        below.append(f"{max(counts)} nails each side")
        lines.append(f"{max(counts)} nails each side against {least:g} least (IRC R602.6.1)")
    need = minimum("cut-plate-tie-nail-diameter").value
    best = [d for f in nails for d in _diameters(f) if d > 0.09]
    if best and max(best) < need - 0.0005:
        below.append(f"{max(best):g} in nails")
        lines.append(f"{max(best):.3f} in nails against {need:g} in (10d) least (IRC R602.6.1)")


def _diameters(f: Fastener) -> list[float]:
    """10d with a length, or in a set of common nails, counts as 0.148 in."""
    if f.diameter_in:
        return [f.diameter_in]
    if f.penny:
        return [n.diameter_in for n in nails_of_penny(f.penny)]
    return []


__all__ = ["KINDS", "same_diameter"]
KINDS = {
    "cut-plate-not-covered": (NoParameters, cut_plate_not_covered),
    "cut-plate-tension-only": (NoParameters, cut_plate_tension_only),
    "cut-plate-tie-size": (NoParameters, cut_plate_tie_size),
}
