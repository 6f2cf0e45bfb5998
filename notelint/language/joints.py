"""Which joint of the load path words speak of: from the members they join, the device, and where it stands."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from notelint.language.pipeline import Found
from notelint.model import Device, Joint

ROOF = frozenset({"truss", "rafter", "roof joist"})
STUDS = frozenset({"stud", "king stud", "jack stud", "cripple", "upper stud", "lower stud"})
CONCRETE = frozenset({"foundation", "footing", "slab", "stem wall", "pier", "masonry wall"})
PLATES = frozenset({"top plate", "plate"})
_FLOOR = frozenset({"rim", "joist", "floor sheathing", "blocking"})

_LINK_WORDS = frozenset({
    "(e)", "(n)", "a", "above", "across", "adjacent", "against", "aligned", "all", "an", "and", "around", "at", "bearing", "bears",
    "below", "beneath", "both", "connection", "continuous", "corresponding", "dbl", "directly", "double", "down", "e", "each",
    "end", "ends", "every", "existing", "face", "faces", "first", "floor", "from", "in", "into", "it", "its", "joint", "lapping",
    "line", "lower", "lowest", "meets", "n", "nd", "nearest", "new", "of", "on", "one", "onto", "or", "over", "p.t.", "pass",
    "passing", "past", "pt", "rd", "reaches", "reaching", "rests", "second", "side", "sides", "sits", "spanning", "st", "storey",
    "story", "supporting", "that", "the", "their", "then", "third", "through", "to", "top", "treated", "two", "under", "up", "upon",
    "upper", "with", "wood", "wrapping", "outer", "inner", "outside", "inside", "is", "are", "nailed", "fastened", "fixed", "screwed",
})  # fmt: skip
_GAP_WORD = re.compile(r"[a-z(][a-z.]*\)?|\d+(?:-\d+)?x\d+|\d[a-z]*")


def _links(gap: str) -> bool:
    """Whether words between two members only string them together."""
    if len(gap) > 56 or ";" in gap or "|" in gap:
        return False
    words = _GAP_WORD.findall(gap)
    return len(words) <= 9 and all(
        w in _LINK_WORDS or w.rstrip(".)").lstrip("(") in _LINK_WORDS or re.fullmatch(r"\d+(?:-\d+)?x\d+|2x", w) for w in words
    )


_TO = re.compile(r"\bto\b|\binto\b|\bonto\b|\bto/|/|-to-|(?<=\w)-(?=\w)|\bpast\b|\bacross\b|\bwrapping\b|\bdown\b|\bwith\b|\bon\b")
_AND = re.compile(r"\band\b|,|&")
_DEFAULT: dict[str, Joint] = {
    "anchor bolt": "sill-to-foundation", "sill strap": "sill-to-foundation", "embedded strap": "stud-to-sill", "hold-down": "stud-to-sill",
    "roof tie": "roof-to-wall", "header tie": "header-to-stud", "post base": "post-foot", "post cap": "post-head", "hanger": "other",
}  # fmt: skip


class Said(NamedTuple):
    """What words say that bears on the joint: members, device (vocabulary name), the plain words, agreed names of places."""

    names: frozenset[str]
    device: str | None
    low: str
    places: frozenset[str]


_UNDER_A = re.compile(
    r"\s(?:that (?:is|stands) )?(?:under|below|beneath|supporting|carrying)\s(?:(?:a|an|any|each|every|ea\.?|the|all)\s)?(?:roof\s)?"
)
"""Between a stud and a truss: says where the stud stands, and joins nothing."""


def chains(low: str, members: Sequence[Found]) -> list[list[Found]]:
    """Members that words like "to", "past" and "and" string together; a new string starts where "and" opens a second "x to y"."""
    out: list[list[Found]] = []
    linked_to = False
    for i, member in enumerate(members):
        gap = low[members[i - 1].end : member.start] if i else ""
        stands_under = member.name in ROOF and i and members[i - 1].name in STUDS and _UNDER_A.fullmatch(gap)
        if not i or not _links(gap) or stands_under:
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
    said = Said(names, device, low, places)
    for rule in (_roof, _header, _post, _floor, _sill, _stud, _plates):
        joint = rule(said)
        if joint:
            return joint
    others = names - {"existing", "new", "wall"}
    if (
        "existing" in names
        and (device not in ("nailing", "sheathing") or "new" in names or _new_on_old(names, device, low))
        and (("new" in names and others) or len(others) >= 2 or re.search(r"\b(?:to|into|against)\s(?:the\s)?(?:existing|\(e\))", low))
    ):
        return "new-to-existing"
    return _rod(said)


_NEW_TO_OLD = re.compile(
    r"\bnew\s(?!sheath|panel|plywood|osb|siding|gyp|drywall|roofing|insul|flash)[^.;]{0,40}\b(?:to|into|against|onto)\s(?:the\s)?(?:existing|\(e\))"
)


def _new_on_old(names: frozenset[str], device: str | None, low: str) -> bool:
    """New framing fixed to existing in words: a ledger, or a "new" member, "to" or "into" the existing one."""
    return "existing" in names and device != "sheathing" and ("ledger" in names or bool(_NEW_TO_OLD.search(low)))


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


def _roof(said: Said) -> Joint | None:
    if {"ledger", "existing"} <= said.names:
        return None
    if said.device == "stud tie" and not re.search(r"(?:truss|rafter|joist)e?s? (?:and \w+ )?to\b", said.low):
        return None
    if not said.names & ROOF or said.device in ("header tie", "post base", "post cap", "anchor bolt", "hanger", "sill strap", "hold-down"):
        return None
    if said.device in ("strap", "tie", "clip", "anchor", "connector") and not said.names - ROOF - {"wall"}:
        return "roof-to-wall"
    if "ridge" in said.names and not said.names & (PLATES | STUDS | {"wall"}):
        return "ridge"
    if said.names & (PLATES | STUDS | {"wall", "header", "beam", "ledger", "masonry wall", "post"}) or said.device in (
        "roof tie",
        "tie",
        "clip",
        "connector",
    ):
        return "roof-to-wall"
    return None


def _header(said: Said) -> Joint | None:
    if "header" in said.names and said.names & (STUDS | PLATES | {"post"}) and said.device not in ("hold-down", "hanger"):
        return "header-to-stud"
    if "beam" in said.names and said.names & {"king stud", "jack stud"} and said.device in ("tie", "strap", "clip", "connector", "nailing"):
        return "header-to-stud"  # a beam on jacks beside kings stands over an opening
    if (
        "header" in said.names
        and said.device in ("tie", "strap", "clip", "connector")
        and re.search(r"header ends?|ends? of (?:\w+ ){0,2}header|end of (?:\w+ ){0,2}hdr|hdr\.? ends?", said.low)
    ):
        return "header-to-stud"
    if said.device == "header tie" or ("cripple" in said.names and said.names & {"header", "top plate", "plate"}):
        return "header-to-stud"
    return None


def _post(said: Said) -> Joint | None:
    if said.device == "post base":
        return "post-foot"
    if said.device == "post cap":
        return "post-head"
    if "post" not in said.names or said.device in ("hold-down", "hanger", "anchor bolt", "roof tie", "header tie", "stud tie"):
        return None
    if said.names & {"beam", "header"} or "head" in said.places:
        return "post-head"
    if said.names & CONCRETE or "foot" in said.places or re.search(r"\b(?:foot|base|bottom) of\b", said.low):
        return "post-foot"
    return None


_STOREY_PAIR = re.compile(
    r"\b(?:second|2nd|third|3rd|upper)[ -](?:floor|story|storey|level) (?:wall|stud|post)s?\b[^.;]{0,40}\bto\b[^.;]{0,20}\b(?:first"
    r"|1st|second|2nd|lower)[ -](?:floor|story|storey|level) (?:wall|stud|post)s?\b"
)


_GIRDER = re.compile(r"\bto (?:the |each )?(?:\(\d\)\s?2x\d+ )?(?:p\.?t\.? )?(?:girder|pile cap|pile beam)s?\b")


_ABOVE_TO_BELOW = re.compile(
    r"\b(?:wall|stud|framing|post|plate)s? above\b[^.;]{0,24}\bto\b[^.;]{0,24}\b(?:wall|stud|framing|post"
    r"|plate)s? (?:below|beneath)\b"
)


def _floor(said: Said) -> Joint | None:
    if said.device in ("anchor bolt", "sill strap", "hanger", "roof tie", "post base", "post cap"):
        return None
    to_ground = bool(said.names & (CONCRETE | {"sill plate"}))
    if said.names & STUDS and _GIRDER.search(said.low) and said.device in ("strap", "tie", "clip", "connector", "stud tie"):
        return "stud-to-sill"  # in a house on piles or piers the girder is what the lowest studs stand on
    if _STOREY_PAIR.search(said.low):
        return "floor-to-floor"
    if said.device == "strap" and _ABOVE_TO_BELOW.search(said.low) and not to_ground:
        return "floor-to-floor"
    if {"upper stud", "lower stud"} <= said.names or (
        "upper stud" in said.names and said.device in ("strap", "hold-down", "rod", "tie", None) and not to_ground
    ):
        return "floor-to-floor"
    if "floor line" in said.places and not (to_ground and not re.search(r"(?:second|2nd|third|3rd|upper) floor", said.low)):
        return "floor-to-floor" if said.device not in ("stud tie",) or said.names & STUDS else None
    if "sole plate" in said.names and said.names & _FLOOR:
        return "floor-to-floor"
    if "rim" in said.names and said.names & PLATES and said.device in ("nailing", "sheathing", "strap"):
        return "floor-to-floor"
    if said.device == "strap" and said.names and said.names <= {"rim", "joist"} and re.search(r"\b(?:center|centre)", said.low):
        return "floor-to-floor"  # a strap centred on the rim goes as far up as down
    return None


def _sill(said: Said) -> Joint | None:
    if said.device == "anchor" and "sill plate" in said.names and not said.names & STUDS:
        return "sill-to-foundation"
    if said.device == "sill strap" and said.names & STUDS and "sill plate" in said.names and not said.names & CONCRETE:
        return "stud-to-sill"
    if (
        said.device == "anchor bolt"
        and "post" in said.names
        and not said.names & {"sill plate", "plate", "sole plate", "wall", "stem wall"}
    ):
        return "post-foot"  # the anchors of a column's foot plate
    if said.device in ("anchor bolt", "sill strap"):
        return "new-to-existing" if _to_existing(said.low) else "sill-to-foundation"
    if said.device == "hold-down" or (said.names & STUDS and said.names & (CONCRETE | {"sill plate", "sole plate"})):
        return "stud-to-sill"
    if "sill plate" in said.names and said.names & CONCRETE:
        return "sill-to-foundation"
    return None


def _to_existing(low: str) -> bool:
    return bool(re.search(r"(?:to|into|against|in) (?:the )?(?:existing|\(e\)) (?:foundation|concrete|footing|slab|stem)", low))


_UNDER_PLATE = re.compile(r"\b(?:under|beneath|round|around) (?:the )?(?:bottom |sole )?plate\b[^.;]{0,16}\bup\b")
"""A tie that passes under a plate and up the stud stands at the stud's foot."""


def _stud(said: Said) -> Joint | None:
    if (
        "existing" in said.names
        and len(said.names - {"existing", "new", "wall"}) > 1 - ("new" in said.names)
        and ("new" in said.names or re.search(r"to (?:the )?(?:existing|\(e\))", said.low))
        and (said.device not in ("stud tie", "sheathing", "nailing") or (said.device == "nailing" and "new" in said.names))
    ):
        return "new-to-existing"
    at_foot = said.names & {"sill plate", "sole plate"} or "foot" in said.places or _UNDER_PLATE.search(said.low)
    strapped = said.device in ("stud tie", "strap", "tie", "connector", "clip") and "stud" in said.names and "plate" in said.names
    if (said.device == "stud tie" or (strapped and "head" not in said.places)) and at_foot and "top plate" not in said.names:
        return "stud-to-sill"
    if said.names & STUDS and said.names & PLATES:
        return "plate-to-stud"
    if said.device == "plate tie" and "stud" in said.names and not re.search(r"\bcut\b|\bhole|splice|\blap", said.low):
        return "plate-to-stud"
    return None


def _plates(said: Said) -> Joint | None:
    if _new_on_old(*said[:3]):
        return None
    if "existing" in said.names and ("new" in said.names or re.search(r"to (?:the )?existing", said.low)):
        return None
    if said.names & PLATES and re.search(
        r"splice|\blaps?\b|lapped|plates? to (?:\w+ )?plates?|upper (?:\w+ )?plate to lower|joints? in (?:the )?(?:\w+ )?plates?"
        r"|plate (?:joints?|breaks?)",
        said.low,
    ):
        return "plate-splice"
    if "ridge" in said.names and (said.names & ROOF or said.device in ("strap", "tie", "clip", "angle")):
        return "ridge"
    if said.device in ("blocking", "nailing", "hanger", "angle") and len(said.names) >= 2:
        return "other"
    return None


def _rod(said: Said) -> Joint | None:
    """A rod run crosses the floors; at the lowest storey it holds the wall down, in concrete it is its anchor."""
    if said.device != "rod":
        return None
    if said.names & CONCRETE and (said.names & PLATES or said.places & {"third storey", "second storey", "upper storey", "all storeys"}):
        return "floor-to-floor"
    if said.places & {"third storey", "second storey", "upper storey"}:
        return "floor-to-floor"
    if said.names & CONCRETE:
        return "sill-to-foundation"
    return "stud-to-sill" if said.places & {"first storey"} else None


def default_joint(device: str | None) -> Joint | None:
    """The joint a device is made for, where no words say otherwise."""
    return _DEFAULT.get(device or "")


def settled_device(device: str | None, joint: Joint | None) -> Device | None:
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
