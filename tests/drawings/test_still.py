"""A picture that is already made, on paper: the very picture, as large as there is room, and nothing but a picture."""

from __future__ import annotations

import io

import pypdfium2 as pdfium  # type: ignore[import-untyped]
import pytest
from PIL import Image
from tests.dossier.scenes import dossier as centenary

from tierwright.drawings import still
from tierwright.errors import BadInput, OutOfRange
from tierwright.sheets import book_of, words_of
from tierwright.sheets.handover import PICTURE_MM, venue_pages
from tierwright.sheets.page import render_pdf

SIZE = (90, 110)


def photograph(kind: str = "JPEG") -> bytes:
    out = io.BytesIO()
    Image.new("RGB", SIZE, "#7a3b52").save(out, kind)
    return out.getvalue()


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_the_venue_page_shows_the_picture_in_its_own_proportion(kind: str) -> None:
    wide, high = PICTURE_MM
    seen = still(photograph(kind), size_px=SIZE, width_mm=wide, height_mm=high, said="A red square that stands for it.")
    pages = venue_pages(centenary(), words_of(centenary()), seen)
    document = pdfium.PdfDocument(render_pdf(pages, book_of(centenary())))
    try:
        assert len(document) == 2
        (image,) = document[0].get_objects(filter=[pdfium.raw.FPDF_PAGEOBJ_IMAGE], max_depth=6)
        assert image.get_px_size() == SIZE
        colour = image.get_bitmap().to_pil().convert("RGB").getpixel((45, 55))
        assert colour == pytest.approx((0x7A, 0x3B, 0x52), abs=3)
    finally:
        document.close()
    assert seen.height_mm == pytest.approx(high)
    assert seen.width_mm == pytest.approx(high * 90 / 110)


def test_what_is_no_picture_is_refused() -> None:
    with pytest.raises(BadInput, match="PNG or JPEG"):
        still(b"GIF89a", size_px=SIZE, width_mm=10, height_mm=10, said="")
    with pytest.raises(OutOfRange):
        still(photograph(), size_px=(0, 10), width_mm=10, height_mm=10, said="")
