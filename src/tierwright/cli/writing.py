"""Write a dossier's files into a folder: all of them, or none."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from tierwright.dossier import Dossier, to_json
from tierwright.errors import BadInput, Problem
from tierwright.sizing import KitchenCake, Tier


def write_dossier(dossier: Dossier, folder: Path) -> tuple[Path, ...]:
    """
    Write the sheets and the working (PDF), drawings and labels (SVG), the allergen card as text, and ``dossier.json``.

    Raises
    ------
    BadInput
        The folder cannot be written to.
    """
    from tierwright.label import label_files
    from tierwright.sheets import print_dossier

    files: dict[str, bytes] = {
        "dossier.json": to_json(dossier),
        "sheets.pdf": print_dossier(dossier),
        "working.pdf": print_dossier(dossier, record=True),
    }
    files |= {name: svg.encode() for name, svg in _drawings(dossier).items()}
    files |= {name: text.encode() for name, text in label_files(dossier.labels).items()}
    return write_files(files, folder)


def write_files(files: Mapping[str, bytes], folder: Path) -> tuple[Path, ...]:
    """
    Write files into a folder, by name.

    Everything is made in a folder of its own and moved over file by file at the end, so that a failure while
    making leaves what stood there before.

    Raises
    ------
    BadInput
        The folder cannot be written to.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=folder, prefix=".making-") as making:
            for name, content in files.items():
                (Path(making) / name).write_bytes(content)
            for name in files:
                shutil.move(Path(making) / name, folder / name)
    except OSError as error:
        raise BadInput(
            [Problem(place=str(folder), found=error.strerror or str(error), expected="a folder that can be written to")]
        ) from None
    return tuple(folder / name for name in files)


def _drawings(dossier: Dossier) -> dict[str, str]:
    """Draw the section, and for each tier and kitchen cake its cutting guide, by file name."""
    from tierwright.drawings import cutting_guide, section
    from tierwright.sheets import words_of

    words = words_of(dossier)
    stack = dossier.sizing.stack
    drawn = section(stack, dossier.coating, base=words.base, names=words.drawn, bars=words.bars, display=words.display)
    files = {"section.svg": drawn.svg}
    cakes: list[tuple[str, Tier | KitchenCake]] = [(f"cutting-{tier.number}-{tier.name}", tier) for tier in stack.tiers]
    cakes += [(f"cutting-kitchen-{number}", cake) for number, cake in enumerate(stack.kitchen_cakes, start=1)]
    for name, cake in cakes:
        if cake.cutting is not None:
            files[f"{name}.svg"] = cutting_guide(cake.cutting, cake.outline, display=words.display).svg
    return files
