"""Drawing instructions of a page, unpacked within bounds."""

from __future__ import annotations

import re
import zlib
from typing import Any, NamedTuple

import pikepdf

from notelint.planset.limits import MAX_STREAM_BYTES

DAMAGED = "the sheet's drawing instructions are damaged"
TOO_MANY = "the sheet holds more drawing instructions than can be read"
_QUIT = re.compile(rb"(?:^|\s)Q(?=\s|$)")
_SAVE = re.compile(rb"(?:^|\s)q(?=\s|$)")


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
    if filters == ["/FlateDecode"] and plain:
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
    machine = zlib.decompressobj()
    data = b""
    try:
        data = machine.decompress(raw, limit + 1)
    except zlib.error:
        return Content(_what_can_be_had(raw, limit), DAMAGED)
    if len(data) > limit:
        return Content(data[:limit], TOO_MANY)
    return Content(data, None if machine.eof or _whole(data) else DAMAGED)


def _what_can_be_had(raw: bytes, limit: int) -> bytes:
    """Unpacked bytes up to the place of damage."""
    machine, data = zlib.decompressobj(), bytearray()
    try:
        for at in range(0, len(raw), 256):
            data += machine.decompress(raw[at : at + 256], max(1, limit - len(data)))
            if len(data) >= limit:
                break
    except zlib.error:
        pass
    return bytes(data)


def _whole(data: bytes) -> bool:
    """Whether instructions without the closing checksum look complete: every save has its restore."""
    return len(_SAVE.findall(data)) == len(_QUIT.findall(data)) and data.count(b"BT") == data.count(b"ET")
