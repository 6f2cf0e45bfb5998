"""Checks of references: marks without a schedule line, schedule lines without a mark on a plan, details and sheets that are not there,
hardware that cannot be bought by its words, connectors without a place."""

from __future__ import annotations

import re
from collections.abc import Iterator

from notelint.language.rows import title_of
from notelint.loadpath.ties import CONNECTORS
from notelint.model import Box, Finding, IndexEntry, Passage, Reference, Requirement, SheetLine, Where
from notelint.places import spoken_place, spoken_sheet
from notelint.rulebook.case import Case, mark_key
from notelint.rulebook.checks.calls import hardware_not_named, where_not_stated
from notelint.rulebook.checks.joints import NoParameters, spoken_list
from notelint.rulebook.checks.schedule_marks import Called, marks_without_definition

_NAMED_ELSEWHERE = CONNECTORS | {"anchor bolt"}


def mark_not_scheduled(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Marks called out that no schedule, legend, note or detail says what they are; one question for marks of the same letters."""
    for uses in marks_without_definition(case).values():
        names = list(dict.fromkeys(u.mark for u in uses))
        where = tuple(dict.fromkeys(_statement(case, u) for u in uses))[:8]
        said = where[0].quote if mark_key(where[0].quote) != mark_key(uses[0].mark) else ""
        several = len(names) > 1
        values = {
            "subject": spoken_list(names),
            "first": ("are called out" if several else "is called out") + (f" (\u201c{said}\u201d)" if said and len(said) < 160 else ""),
            "second": "what they are" if several else "what it is",
        }
        yield Finding(rule="", subject=" ".join(sorted({u.key for u in uses})), where=where, values=values)


def _statement(case: Case, use: Called) -> Where:
    """The statement that the mark stands in."""
    for clause in case.clauses_of.get(use.passage, ()):
        if clause.start <= use.start < clause.end:
            return case.where_of(clause)
    return case.where(use.passage)


def mark_not_used(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Marks of a connector or hold-down schedule that no plan, detail or note uses; one question lists them."""
    unused: list[Requirement] = []
    for key, rows in case.definitions.items():
        row = rows[0]
        if row.kind != "row" or not _of_schedule(case, row) or not re.search(r"\d|-|^[A-Z]{2,3}$", row.mark or ""):
            continue
        if any(
            u.key == key and not u.defines and not _SENDS.search(case.passages[u.passage].text)
            for u in case.reading.marks
            if u.passage in case.passages
        ):
            continue
        if (
            any(r.kind != "row" and not _SENDS.search(case.passages[r.passage].text) for r in case.by_mark.get(key, ()))
            or _typical(case, row)
            or _named_in_text(case, key, row)
        ):
            continue
        unused.append(row)
    if unused:
        names = [r.mark or "" for r in unused]
        yield Finding(
            rule="", subject=" ".join(sorted(names)), values={"subject": spoken_list(names)}, where=tuple(case.where_of(r) for r in unused)
        )


def _of_schedule(case: Case, row: Requirement) -> bool:
    """Whether the row is of a connector or hold-down schedule; panels and anchor bolts of shear walls are none."""
    titled = re.search(r"hold-?\s?down|strap|connector|hardware|hanger|clip|\btie", title_of(case.passages[row.passage]))
    metal = re.search(r"\bmetal(?:work)?\b|\bfittings\b|\bpieces\b", title_of(case.passages[row.passage])) and row.steel and row.fasteners
    return row.device in CONNECTORS or (row.device is None and bool(titled or metal))


def _typical(case: Case, row: Requirement) -> bool:
    p = case.passages[row.passage]
    return bool(re.search(r"\btyp(?:ical|\.)?\b", f"{p.text} {' '.join(p.headings)}".lower()))


_SENDS = re.compile(
    r"\bmarks?\b[^.;]{0,40}\b(?:set out|listed|given|found|described|defined|shown|scheduled|are "
    r"in)\b[^.;]{0,30}\b(?:table|schedule|legend|list|key)\b",
    re.IGNORECASE,
)
"""Words that send the reader to the schedule use none of the marks they name."""


def _leads(p: Passage, key: str) -> bool:
    """Whether a row of another list, such as a legend, begins with the mark: it says again what the mark is."""
    return bool(p.cells) and mark_key(p.text[p.cells[0].start : p.cells[0].end]) == key


def _named_in_text(case: Case, key: str, row: Requirement) -> bool:
    """The mark in any other passage, however it is spelt, or within a run of marks; other rows of the same schedule do not count."""
    home = case.passages[row.passage]
    wanted = re.compile(
        r"(?<![A-Z0-9])" + r"[-\s().]*".join(re.escape(c) for c in re.findall(r"[A-Z]+|\d+", key)) + r"(?![0-9]|[A-Z](?![A-Z]))"
    )
    letters, number = re.match(r"([A-Z]*)(\d*)", key).groups()  # type: ignore[union-attr]
    run = (
        re.compile(rf"(?<![A-Z0-9]){letters}[- ]?(\d+)\s*(?:THRU|THROUGH|TO|-|\u2013)\s*{letters}[- ]?(\d+)(?!\d)")
        if letters and number
        else None
    )
    for p in case.passages.values():
        if p.id == home.id or (p.kind == "row" and (p.headings == home.headings or _leads(p, key))) or _SENDS.search(p.text):
            continue
        text = p.text.upper()
        if wanted.search(text) or (run and any(int(m[1]) <= int(number) <= int(m[2]) for m in run.finditer(text))):
            return True
    return False


# ---------------------------------------------------------------- details and sheets


def detail_not_found(_: NoParameters, case: Case) -> Iterator[Finding]:
    """A bubble or "see detail" that names a detail or sheet not in the set. All places of one reference are one question."""
    sheets = {_plain(s.number): s for s in case.sheets if s.number}
    listed, labels = listed_sheets(case), {_plain(p.label.removeprefix("note ")) for p in case.passages.values()}
    if not sheets:
        return
    titled: dict[str, set[str]] = {}
    for d in case.layout.details:
        titled.setdefault(_plain(d.sheet or ""), set()).add(_plain(d.number))
    for ref in case.layout.references:
        target, detail = _plain(ref.target or ref.sheet or ""), _plain(ref.detail or "")
        missing_sheet = ref.target is not None and target not in sheets
        if missing_sheet and (target in listed or any(label.startswith(target) for label in labels) or _goes_on(case, ref)):
            continue  # listed and absent: asked once as a sheet that is not in the set; or the number of a note ("see G1-10")
        known = titled.get(target, set())
        readable = bool(known) and sheets.get(target) is not None and sheets[target].text == "vector"
        missing_detail = not missing_sheet and bool(detail) and readable and detail not in known and _near_numbers(detail, known)
        if missing_sheet or missing_detail:
            yield _reference_finding(case, ref, missing_sheet, known)


def _goes_on(case: Case, ref: Reference) -> bool:
    """Whether the reference was cut out of a longer number ("G1" of "G1-10")."""
    longer = re.compile(re.escape(ref.quote) + r"-\d")
    return any(p.page == ref.page and longer.search(p.text) for p in case.passages.values())


def _near_numbers(detail: str, known: set[str]) -> bool:
    """Whether the detail is numbered in the manner of that sheet's details; an odd one out was likely misread."""
    return detail.isdigit() == any(k.isdigit() for k in known) or not known


def _reference_finding(case: Case, ref: Reference, missing_sheet: bool, known: set[str]) -> Finding:
    name = f"{ref.detail}/{ref.target}" if ref.detail and ref.target else ref.target or f"detail {ref.detail}"
    lacks = (
        f"sheet {ref.target} is not in the set"
        if missing_sheet
        else f"sheet {ref.target or ref.sheet} has {'detail' if len(known) == 1 else 'details'} {_runs(known)}"
    )
    words = _words_around(case, ref)
    where = Where(
        sheet=ref.sheet, page=ref.page, label=words[0] if words else "detail bubble", quote=words[1] if words else ref.quote, box=ref.box
    )
    said = f" (\u201c{where.quote}\u201d)" if words and len(where.quote) < 200 else ""
    first = f"{name} is referred to on {spoken_place(where)}{said}"
    return Finding(rule="", subject=name, where=(where,), values={"lacks": lacks, "first": first})


def _words_around(case: Case, ref: Reference) -> tuple[str, str] | None:
    """Label and statement of the passage that the reference stands in; None for a bubble."""
    for p in case.passages.values():
        at = _place_of(p, ref) if p.page == ref.page else -1
        if at >= 0 and p.kind not in {"title", "heading"} and len(p.text) > len(ref.quote) + 4:
            clause = next((c for c in case.clauses_of.get(p.id, ()) if c.start <= at < c.end), None)
            return p.label, p.text[clause.start : clause.end] if clause and clause.end >= at + len(ref.quote) else p.text
    return None


def _place_of(p: Passage, ref: Reference) -> int:
    """Where a passage names the reference, as read or in other words ("DET. 8 / SHT 5"); -1 where it does not."""
    at = p.text.find(ref.quote)
    if at >= 0 or not (ref.detail and ref.target):
        return at
    other = re.search(rf"\b{re.escape(ref.detail)}\b[^;|.]{{0,14}}?\b{re.escape(ref.target)}(?![\w.])", p.text)
    return other.start() if other else -1


def _runs(known: set[str]) -> str:
    """ "1 to 6", "1, 2 and 5", "A and B" """
    names = sorted((k.upper() for k in known), key=_number)
    if all(n.isdigit() for n in names) and len(names) > 2 and int(names[-1]) - int(names[0]) == len(names) - 1:
        return f"{names[0]} to {names[-1]}"
    return spoken_list(names)


def _number(text: str) -> tuple[int, str]:
    digits = re.sub(r"\D", "", text)
    return (int(digits) if digits else 0, text)


def _plain(number: str) -> str:
    return re.sub(r"[^a-z0-9.]", "", number.casefold())


_RUN = re.compile(
    r"^\s*(?:(?P<thru>thru|through|to|[-\u2013\u2014]|\.\.+)|and|&|,|\+)\s*(?P<number>[A-Z]{0,3}[-. ]?\d{1,3}(?:[.-]\d{1,2})?)(?![\w'\"])",
    re.IGNORECASE,
)


def listed_sheets(case: Case) -> dict[str, IndexEntry]:
    """Lines of the sheet index by plain sheet number; "S-1 THRU S-3" stands for three sheets, "A-1, A-2" for two."""
    found: dict[str, IndexEntry] = {}
    for entry in case.layout.index:
        found.setdefault(_plain(entry.number), entry)
        rest = _rest_of_line(case, entry)
        while m := _RUN.match(rest):
            if m["thru"] and not m["thru"][0].isalpha() and not m["number"][0].isalpha():
                break  # "A1 - 2 BEDROOM PLAN" is a title, no run
            for number in _numbers_to(entry.number, m["number"], bool(m["thru"])):
                found.setdefault(_plain(number), entry.model_copy(update={"number": number}))
            rest = rest[m.end() :]
    return found


def _rest_of_line(case: Case, entry: IndexEntry) -> str:
    """What follows the sheet number on its line of the index."""
    lines = (p.text for p in case.layout.passages if p.page == entry.page and p.text.startswith(entry.number))
    return next((text[len(entry.number) :] for text in lines), entry.title)


def _numbers_to(first: str, last: str, between: bool) -> list[str]:
    """Sheet numbers after `first` up to `last`: all of them where the words say "thru", else `last` alone."""
    a, b = re.match(r"(.*?)(\d+)$", first), re.match(r"(.*?)(\d+)$", last)
    if not a or not b:
        return []
    whole = last if re.match(r"[A-Za-z]", last) else a[1] + b[2]
    if not between:
        return [whole] if re.match(r"[A-Za-z]", last) else []
    return [f"{a[1]}{n}" for n in range(int(a[2]) + 1, min(int(b[2]), int(a[2]) + 40) + 1)]


def sheet_not_in_set(_: NoParameters, case: Case) -> Iterator[Finding]:
    """Sheets of the index that are not in the PDF, and sheets of the PDF that the index lacks."""
    listed = listed_sheets(case)
    if len(listed) < 2:
        return
    held = {_plain(s.number): s for s in case.sheets if s.number and s.kind not in {"truss letter", "calculation", "form"}}
    if not set(listed) & set(held):
        return  # numbers of neither side meet: one side was not read, and a question would be noise
    unread = any(s.number is None and s.kind not in {"truss letter", "calculation", "form", "blank"} for s in case.sheets)
    absent = [] if unread else [e for k, e in listed.items() if k not in held]
    extra = [s for k, s in held.items() if k not in listed]
    if absent or extra:
        yield _sheets_finding(next(iter(listed.values())), absent, extra)


def _sheets_finding(first: IndexEntry, absent: list[IndexEntry], extra: list[SheetLine]) -> Finding:
    where = [Where(sheet=e.sheet, page=e.page, label="sheet index", quote=f"{e.number} {e.title}".strip(), box=e.box) for e in absent]
    nowhere = Box(0.0, 0.0, 0.0, 0.0)
    where += [Where(sheet=s.number, page=s.page, label="sheet", quote=f"{s.number} {s.title or ''}".strip(), box=nowhere) for s in extra]
    says, asks = [], []
    if absent:
        named = spoken_list([f"{e.number} ({e.title})" if len(e.title) > 3 else e.number for e in absent])
        says.append(f"the sheet index on {spoken_sheet(first.sheet, first.page)} lists {named}, which the PDF does not hold")
        asks.append(f"{'may the missing sheets' if len(absent) > 1 else 'may the missing sheet'} be sent")
    if extra:
        says.append(f"the PDF holds {spoken_list([s.number or '' for s in extra])}, which the index does not list")
        asks.append(f"{'do the sheets' if len(extra) > 1 else 'does the sheet'} outside the index belong to the set")
    numbers = [e.number for e in absent] + [s.number or "" for s in extra]
    asked = ", or is the index to be put right, and ".join(asks) if len(asks) > 1 else asks[0] + ", or is the index to be put right"
    return Finding(
        rule="", subject=" ".join(numbers), where=tuple(where),
        values={"lacks": "; ".join(says), "subject": spoken_list(numbers), "second": asked[:1].upper() + asked[1:]},
    )  # fmt: skip


KINDS = {
    "mark-not-scheduled": (NoParameters, mark_not_scheduled),
    "mark-not-used": (NoParameters, mark_not_used),
    "detail-not-found": (NoParameters, detail_not_found),
    "sheet-not-in-set": (NoParameters, sheet_not_in_set),
    "hardware-not-named": (NoParameters, hardware_not_named),
    "where-not-stated": (NoParameters, where_not_stated),
}
__all__ = ["KINDS", "_NAMED_ELSEWHERE"]
