"""A mark inside a picture that says which chart it is: only such a file may be replaced by the same chart."""

from __future__ import annotations

import struct
import zlib
from typing import Final, Literal

__all__ = ["PictureKind", "is_chart", "signed"]

PictureKind = Literal["png", "svg", "pdf"]
PNG_HEAD: Final = b"\x89PNG\r\n\x1a\n"
HEADER_ENDS: Final = 33
"""Bytes of a PNG's signature and its header chunk (ISO/IEC 15948, 5.2 and 11.2.2)."""


def signed(picture: bytes, kind: PictureKind, name: str) -> bytes:
    """Return the picture with its mark: a text chunk, or a comment where the format has them."""
    mark = _mark(name)
    if kind == "png":
        assert picture.startswith(PNG_HEAD)
        chunk = b"tEXt" + b"Software\x00" + mark
        length, check = struct.pack(">I", len(chunk) - 4), struct.pack(">I", zlib.crc32(chunk))
        return picture[:HEADER_ENDS] + length + chunk + check + picture[HEADER_ENDS:]
    if kind == "svg":
        return picture.rstrip() + b"\n<!-- " + mark + b" -->\n"
    return picture.rstrip() + b"\n% " + mark + b"\n"


def is_chart(content: bytes, name: str) -> bool:
    """Say whether a file's content is a picture of the chart of that name, made by this program."""
    return _mark(name) in content


def _mark(name: str) -> bytes:
    return f"isothrust chart [{name}]".encode()
