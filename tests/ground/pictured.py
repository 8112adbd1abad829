"""Pictures as cameras, drawing programs and attackers make them."""

from __future__ import annotations

import io
import struct
import zlib

from PIL import Image

ORIENTATION, GPS, LATITUDE, LATITUDE_OF = 0x0112, 0x8825, 2, 1
"""Tags of Exif 2.32 (CIPA DC-008), from memory."""
PLACE = b"51/1 28/1 38/1"


def drawn(width: int = 40, height: int = 20) -> Image.Image:
    """A picture whose left half is red and whose right half is blue."""
    picture = Image.new("RGB", (width, height), "blue")
    picture.paste("red", (0, 0, width // 2, height))
    return picture


def as_file(picture: Image.Image, kind: str = "JPEG", **options: object) -> bytes:
    """The picture as a file of that kind."""
    written = io.BytesIO()
    picture.save(written, kind, **options)
    return written.getvalue()


def with_place(turned: int = 6) -> bytes:
    """A JPEG of a camera held upright (`turned` by Exif's orientation) that tells where it was taken, by what."""
    exif = Image.Exif()
    exif[ORIENTATION], exif[0x010F] = turned, "Invented Camera Works"
    exif.get_ifd(GPS).update({LATITUDE_OF: "N", LATITUDE: (51.0, 28.0, 38.0)})
    return as_file(drawn(), exif=exif, comment=PLACE, quality=95)


def png_that_claims(width: int, height: int) -> bytes:
    """A few bytes that say they are a picture of so many pixels (PNG, ISO/IEC 15948)."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"")) + chunk(b"IEND", b"")


def segments(jpeg: bytes) -> list[int]:
    """The markers of a JPEG before its pixels (ITU-T T.81, annex B), and after these that of its end."""
    assert jpeg[:2] == b"\xff\xd8"
    found, at = [], 2
    while jpeg[at + 1] != 0xDA:
        found.append(jpeg[at + 1])
        at += 2 + struct.unpack(">H", jpeg[at + 2 : at + 4])[0]
    assert jpeg.find(b"\xff\xd9") == len(jpeg) - 2, "something lies behind the end of the picture"
    return found
