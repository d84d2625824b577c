"""A saved recipe page as one of a commission's formulas."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

from tests.dossier.scenes import EXAMPLE, kitchen

from tierwright.brief import read_commission
from tierwright.dossier import prepare

RECIPE = {
    "@context": "https://schema.org",
    "@type": "Recipe",
    "name": "Lemon and poppy seed cake",
    "recipeIngredient": [
        "200 g unsalted butter, soft",
        "300 g caster sugar",
        "zest of 3 lemons",
        "4 large eggs",
        "320 g plain flour",
        "11 g baking powder",
        "35 g poppy seeds",
        "90 g whole milk",
    ],
    "recipeInstructions": [{"@type": "HowToStep", "text": "Beat butter and sugar; fold in the rest."}],
}


def test_a_saved_page_is_weighed_like_any_formula(tmp_path: Path) -> None:
    folder = tmp_path / "order"
    shutil.copytree(EXAMPLE, folder)
    page = f'<html><head><script type="application/ld+json">{json.dumps(RECIPE)}</script></head><body>x</body></html>'
    (folder / "formulas" / "lemon-poppy.html").write_text(page)
    text = (folder / "commission.toml").read_text()
    text = text.replace(
        'file = "formulas/lemon-poppy.toml"',
        'file = "formulas/lemon-poppy.html"\nname = "Lemon and poppy seed"\nkind = "creamed"',
    )
    (folder / "commission.toml").write_text(text)
    made = prepare(read_commission(folder / "commission.toml"), kitchen())
    work = made.formulas.of("lemon-poppy")
    assert work.batch is not None
    assert [line.ingredient for line in work.formula.parts][:2] == ["unsalted_butter", "caster_sugar"]
    assert work.formula.text.method == ("Beat butter and sugar; fold in the rest.",)
