"""Uploaded pictures, checked and drawn again: what else the file carried, such as its place, is left behind."""

from __future__ import annotations

import io
import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import IO, Any, Literal

from PIL import Image, ImageFile, ImageOps, UnidentifiedImageError

MOST_PIXELS = 40_000_000
LEAST_SIDE = 16
FORMATS = ["PNG", "JPEG", "WEBP"]


class PictureProblem(ValueError):  # noqa: N818  (named after what it tells the person)
    """The file cannot be taken; the message says why and what to do."""


@dataclass(frozen=True)
class PictureRules:
    """What a picture is for: its name in sentences, its most bytes, the sides that it is fitted into, and as what."""

    called: str
    most_megabytes: int
    largest: tuple[int, int]
    kept_as: Literal["PNG", "JPEG"]
    too_small: str = "too small to print"


def drawn_again(upload: IO[bytes] | Any, size: int | None, wanted: PictureRules) -> bytes:
    """The picture as a file of our own making, upright and no larger than wanted.

    Raises:
        PictureProblem: it is too large, too small, damaged, or no PNG, JPEG or WebP.
    """
    name = wanted.called
    if size is None or size > wanted.most_megabytes * 1024 * 1024:
        raise PictureProblem(
            f"This file is larger than {wanted.most_megabytes} MB. "
            f"Save the {name} in a smaller size and choose it again."
        )
    try:
        with _nothing_missing(), warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(upload, formats=FORMATS) as picture:
                _check_sides(picture.width, picture.height, wanted)
                picture.load()
                return _drawn(picture, wanted)
    except UnidentifiedImageError as error:
        raise PictureProblem(
            f"This is not a PNG, JPEG or WebP picture. Save the {name} as {wanted.kept_as} and choose it again."
        ) from error
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise PictureProblem(_too_many(name)) from error
    except (OSError, SyntaxError, ValueError) as error:
        if isinstance(error, PictureProblem):
            raise
        raise PictureProblem(
            f"This picture is damaged and cannot be read. Save it again as {wanted.kept_as} and choose that."
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


def _too_many(name: str) -> str:
    return f"This picture has more than 40 million pixels. Save the {name} in a smaller size and choose it again."


def _check_sides(width: int, height: int, wanted: PictureRules) -> None:
    if width * height > MOST_PIXELS:
        raise PictureProblem(_too_many(wanted.called))
    if min(width, height) < LEAST_SIDE:
        raise PictureProblem(
            f"This picture is {width} × {height} pixels: {wanted.too_small}. At least {LEAST_SIDE} each way."
        )


def _drawn(picture: Image.Image, wanted: PictureRules) -> bytes:
    upright = ImageOps.exif_transpose(picture)
    has_alpha = upright.mode in {"RGBA", "LA", "PA"} or "transparency" in upright.info
    plain = upright.convert("RGBA" if has_alpha else "RGB")
    plain.thumbnail(wanted.largest, Image.Resampling.LANCZOS)
    if has_alpha and wanted.kept_as == "JPEG":
        clean = Image.new("RGB", plain.size, "white")
        clean.paste(plain, mask=plain.getchannel("A"))
    else:
        clean = Image.new(plain.mode, plain.size)
        clean.paste(plain)
    out = io.BytesIO()
    clean.save(out, wanted.kept_as, optimize=True, **({"quality": 85} if wanted.kept_as == "JPEG" else {}))
    return out.getvalue()
