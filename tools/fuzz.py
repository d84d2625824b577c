"""Throw spoilt input at everything that reads what a person or another program wrote.

    .venv/bin/python tools/fuzz.py --cases 100000 --seed 1

Allowed is an answer, or a refusal of the house (``TierwrightError``). A fault is any other exception, more than 2 s of
processor time, a process that has grown by more than 500 MB, or a refused archive that left a row behind. What broke
is printed so that it can be made a test (``tools/fuzz_parsers.py`` looks for more, guided by coverage).
Reading is all that most cases go through: of the commissions and kitchens that are accepted, one in ``--onward`` is
worked through to its dossier and written as JSON, in its own time limit.

Nothing of the person's own is touched: the archives are read into a database in a temporary folder.
"""

from __future__ import annotations

import argparse
import atexit
import copy
import hashlib
import io
import json
import os
import random
import re
import resource
import shutil
import signal
import sys
import tempfile
import time
import traceback
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from types import FrameType
from typing import Any, Final

from tierwright.errors import TierwrightError

ROOT: Final = Path(__file__).resolve().parents[1]
EXAMPLE: Final = ROOT / "examples" / "centenary"
LONGEST_S: Final = 2.0
LONGEST_WORK_S: Final = 10.0
"""Processor time for working a commission through: no page waits for it. [s]"""
MOST_MB: Final = 500.0
ONWARD: Final = 40

ODD_TEXT: Final = (
    "", " ", "\x00", "\ufeff", "\u202e", "½", "¼ ½", "1/0", "0/0", "-1", "1e400", "nan", "inf", "9" * 400,
    "1" + "0" * 5000, "é" * 50, "\U0001f382", "<script>alert(1)</script>", "=1+1", "../../etc/passwd", "%s%n{0}",
    "1 cup", "350 F", "12,5", "1.2.3", "١٢", "a" * 20_000, "((((((((((", "))))", ";;;;", "\n\n\n", "\r", "\t|\t",
    "1 – 2 – 3", "2026-02-30", "25:61", "Europe/Nowhere",
)  # fmt: skip
ODD_VALUES: Final[tuple[Any, ...]] = (
    None, True, False, 0, -1, 1, 10**30, -(10**30), 0.1, 1e308, float("inf"), float("-inf"), float("nan"),
    [], {}, [[]], [None], {"": ""}, {"a": {"b": {"c": {}}}}, *ODD_TEXT,
)  # fmt: skip


_NUMBER: Final = re.compile(r"(?<![\w.])\d{1,6}(?:\.\d{1,6})?(?![\w.:-])", re.ASCII)


class TooLong(Exception):
    """A case took more than its time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """Something that reads: sound input to spoil, and the call."""

    name: str
    seeds: tuple[Any, ...]
    read: Callable[[Any], object]
    onward: Callable[[Any], object] | None = None
    """Takes what was read a long way further."""
    turns: int = 5
    """How many cases it gets in a round: readers that take long get fewer."""


def _formula_texts() -> tuple[str, ...]:
    return tuple(path.read_text() for path in sorted(EXAMPLE.glob("*.txt")) + sorted(EXAMPLE.glob("*/*.txt")))


def _lines() -> tuple[str, ...]:
    own = (
        "2 1/2 cups (300 g) cake flour, sifted", "1 stick plus 2 Tbsp unsalted butter, softened", "3 large eggs",
        "a pinch of salt", "zest of 2 lemons", "1 (14-ounce) can sweetened condensed milk",
        "1 kg 250 g caster sugar", "100 ml whole milk",
    )  # fmt: skip
    return own + tuple(line for text in _formula_texts() for line in text.splitlines() if line.strip())


def _page() -> str:
    recipe = {
        "@context": "https://schema.org", "@type": "Recipe", "name": "Plain sponge", "recipeYield": "two 8 in rounds",
        "recipeIngredient": list(_lines()[:6]),
        "recipeInstructions": [{"@type": "HowToStep", "text": "Whisk &amp; fold."}],
    }  # fmt: skip
    return f'<html><head><script type="application/ld+json">{json.dumps(recipe)}</script></head><body>x</body></html>'


LOG: Final = "time,temp\n" + "\n".join(f"{minute},{20 + 2 * minute}.5" for minute in range(40))
WEATHER: Final = "time,air_c,humidity,sun_w_m2,wind_m_s\n" + "\n".join(
    f"2026-06-20T{hour:02d}:00,{18 + hour / 2},{60 - hour}%,{40 * hour},1.5" for hour in range(24)
)


def targets() -> dict[str, Target]:
    """Return everything that reads, by name; imported here so that ``--help`` is quick."""
    from tierwright.bake.logs import read_log
    from tierwright.brief import parse_commission, parse_kitchen, read_commission
    from tierwright.dossier import prepare, to_json
    from tierwright.formula import FormulaText, read_formula
    from tierwright.formula.lines import read_line
    from tierwright.formula.recipe import read_recipe
    from tierwright.keeping.weather import read_weather
    from tierwright.units import Kind, parse_estimate, parse_quantity
    from tierwright.web.serve import read_example
    from tierwright.words import FormulaKind

    example = read_example(EXAMPLE)
    brief, kitchen = example.tried.brief, example.kitchen
    sound_commission, sound_kitchen = parse_commission(brief, "commission"), parse_kitchen(kitchen, "kitchen")

    def formula(text: str) -> object:
        lines = tuple(text.splitlines())
        return read_formula(FormulaText(key="f", name="F", kind=FormulaKind.CREAMED, lines=lines))

    scratch = _folder() / "commission.toml"
    shutil.copytree(EXAMPLE, scratch.parent, dirs_exist_ok=True)

    def file(text: str) -> object:
        scratch.write_text(text, encoding="utf-8", errors="replace")
        return read_commission(scratch)

    def make(commission: Any) -> object:
        return to_json(prepare(commission, sound_kitchen))

    def equip(found: Any) -> object:
        return to_json(prepare(sound_commission, found))

    found = (
        Target(name="commission", seeds=(brief,), read=lambda data: parse_commission(data, "commission"), onward=make),
        Target(name="kitchen", seeds=(kitchen,), read=lambda data: parse_kitchen(data, "kitchen"), onward=equip),
        Target(name="line", seeds=_lines(), read=read_line),
        Target(name="formula", seeds=_formula_texts() or ("\n".join(_lines()),), read=formula, turns=2),
        Target(name="page", seeds=(_page(),), read=lambda text: read_recipe(text, key="f", kind=FormulaKind.CREAMED)),
        Target(name="probe", seeds=(LOG, LOG.replace(",", ";").replace(".", ",")), read=read_log),
        Target(name="weather", seeds=(WEATHER,), read=lambda text: read_weather(text, zone="Europe/Zurich")),
        Target(
            name="quantity",
            seeds=("2 1/2 in", "350 F", "1 lb 4 oz", "12.5 g", "1 h 20 min", "96 - 110", "4 ± 1 C"),
            read=lambda text: [_each(parse_quantity, text, kind) or _each(parse_estimate, text, kind) for kind in Kind],
        ),
        Target(name="file", seeds=((EXAMPLE / "commission.toml").read_text(),), read=file, onward=make, turns=3),
        _archive(example, scratch.with_name("kitchen.zip")),
    )
    return {target.name: target for target in found}


def _folder() -> Path:
    """Return a folder that is gone when the run ends."""
    path = tempfile.mkdtemp(prefix="fuzz-")
    atexit.register(shutil.rmtree, path, ignore_errors=True)
    return Path(path)


def _archive(example: Any, file: Path) -> Target:
    """Return the reader of archives, into a database that is as it was after every case."""
    from django.contrib.auth.models import User
    from django.core.management import call_command
    from django.db import transaction

    from tierwright.web.keepsafe.archive import archive_bytes, read_archive
    from tierwright.web.keepsafe.tables import own_tables
    from tierwright.web.serve import lay_down

    call_command("migrate", verbosity=0)
    with transaction.atomic():
        kitchen = lay_down(example, User.objects.create_user("maker"))
    with zipfile.ZipFile(io.BytesIO(archive_bytes(kitchen.pk))) as whole:
        entries = {name: whole.read(name) for name in whole.namelist()}
    # Texts that can be spoilt inside, beside a spoilt ZIP: the digests are made to agree again.
    seed = {name: json.loads(data) if name.endswith(".json") else data.hex() for name, data in entries.items()}

    def rows() -> list[int]:
        tables: list[Any] = [*own_tables(), User]
        return [model._base_manager.count() for model in tables]

    def read(data: Any) -> object:
        file.write_bytes(data if isinstance(data, bytes) else _packed(data))
        with transaction.atomic():
            before = rows()
            try:
                return read_archive(file)
            except TierwrightError:
                if rows() != before:
                    raise AssertionError("a refused archive left a row behind") from None
                raise
            finally:
                transaction.set_rollback(True)

    return Target(name="archive", seeds=(seed, seed, seed, _packed(seed)), read=read, turns=1)


def _packed(entries: Any) -> bytes:
    texts = {}
    for name, data in entries.items() if isinstance(entries, dict) else ():
        spoilt_file = name.startswith("files/") and isinstance(data, str)
        texts[name] = _bytes(data) if spoilt_file else json.dumps(data, sort_keys=True).encode("utf-8", "replace")
    manifest = entries.get("archive.json") if isinstance(entries, dict) else None
    listed = manifest.get("tables") if isinstance(manifest, dict) else None
    for name, entry in listed.items() if isinstance(listed, dict) else ():
        if isinstance(entry, dict) and f"tables/{name}.json" in texts:
            entry["sha256"] = hashlib.sha256(texts[f"tables/{name}.json"]).hexdigest()
    if isinstance(manifest, dict):
        if isinstance(manifest.get("people"), dict) and "people.json" in texts:
            manifest["people"]["sha256"] = hashlib.sha256(texts["people.json"]).hexdigest()
        texts["archive.json"] = json.dumps(manifest, sort_keys=True).encode("utf-8", "replace")
    with io.BytesIO() as out:
        with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
            for name, content in texts.items():
                archive.writestr(zipfile.ZipInfo(name[:60_000]), content)
        return out.getvalue()


def _bytes(digits: str) -> bytes:
    try:
        return bytes.fromhex(digits)
    except ValueError:
        return digits.encode("utf-8", "replace")


def _each(read: Callable[[str, Any], object], text: str, kind: object) -> object:
    try:
        return read(text, kind)
    except (TierwrightError, ValueError) as refusal:
        # The ground floor refuses a quantity with a plain ValueError that says what was expected.
        if not str(refusal):
            raise
        return None


def spoil(seed: Any, chance: random.Random) -> Any:
    """Return sound input spoilt at one to four places."""
    data = copy.deepcopy(seed)
    for _ in range(chance.randint(1, 4)):
        if isinstance(data, bytes):
            data = _spoil_text(data.decode("latin-1"), chance).encode("latin-1", "replace")
        else:
            data = _spoil_text(data, chance) if isinstance(data, str) else _spoil_tree(data, chance)
    return data


def _spoil_text(text: str, chance: random.Random) -> str:
    at = chance.randint(0, len(text))
    to = min(len(text), at + chance.choice((0, 1, 1, 2, 5, 40, 400)))
    way = chance.randrange(7)
    if way == 0:
        return text[:at] + text[to:]
    if way == 1:
        return text[:at] + chance.choice(ODD_TEXT) + text[to:]
    if way == 2:
        return text[:at] + text[at:to] * chance.choice((2, 3, 50)) + text[to:]
    if way == 3:
        return text[:at] + chr(chance.choice((chance.randrange(32, 127), chance.randrange(0xD7FF), 0))) + text[at:]
    if way == 4:
        lines = text.split("\n")
        chance.shuffle(lines)
        return "\n".join(lines)
    if way == 5:
        return _moved(text, chance)
    other = chance.randint(0, len(text))
    return text[:at] + text[other : other + 60] + text[to:]


def _moved(text: str, chance: random.Random) -> str:
    """Return a text with one of its numbers changed to another that might well stand there."""
    numbers = list(_NUMBER.finditer(text))
    if not numbers:
        return _spoil_text(text, chance)
    found = chance.choice(numbers)
    value = float(found[0]) * 10.0 ** chance.uniform(-1.0, 1.0)
    return f"{text[: found.start()]}{value:.{chance.choice((0, 1))}f}{text[found.end() :]}"


def _spoil_tree(data: Any, chance: random.Random) -> Any:
    places = list(_places(data))
    if not places:
        return data
    holder, key = chance.choice(places)
    way = chance.randrange(8)
    if way > 4 and isinstance(holder[key], str | int | float) and not isinstance(holder[key], bool):
        # Mostly still a brief that could be meant, so that it is read and worked through.
        old = holder[key]
        holder[key] = _moved(old, chance) if isinstance(old, str) else old * chance.randint(1, 9)
    elif way == 0:
        del holder[key]
    elif way == 1 and isinstance(holder, dict):
        holder[chance.choice(("", "x", "__class__", "format", "a" * 5000, "cake"))] = chance.choice(ODD_VALUES)
    elif way == 2 and isinstance(holder, list):
        holder.extend(copy.deepcopy(holder) * chance.choice((1, 40)))
        del holder[5000:]
    elif way == 3 and isinstance(holder[key], str):
        holder[key] = _spoil_text(holder[key], chance)
    elif way == 3 and isinstance(holder[key], int | float):
        holder[key] = holder[key] * chance.choice((-1, 0, 1e-9, 1e9, 1.0000001))
    else:
        other, name = chance.choice(places)
        try:
            holder[key] = (
                copy.deepcopy(other[name]) if chance.random() < 0.3 else copy.deepcopy(chance.choice(ODD_VALUES))
            )
        except (KeyError, IndexError):
            holder[key] = None
    return data


def _places(data: Any) -> Iterator[tuple[Any, Any]]:
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in items:
        yield data, key
        yield from _places(value)


def _alarm(_signal: int, _frame: FrameType | None) -> None:
    raise TooLong


@dataclass(slots=True)
class Case:
    """What one case went through, and what is wrong, if anything."""

    fault: str = ""
    refused: bool = False
    seconds: float = 0.0
    answer: object = None


def tried(read: Callable[[Any], object], data: Any, longest_s: float = LONGEST_S) -> Case:
    """Take one case through one step."""
    case = Case()
    began = time.process_time()
    signal.setitimer(signal.ITIMER_PROF, 4 * longest_s)
    try:
        case.answer = read(data)
    except TierwrightError as refusal:
        case.refused = True
        if not str(refusal):
            case.fault = "a refusal without words"
    except TooLong:
        case.fault = f"more than {4 * longest_s:g} s"
    except Exception:
        case.fault = traceback.format_exc(limit=-6)
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0.0)
    case.seconds = time.process_time() - began
    if not case.fault and case.seconds > longest_s:
        case.fault = f"{case.seconds:.1f} s"
    return case


def mb() -> float:
    """Return the most memory that this process has held. [MB]"""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


@dataclass(slots=True)
class Tally:
    """How the cases of one target went."""

    cases: int = 0
    refused: int = 0
    read: int = 0
    worked: int = 0
    worked_refused: int = 0
    slowest_s: float = 0.0
    slowest_work_s: float = 0.0

    def __str__(self) -> str:
        words = f"{self.cases} cases, {self.refused} refused in words, {self.read} read; slowest {self.slowest_s:.2f} s"
        if self.worked:
            words += (
                f"; of those read {self.worked} were worked through to the dossier and {self.worked_refused} of them"
                f" refused in words there, slowest {self.slowest_work_s:.2f} s"
            )
        return words


def run(cases: int, seed: int, names: list[str], each: int) -> int:
    """Run spoilt cases over every target in turn; return the number of faults."""
    known = targets()
    chosen = [known[name] for name in names or known]
    order = [target for turn in range(5) for target in chosen if turn < target.turns]
    for target in chosen:
        for sound in target.seeds:
            if fault := tried(target.read, copy.deepcopy(sound)).fault:
                raise SystemExit(f"{target.name}: the sound input itself fails: {fault}")
    chance = random.Random(seed)
    begun_mb, faults = mb(), 0
    tallies = {target.name: Tally() for target in chosen}
    for number in range(cases):
        target = order[number % len(order)]
        data = spoil(chance.choice(target.seeds), chance)
        fault = one(target, data, tallies[target.name], each)
        if not fault and mb() - begun_mb > MOST_MB:
            fault, begun_mb = f"grown by {mb() - begun_mb:.0f} MB", mb()
        if fault:
            faults += 1
            print(f"case {number}, {target.name}: {fault}\n    {repr(data)[-600:]}", file=sys.stderr, flush=True)
        if number % 10_000 == 9_999:
            print(f"{number + 1} cases, {faults} faults, {time.process_time():.0f} s", file=sys.stderr, flush=True)
    for name, tally in tallies.items():
        print(f"{name}: {tally}")
    print(f"cases: {cases}, seed {seed}; grown by {mb() - begun_mb:.0f} MB; faults: {faults}")
    return faults


def one(target: Target, data: Any, tally: Tally, each: int) -> str:
    """Take one case through its reader, and some of those that it accepts further; return what is wrong."""
    case = tried(target.read, data)
    tally.cases += 1
    tally.refused += case.refused
    tally.slowest_s = max(tally.slowest_s, case.seconds)
    if case.fault or case.refused:
        return case.fault
    tally.read += 1
    if target.onward is None or tally.read % each:
        return ""
    work = tried(target.onward, case.answer, LONGEST_WORK_S)
    tally.worked += 1
    tally.worked_refused += work.refused
    tally.slowest_work_s = max(tally.slowest_work_s, work.seconds)
    return f"worked through: {work.fault}" if work.fault else ""


def main() -> int:
    """Run as asked; 1 where there was any fault."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cases", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", action="append", default=[], metavar="TARGET")
    parser.add_argument("--onward", type=int, default=ONWARD, metavar="N", help="work one in N accepted briefs through")
    asked = parser.parse_args()
    signal.signal(signal.SIGPROF, _alarm)
    _set_up()
    return 1 if run(asked.cases, asked.seed, asked.only, asked.onward) else 0


def _set_up() -> None:
    """Let the pages live in a folder of their own for as long as this runs."""
    import django

    os.environ["TIERWRIGHT_HOME"] = str(_folder())
    os.environ.pop("DATABASE_URL", None)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tierwright.web.settings")
    django.setup()


if __name__ == "__main__":
    sys.exit(main())
