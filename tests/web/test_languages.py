"""The pages in Spanish and in British English: no string without words, no place for a value lost, whole pages read."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from io import BytesIO
from pathlib import Path

import pytest
from babel.dates import get_month_names
from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract
from babel.messages.mofile import read_mo, write_mo
from babel.messages.pofile import read_po
from django.template import Context, Template
from django.test import Client
from django.utils import translation
from django.utils.formats import date_format
from django.utils.translation.template import templatize
from tests.web.conftest import Cast
from tests.web.test_money import early, head, offered  # noqa: F401

from tierwright.larder import Allergen
from tierwright.web.dates import day_words
from tierwright.web.money.offers import propose
from tierwright.web.shared.known import ALLERGENS
from tierwright.web.shared.links import make_link

WEB = Path(__file__).resolve().parents[2] / "src" / "tierwright" / "web"
KEYWORDS = {
    "_": None,
    "gettext": None,
    "gettext_lazy": None,
    "gettext_noop": None,
    "ngettext": (1, 2),
    "ngettext_lazy": (1, 2),
    "pgettext": ((1, "c"), 2),
    "pgettext_lazy": ((1, "c"), 2),
    "npgettext": ((1, "c"), 2, 3),
}
PLACE = re.compile(r"%\(\w+\)[-+0-9.]*[a-z]|%%|</?\w[^>]*>|#(?![0-9a-f]{6}\b)|@|\b[A-Z]{4,}\b(?= mm|,)")
"""What a translation has to keep: places for values, tags, and the marks that a script fills in."""


def texts(path: Path) -> str:
    """Return a module as it is, and a template as the module that says the same strings."""
    written = path.read_text(encoding="utf-8")
    if path.suffix == ".html":
        # Blanked-out markup keeps its indentation, which means nothing to Python.
        return "\n".join(line.strip() for line in templatize(written).splitlines())
    return written


def strings() -> Iterator[tuple[str | None, str | tuple[str, ...], str]]:
    """Give every string of the pages that can be translated: its context, its words, and the file that says it."""
    for path in sorted([*WEB.rglob("*.py"), *WEB.rglob("*.html")]):
        for _line, words, _comments, context in extract("python", BytesIO(texts(path).encode()), KEYWORDS):
            yield context, words if isinstance(words, str) else tuple(words or ()), str(path.relative_to(WEB))


def catalogue(language: str) -> Catalog:
    with (WEB / "locale" / language / "LC_MESSAGES" / "django.po").open("rb") as file:
        return read_po(file, locale=language)


def sayings(message: Message) -> tuple[str, ...]:
    return (message.string,) if isinstance(message.string, str) else tuple(message.string or ())


def test_every_string_has_words_in_spanish() -> None:
    spanish = catalogue("es")
    wrong: list[str] = []
    count = 0
    for context, words, file in strings():
        count += 1
        message = spanish.get(words if isinstance(words, str) else words[0], context)
        if message is None or message.id != words:
            wrong.append(f"{file}: {words!r} is not in the catalogue")
        elif message.fuzzy or not all(saying.strip() for saying in sayings(message)):
            wrong.append(f"{file}: {words!r} has no words yet")
    assert wrong == []
    assert count > 2000


@pytest.mark.parametrize("language", ["es", "en_GB"])
def test_a_translation_keeps_every_place_for_a_value(language: str) -> None:
    wrong = []
    for message in catalogue(language):
        if not message.id:
            continue
        ours = (message.id,) if isinstance(message.id, str) else message.id
        # Spanish has a form of its own for whole millions; it is one of the many.
        theirs = sayings(message)
        pairs = [(ours[0], theirs[0]), *((ours[-1], said) for said in theirs[1:])]
        wrong += [(a, b) for a, b in pairs if sorted(PLACE.findall(a)) != sorted(PLACE.findall(b))]
    assert wrong == []


@pytest.mark.parametrize("language", ["es", "en_GB"])
def test_what_is_compiled_is_what_is_written(language: str) -> None:
    with (WEB / "locale" / language / "LC_MESSAGES" / "django.mo").open("rb") as file:
        compiled = said_by(read_mo(file))
    anew = BytesIO()
    write_mo(anew, catalogue(language))
    anew.seek(0)
    assert compiled == said_by(read_mo(anew))
    assert len(compiled) > 20


def said_by(found: Catalog) -> dict[tuple[str | None, str], tuple[str, ...]]:
    return {(m.context, m.id if isinstance(m.id, str) else m.id[0]): sayings(m) for m in found if m.id}


def test_our_words_leave_the_days_and_months_alone() -> None:
    with translation.override("es"):
        days = [date_format(date(2027, 6, day), "D") for day in range(21, 28)]
        assert days == ["lun", "mar", "mié", "jue", "vie", "sáb", "dom"]
        assert date_format(date(2027, 6, 26)) == "26 de junio de 2027"


def test_spanish_months_have_no_capital_and_english_ones_do() -> None:
    # Unicode CLDR (cldr.unicode.org), es: abbreviated months of a date, as Babel has them.
    months = get_month_names("abbreviated", locale="es")
    with translation.override("es"):
        for month in range(1, 13):
            ours = day_words(date(2027, month, 3), "D j M Y").split()[2]
            assert ours == months[month].removesuffix(".").replace("sept", "sep")
        written = Template("{{ day|date:'j M Y' }}, {{ day|date:'l j F' }}, {{ day|date }}, {{ none|date:'j M' }}")
        said = written.render(Context({"day": date(2027, 6, 26), "none": None}))
        assert said == "26 jun 2027, sábado 26 de junio, 26 de junio de 2027, "
    with translation.override("en-gb"):
        assert day_words(date(2027, 6, 26), "D j M Y") == "Sat 26 Jun 2027"
        assert Template("{{ day|date:'l j F' }}").render(Context({"day": date(2027, 6, 26)})) == "Saturday 26 June"


def test_whoever_is_turned_away_reads_why_in_the_language_of_the_kitchen(cast: Cast) -> None:
    speak(cast, "es")
    ada, ben = cast.client(cast.ada), cast.client(cast.ben)
    english = {"accept-language": "en"}
    for url in (
        f"/k/{cast.kitchen.pk}/c/999999/",
        f"/k/{cast.kitchen.pk}/no/such/page/",
        "/nowhere/",
        f"/k/{cast.other.pk}/",
    ):
        answer = ada.get(url, headers=english)
        assert answer.status_code == 404
        page = answer.content.decode()
        assert '<html lang="es">' in page
        assert "Aquí no hay nada" in page
    refused = ben.get(f"/k/{cast.kitchen.pk}/people/", headers=english)
    assert refused.status_code == 403
    assert '<html lang="es">' in refused.content.decode()
    strict = Client(enforce_csrf_checks=True, headers=english)
    strict.force_login(cast.ada, backend="django.contrib.auth.backends.ModelBackend")
    refused = strict.post(cast.url("put-away/"))
    assert refused.status_code == 403
    assert '<html lang="es">' in refused.content.decode()
    # Another kitchen's people, and strangers, are met in their own language: they learn nothing of this one.
    assert '<html lang="en">' in cast.client(cast.cleo).get(f"/k/{cast.kitchen.pk}/", headers=english).content.decode()
    assert '<html lang="es">' in Client().get("/nowhere/", headers={"accept-language": "es"}).content.decode()


def speak(cast: Cast, language: str) -> None:
    cast.kitchen.language = "es" if language == "es" else "en"
    cast.kitchen.data = {**cast.kitchen.data, "units": {**cast.kitchen.data.get("units", {}), "english": "uk"}}
    cast.kitchen.save()


OF_THE_KITCHEN = {
    "": ("Encargos", "Commissions"),
    "new/": ("¿Para qué es?", "What is it for?"),
    "units/": ("Idioma de las páginas", "Language of the pages"),
    "people/": ("Un propietario lo hace todo", "An owner does everything"),
    "record/": ("Quién hizo qué", "Who did what"),
    "books/": ("Lo que esta cocina tiene, sabe y ha medido", "What this kitchen has, knows and has measured"),
    "books/formulas/": ("Anotar o traer una fórmula", "Write down or bring in a formula"),
    "books/kitchen/pans/": ("Moldes que se tienen", "Tins that are owned"),
    "books/packets/": ("Anotar un envase", "Write down a packet"),
    "money/": ("Libro de cuentas", "Ledger"),
    "shopping/": ("Primer día de compra", "First day of shopping"),
    "week/2027-06-21/": ("Planear esta semana", "Plan this week"),
}
OF_THE_COMMISSION = {
    "": ("Resuelva esto primero", "Settle these first"),
    "questions/": ("depende de", "it turns on"),
    "versions/": ("Cada cambio guardado es una versión", "Every kept change is a version"),
    "bench/": ("Paso a paso", "One step at a time"),
    "client/": ("Hacer un enlace", "Make a link"),
    "money/": ("El presupuesto", "The quotation"),
    "working/portions.made/": ("105 porciones", "105 portions"),
    "sheet/tiers/": ("Apilados posibles", "Stacks that would do"),
    "sheet/tiers/change/guests/": ("Personas que vendrán", "People who will come"),
    "sheet/formulas/": ("Pesar", "Weigh out"),
    "sheet/bakes/": ("decide el centro", "the middle decides"),
    "sheet/keeping/": ("La línea de temperatura", "The temperature line"),
    "sheet/road/": ("Qué puede ceder por el camino", "What may give on the way"),
}
SENT_BACK = re.compile(r'\b(?:value|data-[a-z-]+|min|max|step|cx|cy|x|y|width|height)="-?\d+,\d+"')
"""A number for a machine, written with the comma that only people read."""


def read(cast: Cast, url: str, language: str) -> str:
    answer = cast.client(cast.ada).get(url)
    assert answer.status_code == 200
    html = answer.content.decode()
    assert f'<html lang="{language}">' in html
    assert SENT_BACK.search(html) is None
    return html


@pytest.mark.parametrize(("language", "which"), [("es", 0), ("en-gb", 1)])
def test_pages_of_each_kind_are_read_in_the_language_of_the_kitchen(cast: Cast, language: str, which: int) -> None:
    speak(cast, language)
    pages = {f"/k/{cast.kitchen.pk}/{rest}": words[which] for rest, words in OF_THE_KITCHEN.items()}
    pages |= {cast.url(rest): words[which] for rest, words in OF_THE_COMMISSION.items()}
    missing = []
    for url, expected in pages.items():
        html = read(cast, url, language)
        if expected.casefold() not in html.casefold():
            missing.append(f"{url}: {expected}")
        if language == "es":
            assert not re.search(r">\s*(?:Commissions|Books|Shopping|Kitchen|Portions|Close)\s*<", html), url
    assert missing == []


def test_what_the_rooms_have_in_english_is_marked_as_english(cast: Cast) -> None:
    speak(cast, "es")
    html = read(cast, cast.url("working/portions.wanted/"), "es")
    assert re.search(r'<li><span lang="en">people attending = ', html)
    html = read(cast, cast.url("questions/"), "es")
    assert re.search(r'<svg lang="en" ', html)
    speak(cast, "en-gb")
    assert ' lang="en"' not in read(cast, cast.url("questions/"), "en-gb")


def test_amounts_and_days_are_written_the_spanish_way(cast: Cast, early: None) -> None:  # noqa: F811
    speak(cast, "es")
    total = propose(cast.commission, head(cast)).totals.gross
    assert total >= 1000
    whole, cents = f"{total:.2f}".split(".")
    page = read(cast, cast.url("money/"), "es")
    assert f"{whole[:-3]}.{whole[-3:]},{cents}" in page
    offered(cast)
    assert re.search(r"ante el cliente hasta el [a-zé]+ \d+ [a-z]+ 2027", read(cast, cast.url("money/"), "es"))
    _link, token = make_link(cast.commission, 30)
    page = Client().get(f"/client/{token}/").content.decode()
    assert '<html lang="es">' in page
    assert "Lo que se sabe de los alérgenos" in page


def test_a_client_reads_of_allergens_in_their_own_language(cast: Cast) -> None:
    speak(cast, "es")
    _link, token = make_link(cast.commission, 30)
    page = Client().get(f"/client/{token}/").content.decode()
    known = page[page.index("Lo que se sabe de los alérgenos") :]
    known = known[: known.index("</section>")]
    for words in ("leche", "huevo", "avellana", "piso inferior", "«No declarado» significa", "Un piso vegano"):
        assert words in known
    assert not re.search(r"\b(?:milk|egg|hazelnuts?|wheat|tier|cake|not|the|packet)\b", re.sub(r"<[^>]*>", " ", known))


def test_every_allergen_has_words_of_its_own_in_spanish() -> None:
    assert set(ALLERGENS) == set(Allergen)
    with translation.override("es"):
        words = [str(saying) for saying in ALLERGENS.values()]
    assert len(set(words)) == len(words)
    assert not set(words) & {str(allergen) for allergen in Allergen}


def test_somebody_not_signed_in_is_met_in_the_language_of_the_browser(cast: Cast) -> None:
    stranger = Client(headers={"accept-language": "es-MX,es;q=0.9,en;q=0.5"})
    page = stranger.get("/sign-in/").content.decode()
    assert '<html lang="es">' in page
    assert "Entrar" in page
