"""The language stage: passages in, clauses, requirements, marks and facts out."""

from __future__ import annotations

import importlib
import re
from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

from notelint.abreast import of_each
from notelint.language.assemble import stance_of
from notelint.language.clauses import split
from notelint.language.hardware import HardwareList
from notelint.language.headed import headed, read_headed
from notelint.language.marks import key_of, prefix_of
from notelint.language.rows import is_connector_schedule, is_legend, is_titled, marks_in_row, read_row
from notelint.language.said_joints import NO_CONTEXT, Context, Subject
from notelint.language.settle import settled
from notelint.language.statements import Book, MarkInfo, read_cells, read_statements
from notelint.language.unlisted import named_by_joint, unlisted_marks
from notelint.language.words_of import Read, as_terms, marks_of, read_words
from notelint.model import Clause, Fact, Layout, MarkUse, Passage, Reading, Requirement

_WORTH = re.compile(r"[a-z]{3}|[A-Z]{2}|\d", re.IGNORECASE)
_MANY, _PER = 300, 16  # passages from which a second process is worth its start, and how many a process takes at a time
_GENERIC_JOINTS = ("other", None)


class PassageReading(NamedTuple):
    """All that one passage says."""

    clauses: tuple[Clause, ...]
    requirements: tuple[Requirement, ...]
    marks: tuple[MarkUse, ...]


def read_language(layout: Layout, *, hardware: HardwareList | None = None, beside: bool = False) -> Reading:
    """Reads all passages of a set: first what its marks are, then what is called for where; with `beside` in two processes at most."""
    sheets = frozenset(key_of(p.sheet) for p in layout.passages if p.sheet)
    worth = [p for p in layout.passages if _WORTH.search(p.text) and not _lists_sheets(p, sheets)]
    beside = beside and len(worth) >= _MANY
    said = of_each(lambda i: read_words(worth[i], frozenset(), frozenset())[1:], len(worth), beside=beside, per=_PER)
    words = [Read(passage, *rest) for passage, rest in zip(worth, said, strict=True)]
    del said
    book = {key: info for key, info in _book(words, hardware).items() if key not in sheets}
    unlisted = unlisted_marks(words, book, sheets)
    book |= {key: MarkInfo(None, None) for key in unlisted}
    titles = _titles(layout)
    known = _known(book)
    subjects = headed(words)

    def passed(index: int) -> PassageReading:
        w = words[index]
        title = titles.get((w.passage.sheet, w.passage.detail), NO_CONTEXT)
        return _pass(_without_sheets(_with_marks(w, known), sheets), book, title, subjects.get(w.passage.id))

    read = of_each(passed, len(words), beside=beside, per=_PER)
    clauses = tuple(c for one in read for c in one.clauses)
    resolved = _resolved([r for one in read for r in one.requirements], book)
    requirements = _numbered(_every_other(settled(named_by_joint(resolved, unlisted)), _stud_spacing(words)))
    marks = tuple(m for one in read for m in one.marks)
    return Reading(clauses=clauses, requirements=requirements, marks=marks, facts=_facts(layout, clauses, requirements, beside))


def read_passage(passage: Passage, book: Book | None = None) -> PassageReading:
    """Reads one passage; `book` says what the set's marks are."""
    book = book or {}
    words = read_words(passage, frozenset(), frozenset())
    own = dict(book)
    for requirement in _requirements(_with_marks(words, _known(own)), own):
        if requirement.mark and requirement.defines:
            own.setdefault(key_of(requirement.mark), MarkInfo(requirement.device, requirement.joint))
    one = _pass(_with_marks(words, _known(own)), own)
    return one._replace(requirements=tuple(_numbered(_resolved(list(one.requirements), own))))


def _titles(layout: Layout) -> dict[tuple[str | None, str | None], Context]:
    """What the title of each numbered detail says, by sheet and number."""
    out: dict[tuple[str | None, str | None], Context] = {}
    for detail in layout.details:
        passage = Passage(id="", page=detail.page, sheet=detail.sheet, kind="title", label="", text=detail.title)
        read = read_words(passage, frozenset(), frozenset())
        end = len(read.low)
        out[detail.sheet, detail.number] = Context(
            title=read.low,
            members=read.names(0, end, "member"),
            places=read.names(0, end, "place"),
            title_states=read.names(0, end, "state"),
        )
    return out


class _Known(NamedTuple):
    """Keys of the known marks, and the letters before their figures."""

    keys: frozenset[str]
    prefixes: frozenset[str]


def _known(book: Book) -> _Known:
    letters = (prefix_of(key) for key in book if any(c.isdigit() for c in key))
    return _Known(frozenset(book), frozenset(p for p in letters if len(p) > 1))


_SHEET = re.compile(r"(?<![\w/.-])[A-Z]{1,2}[-.]?\d{1,3}(?:\.\d{1,2})?(?![\w/])")


def _lists_sheets(passage: Passage, sheets: frozenset[str]) -> bool:
    """Whether a note lists the set's sheets and so calls for nothing."""
    if passage.kind not in ("note", "text", "callout"):
        return False
    return len({key for m in _SHEET.finditer(passage.text) if (key := key_of(m.group())) in sheets}) >= 4


def _without_sheets(read: Read, sheets: frozenset[str]) -> Read:
    """The words without sheet numbers among their marks: "S301 connector table" names a sheet."""
    return read._replace(marks=tuple(m for m in read.marks if key_of(m.text) not in sheets or read.passage.kind == "row"))


def _with_marks(read: Read, known: _Known) -> Read:
    marks = marks_of(read.passage.text, list(read.found), known.keys, known.prefixes)
    if read.passage.kind == "row" and (is_connector_schedule(read.passage) or marks):
        own = [m for m in marks_in_row(read.passage) if not any(m.start < o.end and o.start < m.end for o in marks)]
        marks = tuple(sorted([*marks, *own]))
    found = tuple(f for f in read.found if f.kind == "maker" or not any(m.start <= f.start and f.end <= m.end for m in marks))
    return read._replace(marks=marks, found=found)


def _requirements(read: Read, book: Book, title: Context = NO_CONTEXT) -> list[Requirement]:
    if read.passage.kind != "row" or not read.passage.cells:
        return read_statements(read, book, title)
    if not any(c.column.strip() for c in read.passage.cells) and not is_titled(read.passage):
        return read_statements(read, book, title)
    rows = read_row(read)
    return rows if rows or is_legend(read.passage) else read_cells(read, book)


def _book(words: Sequence[Read], hardware: HardwareList | None) -> Book:
    """What each mark of the set is, from schedules, keys and notes that say it, and from the user's list."""
    nothing = _known({})
    book: Book = {}
    named: Book = {}
    if hardware is not None:
        book |= {key_of(line.mark): MarkInfo(line.device, None) for line in hardware.lines}
    for read in words:
        if not (read.passage.kind == "row" or re.search(r"[A-Z]-?\d", read.passage.text)):
            continue
        for requirement in _requirements(_with_marks(read, nothing), {}):
            if requirement.mark and requirement.defines and (read.passage.kind == "row" or re.search(r"\d|^[A-Z]{2,}", requirement.mark)):
                key = key_of(requirement.mark)
                old = book.get(key)
                if old is None or (old.device is None and requirement.device is not None):
                    book[key] = MarkInfo(requirement.device, requirement.joint)
            elif requirement.mark and requirement.device:
                named.setdefault(key_of(requirement.mark), MarkInfo(requirement.device, None))
    return named | book


def _pass(read: Read, book: Book, title: Context = NO_CONTEXT, subject: Subject | None = None) -> PassageReading:
    clauses = tuple(_clauses(read))
    requirements = tuple(_requirements(read, book, title))
    if subject is not None and all(r.device in (None, "nailing", "sheathing") for r in requirements):
        requirements = tuple(read_headed(read, subject))
    defined = {key_of(r.mark) for r in requirements if r.mark and r.defines}
    marks = tuple(
        MarkUse(mark=m.text, key=key_of(m.text), passage=read.passage.id, start=m.start, end=m.end, defines=key_of(m.text) in defined)
        for m in read.marks
    )
    return PassageReading(clauses, requirements, marks)


def _clauses(read: Read) -> list[Clause]:
    spans = [(0, len(read.low))] if read.passage.kind == "row" else split(read.low, read.passage.text)
    legend = read.passage.kind == "row" and is_legend(read.passage)
    out = []
    for start, end in spans:
        terms = as_terms(read, start, end)
        if terms:
            stance = (
                "legend" if legend or re.match(r"^[a-z][a-z.&/]{0,7}\s?=\s?[a-z]", read.low[start:end]) else stance_of(read.low[start:end])
            )
            out.append(Clause(passage=read.passage.id, start=start, end=end, terms=terms, stance=stance))
    return out


def _resolved(requirements: list[Requirement], book: Book) -> list[Requirement]:
    """Device and joint of a mark's uses from its definition where their own words do not say; the definition's joint from its uses."""
    families = _families(book)
    uses: dict[str, Counter[str]] = {}
    for r in requirements:
        if r.mark and r.joint not in _GENERIC_JOINTS and not r.defines:
            uses.setdefault(key_of(r.mark), Counter())[str(r.joint)] += 1
    out = []
    for r in requirements:
        if r.mark:
            info = book.get(key_of(r.mark))
            device = r.device or (info.device if info else None) or families.get(prefix_of(r.mark))
            joint = r.joint or (info.joint if info else None)
            if joint is None and key_of(r.mark) in uses:
                joint = uses[key_of(r.mark)].most_common(1)[0][0]  # type: ignore[assignment]
            if (device, joint) != (r.device, r.joint):
                r = r.model_copy(update={"device": device, "joint": joint})
        out.append(r)
    return out


_EVERY_OTHER = re.compile(r"\b(?:every|each) (?:other|second|2nd) (?:\S+ ){0,2}?studs?\b|\balternate (?:\S+ )?studs\b", re.IGNORECASE)
_STUDS_AT = re.compile(r"\bstuds?\b(?:(?!\d+d\b)[^.;]){0,24}?(?:@|\bat\b)\s?(12|16|19\.2|24)\s?(?:\"|in\b\.?|inch(?:es)?)?(?:\s|,|;|\.|$)")


def _stud_spacing(words: Sequence[Read]) -> float | None:
    """Spacing of wall studs, inches, where the whole set states one and no other for bearing or exterior walls."""
    found: set[str] = set()
    for read in words:
        for match in _STUDS_AT.finditer(read.low):
            around = read.low[max(0, match.start() - 60) : match.end() + 40]
            if not re.search(r"partition|non-?bearing|carry nothing|closet|interior", around):
                found.add(match[1])
    return float(found.pop()) if len(found) == 1 else None


def _every_other(requirements: list[Requirement], studs_in: float | None) -> list[Requirement]:
    """Requirements with "every other stud" as a spacing in inches, once the studs' own spacing is known."""
    if studs_in is None:
        return requirements
    return [
        r.model_copy(update={"spacing_in": 2 * studs_in}) if r.spacing_in is None and r.device and _EVERY_OTHER.search(r.quote) else r
        for r in requirements
    ]


def _families(book: Book) -> dict[str, str]:
    """The device that all marks with the same letters are, where they agree."""
    by_prefix: dict[str, set[str]] = {}
    for key, info in book.items():
        if info.device:
            by_prefix.setdefault(prefix_of(key), set()).add(info.device)
    return {prefix: next(iter(devices)) for prefix, devices in by_prefix.items() if len(devices) == 1 and prefix}


def _numbered(requirements: Sequence[Requirement]) -> tuple[Requirement, ...]:
    return tuple(r.model_copy(update={"id": f"r{i + 1}"}) for i, r in enumerate(requirements))


def _facts(layout: Layout, clauses: tuple[Clause, ...], requirements: tuple[Requirement, ...], beside: bool) -> tuple[Fact, ...]:
    try:
        module = importlib.import_module("notelint.language.facts")
    except ModuleNotFoundError:
        return ()
    return tuple(module.read_facts(layout, clauses, requirements, beside=beside))
