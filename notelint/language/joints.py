"""Which joint of the load path words speak of: from the members they join, the device, and where it stands."""

from __future__ import annotations

import re
from collections.abc import Sequence

from notelint.language.pipeline import Found
from notelint.model import Device, Joint

ROOF = frozenset({"truss", "rafter", "roof joist"})
STUDS = frozenset({"stud", "king stud", "jack stud", "cripple", "upper stud", "lower stud"})
CONCRETE = frozenset({"foundation", "footing", "slab", "stem wall", "pier", "masonry wall"})
PLATES = frozenset({"top plate", "plate"})
_FLOOR = frozenset({"rim", "joist", "floor sheathing", "blocking"})

_LINK_WORDS = frozenset(
    "and or to from past passing pass across over into onto on in of through with under below above at against upon down the "
    "each every both "
    "all a an its their nearest adjacent double dbl wrapping lapping around spanning reaching reaches then continuous first "
    "second third one "
    "two upper lower lowest end ends face faces side sides top pt p.t. treated wood up that it line (e) (n) e n existing new "
    "connection joint "
    "supporting bearing meets bears rests sits st nd rd story storey floor beneath directly corresponding aligned".split()
)
_GAP_WORD = re.compile(r"[a-z(][a-z.]*\)?|\d+(?:-\d+)?x\d+|\d[a-z]*")


def _links(gap: str) -> bool:
    """Whether words between two members only string them together."""
    if len(gap) > 48 or ";" in gap or "|" in gap:
        return False
    words = _GAP_WORD.findall(gap)
    return len(words) <= 7 and all(
        w in _LINK_WORDS or w.rstrip(".)").lstrip("(") in _LINK_WORDS or re.fullmatch(r"\d+(?:-\d+)?x\d+|2x", w) for w in words
    )


_TO = re.compile(r"\bto\b|\binto\b|\bonto\b|\bto/|/|-to-|(?<=\w)-(?=\w)|\bpast\b|\bacross\b|\bwrapping\b|\bdown\b|\bwith\b|\bon\b")
_AND = re.compile(r"\band\b|,|&")
_DEFAULT: dict[str, Joint] = {
    "anchor bolt": "sill-to-foundation", "sill strap": "sill-to-foundation", "embedded strap": "stud-to-sill", "hold-down": "stud-to-sill",
    "roof tie": "roof-to-wall", "header tie": "header-to-stud", "post base": "post-foot", "post cap": "post-head", "hanger": "other",
}  # fmt: skip


def chains(low: str, members: Sequence[Found]) -> list[list[Found]]:
    """Members that words like "to", "past" and "and" string together; a new string starts where "and" opens a second "x to y"."""
    out: list[list[Found]] = []
    linked_to = False
    for i, member in enumerate(members):
        gap = low[members[i - 1].end : member.start] if i else ""
        if not i or not _links(gap):
            out.append([member])
            linked_to = False
            continue
        goes_to = bool(_TO.search(gap))
        ahead = low[member.end : members[i + 1].start] if i + 1 < len(members) else ""
        opens = _AND.search(gap) and not goes_to and linked_to and re.search(r"\bto\b", ahead) and _links(ahead)
        if opens:
            out.append([member])
            linked_to = False
            continue
        out[-1].append(member)
        linked_to = linked_to or goes_to
    return out


def joint_of(names: frozenset[str], device: str | None, low: str, places: frozenset[str], states: frozenset[str]) -> Joint | None:
    """The joint that `names` (agreed member names) make; None where they make none.

    `low` is the plain text of the statement, `places` and `states` the agreed names of such terms in it.
    """
    if _is_cut(names, device, low, states):
        return "cut-plate"
    for rule in (_roof, _header, _post, _floor, _sill, _stud, _plates):
        joint = rule(names, device, low, places)
        if joint:
            return joint
    others = names - {"existing", "new", "wall"}
    if (
        "existing" in names
        and (device not in ("nailing", "sheathing") or "new" in names)
        and (("new" in names and others) or len(others) >= 2 or re.search(r"\b(?:to|into|against)\s(?:the\s)?(?:existing|\(e\))", low))
    ):
        return "new-to-existing"
    return _rod(names, device, low, places)


_OVER_CUT = re.compile(
    r"\b(?:over|across|at|each side of|ea\.? side of|past|beyond|both sides of)\s(?:the\s|each\s|any\s|every\s|pipe\s"
    r"|plate\s)*(?:cuts?|hole|notch|opening in (?:the )?plate|bored)\b|\bcut (?:top )?plates?\b"
)


def _is_cut(names: frozenset[str], device: str | None, low: str, states: frozenset[str]) -> bool:
    if (
        device in ("plate tie", "strap", "tie", "blocking", "connector")
        and _OVER_CUT.search(low)
        and not names & (ROOF | {"header", "joist"})
    ):
        return True
    if not (states & {"cut", "pipe"}) and "each side of cut" not in low:
        return False
    return (bool(names & PLATES) and ("cut" in states or device in ("plate tie", "strap", "blocking"))) or (device == "plate tie")


def _roof(names: frozenset[str], device: str | None, low: str, places: frozenset[str]) -> Joint | None:
    if device == "stud tie" and not re.search(r"(?:truss|rafter|joist)e?s? (?:and \w+ )?to\b", low):
        return None
    if not names & ROOF or device in ("header tie", "post base", "post cap", "anchor bolt", "hanger", "sill strap", "hold-down"):
        return None
    if "ridge" in names and not names & (PLATES | STUDS | {"wall"}):
        return "ridge"
    if names & (PLATES | STUDS | {"wall", "header", "beam", "ledger", "masonry wall", "post"}) or device in (
        "roof tie",
        "tie",
        "clip",
        "connector",
    ):
        return "roof-to-wall"
    return None


def _header(names: frozenset[str], device: str | None, low: str, places: frozenset[str]) -> Joint | None:
    if "header" in names and names & (STUDS | PLATES | {"post"}) and device not in ("hold-down", "hanger"):
        return "header-to-stud"
    if (
        "header" in names
        and device in ("tie", "strap", "clip", "connector")
        and re.search(r"header ends?|ends? of (?:\w+ ){0,2}header|end of (?:\w+ ){0,2}hdr|hdr\.? ends?", low)
    ):
        return "header-to-stud"
    if device == "header tie" or ("cripple" in names and names & {"header", "top plate", "plate"}):
        return "header-to-stud"
    return None


def _post(names: frozenset[str], device: str | None, low: str, places: frozenset[str]) -> Joint | None:
    if device == "post base":
        return "post-foot"
    if device == "post cap":
        return "post-head"
    if "post" not in names or device in ("hold-down", "hanger", "anchor bolt"):
        return None
    if names & {"beam", "header"} or "head" in places:
        return "post-head"
    if names & CONCRETE or "foot" in places or re.search(r"\b(?:foot|base|bottom) of\b", low):
        return "post-foot"
    return None


_STOREY_PAIR = re.compile(
    r"\b(?:second|2nd|third|3rd|upper) (?:floor|story|storey|level) (?:wall|stud|post)s?\b[^.;]{0,40}\bto\b[^.;]{0,20}\b(?:first"
    r"|1st|second|2nd|lower) (?:floor|story|storey|level) (?:wall|stud|post)s?\b"
)


def _floor(names: frozenset[str], device: str | None, low: str, places: frozenset[str]) -> Joint | None:
    if device in ("anchor bolt", "sill strap", "hanger", "roof tie", "post base", "post cap"):
        return None
    to_ground = bool(names & (CONCRETE | {"sill plate"}))
    if _STOREY_PAIR.search(low):
        return "floor-to-floor"
    if {"upper stud", "lower stud"} <= names or (
        "upper stud" in names and device in ("strap", "hold-down", "rod", "tie", None) and not to_ground
    ):
        return "floor-to-floor"
    if "floor line" in places and not (to_ground and not re.search(r"(?:second|2nd|third|3rd|upper) floor", low)):
        return "floor-to-floor" if device not in ("stud tie",) or names & STUDS else None
    if "sole plate" in names and names & _FLOOR:
        return "floor-to-floor"
    if "rim" in names and names & PLATES and device in ("nailing", "sheathing", "strap"):
        return "floor-to-floor"
    return None


def _sill(names: frozenset[str], device: str | None, low: str, places: frozenset[str]) -> Joint | None:
    if device in ("anchor bolt", "sill strap"):
        return "new-to-existing" if _to_existing(low) else "sill-to-foundation"
    if names & STUDS and names & (CONCRETE | {"sill plate", "sole plate"}):
        return "stud-to-sill"
    if "sill plate" in names and names & CONCRETE:
        return "sill-to-foundation"
    if device == "hold-down":
        return "stud-to-sill"
    return None


def _to_existing(low: str) -> bool:
    return bool(re.search(r"(?:to|into|against|in) (?:the )?(?:existing|\(e\)) (?:foundation|concrete|footing|slab|stem)", low))


def _stud(names: frozenset[str], device: str | None, low: str, places: frozenset[str]) -> Joint | None:
    if (
        "existing" in names
        and len(names - {"existing", "new", "wall"}) > 1 - ("new" in names)
        and ("new" in names or re.search(r"to (?:the )?(?:existing|\(e\))", low))
        and (device not in ("stud tie", "sheathing", "nailing") or (device == "nailing" and "new" in names))
    ):
        return "new-to-existing"
    if device == "stud tie" and (names & {"sill plate", "sole plate"} | (places & {"foot"})) and not names & {"top plate"}:
        return "stud-to-sill"
    if names & STUDS and names & PLATES:
        return "plate-to-stud"
    if device == "plate tie" and "stud" in names and not re.search(r"\bcut\b|\bhole|splice|\blap", low):
        return "plate-to-stud"
    return None


def _plates(names: frozenset[str], device: str | None, low: str, places: frozenset[str]) -> Joint | None:
    if names & PLATES and re.search(
        r"splice|\blaps?\b|lapped|plates? to (?:\w+ )?plates?|upper (?:\w+ )?plate to lower|joints? in (?:the )?(?:\w+ )?plates?"
        r"|plate (?:joints?|breaks?)",
        low,
    ):
        return "plate-splice"
    if "ridge" in names and (names & ROOF or device in ("strap", "tie", "clip", "angle")):
        return "ridge"
    if device in ("blocking", "nailing", "hanger", "angle") and len(names) >= 2:
        return "other"
    return None


def _rod(names: frozenset[str], device: str | None, low: str, places: frozenset[str]) -> Joint | None:
    """A rod run crosses the floors; at the lowest storey it holds the wall down, in concrete it is its anchor."""
    if device != "rod":
        return None
    if names & CONCRETE and (names & PLATES or places & {"third storey", "second storey", "upper storey", "all storeys"}):
        return "floor-to-floor"
    if places & {"third storey", "second storey", "upper storey"}:
        return "floor-to-floor"
    if names & CONCRETE:
        return "sill-to-foundation"
    return "stud-to-sill" if places & {"first storey"} else None


def default_joint(device: str | None) -> Joint | None:
    """The joint a device is made for, where no words say otherwise."""
    return _DEFAULT.get(device or "")


def settled_device(device: str | None, joint: Joint | None, names: frozenset[str]) -> Device | None:
    """The device's agreed name once the joint is known: a strap at a header is a header tie, a clip at a rafter a roof tie."""
    if device in ("clip", "tie", "anchor", "connector", "strap"):
        by_joint: dict[str, Device] = {
            "header-to-stud": "header tie",
            "cut-plate": "plate tie",
            "roof-to-wall": "roof tie",
            "plate-splice": "plate tie",
        }
        if device != "strap":
            by_joint |= {"plate-to-stud": "stud tie", "stud-to-sill": "stud tie", "floor-to-floor": "strap"}
            if device == "anchor":
                by_joint["sill-to-foundation"] = "anchor bolt"
            if device in ("connector", "anchor", "tie"):
                by_joint |= {"post-foot": "post base", "post-head": "post cap"}
        elif joint == "sill-to-foundation":
            return "sill strap"
        settled = by_joint.get(joint or "")
        if settled:
            return settled
        return "strap" if device == "strap" else "angle" if device == "clip" else None
    if device == "plate tie" and joint in ("plate-to-stud", "stud-to-sill"):
        return "stud tie"
    if device == "embedded strap" and joint == "sill-to-foundation":
        return "sill strap"
    return device  # type: ignore[return-value]
