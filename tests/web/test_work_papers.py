"""Labels, buying, price and keeping: what each shows, and to whom."""

from __future__ import annotations

import re

from tests.web.conftest import Cast

from tierwright.dossier import Dossier
from tierwright.label import Presence
from tierwright.price import show_money
from tierwright.web.frame.desk import dossier_of
from tierwright.web.frame.filling import written
from tierwright.web.models import Membership, Version
from tierwright.web.sheet import sheets
from tierwright.web.work.keeping.forms import STANDING


def dossier(cast: Cast, number: int = 1) -> Dossier:
    return dossier_of(Version.objects.get(commission=cast.commission, number=number))


def test_every_cell_of_the_matrix_is_a_shape_and_a_word_and_every_mark_has_its_way(cast: Cast) -> None:
    page = cast.client(cast.ada).get(cast.url("sheet/labels/")).content.decode()
    labels = dossier(cast).labels
    matrix = page.split('class="matrix"')[1].split("</table>")[0]
    cells = re.findall(r"<td>(.*?)</td>", matrix)
    assert len(cells) == len(labels.units) * len(labels.whole.marks)
    assert all(re.search(r'class="mark \w+"></i> \w', cell) for cell in cells)
    for unit in labels.units:
        for allergen, presence in unit.marks:
            if presence is Presence.PRESENT:
                way = page.split(f'id="way-{allergen.value.replace(" ", "-")}"')[1].split("</details>")[0]
                assert unit.name in way


def test_a_way_leads_from_the_slice_to_the_packet(cast: Cast) -> None:
    page = cast.client(cast.ada).get(cast.url("sheet/labels/")).content.decode()
    trace = next(one for one in dossier(cast).labels.traces if one.presence is Presence.PRESENT and len(one.path) > 2)
    assert f"<b>{trace.path[0]}</b> ← {' ← '.join(trace.path[1:])}" in page


def test_another_law_names_other_allergens(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    typed = {"do": "keep", "base": "1", "jurisdiction": "EU"}
    assert browser.post(cast.url("sheet/labels/change/law/"), typed).status_code == 302
    assert "celery" in browser.get(cast.url("sheet/labels/")).content.decode()


def test_a_helper_shops_without_prices(cast: Cast) -> None:
    plan = dossier(cast).purchase
    total = show_money(plan.total, "USD")
    mine = cast.client(cast.ada).get(cast.url("sheet/buying/")).content.decode()
    theirs = cast.client(cast.ben).get(cast.url("sheet/buying/")).content.decode()
    assert total in mine
    assert plan.lines[0].name in theirs
    assert "$" not in theirs
    assert f"{plan.total}" not in theirs
    assert cast.client(cast.ben).get(cast.url("working/buying.total/")).status_code == 404
    assert cast.client(cast.ada).get(cast.url("working/buying.total/")).status_code == 200
    assert theirs.count('type="checkbox"') == len(plan.lines)


def test_the_price_is_closed_to_a_helper_until_allowed(cast: Cast) -> None:
    browser, url = cast.client(cast.ben), cast.url("sheet/price/")
    priced = dossier(cast).price
    assert browser.get(url).status_code == 404
    assert "Cleaning for each hour" not in browser.get(cast.url("questions/")).content.decode()
    Membership.objects.filter(user=cast.ben).update(sees_prices=True)
    page = browser.get(url).content.decode()
    assert show_money(priced.asked, "USD") in page
    assert show_money(priced.floor, "USD") in page
    for one in priced.marginals:
        assert one.label.split("&")[0][:12] in page


def test_the_line_and_its_limits_move_with_the_shade(cast: Cast) -> None:
    browser = cast.client(cast.ada)
    before = dossier(cast).keeping
    assert before is not None
    page = browser.get(cast.url("sheet/keeping/")).content.decode()
    assert 'id="line-title"' in page
    for step in before.moments:
        assert step.step in page
    brief = Version.objects.get(commission=cast.commission).brief
    typed = written(STANDING, brief) | {"venue.sun": "full", "venue.outdoors": "yes"}
    look = browser.post(cast.url("sheet/keeping/change/standing/"), {"do": "look", "base": "1", **typed})
    assert 'id="after-title"' in look.content.decode(), "the line is drawn anew before anything is kept"
    seen = {"do": "keep", "base": "1", "seen": "1", **typed}
    assert browser.post(cast.url("sheet/keeping/change/standing/"), seen).status_code == 302
    after = dossier(cast, 2).keeping
    assert after is not None
    warmest = [max(max(line.coat_facing.celsius) for line in kept.lines) for kept in (before, after)]
    assert warmest[1] > warmest[0]


def test_no_page_that_a_helper_may_open_names_a_sum_of_money(cast: Cast) -> None:
    browser = cast.client(cast.ben)
    for key in sheets():
        answer = browser.get(cast.url(f"sheet/{key}/"))
        if answer.status_code == 200:
            page = answer.content.decode()
            assert "$" not in page, key
            assert not re.search(r"\d USD\b|\bUSD \d", page), key
    assert "$" not in browser.get(cast.url("")).content.decode()
