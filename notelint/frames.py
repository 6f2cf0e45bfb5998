"""Messages between processes: a length, a letter that says what it is, and the bytes. Nothing in them is ever run or unpickled."""

from __future__ import annotations

import os
import struct
from collections.abc import Iterator
from typing import NamedTuple

_HEAD = struct.Struct(">Ic")
_PIECE = 1 << 18


class Frame(NamedTuple):
    """One message."""

    kind: bytes  # one letter
    body: bytes


class Rubbish(Exception):
    """Bytes that are no message of ours."""


def send(handle: int, kind: bytes, body: bytes) -> None:
    """Writes one message. Raises OSError where the other end is gone."""
    data = memoryview(_HEAD.pack(len(body), kind) + body)
    while data:
        data = data[os.write(handle, data) :]


class Inbox:
    """Puts messages together from the pieces in which they arrive; a message over `most` bytes or of an unknown kind is Rubbish."""

    def __init__(self, handle: int, kinds: bytes, most: int) -> None:
        self._handle, self._kinds, self._most = handle, kinds, most
        self._held = bytearray()

    def arrived(self) -> Iterator[Frame] | None:
        """Waits for the next piece and gives the messages that are whole by now; None at the end."""
        piece = os.read(self._handle, _PIECE)
        if not piece:
            return None
        self._held += piece
        return self._whole()

    def next(self) -> Frame | None:
        """Waits for the next message; None at the end."""
        while (frame := next(self._whole(), None)) is None:
            piece = os.read(self._handle, _PIECE)
            if not piece:
                return None
            self._held += piece
        return frame

    def _whole(self) -> Iterator[Frame]:
        while len(self._held) >= _HEAD.size:
            length, kind = _HEAD.unpack_from(self._held)
            if length > self._most or kind not in self._kinds:
                raise Rubbish
            end = _HEAD.size + length
            if len(self._held) < end:
                return
            body = bytes(self._held[_HEAD.size : end])
            del self._held[:end]
            yield Frame(kind, body)
