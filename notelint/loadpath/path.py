"""The chain from roof to footing: members are nodes, what ties two of them is an edge, the widest path gives the weakest link."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

import networkx as nx

from notelint.loadpath.building import BOUND_IN, low_wind
from notelint.loadpath.capacity import nail_capacity, species_gravity
from notelint.loadpath.foreign import foreign_notes
from notelint.loadpath.ties import PLATES, floor_lines, nailed, of_house, reaches_stud, tying
from notelint.model import Building, Joint, JointState, JointStateName, Layout, LoadPath, Reading, Requirement, Where

Node = tuple[str, int]
Detail = tuple[int, str]  # page and number
ROOF_NODE: Node = ("roof", 0)
FOOT_NODE: Node = ("foundation", 0)
SILL_NODE: Node = ("sill", 0)
UNKNOWN_LB = 1e9  # a tie without a stated capacity does not narrow the path


def trace(layout: Layout, reading: Reading, building: Building) -> LoadPath:
    """The state of every joint of the building's chain, highest first, and its weakest link where capacities are stated."""
    copied = {i for ids in foreign_notes(layout, reading, building).values() for i in ids}
    known = {p.id for p in layout.passages if p.source not in BOUND_IN and p.id not in copied}
    storeys = building.storeys or 1
    graph = chain(reading, known, storeys)
    easy = low_wind(building, reading)
    code_nailing = any(f.name == "code-nailing" and f.passage in known for f in reading.facts)
    details: dict[str, Detail] = {p.id: (p.page, p.detail) for p in layout.passages if p.detail and p.id in known}
    joints = [
        _state(joint, storey, reading, known, details, graph, storeys, easy, code_nailing)
        for joint, storey in joints_of(storeys, reading, known)
    ]  # fmt: skip
    species = species_gravity(p for p in layout.passages if p.id in known)
    return LoadPath(joints=tuple(_by_nails(j, reading, species) for j in joints), weakest=_weakest(graph))


def _by_nails(state: JointState, reading: Reading, species: tuple[str, float] | None) -> JointState:
    """The joint with a capacity computed from its nails, where none is stated; of several marks the one with the most."""
    if state.capacity_lb is not None or not state.requirements:
        return state
    ids = set(state.requirements)
    marks = {_key(r.mark) for r in reading.requirements if r.id in ids and r.mark}
    groups = [[r for r in reading.requirements if r.mark and _key(r.mark) == mark] for mark in sorted(marks)]
    groups += [[r] for r in reading.requirements if r.id in ids and not r.mark]
    found = [c for group in groups if (c := nail_capacity(group, species))]
    if not found:
        return state
    best = max(found, key=lambda c: c.value_lb)
    return state.model_copy(update={"computed_lb": best.value_lb, "arithmetic": best.lines})


def joints_of(storeys: int, reading: Reading, known: Iterable[str]) -> list[tuple[Joint, int]]:
    """The joints a house of so many storeys has, highest first. Post joints only where posts are called out."""
    found: list[tuple[Joint, int]] = [("roof-to-wall", storeys), ("plate-to-stud", storeys), ("header-to-stud", storeys)]
    found += [("floor-to-floor", s) for s in range(storeys - 1, 0, -1)]
    found += [("stud-to-sill", 1), ("sill-to-foundation", 1)]
    ids = set(known)
    if any(r.joint in {"post-head", "post-foot"} and r.passage in ids for r in reading.requirements):
        found += [("post-head", 1), ("post-foot", 1)]
    return found


def chain(reading: Reading, known: Iterable[str], storeys: int) -> nx.Graph:
    """Members as nodes, ties as edges with `capacity` (lb, UNKNOWN_LB where not stated) and `ids` of requirements."""
    graph = nx.Graph()
    graph.add_nodes_from([ROOF_NODE, SILL_NODE, FOOT_NODE])
    graph.add_nodes_from(("plate", s) for s in range(1, storeys + 1))
    graph.add_nodes_from(("stud", s) for s in range(1, storeys + 1))
    ids = set(known)
    limits = _line_limits(reading, ids)
    for joint in ("roof-to-wall", "plate-to-stud", "header-to-stud", "floor-to-floor", "stud-to-sill", "sill-to-foundation"):
        for r in tying(reading, joint, ids):
            for a, b in _ends(r, storeys, limits):
                _tie(graph, a, b, r)
    for r in reading.requirements:
        if r.passage in ids and r.stance == "duty" and r.device == "rod" and of_house(r) and {"foundation", "top plate"} <= set(r.joins):
            for s in range(1, storeys + 1):
                _tie(graph, ("stud", s), ("stud", s - 1) if s > 1 else FOOT_NODE, r)
    return graph


def _ends(r: Requirement, storeys: int, limits: dict[str, set[int]]) -> list[tuple[Node, Node]]:
    top = storeys
    if r.joint == "roof-to-wall":
        ends: list[tuple[Node, Node]] = []
        if reaches_stud(r):
            ends.append((ROOF_NODE, ("stud", top)))
        if set(r.joins) & PLATES or not reaches_stud(r):
            ends.append((ROOF_NODE, ("plate", top)))
        return ends
    if r.joint in {"plate-to-stud", "header-to-stud"}:
        node = "plate" if r.joint == "plate-to-stud" else "header"
        return [((node, s), ("stud", s)) for s in range(1, storeys + 1) if not r.storeys or s in r.storeys]
    if r.joint == "floor-to-floor":
        return [(("stud", s + 1), ("stud", s)) for s in range(1, storeys) if covers_line(r, s, limits)]
    if r.joint == "stud-to-sill":
        return [(("stud", 1), FOOT_NODE if {"foundation", "slab", "footing", "stem wall"} & set(r.joins) else SILL_NODE)]
    return [(SILL_NODE, FOOT_NODE)]


def _line_limits(reading: Reading, ids: set[str]) -> dict[str, set[int]]:
    """Floor lines that all words about a mark limit it to; a mark no words limit is not in the result."""
    limits: dict[str, set[int]] = {}
    for r in reading.requirements:
        if r.mark and r.joint == "floor-to-floor" and r.passage in ids and (lines := floor_lines(r)):
            limits.setdefault(_key(r.mark), set()).update(lines)
    return limits


def covers_line(r: Requirement, lower: int, limits: dict[str, set[int]] | None = None) -> bool:
    """Whether a floor-to-floor tie covers the line above storey `lower`: its own words say which, else those about its mark."""
    lines: set[int] | tuple[int, ...] = floor_lines(r) or (limits or {}).get(_key(r.mark or ""), ())
    return not lines or (lower + 1) in lines


def _tie(graph: nx.Graph, a: Node, b: Node, r: Requirement) -> None:
    capacity = r.capacity_lb or UNKNOWN_LB
    if graph.has_edge(a, b):
        edge = graph.edges[a, b]
        edge["capacity"] = max(edge["capacity"], capacity) if edge["capacity"] < UNKNOWN_LB and r.capacity_lb else edge["capacity"]
        edge["ids"].append(r.id)
    else:
        graph.add_edge(a, b, capacity=capacity, ids=[r.id])


def _crossed(joint: Joint, storey: int, graph: nx.Graph, storeys: int) -> list[str]:
    """Requirement ids of the edges that cross the joint; empty where no path does."""
    ids: list[str] = []

    def edge(a: Node, b: Node) -> None:
        if graph.has_edge(a, b):
            ids.extend(graph.edges[a, b]["ids"])

    if joint == "roof-to-wall":
        edge(ROOF_NODE, ("plate", storeys))
        edge(ROOF_NODE, ("stud", storeys))
    elif joint == "plate-to-stud":
        edge(("plate", storey), ("stud", storey))
        edge(ROOF_NODE, ("stud", storey))
    elif joint == "header-to-stud":
        for s in range(1, storeys + 1):
            edge(("header", s), ("stud", s))
    elif joint == "floor-to-floor":
        edge(("stud", storey + 1), ("stud", storey))
    elif joint == "stud-to-sill":
        edge(("stud", 1), SILL_NODE)
        edge(("stud", 1), FOOT_NODE)
    elif joint == "sill-to-foundation":
        edge(SILL_NODE, FOOT_NODE)
    return list(dict.fromkeys(ids))


def _state(
    joint: Joint,
    storey: int,
    reading: Reading,
    known: set[str],
    details: dict[str, Detail],
    graph: nx.Graph,
    storeys: int,
    easy: bool,
    code_nailing: bool,
) -> JointState:
    by_id = {r.id: r for r in reading.requirements}
    ids = _crossed(joint, storey, graph, storeys)
    if joint in {"post-head", "post-foot"}:
        ids = [r.id for r in reading.requirements if r.joint == joint and r.passage in known and r.stance == "duty"]
    found = [by_id[i] for i in ids]
    if not found and easy and joint != "sill-to-foundation":
        nails = [r for r in reading.requirements if r.passage in known and nailed(r, joint)]
        if nails or code_nailing:
            return JointState(joint=joint, storey=storey, state="not needed", requirements=tuple(r.id for r in nails),
                              words="low wind: the code's nailing", where=tuple(_where(r) for r in nails[:2]))  # fmt: skip
    lacks = _lacks(joint, found, reading, details, known)
    state: JointStateName = "not stated" if not found else "partly stated" if lacks else "stated"
    capacities = [r.capacity_lb for r in found if r.capacity_lb]
    demands = [r.demand_lb for r in found if r.demand_lb]
    return JointState(
        joint=joint, storey=storey, state=state, requirements=tuple(ids), capacity_lb=min(capacities) if capacities else None,
        demand_lb=max(demands) if demands else None, lacks=lacks, words=_words(found), where=tuple(_where(r) for r in _best(found)[:3]),
    )  # fmt: skip


def _lacks(joint: Joint, found: Sequence[Requirement], reading: Reading, details: dict[str, Detail], known: set[str]) -> tuple[str, ...]:
    """What a tied joint's words still lack: fasteners for its connector, the four values of sill anchors."""
    if not found:
        return ()
    if joint == "sill-to-foundation":
        anchors = [r for r in reading.requirements if r.passage in known and r.stance == "duty" and sill_anchor(r)]
        said = {f.name for f in reading.facts if f.passage in known}
        return tuple(anchor_lacks([*found, *anchors], said))
    marks = {m for r in found if r.mark for m in [_key(r.mark)]}
    same = [r for r in reading.requirements if r.mark and _key(r.mark) in marks]
    if joint in {"post-head", "post-foot"}:  # a detail's callouts share its fasteners
        shared = {details[r.passage] for r in found if r.passage in details}
        same += [r for r in reading.requirements if details.get(r.passage) in shared]
    fastened = any(r.fasteners or r.to_maker for r in [*found, *same])
    return () if fastened or any(r.device == "sheathing" for r in found) else ("fasteners",)


def sill_anchor(r: Requirement) -> bool:
    """Whether a requirement is of new anchors of the sill; bolts through a pile hold a girder."""
    if "existing" in r.scope or r.joint not in {"sill-to-foundation", None, "other"}:
        return False
    anchor = r.device == "anchor bolt" or (r.joint == "sill-to-foundation" and r.device is None)
    return anchor and ("pier" not in r.joins or bool(set(r.joins) & {"sill plate", "sole plate"}))


def anchor_lacks(anchors: Sequence[Requirement], said: set[str]) -> list[str]:
    """Which of the four values of sill anchors no words give; `said` holds the names of the facts that the set states."""
    bolts = [f for r in anchors for f in r.fasteners if f.kind in {"anchor bolt", "bolt", "rod", None}]
    have = {
        "diameter": any(f.diameter_in for f in bolts),
        "spacing": any(r.spacing_in for r in anchors),
        "embedment": any(r.embedment_in for r in anchors) or "code-anchors" in said,
        "distance from plate ends": any(r.end_distance_in for r in anchors) or bool({"code-anchors", "end-distance"} & said),
    }
    return [name for name, given in have.items() if not given]


def _key(mark: str) -> str:
    return "".join(c for c in mark.upper() if c.isalnum())


def _best(found: Sequence[Requirement]) -> list[Requirement]:
    """The requirements a person would be shown first: notes and callouts that say where, before schedule rows."""
    telling = [r for r in found if not _letters_alone(r)]
    return sorted(telling or found, key=lambda r: (not r.mark, r.defines, r.kind != "note", r.page))


def _letters_alone(r: Requirement) -> bool:
    """A table row that says what letters stand for: it names a device and gives nothing of it."""
    sizes = any(f.diameter_in or f.count or f.penny for f in r.fasteners)
    return r.kind == "row" and not (r.mark or r.defines or sizes or r.place or r.spacing_in or r.embedment_in or r.capacity_lb)


def _words(found: Sequence[Requirement]) -> str | None:
    best = _best(found)
    if not best:
        return None
    r = best[0]
    return r.quote if len(r.quote) <= 140 else r.quote[:140].rsplit(" ", 1)[0] + " ..."


def _where(r: Requirement) -> Where:
    return Where(sheet=r.sheet, page=r.page, label=r.label, quote=r.quote, box=r.box)


def _weakest(graph: nx.Graph) -> str | None:
    """The narrowest edge of the widest path from roof to foundation; None where no path runs through or nothing is stated."""
    if not nx.has_path(graph, ROOF_NODE, FOOT_NODE):
        return None
    widest = nx.maximum_spanning_tree(graph, weight="capacity")
    if not nx.has_path(widest, ROOF_NODE, FOOT_NODE):
        return None
    path = nx.shortest_path(widest, ROOF_NODE, FOOT_NODE)
    a, b = min(pairwise(path), key=lambda e: widest.edges[e]["capacity"])
    capacity = widest.edges[a, b]["capacity"]
    if capacity >= UNKNOWN_LB:
        return None
    return f"{_spoken(a)} to {_spoken(b)}: {capacity:,.0f} lb stated"


def _spoken(node: Node) -> str:
    name, storey = node
    ordinal = {1: "first", 2: "second", 3: "third", 4: "fourth"}.get(storey, f"{storey}th")
    if name == "plate":
        return f"{ordinal} storey wall top"
    return f"{ordinal} storey studs" if name == "stud" else name
