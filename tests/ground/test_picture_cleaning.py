"""Of a picture only its pixels are kept: upright, bounded, and told by their content; all else is refused in a line."""

from __future__ import annotations

import io
import os

import pytest
from PIL import Image

from ground.pictured import PLACE, as_file, drawn, png_that_claims, segments, with_place
from sparehand.ground.errors import InputError
from sparehand.ground.picture_cleaning import COPY_BYTES, LONGEST_EDGE, PICTURE_BYTES, clean_picture

SCRIPT = b"<script>alert(document.cookie)</script>"
JFIF, TABLES_AND_FRAME = 0xE0, {0xDB, 0xC0, 0xC4}
"""Markers of ITU-T T.81: the application segment that JFIF has, and what the pixels need."""


def opened(jpeg: bytes) -> Image.Image:
    return Image.open(io.BytesIO(jpeg), formats=("JPEG",))


def test_where_and_with_what_it_was_taken_is_gone() -> None:
    before = Image.open(io.BytesIO(with_place()))
    assert before.getexif().get_ifd(0x8825), "the example tells no place"
    clean = clean_picture(with_place())
    assert {*segments(clean)} == {JFIF} | TABLES_AND_FRAME
    assert dict(opened(clean).getexif()) == {}
    for hidden in (b"Exif", b"Invented Camera", PLACE):
        assert hidden in with_place()
        assert hidden not in clean


@pytest.mark.parametrize(("turned", "top"), [(1, "left is red"), (6, "red"), (8, "blue")])
def test_it_stands_as_the_camera_was_held(turned: int, top: str) -> None:
    """Orientation 6 is turned right by a quarter to be upright, 8 left (Exif 2.32, from memory)."""
    shown = opened(clean_picture(with_place(turned)))
    assert shown.size == ((40, 20) if turned == 1 else (20, 40))
    red, _, blue = shown.getpixel((5, 5))  # type: ignore[misc]
    assert (red > blue) == (top != "blue")


@pytest.mark.parametrize(
    ("kind", "mode"),
    [("JPEG", mode) for mode in ("RGB", "L", "CMYK")]
    + [("PNG", mode) for mode in ("RGB", "RGBA", "L", "P", "LA", "1", "I;16")]
    + [("WEBP", mode) for mode in ("RGB", "RGBA")],
)
def test_every_kind_of_pixel_comes_out_as_colours(kind: str, mode: str) -> None:
    raw = as_file(drawn().convert("L").convert(mode) if mode in ("LA", "I;16") else drawn().convert(mode), kind)
    assert (opened(clean_picture(raw)).mode, opened(clean_picture(raw)).size) == ("RGB", (40, 20))


def test_what_is_transparent_is_white() -> None:
    raw = as_file(Image.new("RGBA", (8, 8), (0, 0, 0, 0)), "PNG")
    assert opened(clean_picture(raw)).getpixel((4, 4)) == (255, 255, 255)


def test_a_large_one_is_made_small_and_noise_too() -> None:
    noise = Image.frombytes("RGB", (4_000, 2_000), os.urandom(4_000 * 2_000 * 3))
    clean = clean_picture(as_file(noise, quality=50))
    assert opened(clean).size == (LONGEST_EDGE, LONGEST_EDGE // 2)
    assert len(clean) <= COPY_BYTES


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (b"", "no whole JPEG"),
        (b"MZ\x90\x00" + bytes(200), "no whole JPEG"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'>" + SCRIPT + b"</svg>", "no whole JPEG"),
        (as_file(drawn(), "GIF"), "no whole JPEG"),
        (as_file(drawn(), "TIFF"), "no whole JPEG"),
        (as_file(drawn(400, 400), "PNG")[:-200], "no whole JPEG"),
        (as_file(drawn(400, 400))[:600], "no whole JPEG"),
        (png_that_claims(30_000, 30_000), "50 million pixels"),
        (png_that_claims(9_000, 9_000), "50 million pixels"),
        (png_that_claims(200, 200), "no whole JPEG"),
        (as_file(drawn()) + bytes(PICTURE_BYTES), "20 MB"),
    ],
    ids=lambda value: value if isinstance(value, str) else f"{len(value)} bytes",
)
def test_what_is_no_such_picture_is_refused_in_one_line(raw: bytes, says: str) -> None:
    with pytest.raises(InputError, match=says) as refused:
        clean_picture(raw)
    assert "\n" not in str(refused.value)


def test_what_a_file_carries_beside_its_picture_does_not_come_through() -> None:
    """A file that is a picture and a page at once: behind its end, and in a comment."""
    both = as_file(drawn(), comment=SCRIPT) + b"<html>" + SCRIPT
    clean = clean_picture(both)
    assert SCRIPT in both
    assert SCRIPT not in clean
    segments(clean)
