"""What stands, bends, tips and slides."""

from __future__ import annotations

from math import pi

import numpy as np
from tests.support.conftest import one_block
from tools.plots.drawing import Plot, over

from tierwright.coating import kind
from tierwright.coating.strength import slump_thickness_mm, yield_stress_pa
from tierwright.coating.tables import density
from tierwright.shapes import Outline
from tierwright.support.column import Section, buckling_load_n
from tierwright.support.plate import PatchForce, bend_plate
from tierwright.support.plate_kernel import Edge
from tierwright.support.stack import piece_utilisations, tips_and_slides, tips_at_g


def round_plate() -> Plot:
    a = 100.0
    even = PatchForce(outline=Outline.round(2 * a), force_n=pi * a**2)

    def computed(nu: float, edge: Edge) -> float:
        return bend_plate(even.outline, stiffness_nmm=1.0, poisson=nu, patches=(even,), edge=edge).sag_mm * 64 / a**4

    ratios = [0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4]
    return Plot(
        key="round-plate", title="A round board under an even load",
        across="Poisson's ratio", up="sag in the middle over q a⁴ / 64 D", x=(0.1, 0.4, 0.05), y=(0, 6, 1),
        lines=(
            ("rim held down on a ring, computed", [(nu, computed(nu, Edge.SUPPORTED)) for nu in ratios]),
            ("rim clamped, computed", [(nu, computed(nu, Edge.CLAMPED)) for nu in ratios]),
        ),
        marks=(
            ("Timoshenko: (5 + ν) / (1 + ν)", [(nu, (5 + nu) / (1 + nu)) for nu in ratios]),
            ("Timoshenko: 1", [(nu, 1.0) for nu in ratios]),
        ),
    )  # fmt: skip


def column() -> Plot:
    newton = 4.4482216152605
    bar = Section(outer_mm=25.4)

    def load(inches: float) -> float:
        crush, modulus = 40e3 * line_psi, 30e6 * line_psi
        return buckling_load_n(bar, length_mm=25.4 * inches, modulus_mpa=modulus, crush_mpa=crush) / 1000

    line_psi = 0.006894757293168361
    euler = [(n, pi**2 * 30e6 * pi / 64 / n**2 * newton / 1000) for n in (35, 40, 45, 50, 55, 60)]
    return Plot(
        key="column", title="A steel bar 1 in thick, pinned at both ends",
        across="length [in]", up="load that bends it out [kN]", x=(5, 60, 5), y=(0, 150, 25),
        lines=(("computed", over(5, 60, load)),),
        marks=(
            ("Johnson by hand at 20 in: 24,625 lbf", [(20, 24_625 * newton / 1000)]),
            ("Euler by hand", euler),
        ),
    )  # fmt: skip


def tipping() -> Plot:
    def first(high_mm: float) -> tuple[float, float]:
        block = one_block(balance_mm=np.array([[high_mm]]))
        found = piece_utilisations(block, forward_g=np.ones(1), side_g=np.ones(1), lightened_g=np.zeros(1))
        return tips_and_slides(found, 0)

    return Plot(
        key="tips-or-slides", title="A block of 4 kg on a base of 200 mm: does it slide or tip?",
        across="height of its balance [mm]", up="push over its weight", x=(40, 400, 40), y=(0, 2.5, 0.5),
        lines=(
            ("tips, computed", over(40, 400, lambda high: first(high)[0])),
            ("slides at a friction of 0.4", over(40, 400, lambda high: first(high)[1], 2)),
            ("a hard stop with its margin", [(40, 0.55 * 1.2), (400, 0.55 * 1.2)]),
        ),
        marks=(("b / h", [(high, tips_at_g(100.0, high)) for high in range(40, 401, 40)]),),
    )  # fmt: skip


def slump() -> Plot:
    coat = kind("swiss_buttercream")
    grams_per_ml = density(coat.key).value

    def stays(celsius: float, end: str) -> float:
        return max(0.1, slump_thickness_mm(getattr(yield_stress_pa(coat, celsius), end), grams_per_ml))

    by_hand = [(t, 600 * (solid / 20) ** 2.5 / (grams_per_ml * 9.80665)) for t, solid in ((20, 20), (25, 11.5))]
    return Plot(
        key="coat-stays", title="Thickest meringue buttercream that stays on a side",
        across="temperature of the coat [°C]", up="thickness [mm]", x=(14, 34, 2), y=(0.1, 1000, 1), logarithmic=True,
        lines=(
            ("middle of its class, computed", over(14, 34, lambda t: stays(t, "value"))),
            ("firm end", over(14, 34, lambda t: stays(t, "high"))),
            ("soft end", over(14, 34, lambda t: stays(t, "low"))),
            ("a coat of 7 mm", [(14, 7), (34, 7)]),
        ),
        marks=(("600 Pa (S / 20 %)^2.5 / ρ g by hand", by_hand),),
    )  # fmt: skip
