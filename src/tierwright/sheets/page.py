"""What a printed page is made of, and how pages become a PDF."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence, Set
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from importlib.resources import as_file, files
from typing import Final, Literal, TypeAlias, cast

import typst

from tierwright.drawings import Drawing
from tierwright.errors import TierwrightError
from tierwright.units import English

_NO_GLYPH = re.compile(r'the text `"(.+?)"` could not be displayed', re.DOTALL)
_CONTROL = re.compile("[\x00-\x08\x0b-\x1f\x7f\ud800-\udfff]")

Json: TypeAlias = "str | int | float | bool | list[Json] | dict[str, Json] | None"

STANDARDS: Final[list[Literal["a-2a", "ua-1"]]] = ["a-2a", "ua-1"]
"""PDF/A-2a (ISO 19005-2) to be kept, PDF/UA-1 (ISO 14289-1) to be read by everybody; the compiler refuses a page
that lacks a heading, a table head or the words for a picture."""


class Paper(StrEnum):
    """Paper to print on."""

    A4 = "a4"
    LETTER = "us-letter"


class SheetRefused(TierwrightError):
    """A page that could not be set as an accessible PDF; its text says where and why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """
    One sheet, which may run over several pages of paper.

    Attributes
    ----------
    template
        Name of its template, a file in ``templates``.
    sheet
        What stands in the title block.
    data
        Everything that the template prints: plain values, never markup.
    """

    template: str
    sheet: str
    data: dict[str, Json]


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """
    What every page of one set has in common.

    Attributes
    ----------
    title
        The commission.
    cutting
        Date and time of the cutting, in words.
    dated
        The date that the file carries; it comes from the commission, so that the same dossier gives the same bytes.
    paper, english
        Paper, and whose English the words are, for readers that speak them.
    names
        What the title block calls title and cutting, on pages of more than one commission.
    """

    title: str
    cutting: str
    dated: date
    paper: Paper = Paper.A4
    english: English = English.US
    names: tuple[str, str] = ("commission", "cutting")


def render(
    pages: Sequence[Page], book: Book, *, format: Literal["pdf", "png"] = "pdf", ppi: float = 96.0
) -> list[bytes]:
    """
    Set pages as one PDF, or as one picture a page.

    Parameters
    ----------
    pages
        The sheets in their order; at least one.
    book
        What they have in common.
    format
        ``pdf`` gives one file; ``png`` one picture a page.
    ppi
        Resolution of pictures. [1/in]

    Returns
    -------
    files
        The same bytes for the same input.

    Raises
    ------
    SheetRefused
        A page is not accessible, a font is missing, or anything else that the compiler warns of.
    """
    if not pages:
        raise ValueError("a set of sheets needs at least one page")
    payload: Json = {
        "book": {
            "title": book.title.strip() or "Untitled commission",
            "cutting": book.cutting,
            "names": list(book.names),
            "dated": [book.dated.year, book.dated.month, book.dated.day],
            "paper": book.paper.value,
            "region": "GB" if book.english is English.UK else "US",
            "description": f"Sheets of work for {book.title}",
        },
        "pages": [{"template": page.template, "sheet": page.sheet, "data": page.data} for page in pages],
    }
    with (
        as_file(files("tierwright.sheets").joinpath("templates")) as root,
        as_file(files("tierwright.label").joinpath("fonts")) as fonts,
    ):
        for page in pages:
            if not page.template.isidentifier() or not (root / f"{page.template}.typ").is_file():
                raise ValueError(f"no template is called {page.template!r}")
        unknown: set[str] = set()
        while True:
            try:
                result, warnings = typst.compile_with_warnings(
                    str(root / "main.typ"),
                    root=str(root),
                    format=format,
                    ppi=ppi if format == "png" else None,
                    ignore_system_fonts=True,
                    font_paths=[str(fonts)],
                    sys_inputs={"data": json.dumps(_printable(payload, unknown), allow_nan=False)},
                    pdf_standards=list(STANDARDS) if format == "pdf" else [],
                )
                break
            except typst.TypstError as error:
                met = {sign for text in _NO_GLYPH.findall(error.diagnostic) for sign in text if not sign.isascii()}
                if met <= unknown:
                    raise SheetRefused(f"{error.message}\n{error.diagnostic}".strip()) from error
                unknown |= met
    if warnings:
        raise SheetRefused("\n".join(warning.message for warning in warnings))
    # The library's own types promise bytes; several pictures come as a list of them.
    made = cast("bytes | list[bytes]", result)
    return made if isinstance(made, list) else [made]


def _printable(value: Json, unknown: Set[str]) -> Json:
    """
    Return data that can be printed: no control signs, and signs that no embedded font draws spelt by their number.

    A name in a script that the fonts lack must not stop the press, nor vanish: it is printed as ``[U+4E2D]``.
    """
    match value:
        case str():
            text = _CONTROL.sub(" ", value)
            if unknown and not text.isascii():
                text = "".join(f"[U+{ord(sign):04X}]" if sign in unknown else sign for sign in text)
            return text
        case list():
            return [_printable(item, unknown) for item in value]
        case dict():
            return {key: _printable(item, unknown) for key, item in value.items()}
        case _:
            return value


def render_pdf(pages: Sequence[Page], book: Book) -> bytes:
    """Set pages as one tagged, archivable PDF; see ``render``."""
    return render(pages, book)[0]


def picture(drawing: Drawing) -> dict[str, Json]:
    """Return a drawing as a template takes it."""
    return {
        "svg": drawing.svg,
        "width_mm": drawing.width_mm,
        "height_mm": drawing.height_mm,
        "alt": drawing.alt,
        "title": drawing.title,
    }
