"""Every shape of tier, and every kind of cake besides the tiers, through the whole job."""

from __future__ import annotations

import pypdfium2  # type: ignore[import-untyped]
import pytest
from tests.dossier.scenes import commission, kitchen

from tierwright.coating import CoatStyle
from tierwright.dossier import Dossier, from_json, prepare, to_json
from tierwright.drawings import cutting_guide
from tierwright.larder import pans
from tierwright.shapes import Shape
from tierwright.sheets import print_dossier
from tierwright.sizing import TierKind

METRIC = {"mass": "g", "length": "cm", "temperature": "C", "english": "uk"}


def printed(dossier: Dossier) -> str:
    pdf = pypdfium2.PdfDocument(print_dossier(dossier))
    return "\n".join(page.get_textpage().get_text_range() for page in pdf)


@pytest.mark.parametrize("shape", [shape for shape in Shape if shape is not Shape.ROUND])
def test_every_shape_comes_through(shape: Shape) -> None:
    owned = [{"pan": pan.key, "count": 3} for pan in pans().values() if pan.outline.shape is shape]
    done = prepare(commission(cake={"shape": shape.value, "tiers": 2}), kitchen(pans=owned, units=METRIC))
    for tier in done.sizing.stack.tiers:
        assert tier.outline.shape is shape
        if tier.cutting is not None:
            assert tier.cutting.portions > 0
            assert cutting_guide(tier.cutting, tier.outline).svg.startswith("<svg")
    assert all(coated.finished_height_mm > 80 for coated in done.coating.tiers)
    assert from_json(to_json(done)) == done


def test_a_heart_with_hostile_names_in_print() -> None:
    # Names are a client's own words: markup of the page setter, of the drawings and of a shell stays text.
    title = '#eval("1") $x$ <script>&amp;</script> *_`\\ ]) "quoted"'
    owned = [{"pan": pan.key, "count": 3} for pan in pans().values() if pan.outline.shape is Shape.HEART]
    flavours = commission().model_dump(mode="json", by_alias=True)["cake"]["flavours"]
    flavours[0]["name"] = '#panic() <b>"&'
    wishes = commission(title=title, cake={"shape": "heart", "tiers": 2, "flavours": flavours})
    done = prepare(wishes, kitchen(pans=owned, units=METRIC))
    text = " ".join(printed(done).split())
    assert '#eval("1") $x$ <script>&amp;</script>' in text
    assert '#panic() <b>"&' in text
    assert "°F" not in text.replace("°C", "").split("settled")[0]


def test_keepsake_dummies_and_kitchen_cakes_come_through() -> None:
    wishes = commission(
        cake={"tiers": 4, "keepsake": True}, guests={"invited": 40, "attending": "30 to 36"}, diets=[], allergies=[]
    )
    few = prepare(wishes, kitchen())
    stack = few.sizing.stack
    assert sum(tier.keepsake for tier in stack.tiers) == 1
    served = sum(tier.cutting.portions for tier in stack.tiers if tier.cutting is not None and not tier.keepsake)
    served += sum(cake.count * cake.cutting.portions for cake in stack.kitchen_cakes)
    assert stack.portions == served
    many = prepare(commission(cake={"tiers": 2}, guests={"invited": 260, "attending": "220 to 240"}), kitchen())
    assert many.sizing.stack.kitchen_cakes
    text = printed(many)
    assert "kitchen cake" in text
    fixed = [{"number": 1, "shape": "round", "width": "12 in", "kind": "dummy"}]
    foam = prepare(commission(cake={"fixed": fixed, "tiers": 3}), kitchen())
    bottom = foam.sizing.stack.tiers[0]
    assert bottom.kind is TierKind.DUMMY
    assert bottom.cutting is None
    assert "dummy" in printed(foam)


@pytest.mark.parametrize("style", list(CoatStyle))
def test_every_style_of_coat_comes_through_with_foam_in_the_stack(style: CoatStyle) -> None:
    wishes = commission(
        cake={"tiers": 4, "coating": style.value}, guests={"invited": 30, "attending": "22 to 28"}, diets=[],
        allergies=[],
    )  # fmt: skip
    done = prepare(wishes, kitchen())
    foam = [tier.number for tier in done.sizing.stack.tiers if tier.kind is TierKind.DUMMY]
    assert foam
    kept = {line.tier for line in done.keeping.lines} if done.keeping is not None else set()
    asked = {question.key for question in done.notes.questions}
    assumed = {assumption.key for assumption in done.notes.assumptions}
    if style is CoatStyle.NAKED:
        assert kept, "the tiers of cake"
        assert not kept & set(foam), "bare foam does not spoil"
        assert {f"tier.{number}.foam" for number in foam} <= asked
    assert ("coating.fondant_bought" in assumed) == (style is CoatStyle.ROLLED)
    if style is CoatStyle.ROLLED:
        assert any(one.item == "fondant_rolled" for one in done.purchase.unmet), "to be bought, once it has a price"
    assert from_json(to_json(done)) == done
