"""The pages of the docs, read as text, and the lines in them that claim to run."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
PAGES = sorted(DOCS.rglob("*.md"))
TEXTS = [*PAGES, ROOT / "README.md", ROOT / "CHANGELOG.md"]
_FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", flags=re.DOTALL | re.MULTILINE)


def name(path: Path) -> str:
    """Return the path from the repository's root."""
    return str(path.relative_to(ROOT))


def fenced(path: Path, language: str) -> list[str]:
    """Return the fenced blocks of one language."""
    return [body for kind, body in _FENCE.findall(path.read_text(encoding="utf-8")) if kind == language]


def commands(path: Path) -> list[list[str]]:
    """Return every line of a shell block that calls the program, split as a shell would."""
    lines = [line for block in fenced(path, "sh") for line in block.splitlines()]
    return [shlex.split(line)[1:] for line in lines if line.startswith("tierwright ")]
