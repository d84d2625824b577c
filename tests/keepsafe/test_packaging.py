"""What is handed over: a wheel that runs by itself, units that systemd takes, and everybody's licence."""

import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from flit_core import buildapi
from tools.licences import PAGE, pinned

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(ROOT)
        return folder / str(buildapi.build_wheel(str(folder)))


def test_the_wheel_holds_every_file_of_the_house(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        inside = {name for name in archive.namelist() if name.startswith("tierwright/")}
    house = ROOT / "src"
    there = {
        path.relative_to(house).as_posix()
        for path in (house / "tierwright").rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert there - inside == set()
    assert any(name.endswith("django.mo") for name in inside)


def test_the_wheel_runs_outside_this_folder(wheel: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(tmp_path / "site")
    run = subprocess.run(
        [sys.executable, "-c", "import tierwright, sys; print(tierwright.__file__)\n"
         "from tierwright.cli import main; sys.argv = ['tierwright', 'tiers', '96']; main()"],
        cwd=tmp_path, env={"PYTHONPATH": str(tmp_path / "site"), "PATH": "/usr/bin"},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert run.returncode == 0, run.stderr
    assert str(tmp_path) in run.stdout
    assert "portions" in run.stdout.lower()


def test_every_package_that_is_pinned_has_its_licence_on_the_page() -> None:
    text = PAGE.read_text()
    for name, version in pinned(ROOT / "requirements.lock").items():
        assert f"| {name} | {version} |" in text, "write the page anew: python tools/licences.py"


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="no systemd here")
@pytest.mark.parametrize("unit", sorted((ROOT / "deploy").glob("*.service")), ids=lambda path: path.name)
def test_the_units_are_what_systemd_takes(unit: Path, tmp_path: Path) -> None:
    # The program stands somewhere else on this machine; everything but its path is checked.
    copy = tmp_path / unit.name
    copy.write_text(unit.read_text().replace("/opt/tierwright/venv/bin/tierwright", "/bin/true"))
    run = subprocess.run(["systemd-analyze", "verify", str(copy)], capture_output=True, text=True, check=False)
    ours = [line for line in run.stderr.splitlines() if unit.name in line]
    assert ours == []
