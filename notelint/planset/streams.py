"""Drawing instructions of a page, unpacked within bounds."""

from __future__ import annotations

import zlib
from contextlib import suppress
from typing import Any, NamedTuple

import pikepdf

from notelint.planset.limits import MAX_STREAM_BYTES

DAMAGED = "the sheet's drawing instructions are damaged"
TOO_MANY = "the sheet holds more drawing instructions than can be read"

_MOST_FILTERS = 5


class Content(NamedTuple):
    """Unpacked instructions as far as they could be unpacked, and what is wrong with them."""

    data: bytes
    problem: str | None = None


def page_content(page: Any) -> Content:
    """The instructions of a pikepdf page object."""
    try:
        contents = page.get("/Contents")
        if contents is None:
            return Content(b"", DAMAGED if "/Contents" in page else None)
        parts = list(contents) if isinstance(contents, pikepdf.Array) else [contents]
        done: list[Content] = []
        left = MAX_STREAM_BYTES
        for part in parts:
            done.append(unpack(part, left) if isinstance(part, pikepdf.Stream) else Content(b"", DAMAGED))
            left -= len(done[-1].data)
    except (pikepdf.PdfError, ValueError, TypeError, RuntimeError):
        return Content(b"", DAMAGED)
    return Content(b"\n".join(c.data for c in done), next((c.problem for c in done if c.problem), None))


def unpack(stream: Any, limit: int) -> Content:
    """One stream's bytes, at most `limit` of them. qpdf would unpack without bound, so Flate is unpacked here."""
    filters, plain = _filters(stream)
    raw = stream.read_raw_bytes()
    if filters[:1] == ["/ASCII85Decode"] and plain and len(filters) <= 2:
        with pikepdf.new() as scratch:  # qpdf takes off the outer wrapping, which cannot grow
            raw = pikepdf.Stream(scratch, raw, Filter=pikepdf.Name.ASCII85Decode).read_bytes()
        filters = filters[1:]
    if not filters:
        return Content(raw[:limit], TOO_MANY if len(raw) > limit else None)
    if len(filters) > _MOST_FILTERS:
        return Content(b"", TOO_MANY)
    if set(filters) == {"/FlateDecode"} and plain:
        for _ in filters[1:]:  # packed more than once
            outer = _inflate(raw, MAX_STREAM_BYTES)
            if outer.problem:
                return outer._replace(data=b"")
            raw = outer.data
        return _inflate(raw, limit)
    if len(raw) * 20 > MAX_STREAM_BYTES:
        return Content(b"", TOO_MANY)
    data = stream.read_bytes()
    return Content(data[:limit], TOO_MANY if len(data) > limit else None)


def _filters(stream: Any) -> tuple[list[str], bool]:
    """Names of the stream's filters, and whether they go without parameters."""
    named = stream.get("/Filter")
    names = [] if named is None else [str(n) for n in named] if isinstance(named, pikepdf.Array) else [str(named)]
    short = {"/Fl": "/FlateDecode", "/A85": "/ASCII85Decode"}
    return [short.get(n, n) for n in names], stream.get("/DecodeParms") is None


def _inflate(raw: bytes, limit: int) -> Content:
    if not raw.strip():
        return Content(b"")
    machine = zlib.decompressobj()
    data = b""
    try:
        data = machine.decompress(raw, limit + 1)
    except zlib.error:
        return Content(_what_can_be_had(raw, limit), DAMAGED)
    if len(data) > limit:
        return Content(data[:limit], TOO_MANY)
    return Content(data, None if machine.eof or _whole(raw, limit) else DAMAGED)


def _what_can_be_had(raw: bytes, limit: int) -> bytes:
    """Unpacked bytes up to the place of damage."""
    machine, data = zlib.decompressobj(), bytearray()
    with suppress(zlib.error):
        for at in range(0, len(raw), 256):
            data += machine.decompress(raw[at : at + 256], max(1, limit - len(data)))
            if len(data) >= limit:
                break
    return bytes(data)


def _whole(raw: bytes, limit: int) -> bool:
    """Whether the packed bytes come to their own end and lack no more than the checksum behind it."""
    machine = zlib.decompressobj(-zlib.MAX_WBITS)
    with suppress(zlib.error):
        machine.decompress(raw[2:], limit + 1)
    return machine.eof
