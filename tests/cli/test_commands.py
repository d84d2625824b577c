"""The commands, run as a person runs them."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from tests.cli.calling import run, run_apart

EXAMPLE = Path(__file__).parents[2] / "examples" / "centenary"
COMMISSION, KITCHEN = str(EXAMPLE / "commission.toml"), str(EXAMPLE / "kitchen.toml")


def test_a_dossier_is_written_whole(tmp_path: Path) -> None:
    done = run_apart("dossier", COMMISSION, "--out", str(tmp_path / "out"))
    assert done.returncode == 0, done.stderr
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert {"dossier.json", "sheets.pdf", "section.svg", "cutting-1-bottom.svg"} <= names
    assert (tmp_path / "out" / "sheets.pdf").read_bytes().startswith(b"%PDF")
    assert "Centenary supper" in done.stdout


def test_a_dossier_compares_with_a_changed_commission(tmp_path: Path) -> None:
    assert run("dossier", COMMISSION, "--out", str(tmp_path)).returncode == 0
    before = str(tmp_path / "dossier.json")
    same = run("compare", before, COMMISSION, "--json")
    assert json.loads(same.stdout)["moves"] == []
    shutil.copytree(EXAMPLE, tmp_path / "changed")
    changed = tmp_path / "changed" / "commission.toml"
    changed.write_text(Path(COMMISSION).read_text().replace('"102 to 118"', '"60 to 70"'))
    done = run("compare", before, str(changed), "--json")
    moves = {move["key"]: move for move in json.loads(done.stdout)["moves"]}
    assert moves["portions.wanted"]["after"] < moves["portions.wanted"]["before"]


def test_a_dossier_of_an_older_version_is_worked_through_again_and_said_so(tmp_path: Path) -> None:
    assert run("dossier", COMMISSION, "--out", str(tmp_path)).returncode == 0
    older = json.loads((tmp_path / "dossier.json").read_text())
    del older["finish"], older["handover"]  # as 0.1.0 wrote it
    before = tmp_path / "older.json"
    before.write_text(json.dumps(older))
    done = run("compare", str(before), COMMISSION, "--json")
    assert json.loads(done.stdout)["moves"] == []
    assert "older.json was written by another version" in done.stderr
    older["commission"]["cake"] = "large"
    before.write_text(json.dumps(older))
    refused = run("compare", str(before), COMMISSION)
    assert refused.returncode == 2
    assert "work its commission through again" in refused.stderr


def test_a_formula_by_itself() -> None:
    done = run("formula", str(EXAMPLE / "formulas" / "vanilla.toml"), "--pan", "round_8x2_in:3", "--json")
    formulas = json.loads(done.stdout)
    fills = formulas["works"][0]["batch"]["fills"]
    assert len(fills) == 3
    assert all(300 < fill["batter_g"]["value"] < 700 for fill in fills)


def test_tiers_by_themselves() -> None:
    done = run("tiers", "96", "--tiers", "3", "--eating", "80 to 85 %", "--json")
    sizing = json.loads(done.stdout)
    assert 77 <= sizing["demand"]["mean"] <= 82


VANILLA = str(EXAMPLE / "formulas" / "vanilla.toml")
ONE_PAN = (VANILLA, "--pan", "round_9x2_in", "--batter", "610 g")


def test_a_nine_inch_layer_takes_about_half_an_hour() -> None:
    # Common practice: about 30 min at 350 F.
    done = json.loads(run("bake", *ONE_PAN, "--at", "350 F", "--json").stdout)
    assert done["done_min"]["value"] == pytest.approx(30, rel=0.15)


def test_an_oven_is_learnt_shown_and_unlearnt(tmp_path: Path) -> None:
    record = ("--record", str(tmp_path / "oven.json"))
    learnt = run("oven", "learn", *ONE_PAN, "--at", "350 F", "--done", "36 min", *record, "--json")
    slow = json.loads(learnt.stdout)
    assert slow["factor"] < 1.0
    assert json.loads(run("oven", "show", *record, "--json").stdout) == slow
    log = tmp_path / "probe.csv"
    log.write_text("minutes,C\n" + "".join(f"{m},{20 + m * 2.4:.1f}\n" for m in range(33)))
    more = run("oven", "learn", *ONE_PAN, "--at", "350 F", "--log", str(log), "--name", "probe", *record, "--json")
    assert more.returncode == 0, more.stderr
    assert json.loads(run("oven", "forget", "probe", *record, "--json").stdout) == slow
    again = run("oven", "forget", "probe", *record)
    assert again.returncode == 2


def test_a_bad_bake_leaves_the_record_alone(tmp_path: Path) -> None:
    record = tmp_path / "oven.json"
    for words in (
        ("--done", "-3 min"),
        ("--done", "30 min", "--thermometer", "180 C"),
        ("--log", str(tmp_path / "none.csv")),
        ("--done", "30 min", "--start", "90 C"),
    ):
        done = run("oven", "learn", *ONE_PAN, "--at", "350 F", *words, "--record", str(record))
        assert done.returncode == 2, words
        assert "Traceback" not in done.stderr
        assert not record.exists()


def test_syrup_for_a_meringue_at_two_heights() -> None:
    # Common practice: about 242 F at sea level.
    sea, high = (
        json.loads(run("syrup", "italian-meringue", "--altitude", height, "--json").stdout)["target"]["true_c"]["value"]
        for height in ("0 m", "1420 m")
    )
    assert sea * 1.8 + 32 == pytest.approx(242, abs=0.5)
    assert 4.0 < sea - high < 6.0


def test_a_meringue_that_cannot_be_relied_on_says_so() -> None:
    done = run("meringue", "italian")
    assert "use pasteurised whites" in done.stdout
    assert "Mind:" in done.stdout


def test_a_soupy_cream_is_chilled() -> None:
    done = json.loads(run("cream", "swiss meringue buttercream", "--look", "soupy", "--bowl", "27 C", "--json").stdout)
    assert "chill" in done["action"]


@pytest.mark.parametrize("name", ["commission", "kitchen"])
def test_schemas(name: str) -> None:
    assert json.loads(run("schema", name).stdout)["type"] == "object"


@pytest.mark.parametrize(
    "words",
    [
        ("dossier", "nowhere.toml"),
        ("dossier", COMMISSION, "--kitchen", COMMISSION),
        ("compare", COMMISSION, "nowhere.json"),
        ("formula", "nowhere.txt"),
        ("formula", str(EXAMPLE / "formulas" / "blackcurrant.txt")),  # says nowhere what it makes
        ("formula", str(EXAMPLE / "formulas" / "vanilla.toml"), "--pan", "round_8x2_in:none"),
        ("formula", str(EXAMPLE / "formulas" / "vanilla.toml"), "--pan", "oval"),
        ("formula", str(EXAMPLE / "formulas" / "vanilla.toml"), "--altitude", "1,420 m"),
        ("syrup", "rock-candy"),
        ("syrup", "caramel", "--stage", "soft-ball", "--solids", "87 %"),
        ("syrup", "simple", "--solids", "190 %"),
        ("syrup", "simple", "--altitude", "9000 m"),
        ("syrup", "simple", "--line", "sand: 400 g"),
        ("syrup", "simple", "--line", "sugar"),
        ("meringue", "italian", "--whites", "-200 g"),
        ("meringue", "swiss"),
        ("meringue", "italian", "--syrup-to", "900 F"),
        ("cream", "glue"),
        ("cream", "ganache", "--look", "sad"),
        ("cream", "ganache", "--bowl", "90 C"),
        ("bake", str(EXAMPLE / "formulas" / "lemon-curd.toml"), "--pan", "round_9x2_in", "--batter", "610 g"),
        ("bake", str(EXAMPLE / "formulas" / "vanilla.toml"), "--pan", "round_9x2_in", "--batter", "610"),
        ("bake", str(EXAMPLE / "formulas" / "vanilla.toml"), "--pan", "oval", "--batter", "610 g"),
        ("oven", "show", "--record", "nowhere.json"),
        ("tiers", "a crowd"),
        ("tiers", "96", "--eating", "most"),
        ("tiers", "96", "--width", "1"),
        ("tiers", "96", "--shape", "star"),
        ("tiers", "96", "--tiers", "90"),
        ("tiers", "96", "--pan", "round_900x2_in"),
    ],
)
def test_bad_input_gives_one_report_and_code_2(tmp_path: Path, words: tuple[str, ...]) -> None:
    done = run(*words, cwd=tmp_path)
    assert done.returncode == 2, done.stdout + done.stderr
    assert "Traceback" not in done.stderr
    assert done.stderr.strip()
    assert done.stdout == ""
    assert list(tmp_path.iterdir()) == []
    as_json = run(*words, "--json", cwd=tmp_path)
    assert as_json.returncode == 2
    report = json.loads(as_json.stdout)
    assert report["problems"] or report["message"]


def test_a_process_of_its_own_ends_with_the_same_code() -> None:
    assert run_apart("tiers", "a crowd") == run("tiers", "a crowd")


def test_what_cannot_be_made_gives_code_1(tmp_path: Path) -> None:
    kitchen = tmp_path / "kitchen.toml"
    lines = Path(KITCHEN).read_text().split("[[pans]]")
    kitchen.write_text(lines[0] + "[[pans]]" + lines[1] + "[[mixers]]" + lines[-1].split("[[mixers]]", 1)[1])
    done = run("dossier", COMMISSION, "--kitchen", str(kitchen), "--out", str(tmp_path / "out"))
    assert done.returncode == 1, done.stdout
    assert "Cheapest change" in done.stderr
    assert not (tmp_path / "out").exists()


def test_a_folder_that_cannot_be_written_leaves_nothing(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a file stands here")
    done = run("dossier", COMMISSION, "--out", str(tmp_path / "out"))
    assert done.returncode == 2
    assert (tmp_path / "out").read_text() == "a file stands here"


def test_every_command_has_help_with_an_example() -> None:
    listed = run("--help").stdout
    for command in ("dossier", "compare", "formula", "tiers", "bake", "syrup", "meringue", "cream", "schema"):
        assert command in listed
        shown = " ".join(run(command, "--help").stdout.split())
        assert f"tierwright {command}" in shown
        assert "--json" in shown
