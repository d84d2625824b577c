"""What the finished cake wears and looks like: colours, letters, flowers, laid-out sides, drawings."""

from __future__ import annotations

from math import dist
from xml.etree import ElementTree

import numpy as np
import shapely
from tests.drawings import scenario
from tests.drawings.test_scene import volume_mm3
from tests.drawings.test_section import box, by_id
from tests.finish import test_colour as pairs
from tests.finish import test_colour_mixing as mixes
from tests.finish import test_lettering as letters
from tests.finish.surfaces import outline, surface
from tests.finish.test_placement import discs, petals
from tools.plots.drawing import Plot, Points, over

from tierwright.drawings import section
from tierwright.drawings.fineness import FOR_A_BROWSER
from tierwright.drawings.scene_tiers import tier_mesh
from tierwright.finish import line_round, unrolled
from tierwright.finish.colour import Lab, ciede2000, delta_e_76, delta_e_2000
from tierwright.finish.colour_mixing import learn_mixes
from tierwright.finish.colour_wish import CLOSE_ENOUGH
from tierwright.finish.lettering import natural_width
from tierwright.finish.placement import Ground, lay
from tierwright.shapes import Outline, Shape


def colour_pairs() -> Plot:
    rows = [(np.array(row[:3]), np.array(row[3:6]), row[6]) for row in pairs.TABLE]
    return Plot(
        key="colour-pairs", title="Difference of two colours: the 34 pairs of Sharma, Wu and Dalal",
        across="CIEDE2000 as published", up="computed", x=(0.5, 50, 1), y=(0.5, 50, 1), log_across=True,
        logarithmic=True, lines=(("equal", [(0.5, 0.5), (50, 50)]),),
        marks=(
            ("CIEDE2000", [(told, float(ciede2000(one, other))) for one, other, told in rows]),
            ("plain distance of 1976", [(told, delta_e_76(Lab.of(one), Lab.of(other))) for one, other, told in rows]),
        ),
    )  # fmt: skip


def colour_mixes() -> Plot:
    model = learn_mixes("buttercream", mixes.SHELF, mixes.recorded(mixes.BOOK, noise=0.5))
    bare = mixes.truth({})
    by_model, by_eye = [], []
    for recipe in mixes.unseen(20, 2):
        seen = mixes.truth(recipe)
        shifts = [mixes.truth({key: grams}).array() - bare.array() for key, grams in recipe.items()]
        strength = delta_e_2000(seen, bare)
        by_model.append((strength, delta_e_2000(model.predict(mixes.doses(recipe)), seen)))
        by_eye.append((strength, float(ciede2000(bare.array() + sum(shifts), seen.array()))))
    return Plot(
        key="colour-mixes", title="Twenty mixes of two colours that the model has never seen",
        across="how far the mix is from the bare buttercream [CIEDE2000]", up="missed by [CIEDE2000]",
        x=(0, 35, 5), y=(0, 12, 2), lines=(("a wish counts as met", [(0, CLOSE_ENOUGH), (35, CLOSE_ENOUGH)]),),
        marks=(("by the model", by_model), ("by adding up shifts, as by eye", by_eye)),
    )  # fmt: skip


def lettering() -> Plot:
    found = []
    for style, widths in letters.BROWSER.items():
        opened = letters.font(style)
        advances, names = opened["hmtx"], opened.getBestCmap()
        for text, browser in zip(letters.SET, widths, strict=True):
            apart = sum(advances[names[ord(sign)]][0] for sign in text)
            found.append((browser / apart, 10 * natural_width(text, 100.0, style) / apart))
    return Plot(
        key="lettering", title="How kerning draws letters together: four lines of words in four cuts",
        across="width in a browser over that of the letters side by side", up="computed width over the same",
        x=(0.84, 1.12, 0.04), y=(0.84, 1.12, 0.04), lines=(("equal", [(0.84, 0.84), (1.12, 1.12)]),),
        marks=(("Chromium's text engine at 1,000 px", found),),
    )  # fmt: skip


def flowers() -> Plot:
    ground = Ground.top(Outline.round(300.0).polygon())

    def laid(count: int) -> Points:
        found = []
        for share in (0.02, 0.1, 0.2, 0.34, 0.48, 0.62):
            flower_mm = (4 * share * ground.area_mm2 / np.pi / count) ** 0.5
            spread, covered = [], []
            for seed in (1, 2):
                places = lay(ground, petals(count, flower_mm), seed=seed, gap_mm=0.0)
                middles = [(piece.x_mm, piece.y_mm) for piece in places.pieces]
                nearest = [min(dist(one, other) for other in middles if other is not one) for one in middles]
                spread.append(np.mean(nearest) * 2 * (count / ground.area_mm2) ** 0.5)
                covered.append(shapely.union_all(discs(ground, places)).area / ground.area_mm2)
            found.append((100 * float(np.mean(covered)), float(np.mean(spread))))
        return found

    shares = range(5, 70, 10)
    return Plot(
        key="flowers", title="How evenly flowers lie on a round top of 300 mm",
        across="covered, as a geometry library measures it [%]", up="distance to the nearest over chance",
        x=(0, 70, 10), y=(0.8, 2.4, 0.2),
        lines=(("60 flowers, two seeds", laid(60)), ("180 flowers, two seeds", laid(180))),
        marks=(
            ("perfect lattice (Clark and Evans 1954)", [(share, 2.1491) for share in shares]),
            ("thrown by chance (the same)", [(share, 1.0) for share in shares]),
        ),
    )  # fmt: skip


def carved_side() -> Plot:
    foot_mm = 200.0
    path = line_round(Outline.round(foot_mm))

    def angle(high_mm: float, share: float) -> float:
        return float(np.degrees(unrolled(path, high_mm, share).angle(path.length_mm)))

    def handbook(high_mm: float, share: float) -> float:
        narrower = foot_mm * (1 - share)
        return 180 * narrower / float(np.hypot(narrower / 2, high_mm))

    heights = (100.0, 150.0, 200.0)
    return Plot(
        key="carved-side", title="The side of a carved round tier of 200 mm, laid flat",
        across="width at the top over width at the foot", up="angle of the sector [°]",
        x=(0.5, 1, 0.1), y=(0, 180, 30),
        lines=tuple(
            (f"{high:.0f} mm high, computed", over(0.5, 0.99, lambda k, high=high: angle(high, k)))  # type: ignore[misc]
            for high in heights
        ),
        marks=(("handbook: 180° (D - d) / slant", [
            (k / 100, handbook(high, k / 100)) for high in heights for k in range(50, 100, 5)
        ]),),
    )  # fmt: skip


def true_lengths() -> Plot:
    def errors(width_mm: float, height_mm: float) -> tuple[float, Points]:
        drawn = section(
            scenario.STACK, scenario.COATING, base=scenario.BASE, names=scenario.NAMES, width_mm=width_mm,
            height_mm=height_mm,
        )  # fmt: skip
        root = ElementTree.fromstring(drawn.svg)
        found = []
        for coated in scenario.COATING.tiers:
            for place, band in enumerate(coated.bands, 1):
                _x, _y, wide, high = box(by_id(root, f"section-tier-{coated.number}-band-{place}"))
                # A coat is drawn from the foot of its tier up.
                bottom_mm = 0.0 if band.material in ("coat", "crumb coat") else band.bottom_mm
                for paper_mm, true_mm in ((wide, band.outline.width_mm), (high, band.top_mm - bottom_mm)):
                    found.append((true_mm, drawn.scale * paper_mm - true_mm))
        return drawn.scale, found

    fine, coarse = errors(260.0, 380.0), errors(174.0, 150.0)
    return Plot(
        key="true-lengths", title="Every band of a cake of three tiers, measured in its own section drawing",
        across="true length [mm]", up="drawn · scale - true [mm]",
        x=(0, 280, 40), y=(-0.06, 0.06, 0.02),
        lines=tuple(
            (f"what rounding allows at 1 : {scale:g}", [
                (0, 0.01 * scale), (280, 0.01 * scale), (280, -0.01 * scale), (0, -0.01 * scale), (0, 0.01 * scale)
            ])
            for scale, _ in (fine, coarse)
        ),
        marks=tuple((f"at 1 : {scale:g}", found) for scale, found in (fine, coarse)),
    )  # fmt: skip


def look() -> Plot:
    high_mm, coat_mm = 110.0, 6.0

    def litres(shape: Shape, share: float) -> float:
        tier = surface(shape, 200.0, coat_mm=coat_mm, height_mm=high_mm, top_scale=share)
        return volume_mm3(tier_mesh(tier, None, (), fine=FOR_A_BROWSER)) / 1e6

    def exact(shape: Shape, share: float) -> float:
        foot = shapely.Polygon(outline(shape, 200.0).polygon()).buffer(coat_mm, quad_segs=64)
        return float(foot.area) * high_mm * (1 + share + share**2) / 3 / 1e6

    shapes = (Shape.SQUARE, Shape.ROUND, Shape.PETAL, Shape.HEART)
    return Plot(
        key="look", title="What the turning view holds: tiers of 200 × 110 mm under 6 mm of coat",
        across="width at the top over width at the foot", up="litres", x=(0.4, 1, 0.1), y=(1, 5.5, 0.5),
        lines=tuple((f"{shape.value}, drawn", over(0.4, 1.0, lambda k, s=shape: litres(s, k), 12)) for shape in shapes),  # type: ignore[misc]
        marks=(("area · height · (1 + s + s²) / 3", [
            (k / 10, exact(shape, k / 10)) for shape in shapes for k in range(4, 11)
        ]),),
    )  # fmt: skip
