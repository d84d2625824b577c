"""
Write what the rooms say into the catalogue that the pages translate it by: ``web/locale/es/LC_MESSAGES/rooms.po``.

    python tools/room_words.py

Every sentence in the code of the rooms becomes an entry, with ``{1}``, ``{2}`` ... where it takes a value; a choice
between two words in a sentence (one layer, three layers) becomes two entries. What is translated already is kept, what
is no longer said is dropped, and the catalogue is compiled.
"""

from __future__ import annotations

import ast
import csv
import re
from collections.abc import Iterator
from itertools import product
from pathlib import Path
from typing import Final

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

from tierwright.larder import Allergen

HOUSE: Final = Path(__file__).resolve().parents[1] / "src" / "tierwright"
CATALOGUE: Final = HOUSE / "web" / "locale" / "es" / "LC_MESSAGES" / "rooms.po"
ROOMS: Final = (
    "sizing", "formula", "heat", "bake", "sugar", "coating", "finish", "support", "keeping", "label", "purchase",
    "price", "handover", "week", "dossier", "sheets",
)  # fmt: skip
LEFT_OUT: Final = frozenset({"source", "equation", "basis", "description", "pattern", "examples", "title_en"})
"""Keywords whose words are not translated: sources keep their own names, equations their own letters."""
OF_THE_LAW: Final = frozenset(
    [
        "formula/grammar.py", "formula/spoken_units.py", "label/code.py", "label/declaring.py", "label/fields.py",
        "label/french.py", "label/panel.py", "label/panel_drawing.py", "label/wording.py", "sheets/ledger.py",
        "sheets/page.py", "sheets/papers.py",
    ]
)  # fmt: skip
"""What reads a formula or is printed on a label: its language is that of the formula, or of the place."""
COLUMNS: Final = frozenset({
    "ask", "ask_reason", "cause", "cold_water_test", "diet_reason", "effects", "high_effect", "label", "low_effect",
    "material", "name", "name_uk", "name_us", "needs", "note", "part", "quantity", "reason", "rescue", "sign", "text",
    "thaw_note", "then", "title", "use", "what", "what_it_does", "why",
})  # fmt: skip
"""Columns of the rooms' tables that are shown to people."""
TABLES_LEFT_OUT: Final = frozenset({"label", "pans.csv", "egg_grades.csv", "choi_okos.csv", "allergens.csv"})
"""Rooms and tables whose words are printed by law, or are a name and its measures."""
WORDS: Final = (
    "bottom", "middle", "top", "second", "third", "fourth", "fifth", "kitchen cake", "severe", "mild", "moderate",
    "almonds", "Brazil nuts", "cashews", "crustacean shellfish", "eggs", "gluten", "hazelnuts", "macadamia nuts",
    "peanuts", "pecans", "pine nuts", "pistachios", "soybeans", "sulfites", "tree nuts", "walnuts",
    "unknown", "vegan", "vegetarian", "The ", "the whole cake", "flour and egg", "flour",
    "briefly", "kitchen cake 1", "kitchen cake 2",
)  # fmt: skip
"""Single words that stand where sentences take a value."""
OF_QUESTIONS: Final = frozenset({"rules.csv", "exemptions.csv"})
"""Tables of the labels that hold questions to the maker."""
NAMES: Final = frozenset({"ingredients.csv", "flowers.csv"})
"""Tables whose single words are names; a single word of another table may mean something else in a sentence."""
OF_TWO_MEANINGS: Final = frozenset({"pink", "stock", "mint", "squash", "orange", "rocket", "sage"})
"""Names that are also another word: they are left in English rather than said wrongly."""
SAID: Final = re.compile(r"[A-Za-z]{2,}[,;:.]? +[^ ]")
MOST_CHOICES: Final = 16


def sentences() -> dict[str, str]:
    """Return every sentence of the rooms, with the file that says it."""
    found: dict[str, str] = dict.fromkeys((*WORDS, *(one.value.replace("_", " ") for one in Allergen)), "words")
    for path in sorted(HOUSE.glob("*/data/*.csv")):
        if path.name in OF_QUESTIONS or not {path.name, path.parts[-3]} & TABLES_LEFT_OUT:
            for words in _shown_in(path):
                found.setdefault(words, str(path.relative_to(HOUSE)))
    for room in ROOMS:
        for path in sorted((HOUSE / room).rglob("*.py")):
            if str(path.relative_to(HOUSE)) in OF_THE_LAW:
                continue
            for words in _said_in(ast.parse(path.read_text(encoding="utf-8"))):
                if words.startswith("<"):
                    continue
                found.setdefault(words, str(path.relative_to(HOUSE)))
    return found


def _shown_in(path: Path) -> Iterator[str]:
    with path.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(line for line in file if not line.startswith("#")):
            for column in COLUMNS & row.keys():
                words = row[column]
                one_word = " " not in words
                if path.name in OF_QUESTIONS and not words.endswith(("?", ".")):
                    continue
                if one_word and (path.name not in NAMES or words in OF_TWO_MEANINGS):
                    continue
                if re.search(r"[A-Za-z]{2}", words) and "_" not in words and "=" not in words:
                    yield _named(words)


def _said_in(tree: ast.Module) -> Iterator[str]:
    passed: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            passed.add(id(node.value))
        elif isinstance(node, ast.keyword) and node.arg in LEFT_OUT:
            passed.update(id(part) for part in ast.walk(node.value))
        elif isinstance(node, ast.Assert | ast.Call) and _of_the_house(node):
            passed.update(id(part) for part in ast.walk(node))
    for node in ast.walk(tree):
        if id(node) in passed:
            continue
        if isinstance(node, ast.JoinedStr | ast.BinOp) and (parts := _flat(node)) is not None:
            passed.update(_taken(node))
            numbered = list(_numbered(parts))
            choices = [_choices(part, number) for number, part in numbered]
            if _count(choices) <= MOST_CHOICES:
                yield from (words for words in map("".join, product(*choices)) if SAID.search(words))
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and SAID.search(node.value):
            yield _named(node.value)


def _taken(node: ast.expr) -> Iterator[int]:
    """Give what a sentence is made of, without the values in it: those may say sentences of their own."""
    yield id(node)
    if isinstance(node, ast.BinOp):
        yield from (*_taken(node.left), *_taken(node.right))
    elif isinstance(node, ast.JoinedStr):
        for part in node.values:
            yield from _taken(part)
    elif isinstance(node, ast.IfExp):
        yield from (*_taken(node.body), *_taken(node.orelse))
    elif isinstance(node, ast.FormattedValue) and _is_choice(node.value):
        yield from _taken(node.value)


def _flat(node: ast.expr) -> list[ast.expr] | None:
    """Return the parts of a sentence that is put together by plus signs or with its values inside; None for a sum."""
    if isinstance(node, ast.JoinedStr):
        return list(node.values)
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add):
        sides = [_flat(node.left), _flat(node.right)]
        if any(side is None for side in sides):
            return None
        return [part for side in sides for part in side or ()]
    if isinstance(node, ast.Constant):
        return [node] if isinstance(node.value, str) else None
    if isinstance(node, ast.IfExp):
        return [ast.FormattedValue(value=node, conversion=-1)] if _is_choice(node) else None
    return None


def _doubled(words: str) -> str:
    return words.replace("{", "{{").replace("}", "}}")


def _named(words: str) -> str:
    """Return a sentence with named or empty places, which something fills in later, with numbered ones."""
    numbers: dict[str, int] = {}

    def place(found: re.Match[str]) -> str:
        name = found.group(1) or f"place at {found.start()}"
        return f"{{{numbers.setdefault(name, len(numbers) + 1)}}}"

    return re.sub(r"\{(\w*)(?:[:!][^{}]*)?\}", place, words)


def _of_the_house(node: ast.Assert | ast.Call) -> bool:
    """Whether a call's words are for the house alone: table names, patterns, what cannot happen."""
    if isinstance(node, ast.Assert):
        return True
    name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
    return name in {"compile", "AssertionError", "KeyError", "TypeError", "read_rows", "Source"}


def _count(choices: list[list[str]]) -> int:
    count = 1
    for one in choices:
        count *= len(one)
    return count


def _numbered(parts: list[ast.expr]) -> Iterator[tuple[int, ast.expr]]:
    """Give each part with the number of its first place."""
    number = 1
    for part in parts:
        yield number, part
        if isinstance(part, ast.FormattedValue):
            number += _places(part)


def _places(part: ast.FormattedValue) -> int:
    if not _is_choice(part.value):
        return 1
    assert isinstance(part.value, ast.IfExp)
    return max(
        (sum(isinstance(one, ast.FormattedValue) for one in side.values) if isinstance(side, ast.JoinedStr) else 0)
        for side in (part.value.body, part.value.orelse)
    )


def _is_choice(value: ast.expr) -> bool:
    return isinstance(value, ast.IfExp) and all(
        (isinstance(one, ast.Constant) and isinstance(one.value, str)) or isinstance(one, ast.JoinedStr)
        for one in (value.body, value.orelse)
    )


def _choices(part: ast.expr, number: int) -> list[str]:
    if isinstance(part, ast.Constant):
        return [_doubled(str(part.value))]
    assert isinstance(part, ast.FormattedValue)
    if not _is_choice(part.value):
        return [f"{{{number}}}"]
    assert isinstance(part.value, ast.IfExp)
    return [_side(side, number) for side in (part.value.body, part.value.orelse)]


def _side(side: ast.expr, number: int) -> str:
    if isinstance(side, ast.Constant):
        return _doubled(str(side.value))
    assert isinstance(side, ast.JoinedStr)
    said = []
    for part in side.values:
        if isinstance(part, ast.Constant):
            said.append(_doubled(str(part.value)))
        else:
            said.append(f"{{{number}}}")
            number += 1
    return "".join(said)


def main() -> None:
    """Bring the catalogue up to what the rooms say, and compile it."""
    held = Catalog(locale="es")
    if CATALOGUE.exists():
        with CATALOGUE.open("rb") as file:
            held = read_po(file, locale="es")
    fresh = Catalog(locale="es", project="Tierwright", charset="utf-8", fuzzy=False)
    # The same words make the same file, whenever it is written.
    fresh.creation_date, fresh.revision_date = held.creation_date, held.revision_date
    for words, place in sorted(sentences().items(), key=lambda one: (one[1], one[0])):
        known = held.get(words)
        fresh.add(words, known.string if known is not None else "", locations=[(place, 0)])
    with CATALOGUE.open("wb") as file:
        write_po(file, fresh, width=118, omit_header=False)
    with CATALOGUE.with_suffix(".mo").open("wb") as file:
        write_mo(file, fresh)
    missing = sum(1 for entry in fresh if entry.id and not entry.string)
    print(f"{len(fresh)} sentences, {missing} without words in Spanish")


if __name__ == "__main__":
    main()
