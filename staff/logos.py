"""The letterhead logo: checked, and stored as a picture of our own making."""

from __future__ import annotations

import io
import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager

from django.core.files.base import File
from PIL import Image, ImageFile, ImageOps, UnidentifiedImageError

MOST_BYTES = 5 * 1024 * 1024
MOST_PIXELS = 40_000_000
LEAST_SIDE = 16
LARGEST_KEPT = (1600, 800)
FORMATS = ["PNG", "JPEG", "WEBP"]


class LogoProblem(ValueError):  # noqa: N818  (named after what it tells the person)
    """The file cannot be a logo; the message says why and what to do."""


def letterhead_png(upload: File[bytes]) -> bytes:
    """The uploaded picture as a PNG that fits a letterhead.

    Drawing it anew leaves behind whatever else the file carried: location, camera, scripts, a second file.

    Raises:
        LogoProblem: it is too large, too small, damaged, or no PNG, JPEG or WebP.
    """
    if upload.size is None or upload.size > MOST_BYTES:
        raise LogoProblem("This file is larger than 5 MB. Save the logo in a smaller size and choose it again.")
    try:
        with _nothing_missing(), warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(upload, formats=FORMATS) as picture:
                _check_sides(picture.width, picture.height)
                picture.load()
                return _drawn_anew(picture)
    except UnidentifiedImageError as error:
        raise LogoProblem(
            "This is not a PNG, JPEG or WebP picture. Save the logo as PNG and choose it again."
        ) from error
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise LogoProblem(_TOO_MANY) from error
    except (OSError, SyntaxError, ValueError) as error:
        if isinstance(error, LogoProblem):
            raise
        raise LogoProblem(
            "This picture is damaged and cannot be read. Save it again as PNG and choose that."
        ) from error


@contextmanager
def _nothing_missing() -> Iterator[None]:
    """Refuse pictures that end too early, for as long as one is read.

    Pillow has one switch for the whole process, and the library that draws the PDF turns it the other way.
    """
    with _SWITCH:
        before = ImageFile.LOAD_TRUNCATED_IMAGES
        ImageFile.LOAD_TRUNCATED_IMAGES = False
        try:
            yield
        finally:
            ImageFile.LOAD_TRUNCATED_IMAGES = before


_SWITCH = threading.Lock()
_TOO_MANY = "This picture has more than 40 million pixels. Save the logo in a smaller size and choose it again."


def _check_sides(width: int, height: int) -> None:
    if width * height > MOST_PIXELS:
        raise LogoProblem(_TOO_MANY)
    if min(width, height) < LEAST_SIDE:
        raise LogoProblem(f"This picture is {width} × {height} pixels: too small to print. At least 16 each way.")


def _drawn_anew(picture: Image.Image) -> bytes:
    upright = ImageOps.exif_transpose(picture)
    has_alpha = upright.mode in {"RGBA", "LA", "PA"} or "transparency" in upright.info
    plain = upright.convert("RGBA" if has_alpha else "RGB")
    plain.thumbnail(LARGEST_KEPT, Image.Resampling.LANCZOS)
    clean = Image.new(plain.mode, plain.size)
    clean.paste(plain)
    out = io.BytesIO()
    clean.save(out, "PNG", optimize=True)
    return out.getvalue()
