"""The commands on what the pages remember, run one after another as a person would, on a database of their own."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "centenary"
RUN = "import sys; sys.argv[0] = 'tierwright'; from tierwright.cli import main; main()"
LOAD = (
    "import sys; from pathlib import Path; from tierwright.web.serve import load_example, set_up; "
    "set_up(); load_example(Path(sys.argv[1]))"
)


class Machine:
    """A machine with a data folder of its own."""

    def __init__(self, home: Path) -> None:
        unlike = {"DATABASE_URL", "DJANGO_SETTINGS_MODULE"}
        env = {name: value for name, value in os.environ.items() if name not in unlike}
        self.env = env | {"TIERWRIGHT_HOME": str(home), "COLUMNS": "200"}
        self.folder = home.parent

    def run(self, *words: str, typed: str = "", code: str = RUN) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-c", code, *words],
            cwd=self.folder, env=self.env, input=typed, capture_output=True, text=True, check=False,
        )  # fmt: skip

    def answer(self, *words: str, typed: str = "") -> Any:
        done = self.run(*words, "--json", typed=typed)
        assert done.returncode == 0, done.stderr
        return json.loads(done.stdout)


@pytest.fixture(scope="module")
def machine(tmp_path_factory: pytest.TempPathFactory) -> Machine:
    made = Machine(tmp_path_factory.mktemp("machine") / "home")
    loaded = made.run(str(EXAMPLE), code=LOAD)
    assert loaded.returncode == 0, loaded.stderr
    return made


def test_write_read_copy_and_put_back(machine: Machine) -> None:
    machine.answer("archive", "write", "kitchen.zip", "--kitchen", "1")
    refused = machine.run("archive", "write", "kitchen.zip", "--kitchen", "1")
    assert refused.returncode == 2
    assert "--force" in refused.stderr
    (copy,) = machine.answer("backup")
    assert machine.answer("archive", "read", "kitchen.zip") == {"kitchen": 2, "name": "Home kitchen above the lake"}
    (found,) = machine.answer("backup", "--verify")
    assert found["state"] == "sound"
    back, before = machine.answer("restore", "latest")
    assert (back["name"], back["state"], before["state"]) == (copy["name"], "put back", "kept")
    gone = machine.run("archive", "write", "two.zip", "--kitchen", "2")
    assert gone.returncode == 2
    assert "1 (Home kitchen above the lake)" in gone.stderr
    assert not (machine.folder / "two.zip").exists()


def test_a_password_is_taken_from_the_input_and_held_to_the_rules(machine: Machine) -> None:
    short = machine.run("password", typed="short\n")
    assert short.returncode == 2
    assert "password" in short.stderr
    assert machine.answer("password", typed="four unlike words here\n") == {"name": "maker"}
    nobody = machine.run("password", "nobody", typed="four unlike words here\n")
    assert nobody.returncode == 2
    assert "maker" in nobody.stderr


def test_copies_of_a_server_are_left_to_the_server(machine: Machine) -> None:
    machine.env["DATABASE_URL"] = "postgresql://nobody@127.0.0.1:9/none"
    try:
        refused = machine.run("backup")
    finally:
        del machine.env["DATABASE_URL"]
    assert refused.returncode == 2
    assert "pg_dump" in refused.stderr
