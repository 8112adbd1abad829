"""Pictures from outside: what is taken for one, and the clean copy of it that is kept."""

from __future__ import annotations

import io
import warnings
from typing import TYPE_CHECKING

from sparehand.ground.errors import InputError

if TYPE_CHECKING:
    from PIL import Image

PICTURE_BYTES = 20_000_000
"""Of a file that is looked at; a telephone's photograph has 2 to 10 million."""
PICTURE_PIXELS = 50_000_000
LONGEST_EDGE = 1_600
"""Of the copy, in pixels: enough to read a part number, on paper too."""
COPY_BYTES = 1_000_000
_FORMATS = ("JPEG", "PNG", "WEBP")
_QUALITIES = (85, 70, 50, 30)


def clean_picture(raw: bytes) -> bytes:
    """A JPEG of what a JPEG, PNG or WebP file shows, upright, at most LONGEST_EDGE pixels long and COPY_BYTES large.

    Only the pixels go over: where and with what it was taken, and whatever else a file carries, does not. The kind of
    file is told by its content. Raises InputError, in words that follow a file's name, for what is no such picture.
    """
    from PIL import Image

    if len(raw) > PICTURE_BYTES:
        raise InputError(f"is larger than {PICTURE_BYTES // 1_000_000} MB; take a smaller picture")
    warnings.simplefilter("ignore", Image.DecompressionBombWarning)  # the bound below is the narrower one
    try:
        with Image.open(io.BytesIO(raw), formats=_FORMATS) as image:
            _require_few_pixels(image)
            return _as_jpeg(_upright(image))
    except Image.DecompressionBombError as error:
        most = PICTURE_PIXELS // 1_000_000
        raise InputError(f"has more than {most} million pixels; take a smaller picture") from error
    except Exception as error:  # a decoder may raise anything at bytes that were made to break it
        raise InputError("is no whole JPEG, PNG or WebP picture; give one of these") from error


def _require_few_pixels(image: Image.Image) -> None:
    from PIL import Image

    if image.width * image.height > PICTURE_PIXELS:
        raise Image.DecompressionBombError


def _upright(image: Image.Image) -> Image.Image:
    """The picture on white, turned as its camera was held, in an image that knows nothing else of its file."""
    from PIL import Image, ImageOps

    image.draft("RGB", (LONGEST_EDGE, LONGEST_EDGE))
    shown = ImageOps.exif_transpose(image.convert("RGBA") if image.mode in ("P", "LA", "PA") else image)
    shown.thumbnail((LONGEST_EDGE, LONGEST_EDGE))
    copy = Image.new("RGB", shown.size, "white")
    copy.paste(shown.convert("RGB"), mask=shown.getchannel("A") if "A" in shown.getbands() else None)
    return copy


def _as_jpeg(image: Image.Image) -> bytes:
    for quality in _QUALITIES:
        written = io.BytesIO()
        image.save(written, "JPEG", quality=quality)
        if written.tell() <= COPY_BYTES:
            break
    return written.getvalue()
