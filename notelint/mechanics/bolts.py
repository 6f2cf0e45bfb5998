"""Anchor bolts: what a bolt has to pass from its end in the concrete to the last thread, against its length."""

from __future__ import annotations

from collections.abc import Sequence

from notelint.mechanics.worked import Layer, Worked, named, plain, plural, total
from notelint.trade.inches import inches
from notelint.trade.tables import minimum, nut_or_washer, thread

_ROUNDING_IN = 1e-6


class BoltLength(Worked):
    """Length a bolt needs, inches, against the one called for."""

    needed_in: float
    above_in: float  # what stands above the concrete: plates, washers, nut, thread
    short_by_in: float  # 0 where it fits
    fits: bool


class Depth(Worked):
    """Whether a stated embedment stays in the concrete it is set in."""

    fits: bool
    over_by_in: float


def bolt_length(
    length_in: float,
    embedment_in: float,
    bolt_in: float,
    plates: Sequence[Layer],
    *,
    washers: Sequence[Layer] | None = None,
    nut: str = "hex nut",
    threads: int | None = None,
) -> BoltLength:
    """Embedment, plates, washers, nut and thread past the nut, against the bolt's length, inches.

    Nut heights: ASME B18.2.2. Without stated washers one cut washer is counted (ASME B18.21.1). Thread past the nut is one thread
    (common practice) unless `threads` says otherwise. Hardware that no table gives for this diameter is not counted.
    """
    past = int(minimum("thread-projection").value) if threads is None else threads
    hardware, sources = _hardware(bolt_in, washers, nut)
    tip = thread_projection(bolt_in, past)
    above = total(plates) + total(hardware) + tip
    needed = embedment_in + above
    short = max(0.0, needed - length_in) if needed - length_in > _ROUNDING_IN else 0.0
    pieces = [*plates, *hardware]
    sums = " + ".join([f"{inches(embedment_in)} in in the concrete", *(_piece(layer) for layer in pieces)])
    lines = [
        f"{sums} + {plain(tip)} in for {plural(past, 'thread')} past the nut = {plain(needed)} in",
        f"the bolt is {inches(length_in)} in: " + (f"{plain(short)} in short" if short else f"{plain(length_in - needed)} in to spare"),
    ]
    return BoltLength(needed_in=needed, above_in=above, short_by_in=short, fits=not short, lines=(*lines, *sources))


def thread_projection(bolt_in: float, threads: int) -> float:
    """Length of so many threads, inches; 0 for a diameter without a pitch in the table. ASME B1.1, coarse thread."""
    pitch = thread(bolt_in)
    return threads / pitch.threads_per_in if pitch else 0.0


def embedment_depth(embedment_in: float, concrete_in: float) -> Depth:
    """Whether an embedment, inches, is no deeper than the concrete it is set in. Plain arithmetic."""
    over = embedment_in - concrete_in
    fits = over <= _ROUNDING_IN
    result = "fits" if fits else f"{plain(over)} in deeper than the concrete"
    line = f"{inches(embedment_in)} in embedment in {inches(concrete_in)} in of concrete: {result}"
    return Depth(fits=fits, over_by_in=0.0 if fits else over, lines=(line,))


def _hardware(bolt_in: float, washers: Sequence[Layer] | None, nut: str) -> tuple[tuple[Layer, ...], tuple[str, ...]]:
    """Washers and nut with their heights, and the sources of those taken from a table."""
    wanted = ([] if washers is not None else ["cut washer"]) + [nut]
    rows = [(kind, nut_or_washer(kind, bolt_in)) for kind in wanted]
    found = tuple(Layer(kind, row.height_in) for kind, row in rows if row)
    sources = [f"{kind} {plain(row.height_in, 3)} in: {row.cite}" + ("" if row.verified else ", from memory") for kind, row in rows if row]
    sources += [f"{kind}: no table value for a {inches(bolt_in)} in bolt, not counted" for kind, row in rows if not row]
    return (*(washers or ()), *found), tuple(sources)


def _piece(layer: Layer) -> str:
    """Thicknesses of steel read better as decimals."""
    return f"{plain(layer.thickness_in)} in {layer.name}" if "nut" in layer.name or "washer" in layer.name else named(layer)
