"""A schema.org Recipe, from a saved page or a JSON text, as a formula's lines and steps.

Everything here is text from strangers: it is measured before it is read, read as data alone, and refused by name when
it is no recipe.
"""

from __future__ import annotations

import json
import re
from html import unescape
from typing import Final

from tierwright.errors import BadInput, Problem
from tierwright.formula.model import FormulaText, Kind, Measures

LARGEST_CHARACTERS: Final = 4_000_000
DEEPEST: Final = 40
MOST_NODES: Final = 20_000
MOST_LINES: Final = 80
MOST_STEPS: Final = 60
LONGEST_LINE: Final = 300
LONGEST_STEP: Final = 1000
MOST_SCRIPTS: Final = 50
_LINKED_DATA: Final = "application/ld+json"
_OPENING: Final = re.compile(r"<!--|<script\b", re.IGNORECASE)
_CLOSING: Final = re.compile(r"</script\b", re.IGNORECASE)
_TYPE: Final = re.compile(r"\btype\s*=\s*[\"']?\s*([^\"'\s>;]+)", re.IGNORECASE)
_LONGEST_TAG: Final = 2000


def read_recipe(
    text: str,
    *,
    key: str,
    kind: Kind,
    measures: Measures = Measures.US,
    egg_size: str = "us_large",
    name: str = "",
    place: str = "recipe",
) -> FormulaText:
    """
    Take a schema.org Recipe out of a saved page or a JSON text.

    Parameters
    ----------
    text
        The page (HTML with JSON-LD in it) or the JSON, at most 4 million characters.
    key, kind, measures, egg_size
        What a recipe does not say about itself, for the formula.
    name
        Which recipe, if the page holds several.
    place
        File or field, for error messages.

    Returns
    -------
    formula
        Its ingredient lines and steps as they stand, without mark-up.

    Raises
    ------
    BadInput
        Too large, no JSON, no recipe, several recipes, or one without ingredients.

    Examples
    --------
    >>> page = '{"@type": "Recipe", "name": "Plain", "recipeIngredient": ["250 g cake flour"]}'
    >>> read_recipe(page, key="plain", kind=Kind.CREAMED).lines
    ('250 g cake flour',)
    """
    if len(text) > LARGEST_CHARACTERS:
        _refuse(place, f"{len(text)} characters", f"a page of at most {LARGEST_CHARACTERS} characters")
    found: list[dict[str, object]] = []
    scripts = [text] if text.lstrip("\ufeff \t\r\n")[:1] in ("{", "[") else _scripts_of(text)
    broken = 0
    for script in scripts:
        try:
            data = json.loads(script.strip("\ufeff \t\r\n"), parse_constant=_no_constant, strict=False)
        except (ValueError, RecursionError):
            broken += 1
            continue
        found += _recipes(data, place)
    if not found:
        what = "no recipe" if not broken else "JSON that cannot be read"
        _refuse(place, what, "a schema.org Recipe as JSON-LD in the page, or a .json file that holds one")
    if name:
        named = [recipe for recipe in found if _plain(recipe.get("name")).lower() == name.lower()]
        if not named:
            names = ", ".join(_plain(recipe.get("name")) for recipe in found[:5])
            _refuse(place, f"no recipe called {name!r}", "the name of one in the page", nearest=names)
        found = named
    distinct = {json.dumps(recipe.get("recipeIngredient", recipe.get("ingredients")), default=str) for recipe in found}
    if len(distinct) > 1:
        names = ", ".join(_plain(recipe.get("name")) for recipe in found[:5])
        _refuse(place, f"{len(distinct)} recipes", "the name of the one that is meant", nearest=names)
    return _formula(found[0], key=key, kind=kind, measures=measures, egg_size=egg_size, place=place)


def _refuse(place: str, found: str, expected: str, *, nearest: str = "") -> None:
    raise BadInput([Problem(place=place, found=found, expected=expected, nearest=nearest)])


def _no_constant(text: str) -> float:
    raise ValueError(f"{text} is no JSON number")


def _scripts_of(text: str) -> list[str]:
    """
    Return the JSON-LD scripts of a page; nothing is run or fetched.

    One pass forward that never turns back: general parsers take time that grows as the square of a page made of
    unclosed tags, and only these scripts matter.
    """
    scripts: list[str] = []
    at = 0
    while len(scripts) < MOST_SCRIPTS:
        opening = _OPENING.search(text, at)
        if opening is None:
            break
        if opening.group() == "<!--":
            at = text.find("-->", opening.end())
            if at < 0:
                break
            continue
        end_of_tag = text.find(">", opening.end(), opening.end() + _LONGEST_TAG)
        if end_of_tag < 0:
            at = opening.end() + _LONGEST_TAG
            continue
        kind = _TYPE.search(text, opening.end(), end_of_tag)
        closing = _CLOSING.search(text, end_of_tag)
        if closing is None:
            break
        if kind is not None and kind.group(1).lower() == _LINKED_DATA:
            scripts.append(text[end_of_tag + 1 : closing.start()])
        at = closing.end()
    return scripts


def _recipes(data: object, place: str) -> list[dict[str, object]]:
    """Find every node that calls itself a Recipe, without recursion and with a limit on nodes and depth."""
    recipes: list[dict[str, object]] = []
    stack: list[tuple[object, int]] = [(data, 0)]
    seen = 0
    while stack:
        node, depth = stack.pop()
        seen += 1
        if depth > DEEPEST or seen > MOST_NODES:
            _refuse(place, "JSON nested too deep or too large", f"at most {DEEPEST} levels and {MOST_NODES} values")
        if isinstance(node, dict):
            kinds = node.get("@type", node.get("type", ""))
            listed = kinds if isinstance(kinds, list) else [kinds]
            if any(isinstance(kind, str) and kind.rsplit("/", 1)[-1] == "Recipe" for kind in listed):
                recipes.append(node)
                continue
            stack += [(value, depth + 1) for value in reversed(list(node.values()))]
        elif isinstance(node, list):
            stack += [(value, depth + 1) for value in reversed(node)]
    return recipes


def _formula(
    recipe: dict[str, object], *, key: str, kind: Kind, measures: Measures, egg_size: str, place: str
) -> FormulaText:
    raw = recipe.get("recipeIngredient", recipe.get("ingredients"))
    lines = [line for line in _strings(raw) if line]
    if not lines:
        _refuse(f"{place}: recipeIngredient", "no ingredients", "a list of ingredient lines")
    problems = [
        Problem(
            place=f"{place}: recipeIngredient {number}", found=f"{len(line)} signs", expected="a line of at most 300"
        )
        for number, line in enumerate(lines, start=1)
        if len(line) > LONGEST_LINE
    ]
    if len(lines) > MOST_LINES:
        problems.append(
            Problem(place=f"{place}: recipeIngredient", found=f"{len(lines)} lines", expected=f"at most {MOST_LINES}")
        )
    if problems:
        raise BadInput(problems)
    steps = _steps(recipe.get("recipeInstructions"), place)
    return FormulaText(
        key=key,
        name=_plain(recipe.get("name"))[:200] or key,
        kind=kind,
        lines=tuple(lines),
        method=tuple(step[:LONGEST_STEP] for step in steps[:MOST_STEPS]),
        made_for=", ".join(_strings(recipe.get("recipeYield")))[:200],
        measures=measures,
        egg_size=egg_size,
    )


def _plain(value: object) -> str:
    """Return a text without mark-up and with single spaces; anything else as an empty text."""
    if isinstance(value, list):
        value = value[0] if value else ""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return f"{value:g}"
    if not isinstance(value, str):
        return ""
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^<>]{0,2000}>", " ", unescape(value)))).strip()


def _strings(value: object) -> list[str]:
    """Return a text, or a list of texts, as plain lines; a text with line breaks is several."""
    if isinstance(value, str):
        broken = re.sub(r"(?i)<br\s*/?>|</(?:li|p)>", "\n", unescape(value))
        return [plain for plain in (_plain(part) for part in broken.splitlines()) if plain]
    if isinstance(value, list):
        return [plain for plain in (_plain(part) for part in value[: 10 * MOST_LINES]) if plain]
    plain = _plain(value)
    return [plain] if plain else []


def _steps(value: object, place: str) -> list[str]:
    """Return the steps of HowToStep, HowToSection, ItemList, lists and texts, in reading order."""
    steps: list[str] = []
    stack: list[tuple[object, int]] = [(value, 0)]
    while stack:
        node, depth = stack.pop()
        if depth > DEEPEST:
            _refuse(f"{place}: recipeInstructions", "steps nested too deep", f"at most {DEEPEST} levels")
        if isinstance(node, str):
            steps += _strings(node)
        elif isinstance(node, list):
            stack += [(part, depth + 1) for part in reversed(node[: 10 * MOST_STEPS])]
        elif isinstance(node, dict):
            inner = node.get("itemListElement", node.get("item"))
            text = _plain(node.get("text")) or ("" if inner else _plain(node.get("name")))
            if inner is not None:
                heading = _plain(node.get("name"))
                steps += [f"{heading.rstrip(':')}:"] if heading else []
                stack.append((inner, depth + 1))
            elif text:
                steps.append(text)
    return steps
