"""What does the maker carry into the kitchen and to the table, printed?"""

from tierwright.sheets.binding import SHEETS, book_of, pages_of, print_dossier, sheets_to_print
from tierwright.sheets.naming import Words, words_of
from tierwright.sheets.page import Book, Page, Paper, SheetRefused, render, render_pdf
from tierwright.sheets.week import day_pages, print_week, week_book

__all__ = [
    "SHEETS",
    "Book",
    "Page",
    "Paper",
    "SheetRefused",
    "Words",
    "book_of",
    "day_pages",
    "pages_of",
    "print_dossier",
    "print_week",
    "render",
    "render_pdf",
    "sheets_to_print",
    "week_book",
    "words_of",
]
