"""Write a dossier's files into a folder: all of them, or none."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from tierwright.dossier import Dossier, to_json
from tierwright.errors import BadInput, Problem


def write_dossier(dossier: Dossier, folder: Path) -> tuple[Path, ...]:
    """
    Write the sheets (PDF), drawings (SVG) and ``dossier.json``.

    Everything is made in a folder of its own and moved over file by file at the end, so that a failure while
    making leaves what stood there before.

    Raises
    ------
    BadInput
        The folder cannot be written to.
    """
    from tierwright.sheets import drawings_of, render

    files: dict[str, bytes] = {"dossier.json": to_json(dossier), "sheets.pdf": render(dossier)}
    files |= {name: svg.encode() for name, svg in drawings_of(dossier).items()}
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
