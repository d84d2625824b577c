"""The README tells the truth: its commands exist, its library example runs, its picture is the program's own."""

from __future__ import annotations

import re
from pathlib import Path

from tests.dossier.scenes import EXAMPLE
from typer.main import get_command

from tierwright.brief import read_brief
from tierwright.cli import app, load_commands
from tierwright.dossier import prepare
from tierwright.drawings import section
from tierwright.sheets import words_of

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text()


def test_every_command_is_listed_and_every_listed_command_exists() -> None:
    load_commands()
    names = set(get_command(app).commands)  # type: ignore[attr-defined]
    listed = set(re.findall(r"^\| `tierwright (\w+)", README, flags=re.MULTILINE))
    assert listed == names


def test_every_room_is_on_the_map() -> None:
    house = ROOT / "src" / "tierwright"
    rooms = {path.name.removesuffix(".py") for path in house.iterdir() if not path.name.startswith("_")}
    rooms -= {"py.typed"}
    for room in rooms:
        assert f"`{room}`" in README, f"{room} is not on the map of rooms"


def test_the_library_example_runs(capsys: object) -> None:
    code = re.search(r"```python\n(.*?)```", README, flags=re.DOTALL)
    assert code is not None
    lines = code.group(1).replace('"examples/', f'"{ROOT}/examples/')
    assert len([line for line in lines.splitlines() if line.strip()]) <= 10
    exec(compile(lines, "README.md", "exec"), {})


def test_the_picture_is_the_programs_own() -> None:
    brief = read_brief(EXAMPLE / "commission.toml", EXAMPLE / "kitchen.toml")
    made = prepare(brief.commission, brief.kitchen)
    words = words_of(made)
    drawn = section(
        made.sizing.stack,
        made.coating,
        base=words.base,
        names=words.drawn,
        bars=words.bars,
        display=words.display,
    )
    published = (ROOT / "docs" / "pictures" / "section.svg").read_text()
    assert published == drawn.svg, "draw it anew: make run, then copy out/section.svg to docs/pictures/"


def test_the_session_shows_the_programs_own_numbers() -> None:
    brief = read_brief(EXAMPLE / "commission.toml", EXAMPLE / "kitchen.toml")
    made = prepare(brief.commission, brief.kitchen)
    assert f"Portions: {made.sizing.stack.portions} made for {made.sizing.demand.mean:.0f} expected" in README
    for work in made.formulas.works:
        if work.batch is not None:
            assert made.kitchen.units.display().show_mass(work.batch.make_g) in README, work.formula.text.name
