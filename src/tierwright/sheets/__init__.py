"""What does the maker carry into the kitchen and to the table, printed?"""

from tierwright.sheets.page import Book, Page, Paper, SheetRefused, render, render_pdf

__all__ = ["Book", "Page", "Paper", "SheetRefused", "render", "render_pdf"]
