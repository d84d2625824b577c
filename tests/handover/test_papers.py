"""The papers of the example and of harder cakes: two pages, whatever stands on them, and the same counts everywhere."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo

import pypdfium2 as pdfium  # type: ignore[import-untyped]
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.dossier.scenes import commission, kitchen
from tests.dossier.scenes import dossier as centenary
from tests.handover.scene import ask
from tests.support.conftest import make_ask

from tierwright.brief.decor import Decor
from tierwright.compare import consequences
from tierwright.dossier import Dossier, from_json, prepare, to_json
from tierwright.dossier.support_stage import SupportWork, supports_needed
from tierwright.drawings import front
from tierwright.handover import Kind, count_in, hand_over
from tierwright.sheets import Paper, book_of, words_of
from tierwright.sheets.handover import count_rows, loading_page, mark_of, signing_page, venue_pages
from tierwright.sheets.page import Page, render_pdf
from tierwright.sizing import TierKind
from tierwright.support import support, support_stocks
from tierwright.units import Display

PLAIN: dict[str, list[object]] = {name: [] for name in Decor.model_fields}


@cache
def five_tiers() -> Dossier:
    """A long case: five tiers, a keepsake, every remark as long as it may be, many contacts, all labels open."""
    long = "A remark about the place that nobody has ever shortened. " * 60
    wanted = commission(
        title="The supper for the hundredth anniversary of a rowing club with four branches and a choir of its own",
        jurisdiction="EU",
        guests={"invited": 300, "attending": "240 to 280"},
        cake={
            "tiers": 5, "keepsake": True,
            "decoration": [f"a wish in the client's own words, number {n}, with some detail" for n in range(6)],
        },
        portion={"cut_by": "client"},
        venue={
            "table": long[:4000],
            "file": {
                "place": long[:4000],
                "contacts": [
                    {"name": f"Somebody with a long name, deputy number {n} of the steward", "calls": "the venue",
                     "phone": f"555-01{n:02d}"}
                    for n in range(12)
                ],
                "other_events": [{"what": f"Another party, number {n}, also with a cake", "cake": True}
                                 for n in range(20)],
            },
        },
        handing_over={"hired": [{"what": f"hired piece {n}", "count": n + 2} for n in range(12)]},
    )  # fmt: skip
    has = kitchen()
    more = [{"shape": "round", "width": w, "depth": "2 in", "count": 2} for w in ("4 in", "14 in", "16 in")]
    pans = [pan.model_dump(mode="json", by_alias=True, exclude_none=True) for pan in has.pans]
    ovens = [oven.model_dump(mode="json", by_alias=True, exclude_none=True) for oven in has.ovens]
    roomy = [{**oven, "width": "60 cm", "depth": "50 cm"} for oven in ovens]
    return prepare(wanted, kitchen(pans=[*pans, *more], ovens=roomy))


def pages_of_pdf(pdf: bytes) -> list[str]:
    document = pdfium.PdfDocument(pdf)
    try:
        return [page.get_textpage().get_text_bounded() for page in document]
    finally:
        document.close()


def printed(dossier: Dossier, paper: Paper, *pages: Page) -> list[str]:
    return pages_of_pdf(render_pdf(pages, book_of(dossier, paper)))


def flat(text: str) -> str:
    return re.sub("[\\s\\-\u00ad\ufffe\x02]+", "", text)


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("made", [centenary, five_tiers], ids=["example", "five tiers"])
def test_two_pages_and_not_one_more(made: object, paper: Paper) -> None:
    dossier = made()  # type: ignore[operator]
    said = printed(dossier, paper, *venue_pages(dossier, words_of(dossier, paper)))
    assert len(said) == 2
    first, second = (flat(page) for page in said)
    for line in dossier.handover.counted:
        assert flat(line.what) in first
    assert flat(f"All {dossier.handover.pieces_out} pieces out") in first
    for step in dossier.handover.dismantling:
        assert flat(step) in second
    assert flat(f"{dossier.sizing.stack.portions} portions are promised") in second
    for label in dossier.labels.units:
        assert flat(label.name) in second


def test_five_tiers_are_five() -> None:
    stack = five_tiers().sizing.stack
    assert len(stack.tiers) == 5
    assert stack.tiers[-1].keepsake
    assert five_tiers().support is not None


def test_the_promise_is_what_the_guides_give() -> None:
    for dossier in (centenary(), five_tiers()):
        stack, data = dossier.sizing.stack, venue_pages(dossier, words_of(dossier))[1].data
        cut = [tier.cutting.portions for tier in stack.tiers if tier.cutting is not None and not tier.keepsake]
        cut += [cake.count * cake.cutting.portions for cake in stack.kitchen_cakes]
        assert sum(cut) == stack.portions
        numbers = [int(n) for n in re.findall(r"\d+", str(data["promise"]))]
        assert numbers[0] == stack.portions
        guides = data["guides"]
        assert isinstance(guides, list)
        assert len(guides) == len([tier for tier in stack.tiers if tier.cutting and not tier.keepsake]) + len(
            stack.kitchen_cakes
        )


def test_every_paper_can_be_set() -> None:
    for dossier in (centenary(), five_tiers()):
        words = words_of(dossier)
        said = printed(dossier, words.paper, loading_page(dossier, words), signing_page(dossier, words))
        text = flat("".join(said))
        for box in dossier.handover.boxes:
            assert flat(box.piece.holds[1:]) in text
        for spare in dossier.handover.kit.spares:
            assert flat(spare.what) in text
        assert mark_of(dossier) in text


def test_a_release_where_the_client_collects() -> None:
    dossier = prepare(
        commission(travel={"collected_by_client": True}, handing_over={"collector": "The captain", "vehicle": "Van"}),
        kitchen(),
    )
    page = signing_page(dossier, words_of(dossier))
    assert page.sheet == "release"
    text = flat("".join(printed(dossier, Paper.A4, page)))
    for line in (*dossier.handover.carry_rules, *dossier.handover.taken_over, "The captain", "Release on collection"):
        assert flat(line) in text
    keys = [one.key for one in dossier.handover.dates]
    assert "collection" in keys
    assert not {"delivery", "set_up"} & set(keys)
    assert len(printed(dossier, Paper.A4, *venue_pages(dossier, words_of(dossier)))) == 2


def test_a_picture_takes_the_place_of_the_front_view() -> None:
    dossier, words = centenary(), words_of(centenary())
    drawn = front(dossier.sizing.stack, dossier.coating, base=words.base, prefix="other", title="Another picture")
    data = venue_pages(dossier, words, drawn)[0].data
    assert "Another picture" in str(data["picture"])


class TestFront:
    def test_every_tier_is_drawn_at_its_true_size(self) -> None:
        dossier, words = centenary(), words_of(centenary())
        drawn = front(dossier.sizing.stack, dossier.coating, base=words.base, bars=words.bars, display=Display())
        for coated in dossier.coating.tiers:
            block = re.search(
                rf'id="front-tier-{coated.number}"><rect [^>]*width="([\d.]+)" height="([\d.]+)"', drawn.svg
            )
            found = block or re.search(rf'<rect ([^>]*)/></g id="front-tier-{coated.number}"', drawn.svg)
            assert found is not None
            wide, high = (float(n) * drawn.scale for n in found.groups())
            # Drawn to a hundredth of a millimetre on paper.
            assert wide == pytest.approx(coated.finished_outline.extent_mm[0], abs=0.01 * drawn.scale)
            assert high == pytest.approx(coated.finished_height_mm, abs=0.01 * drawn.scale)

    def test_hostile_names_stay_words(self) -> None:
        from tierwright.drawings import Names

        dossier = centenary()
        names = Names(flavours=("<script>alert(1)</script>", "&", '"'))
        drawn = front(dossier.sizing.stack, dossier.coating, names=names)
        assert "<script" not in drawn.svg


class TestCountsAgree:
    def test_card_and_shopping_list_of_the_example(self) -> None:
        dossier = centenary()
        assert dossier.support is not None
        needed = supports_needed(dossier.support)
        assert needed is not None
        assert sum(dossier.handover.counts(Kind.SUPPORT).values()) == sum(needed.values())
        boards = sum(1 for tier in dossier.coating.tiers if tier.board)
        assert sum(dossier.handover.counts(Kind.BOARD).values()) == boards
        figure = next(f for f in dossier.handover.notes.figures if f.key == "set_up.pieces_out")
        assert figure.value == dossier.handover.pieces_out == sum(line.count for line in dossier.handover.counted)

    def test_picks_of_the_examples_flowers_are_on_the_card_and_its_spares_in_the_kit(self) -> None:
        dossier = centenary()
        assert dossier.finish is not None
        order = dossier.finish.flowers.order
        assert order is not None
        held = sum(sum(dossier.handover.counts(kind).values()) for kind in (Kind.PICK, Kind.WIRE, Kind.OTHER))
        assert held == sum(count for _tier, _what, count in dossier.finish.picks)
        assert sum(dossier.handover.counts(Kind.PICK).values()) == order.picks > 0
        spares = sum(line.spares for line in order.lines)
        assert sum(s.pieces for s in dossier.handover.kit.spares if "are on the cake" in s.why) >= spares > 0

    @settings(max_examples=25, deadline=None)
    @given(
        sizes=st.lists(st.integers(12, 40), min_size=1, max_size=5, unique=True),
        stock=st.sampled_from(["wood-6", "tube-12", "straw-8"]),
        picks=st.lists(
            st.tuples(
                st.integers(1, 5),
                st.sampled_from(["flower pick", "flower wire", "wired rose", "hidden pick, 8 mm", "ribbon round it"]),
                st.integers(0, 40),
            ),
            max_size=8,
        ),
    )
    def test_the_card_counts_what_the_parts_list_holds(
        self, sizes: list[int], stock: str, picks: list[tuple[int, str, int]]
    ) -> None:
        # Random designs: widths in centimetres, the widest below; picks only on tiers that are there.
        widths = [10.0 * size for size in sorted(sizes, reverse=True)]
        put = tuple((tier, what, count) for tier, what, count in picks if tier <= len(widths))
        made = make_ask(*widths)
        means = replace(made.means, supports=(support_stocks()[stock], support_stocks()["tube-19"]))
        wanted = replace(made, means=means, picks=put)
        work = SupportWork(ask=wanted, found=support(wanted))
        names = {tier.number: f"number {tier.number}" for tier in wanted.tiers}
        stocks = {level.stock.name for level in work.found.levels if level.count}
        found = hand_over(ask(counted=count_in(work.found.inedibles, names=names, stocks=stocks)))
        rows = count_rows(found)

        def on_card(*kinds: Kind) -> int:
            return sum(int(str(row["count"])) for row in rows if row["kind"] in {kind.value for kind in kinds})

        needed = supports_needed(work)
        assert needed is not None
        assert on_card(Kind.SUPPORT) == sum(needed.values())
        for number, name in names.items():
            own = [row for row in rows if row["tier"] == f"{name} tier"]
            level = next((level for level in work.found.levels if level.tier == number), None)
            supports = sum(int(str(row["count"])) for row in own if row["kind"] == Kind.SUPPORT.value)
            assert supports == (0 if level is None else level.count)
            held = sum(int(str(row["count"])) for row in own if row["kind"] in ("pick", "wire", "other"))
            assert held == sum(count for tier, _what, count in put if tier == number)
        assert on_card(Kind.BOARD) == len(widths)
        assert on_card(Kind.BASE) == 1
        wires = sum(count for _tier, what, count in put if "wire" in what)
        assert on_card(Kind.WIRE) == wires
        assert found.pieces_out == sum(int(str(row["count"])) for row in rows)


class TestDates:
    def test_every_known_date_once_and_in_order(self) -> None:
        dates = centenary().handover.dates
        keys = [one.key for one in dates]
        assert len(set(keys)) == len(keys)
        assert {"tasting", "freeze", "balance", "bake", "together", "delivery", "set_up", "handover", "cutting",
                "eat_by", "throw_away", "back.1"} <= set(keys)  # fmt: skip
        assert any(key.startswith("buy.") for key in keys)
        days = [one.first_day or one.begins.date() for one in dates if one.begins or one.first_day]  # type: ignore[union-attr]
        assert days == sorted(days)

    def test_dates_are_those_of_the_brief_and_the_terms(self) -> None:
        dossier = centenary()
        found = {one.key: one for one in dossier.handover.dates}
        # Fourteen days before 26 June 2027.
        assert found["freeze"].first_day == found["balance"].first_day == date(2027, 6, 12)
        assert found["handover"].begins == dossier.commission.handover_at
        assert found["cutting"].begins == dossier.commission.cutting_at
        tasting = found["tasting"]
        assert tasting.begins == datetime(2027, 4, 17, 10, 30, tzinfo=ZoneInfo("America/Denver"))
        assert tasting.ends is not None
        assert tasting.ends - tasting.begins == timedelta(minutes=45)
        assert dossier.keeping is not None
        last_day = found["bake"].last_day
        assert last_day is not None
        assert last_day <= dossier.keeping.stays[0].begins.date()

    def test_kitchen_and_venue_keep_their_own_clocks(self) -> None:
        # A kitchen in London, a venue in Paris, on the night on which both put their clocks back.
        dossier = prepare(
            commission(day={"timezone": "Europe/Paris", "date": "2027-10-30", "handover": "18:30", "cutting": "21:00",
                            "last-slice": "23:30"},
                       venue={"file": {"room_turn": None, "other_events": []}}),
            kitchen(timezone="Europe/London"),
        )  # fmt: skip
        found = {one.key: one for one in dossier.handover.dates}
        assert (found["delivery"].begin_zone, found["delivery"].end_zone) == ("Europe/London", "Europe/Paris")
        assert found["handover"].begin_zone == "Europe/Paris"
        assert found["together"].begin_zone == "Europe/London"

    def test_what_is_not_known_has_no_date(self) -> None:
        dossier = prepare(commission(handing_over={"tasting": None, "hired": []}), kitchen())
        keys = {one.key for one in dossier.handover.dates}
        assert "tasting" not in keys
        assert not any(key.startswith("back.") for key in keys)

    def test_no_date_says_a_price(self) -> None:
        for one in centenary().handover.dates:
            assert not re.search(r"[$€£]|\d\.\d\d\b", f"{one.title} {one.note}")


def test_a_dossier_comes_back_with_its_handover() -> None:
    assert from_json(to_json(centenary())).handover == centenary().handover
    assert mark_of(from_json(to_json(centenary()))) == mark_of(centenary())


def test_what_moves_when_the_brief_changes() -> None:
    later = prepare(commission(day={"cutting": "19:45"}, cake={"tiers": 2}, decor=PLAIN), kitchen())
    moved = {move.key for move in consequences(centenary().notes, later.notes).moves}
    assert {"set_up.last", "set_up.pieces_out", "handover.on_table_g"} <= moved


def test_dummies_and_kitchen_cakes_are_told_apart() -> None:
    stack = centenary().sizing.stack
    holds = [box.piece.holds for box in centenary().handover.boxes]
    assert sum("kitchen cake" in text for text in holds) == sum(cake.count for cake in stack.kitchen_cakes)
    assert all(tier.kind is TierKind.CAKE for tier in stack.tiers)


def test_nothing_on_the_venues_pages_says_who_is_allergic() -> None:
    for page in venue_pages(centenary(), words_of(centenary())):
        said = flat(str(page.data))
        assert "injector" not in said
        assert "clubtable" not in said
