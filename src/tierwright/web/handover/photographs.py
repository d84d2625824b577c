"""Photographs: checked to be pictures, and made anew from their pixels, so that nothing else comes along."""

from __future__ import annotations

import base64
import binascii
import io
from dataclasses import dataclass
from hashlib import sha256
from typing import Final

from django.utils.translation import gettext as _

MOST_BYTES: Final = 3_000_000
"""Of a photograph as it is sent; with its wrapping it stays within what a request may hold. Chosen by us."""
MOST_PIXELS: Final = 50_000_000
LARGEST_PX: Final = 2000
LEAST_PX: Final = 64
FORMATS: Final = ("JPEG", "PNG", "WEBP")
QUALITY: Final = 85


class NoPicture(Exception):
    """Something that cannot be kept as a photograph, with the reason in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A photograph as it is kept: JPEG bytes, their SHA-256, and its size. [px]"""

    jpeg: bytes
    digest: str
    width: int
    height: int


def picture_of(text: str) -> Picture:
    """
    Read a photograph as a tablet sends it, and make it anew.

    Parameters
    ----------
    text
        The file in base64, with or without the head of a data address.

    Returns
    -------
    picture
        Turned upright, at most 2000 px a side, without any notes of the camera: place, time, owner.

    Raises
    ------
    NoPicture
        It is too large, damaged, or no photograph at all.
    """
    try:
        from PIL import Image, ImageOps, UnidentifiedImageError
    except ImportError:
        # Kept as it came, a photograph would tell where and with whose camera it was taken.
        raise NoPicture(_("This installation keeps no photographs: its picture library is missing.")) from None
    _head, _comma, body = text.rpartition(",")
    if len(body) > MOST_BYTES * 4 // 3 + 4:
        raise NoPicture(_("The photograph is too large: at most 3 MB."))
    try:
        sent = base64.b64decode(body, validate=True)
    except (binascii.Error, ValueError):
        raise NoPicture(_("The photograph has been damaged on the way.")) from None
    try:
        with Image.open(io.BytesIO(sent), formats=FORMATS) as found:
            if found.width * found.height > MOST_PIXELS:
                raise NoPicture(_("The photograph has too many pixels."))
            if min(found.size) < LEAST_PX:
                raise NoPicture(_("The photograph is too small to show anything."))
            found.load()
            upright = ImageOps.exif_transpose(found)
            flat = upright.convert("RGB")
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Image.DecompressionBombError):
        raise NoPicture(_("This is no photograph: expected JPEG, PNG or WebP.")) from None
    flat.thumbnail((LARGEST_PX, LARGEST_PX))
    # A fresh picture holds pixels alone: whatever else the file said stays behind.
    fresh = Image.new("RGB", flat.size)
    fresh.paste(flat)
    out = io.BytesIO()
    fresh.save(out, "JPEG", quality=QUALITY, optimize=True)
    jpeg = out.getvalue()
    return Picture(jpeg=jpeg, digest=sha256(jpeg).hexdigest(), width=fresh.width, height=fresh.height)
