"""The command line, called as a person calls it: in this process, which is quick, or in one of its own."""

from __future__ import annotations

import io
import subprocess
import sys
from contextlib import chdir, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

from tierwright.cli import main


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """What a command left."""

    returncode: int
    stdout: str
    stderr: str


def run(*words: str, cwd: Path | None = None) -> Done:
    """Run the program in this process; a fault of its own is raised here."""
    said, told = io.StringIO(), io.StringIO()
    with (
        patch.object(sys, "argv", ["tierwright", *words]),
        chdir(cwd or Path.cwd()),
        redirect_stdout(said),
        redirect_stderr(told),
    ):
        try:
            main()
            code = 0
        except SystemExit as left:
            code = int(left.code or 0)
    return Done(returncode=code, stdout=said.getvalue(), stderr=told.getvalue())


def run_apart(*words: str) -> Done:
    """Run the program in a process of its own."""
    command = [sys.executable, "-c", "from tierwright.cli import main; main()", *words]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
    return Done(returncode=done.returncode, stdout=done.stdout, stderr=done.stderr)
