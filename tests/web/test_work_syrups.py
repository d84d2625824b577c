"""The sugar sheet, the pot and the bowl: targets of this kitchen, and what to do now."""

from __future__ import annotations

from tests.web.conftest import Cast

from tierwright.sugar import Thermometer, plan_syrup, syrup_use
from tierwright.web.frame.desk import dossier_of
from tierwright.web.models import Version

LIVE = {"HX-Request": "true"}


def test_every_pot_and_bowl_of_the_cake_is_on_the_sheet(cast: Cast) -> None:
    page = cast.client(cast.ada).get(cast.url("sheet/syrups/")).content.decode()
    dossier = dossier_of(Version.objects.get(commission=cast.commission))
    for work in dossier.sugar:
        if work.syrup or work.meringue or work.cream:
            assert f'id="pot-{work.formula}"' in page
        if work.meringue:
            assert work.meringue.verdict_text.split(".")[0] in page
    assert 'class="caution"' in page


def test_the_pot_stops_lower_up_here_and_by_what_the_thermometer_shows(cast: Cast) -> None:
    browser, url = cast.client(cast.ada), cast.url("sheet/syrups/pot/")
    kitchen = dossier_of(Version.objects.get(commission=cast.commission)).kitchen
    use = syrup_use("italian-meringue")
    plan = plan_syrup(use.lines_for(500), altitude_m=kitchen.altitude, sea_level_c=use.sea_level_c)
    assert plan.target.reading_c.value < (use.sea_level_c or 0) - 2
    page = browser.get(url, {"use": "italian-meringue"}).content.decode()
    display = kitchen.units.display()
    assert display.show_temperature(plan.target.reading_c.value) in page
    off = {"use": "italian-meringue", "boiling": f"{plan.target.water_boils_c + 2:.2f} C"}
    part = browser.get(url, off, headers=LIVE).content.decode()
    moved = plan_syrup(
        use.lines_for(500),
        altitude_m=kitchen.altitude,
        sea_level_c=use.sea_level_c,
        thermometer=Thermometer(boiling_reading_c=round(plan.target.water_boils_c + 2, 2)),
    )
    assert "<html" not in part
    assert display.show_temperature(moved.target.reading_c.value) in part
    assert "<svg" in part
    assert "#1d1d1b" not in part, "the plot takes the ink of the page"
    assert "caution" in part, "hot sugar is where the hand is"


def test_a_thermometer_too_far_off_and_a_wish_that_cannot_be_are_refused(cast: Cast) -> None:
    browser, url = cast.client(cast.ada), cast.url("sheet/syrups/pot/")
    far = browser.get(url, {"use": "caramel", "boiling": "60 C"}).content.decode()
    assert 'class="wrong"' in far
    dry = browser.get(url, {"use": "spun-sugar", "wish": "solids", "wanted": "10 %"}, headers=LIVE).content.decode()
    assert "already holds more" in dry
    unread = browser.get(url, {"use": "caramel", "make": "some"}).content.decode()
    assert 'href="#make"' in unread


def test_a_warm_soupy_bowl_is_chilled_and_a_cold_curdled_one_warmed(cast: Cast) -> None:
    browser, url = cast.client(cast.ben), cast.url("sheet/syrups/bowl/")
    soupy = {"kind": "swiss-buttercream", "look": "soupy", "bowl": "29 C", "beaten": "10 min"}
    assert "Chill, then beat" in browser.get(url, soupy, headers=LIVE).content.decode()
    curdled = soupy | {"look": "curdled", "bowl": "16 C"}
    page = browser.get(url, curdled).content.decode()
    assert "Warm a part" in page
    assert 'value="curdled" checked' in page


def test_the_bowl_says_what_it_cannot_read(cast: Cast) -> None:
    browser, url = cast.client(cast.ada), cast.url("sheet/syrups/bowl/")
    page = browser.get(url, {"look": "stiff", "bowl": "cold"}).content.decode()
    assert 'class="wrong"' in page
    page = browser.get(url, {"look": "stiff", "bowl": "80 C"}).content.decode()
    assert "2 to 50" in page


def test_boiled_sugar_is_no_proof_for_raw_whites(cast: Cast) -> None:
    browser, url = cast.client(cast.ada), cast.url("sheet/syrups/foam/")
    raw = browser.get(url, {"way": "italian", "origin": "fresh"}).content.decode()
    assert "use pasteurised whites" in raw.casefold()
    assert "<svg" in raw, "a boiled syrup has its plot"
    safe = browser.get(url, {"way": "italian", "origin": "pasteurised"}).content.decode()
    assert "no heat is needed" in safe
    warmed = browser.get(url, {"way": "swiss", "warmed": "55 C"}, headers={"HX-Request": "true"}).content.decode()
    assert "<html" not in warmed
    assert "131 °F" in warmed or "55 °C" in warmed


def test_the_foam_says_what_it_cannot_read(cast: Cast) -> None:
    browser, url = cast.client(cast.ada), cast.url("sheet/syrups/foam/")
    told = browser.get(url, {"whites": "a cup"}).content.decode()
    assert 'href="#whites"' in told
    assert browser.get(url, {"whites": "1 g"}).status_code == 200
