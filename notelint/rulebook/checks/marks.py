"""Checks of references: marks without a schedule line, schedule lines without a mark on a plan, details and sheets that are not there,
hardware that cannot be bought by its words, connectors without a place."""

from __future__ import annotations

import re
from collections.abc import Iterator

from notelint.loadpath.ties import CONNECTORS
from notelint.model import Finding, Reference, Requirement
from notelint.rulebook.case import Case, mark_key
from notelint.rulebook.checks.joints import NoParameters, spoken_list

_NAMED_ELSEWHERE = CONNECTORS | {"anchor bolt"}


def mark_not_scheduled(_: NoParameters, case: Case) -> Iterator[Finding]:
    """A mark called out that no schedule, legend, note or detail says what it is."""
    defined = set(case.definitions) | {u.key for u in case.reading.marks if u.defines and u.passage in case.passages}
    seen: dict[str, list] = {}  # type: ignore[type-arg]
    for use in case.reading.marks:
        if use.passage in case.passages and use.key not in defined:
            seen.setdefault(use.key, []).append(use)
    for uses in seen.values():
        where = tuple(case.where(u.passage) for u in uses[:6])
        yield Finding(rule="", subject=uses[0].mark, where=where)


def mark_not_used(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Marks of a connector or hold-down schedule that no plan, detail or note uses; one question lists them."""
    unused: list[Requirement] = []
    for key, rows in case.definitions.items():
        row = rows[0]
        if row.kind != "row" or row.device not in CONNECTORS:
            continue
        if any(u.key == key and not u.defines for u in case.reading.marks if u.passage in case.passages):
            continue
        if any(r.kind != "row" for r in case.by_mark.get(key, ())) or _typical(case, row) or _named_in_text(case, key, row):
            continue
        unused.append(row)
    if unused:
        names = [r.mark or "" for r in unused]
        yield Finding(
            rule="", subject=" ".join(sorted(names)), values={"subject": spoken_list(names)}, where=tuple(case.where_of(r) for r in unused)
        )


def _typical(case: Case, row: Requirement) -> bool:
    p = case.passages[row.passage]
    return bool(re.search(r"\btyp(?:ical|\.)?\b", f"{p.text} {' '.join(p.headings)}".lower()))


def _named_in_text(case: Case, key: str, row: Requirement) -> bool:
    """The mark in any other passage, however it is spelt; other rows of the same schedule do not count."""
    home = case.passages[row.passage]
    for p in case.passages.values():
        if p.id == home.id or (p.kind == "row" and p.headings == home.headings):
            continue
        if key in re.sub(r"[^A-Z0-9]", "", p.text.upper()):
            return True
    return False


# ---------------------------------------------------------------- details and sheets


def detail_not_found(_: NoParameters, case: Case) -> Iterator[Finding]:
    """A bubble or "see detail" that names a detail or sheet not in the set."""
    sheets = {_plain(s.number): s for s in case.sheets if s.number}
    listed = {_plain(e.number) for e in case.layout.index}
    if not sheets:
        return
    titled: dict[str, set[str]] = {}
    for d in case.layout.details:
        titled.setdefault(_plain(d.sheet or ""), set()).add(_plain(d.number))
    asked: set[tuple[str, str]] = set()
    for ref in case.layout.references:
        target, detail = _plain(ref.target or ref.sheet or ""), _plain(ref.detail or "")
        missing_sheet = ref.target is not None and target not in sheets
        if missing_sheet and target in listed:
            continue  # listed and absent: asked once as a sheet that is not in the set
        known = titled.get(target, set())
        readable = bool(known) and sheets.get(target) is not None and sheets[target].text == "vector"
        missing_detail = not missing_sheet and bool(detail) and readable and detail not in known and _near_numbers(detail, known)
        if (missing_sheet or missing_detail) and (detail, target) not in asked:
            asked.add((detail, target))
            yield _reference_finding(case, ref, missing_sheet, known)


def _near_numbers(detail: str, known: set[str]) -> bool:
    """Whether the detail is numbered in the manner of that sheet's details; an odd one out was likely misread."""
    return detail.isdigit() == any(k.isdigit() for k in known) or not known


def _reference_finding(case: Case, ref: Reference, missing_sheet: bool, known: set[str]) -> Finding:
    from notelint.model import Where

    name = f"{ref.detail}/{ref.target}" if ref.detail and ref.target else ref.detail or ref.target or ref.quote
    lacks = (
        f"sheet {ref.target} is not in the set"
        if missing_sheet
        else f"sheet {ref.target or ref.sheet} has details {', '.join(sorted(known, key=_number))}"
    )
    where = Where(sheet=ref.sheet, page=ref.page, label="detail reference", quote=ref.quote, box=ref.box)
    return Finding(rule="", subject=name, where=(where,), values={"lacks": lacks})


def _number(text: str) -> tuple[int, str]:
    digits = re.sub(r"\D", "", text)
    return (int(digits) if digits else 0, text)


def _plain(number: str) -> str:
    return re.sub(r"[^a-z0-9.]", "", number.casefold())


def sheet_not_in_set(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Sheets of the index that are not in the PDF, and sheets of the PDF that the index lacks."""
    from notelint.model import Where

    if len(case.layout.index) < 2:
        return
    listed = {_plain(e.number): e for e in case.layout.index}
    held = {_plain(s.number): s for s in case.sheets if s.number and s.kind not in {"truss letter", "calculation", "form"}}
    if not set(listed) & set(held):
        return  # numbers of neither side meet: one side was not read, and a question would be noise
    unread = any(s.number is None and s.kind not in {"truss letter", "calculation", "form", "blank"} for s in case.sheets)
    absent = [] if unread else [e for k, e in listed.items() if k not in held]
    extra = [s for k, s in held.items() if k not in listed]
    if not absent and not extra:
        return
    where = [Where(sheet=e.sheet, page=e.page, label="sheet index", quote=f"{e.number} {e.title}".strip(), box=e.box) for e in absent]
    first = next(iter(listed.values()))
    where += [
        Where(sheet=s.number, page=s.page, label="sheet", quote=f"{s.number} {s.title or ''}".strip(), box=(0, 0, 0, 0)) for s in extra
    ]  # type: ignore[arg-type]
    says = []
    if absent:
        says.append(
            f"the index on {first.sheet or 'page ' + str(first.page)} lists {spoken_list([e.number for e in absent])}, which the PDF does not hold"
        )
    if extra:
        says.append(f"the PDF holds {spoken_list([s.number or '' for s in extra])}, which the index does not list")
    yield Finding(rule="", subject=" ".join(e.number for e in absent) + " ".join(s.number or "" for s in extra), where=tuple(where),
                  values={"lacks": "; ".join(says), "subject": spoken_list([e.number for e in absent] + [s.number or "" for s in extra])})  # fmt: skip


# ---------------------------------------------------------------- hardware by general words, and without a place


def hardware_not_named(_: NoParameters, case: Case) -> Iterator[Finding]:
    """A connector called for by general words, with no model, mark or size to buy it by."""
    asked: set[str] = set()
    for r in case.duties:
        if r.device not in CONNECTORS or r.mark or r.named or r.kind == "heading" or r.vague:
            continue
        if _family_is_named(case, r) or _speaks_of_all(case, r) or _furnished(case, r):
            continue
        name = f"{r.device} {r.joint or ''}".strip()
        if name in asked:
            continue
        asked.add(name)
        same = [o for o in case.duties if o.device == r.device and o.joint == r.joint and not o.mark and not o.named]
        yield Finding(rule="", subject=name, where=tuple(case.where_of(o) for o in same[:4]), values={"subject": _words(r)})


def _words(r: Requirement) -> str:
    return str(r.device)


def _family_is_named(case: Case, r: Requirement) -> bool:
    """The same device at the same joint is named elsewhere: by a mark or with a size."""
    if r.joint in {None, "other"}:
        return any(o.device == r.device and (o.mark or o.named) for o in case.duties if o.id != r.id)
    return any(o.device == r.device and o.joint == r.joint and (o.mark or o.named) for o in case.duties if o.id != r.id)


def _speaks_of_all(case: Case, r: Requirement) -> bool:
    """A note about connectors at large ("straps are nailed after ...", "see the schedule") calls for none."""
    low = r.quote.lower()
    return (
        bool(r.see)
        or bool(re.search(r"\b(schedule|legend|listed|see|marks?|all|any|substitut|manufactur|maker)\b", low))
        or not (r.each or r.spacing_in or r.place or r.joint not in {None, "other"})
    )


def _furnished(case: Case, r: Requirement) -> bool:
    return any(f.passage == r.passage for f in case.facts("furnished-with-trusses"))


def where_not_stated(_: NoParameters, case: Case) -> Iterator[Finding]:
    """A connector called for with neither spacing nor place."""
    for key, about in _groups(case).items():
        called = [r for r in about if r.kind in {"note", "text"} and not r.defines and r.device in CONNECTORS and _bids(r)]
        if not called or any(_placed(case, r) for r in about):
            continue
        if any(case.passages[r.passage].kind == "callout" for r in about) or _used_on_plan(case, key):
            continue
        yield Finding(rule="", subject=called[0].mark or called[0].device or key, where=tuple(case.where_of(r) for r in called[:2]))


def _groups(case: Case) -> dict[str, list[Requirement]]:
    found: dict[str, list[Requirement]] = {}
    for r in case.duties:
        if r.device in CONNECTORS:
            found.setdefault(mark_key(r.mark) if r.mark else f"#{r.id}", []).append(r)
    return found


def _bids(r: Requirement) -> bool:
    """Whether the words call for the connector to be put in, rather than describe it."""
    return bool(
        re.search(r"\b(provide|furnish|install|use|supply|shall be (?:used|provided|installed)|required|add)\w*\b", r.quote.lower())
    )


def _placed(case: Case, r: Requirement) -> bool:
    if r.spacing_in or r.each or r.joint not in {None, "other"}:
        return True
    if r.defines:
        return False
    return bool(r.place)


def _used_on_plan(case: Case, key: str) -> bool:
    return any(u.key == key and case.passages[u.passage].kind == "callout" for u in case.reading.marks if u.passage in case.passages)


KINDS = {
    "mark-not-scheduled": (NoParameters, mark_not_scheduled),
    "mark-not-used": (NoParameters, mark_not_used),
    "detail-not-found": (NoParameters, detail_not_found),
    "sheet-not-in-set": (NoParameters, sheet_not_in_set),
    "hardware-not-named": (NoParameters, hardware_not_named),
    "where-not-stated": (NoParameters, where_not_stated),
}
__all__ = ["KINDS", "_NAMED_ELSEWHERE"]
