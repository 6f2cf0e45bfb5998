"""Which words of a statement belong to which device: anchors (device words and marks) and the stretch each governs."""

from __future__ import annotations

import re
from typing import NamedTuple

from notelint.language.marks import device_by_letters, key_of
from notelint.language.words_of import GENERAL, Read

_JOINED = re.compile(r"^\s?(?:,|,?\s?and|,?\s?or|&|/|,\s?&)?\s?$")
_TIGHT = re.compile(
    r"^[\s\"'()]*(?:[:=,-]|is an?|are|type|style|mark|model|part|no\.?)?[\s\"'()]*(?:an?\s|the\s|(?:new|metal|steel|galv\w*\.?"
    r"|\d+\s?ga\.?|[\d/-]+\s?(?:in\.|\")|\w+)\s){0,2}$"
)
_BREAK = re.compile(r"(?:,\s?(?:and\s|or\s)?|;\s?|\band\s|\bwith\s|\bw/\s?|\balso\s|\bor\s|\bthen\s|\bplus\s|&\s)")
_PART_OF = frozenset({"rod", "anchor bolt", "anchor"})
_OWNERS = frozenset({"hold-down", "post base", "strap", "embedded strap", "rod", "post cap", "hanger"})
_MENTION = re.compile(
    r"(?:\b(?:of|for|from|to|above|below|over|under|near|clear of|around|between|at|under|behind|through|into|on|beside|before"
    r"|without|as|like|than|than the|where|except at|except)\s(?:the |all |each |every |any |a |an )?)$"
)


_ABOUT = re.compile(
    r"^s?\s(?:layouts?|couplers?|schedules?|locations?|shop drawings|details?|manufacturers?|makers?|marks|inspection|sizes?"
    r"|substitution|submittals?|legend|key|symbols?|capacities|nailing at)\b"
)
_FOR = re.compile(
    r"(?:\bfor|\bof|\bclear of|\bwithout|\bother than|\bsee|\bsubmit|\bincluding|\bmarks for|\bper|\bby|\bbehind|\babove"
    r"|\bbelow)\s(?:the\s|all\s|each\s|every\s|any\s|\w+ing\s)?$"
)


class Anchor(NamedTuple):
    """Device words or a mark, or both beside each other."""

    start: int
    end: int
    device: str | None
    mark: str | None


class Segment(NamedTuple):
    """Anchors that share what is said in start..end."""

    start: int
    end: int
    anchors: tuple[Anchor, ...]
    follows: bool = False  # the statement goes on from an earlier one: its anchors stand there


def anchors_of(read: Read, start: int, end: int, devices: dict[str, str | None]) -> list[Anchor]:
    """Device words and marks of start..end; a mark beside its device is one anchor. `devices` maps known keys to devices."""
    raw = [Anchor(f.start, f.end, f.name, None) for f in read.terms(start, end, "device")]
    raw += [Anchor(m.start, m.end, None, m.text) for m in read.marks if m.start >= start and m.end <= end]
    out: list[Anchor] = []
    for anchor in sorted(raw):
        last = out[-1] if out else None
        if last and _belong(read.low, last, anchor):
            mark_first = last.mark is not None
            out[-1] = Anchor(last.start, anchor.end, last.device or anchor.device, last.mark if mark_first else anchor.mark)
            continue
        if last and _named_later(read.low, last, anchor, devices):
            out[-1] = Anchor(last.start, anchor.end, last.device, anchor.mark)
            continue
        out.append(anchor)
    out = [
        a
        if a.device or not a.mark
        else a._replace(device=_said_beside(read.low, a.start, a.end) or devices.get(key_of(a.mark)) or device_by_letters(a.mark))
        for a in out
    ]
    return _without_parts(read, out)


def _said_beside(low: str, start: int, end: int) -> str | None:
    """Short names that only a mark makes plain: "PC-2 caps", "PB-1 bases"."""
    match = re.match(r"\"?\s(?:\w+\s)?(cap|base|shoe)s?\b", low[end:]) or re.search(r"\b(cap|base|shoe)s?,?:?\s\"?$", low[:start])
    return None if match is None else "post cap" if match[1] == "cap" else "post base"


def _named_later(low: str, last: Anchor, anchor: Anchor, devices: dict[str, str | None]) -> bool:
    """The mark of the device named before, set off by a comma: "straps from studs above to beam below, ST-3"."""
    if last.mark or not last.device or not anchor.mark or devices.get(key_of(anchor.mark)) not in (last.device, None):
        return False
    gap = low[last.end : anchor.start]
    return (
        len(gap) < 90
        and gap.rstrip().endswith((",", "with", "use", "w/", ":", "-"))
        and not re.search(r"[;.]\s|\band\b[^,]*$", gap)
        and last.device != "anchor bolt"
    )


_SIZED = re.compile(r"\s?[=:]\s?(?:\d[\d./-]*|\"|x|by|ga\b\.?|gauge|in\b\.?|galv\w*\.?|steel|wide|long|an?\b|[\s,.-]){1,30}")
"""Sizes between a mark and the name of its piece: "CL-1 = 18 ga. x 1-1/4 x 12 clip"."""


def _belong(low: str, last: Anchor, anchor: Anchor) -> bool:
    """Whether a mark and a device stand beside each other as one ("CS-7 coil strap", "hold-down (HD-3)")."""
    if (last.mark is None) == (anchor.mark is None) or (last.device and last.mark):
        return False
    gap = low[last.end : anchor.start]
    if last.mark and not last.device and _SIZED.fullmatch(gap):
        return True
    if last.mark and not last.device:
        return (
            len(gap) < 26
            and bool(_TIGHT.match(gap))
            and not re.search(r"\b(?:at|to|each|and|or|on|with)\b", gap)
            and (anchor.device != "blocking")
        )
    return (
        bool(re.match(r"^[\s\"'(,:.=]*(?:(?:are|is|shall be|to be|type|mark|no\.?|style|marked|use|provide|model|part)\s)?$", gap))
        and len(gap) < 14
        and not low[: last.end].endswith(("rod", "bolt", "bolts"))
    )


def _without_parts(read: Read, anchors: list[Anchor]) -> list[Anchor]:
    """Drops rods and bolts that belong to a hold-down or base named before, repeats, and mere mentions after the first."""
    out: list[Anchor] = []
    for anchor in anchors:
        if anchor.mark is None and _ABOUT.match(read.low[anchor.end :]):
            continue
        if not out and anchor.mark is None and _FOR.search(read.low[: anchor.start]):
            continue
        if out and anchor.mark and re.search(r"\b(?:from|to|below|above|of|for|into|than)\s(?:the\s|each\s)?$", read.low[: anchor.start]):
            continue
        if out and anchor.mark is None:
            owner = out[-1]
            if anchor.device in _PART_OF and owner.device in _OWNERS and anchor.device != owner.device:
                continue
            if anchor.device == owner.device or (anchor.device in GENERAL and owner.device not in GENERAL):
                continue
            if owner.mark and anchor.device in ("strap", "angle", "tie", "clip") and owner.device is not None:
                continue
            if _MENTION.search(read.low[: anchor.start]) and anchor.device not in ("blocking",):
                continue
        out.append(anchor)
    return out


def segments_of(read: Read, start: int, end: int, anchors: list[Anchor]) -> list[Segment]:
    """The stretches of start..end that each anchor (or group of anchors joined by "and") governs."""
    groups: list[list[Anchor]] = []
    for anchor in anchors:
        if groups and _JOINED.match(read.low[groups[-1][-1].end : anchor.start]):
            groups[-1].append(anchor)
        else:
            groups.append([anchor])
    out: list[Segment] = []
    at = start
    for i, group in enumerate(groups):
        stop = end if i + 1 == len(groups) else _break(read.low, group[-1].end, groups[i + 1][0].start)
        out.append(Segment(at, stop, tuple(group)))
        at = stop
    return [_trimmed(read.low, s) for s in out]


def _break(low: str, end: int, start: int) -> int:
    """Where between two anchors the second one's words begin: after the last break word, else at the anchor itself."""
    breaks = [match.end() for match in _BREAK.finditer(low, end, start)]
    return breaks[-1] if breaks else start


def _trimmed(low: str, segment: Segment) -> Segment:
    start, end = segment.start, segment.end
    while start < segment.anchors[0].start and low[start] in " ,;":
        start += 1
    while end > segment.anchors[-1].end and re.search(r"(?:[\s,;:]|\band|\bor|\bwith)$", low[start:end]):
        end -= len(re.search(r"(?:[\s,;:]|\band|\bor|\bwith)$", low[start:end]).group())  # type: ignore[union-attr]
    return segment._replace(start=start, end=end)
