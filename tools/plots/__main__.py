"""Draw every plot anew: ``python -m tools.plots [FOLDER]``."""

from __future__ import annotations

import sys
from pathlib import Path

from tools.plots import FOLDER, drawn

folder = Path(sys.argv[1]) if len(sys.argv) > 1 else FOLDER
for name, svg in drawn():
    (folder / name).write_text(svg + "\n", encoding="utf-8")
    print(f"wrote {folder / name}")
