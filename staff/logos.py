"""The letterhead logo: checked, and stored as a picture of our own making."""

from __future__ import annotations

from django.core.files.base import File

from web.pictures import PictureProblem, PictureRules, drawn_again

LogoProblem = PictureProblem
LOGO = PictureRules("logo", most_megabytes=5, largest=(1600, 800), kept_as="PNG")


def letterhead_png(upload: File[bytes]) -> bytes:
    """The uploaded picture as a PNG that fits a letterhead.

    Raises:
        LogoProblem: it is too large, too small, damaged, or no PNG, JPEG or WebP.
    """
    return drawn_again(upload, upload.size, LOGO)
