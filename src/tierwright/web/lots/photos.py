"""Taking in the photo of a label: a picture by its own bytes, small enough, and never anything else."""

from __future__ import annotations

import hashlib
import io
from dataclasses import dataclass
from typing import Final

from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext as _

from tierwright.web.access import Door
from tierwright.web.lots.models import LabelPhoto

LARGEST_BYTES: Final = 4_000_000
MOST_PIXELS: Final = 50_000_000
"""A few kilobytes can unfold to more pixels than whoever opens the page has memory for."""
MOST: Final = 2000
"""Photos of one kitchen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A picture that was sent: its media type, its name by its content, and its bytes."""

    media_type: str
    name: str
    content: bytes


def media_type(content: bytes) -> tuple[str, str] | None:
    """
    Return the media type and the ending of a picture by its first and last bytes; None for anything else.

    JPEG (ISO/IEC 10918-1: SOI, EOI), PNG (W3C PNG, section 5.2: signature, IEND) and WebP (RFC 9649, section 2.4: RIFF
    of its own length). A file's name and the browser's word for it are not believed.
    """
    if content[:3] == b"\xff\xd8\xff" and content.rstrip(b"\x00")[-2:] == b"\xff\xd9":
        return "image/jpeg", "jpg"
    if content[:8] == b"\x89PNG\r\n\x1a\n" and content[-8:-4] == b"IEND":
        return "image/png", "png"
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        length = int.from_bytes(content[4:8], "little") + 8
        if length in (len(content), len(content) - 1):
            return "image/webp", "webp"
    return None


def read_picture(sent: UploadedFile[bytes]) -> tuple[Picture | None, str]:
    """Return the picture that was sent, or None and what is wrong with it in a sentence."""
    if (sent.size or 0) > LARGEST_BYTES:
        return None, _("The photo is larger than 4 MB.")
    content = sent.read()
    found = media_type(content)
    if found is None:
        return None, _("The photo is no JPEG, PNG or WebP picture.")
    pixels = _pixels_of(content)
    if pixels is None:
        return None, _("The photo is no JPEG, PNG or WebP picture.")
    if pixels > MOST_PIXELS:
        return None, _("The photo has too many pixels.")
    kind, ending = found
    return Picture(media_type=kind, name=f"{hashlib.sha256(content).hexdigest()[:32]}.{ending}", content=content), ""


def _pixels_of(content: bytes) -> int | None:
    """Return how many pixels a picture says that it has, without unfolding it; None where it cannot be read."""
    from PIL import Image

    try:
        with Image.open(io.BytesIO(content), formats=("JPEG", "PNG", "WEBP")) as found:
            return found.width * found.height
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        return MOST_PIXELS + 1
    except (OSError, SyntaxError, ValueError):
        return None


def keep_picture(door: Door, picture: Picture) -> None:
    """Keep a picture in a kitchen, once."""
    LabelPhoto.objects.get_or_create(
        kitchen=door.kitchen,
        name=picture.name,
        defaults={"media_type": picture.media_type, "content": picture.content, "made_by": door.user},
    )


def is_full(door: Door) -> bool:
    """Say whether a kitchen has all the photos that it may have."""
    return LabelPhoto.objects.filter(kitchen=door.kitchen).count() >= MOST
