"""A picture that is already made, as a drawing of its own size on paper."""

from __future__ import annotations

from base64 import b64encode
from typing import Final

from tierwright.errors import BadInput, Problem, require_range
from tierwright.svg import INK_ON_PAPER, Drawing, document, element

HEADS: Final = {b"\x89PNG\r\n\x1a\n": "image/png", b"\xff\xd8\xff": "image/jpeg"}
"""How a file begins: ISO/IEC 15948 (PNG), ISO/IEC 10918-1 (JPEG)."""


def still(
    content: bytes,
    *,
    size_px: tuple[int, int],
    width_mm: float,
    height_mm: float,
    said: str,
    prefix: str = "still",
    title: str = "The finished cake",
) -> Drawing:
    """
    Fit a picture into a space on paper.

    Parameters
    ----------
    content
        The file's bytes, PNG or JPEG.
    size_px
        Its width and height. [px]
    width_mm, height_mm
        Space on paper; the picture keeps its proportion. [mm]
    said
        What it shows, in words.
    prefix
        Start of every id in the drawing.
    title
        What the drawing is called.

    Returns
    -------
    drawing
        Without a scale: things further back are smaller.

    Raises
    ------
    BadInput
        Neither PNG nor JPEG.
    OutOfRange
        A picture without a size.
    """
    kind = next((kind for head, kind in HEADS.items() if content.startswith(head)), None)
    if kind is None:
        raise BadInput([Problem(place="picture", found="another kind of file", expected="PNG or JPEG")])
    for side in size_px:
        require_range("size of the picture", side, 1, 20_000, "px")
    share = min(width_mm / size_px[0], height_mm / size_px[1])
    wide, high = size_px[0] * share, size_px[1] * share
    href = f"data:{kind};base64,{b64encode(content).decode()}"
    return document(
        prefix=prefix,
        title=title,
        desc=said,
        width_mm=wide,
        height_mm=high,
        ink=INK_ON_PAPER,
        definitions="",
        body=element("image", x=0, y=0, width=wide, height=high, href=href),
        scale=0.0,
    )
