"""Write docs/third-party-licences.md from what is installed: what the program runs on, and under which licence.

.venv/bin/python tools/licences.py
"""

from __future__ import annotations

import re
from importlib.metadata import PackageMetadata, PackageNotFoundError, metadata
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PAGE = ROOT / "docs" / "third-party-licences.md"
VENDORED = (
    ("DejaVu Sans (as Label Sans)", "2.37", "Bitstream-Vera", "`src/tierwright/label/fonts`, licence beside it"),
    ("Libertinus Serif (fonts)", "7.051", "OFL-1.1", "`src/tierwright/web/static/web/fonts`, licence beside it"),
    ("Libertinus Serif (fonts)", "7.051", "OFL-1.1", "`src/tierwright/finish/fonts`, licence beside it"),
    ("Great Vibes (fonts)", "", "OFL-1.1", "`src/tierwright/finish/fonts`, licence beside it"),
    (
        "Label Sans, a subset of DejaVu Sans (fonts)",
        "",
        "Bitstream Vera",
        "`src/tierwright/label/fonts`, licence beside",
    ),
    ("three.js (script)", "0.180.0", "MIT", "`src/tierwright/web/static/web/vendor/three`, licence beside it"),
    ("htmx (script)", "", "0BSD", "comes with django-htmx"),
)
HEAD = """# Third-party licences

Tierwright itself is under the Apache License 2.0 (`LICENSE`). It runs on these packages, installed from their own
releases as `requirements.lock` pins them; each keeps its own licence. Written by `tools/licences.py`.

| package | version | licence |
|---|---|---|
"""


def pinned(lock: Path) -> dict[str, str]:
    """Return the packages that a lock file pins, with their versions."""
    return dict(re.findall(r"^([a-z0-9][a-z0-9._-]*)==([^\s;\\]+)", lock.read_text(), flags=re.MULTILINE))


def licence_of(about: PackageMetadata) -> str:
    """Return a package's licence as its own metadata states it, in one line."""
    fields = about.json
    stated = str(fields.get("license_expression") or "").strip()
    if stated:
        return stated
    classes = [
        line.rsplit("::", 1)[-1].strip()
        for line in fields.get("classifier") or []
        if line.startswith("License ::") and line.count("::") > 1
    ]
    if classes:
        return "; ".join(classes)
    lines = str(fields.get("license") or "").strip().splitlines()
    return lines[0] if lines else "see the package"


def page() -> str:
    """Return the page."""
    rows = []
    for name, version in sorted(pinned(ROOT / "requirements.lock").items()):
        try:
            rows.append(f"| {name} | {version} | {licence_of(metadata(name))} |")
        except PackageNotFoundError:
            rows.append(f"| {name} | {version} | only on other systems; see the package |")
    kept = [f"| {name} | {version} | {licence} | {where} |" for name, version, licence, where in VENDORED]
    return (
        HEAD
        + "\n".join(rows)
        + "\n\nKept in this repository:\n\n| what | version | licence | where |\n|---|---|---|---|\n"
        + "\n".join(kept)
        + "\n"
    )


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
