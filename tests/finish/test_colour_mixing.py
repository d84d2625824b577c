"""Mixing: Kubelka and Munk by closed forms, the model by spectra that it never saw, and what it refuses."""

from __future__ import annotations

import warnings
from itertools import pairwise

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tierwright.errors import Infeasible, MissingData, OutOfRange, UnknownName
from tierwright.finish.colour import Lab, ciede2000, delta_e_2000, lab_of_hex
from tierwright.finish.colour_mixing import (
    Dose,
    MixModel,
    OwnColour,
    RecordedMix,
    absorption_of_reflectance,
    learn_mixes,
    reflectance_of_absorption,
)
from tierwright.finish.colour_wish import CLOSE_ENOUGH, mix_for, nearest_mix, portion_out

with warnings.catch_warnings():
    # The library warns about plotting packages that a test has no use for.
    warnings.simplefilter("ignore")
    import colour as colour_science

    SHAPE = colour_science.SpectralShape(380, 780, 5)
    OBSERVER = colour_science.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(SHAPE)
    DAYLIGHT = colour_science.SDS_ILLUMINANTS["D65"].copy().align(SHAPE)
WAVES = np.asarray(SHAPE.wavelengths)


def hump(middle_nm: float, width_nm: float) -> npt.NDArray[np.float64]:
    return np.exp(-(((WAVES - middle_nm) / width_nm) ** 2) / 2)


# Absorption maxima near those of common food dyes in water (JECFA specifications: tartrazine 426, sunset yellow 482,
# allura red 504, erythrosine 526, brilliant blue 630 nm); widths and strengths invented. White scatters alone.
ABSORB = {
    "lemon": 8 * hump(427, 45),
    "orange": 8 * hump(482, 42),
    "red": 8 * hump(504, 42),
    "pink": 6 * hump(527, 22) + 2 * hump(495, 20),
    "blue": 8 * hump(630, 24) + hump(410, 20),
    "brown": 8 * np.exp(-(WAVES - 400) / 90),
    "white": 0.002 + 0 * WAVES,
}
SCATTER = {"white": 0.5}
# A buttery base: beta-carotene's absorption about 450 nm, and a tail from the short end.
BASE = 0.006 + 0.09 * hump(450, 30) + 0.05 * np.exp(-(WAVES - 400) / 40)
SHELF = tuple(
    OwnColour(key=key, name=f"{key} paste", drop_g=0.04 if key == "blue" else 0.0, opaque=key == "white")
    for key in ABSORB
)
Recipe = dict[str, float]


def truth(recipe: Recipe) -> Lab:
    """What such a mix would look like: every five nanometres, by another program's integration."""
    absorb = BASE + sum(g * ABSORB[key] for key, g in recipe.items())
    scatter = 1 + sum(g * SCATTER.get(key, 0.0) for key, g in recipe.items())
    k_s = absorb / scatter
    reflected = colour_science.SpectralDistribution(1 + k_s - np.sqrt(k_s**2 + 2 * k_s), SHAPE)
    xyz = colour_science.sd_to_XYZ(reflected, OBSERVER, DAYLIGHT, method="Integration") / 100
    return Lab.of(np.asarray(colour_science.XYZ_to_Lab(xyz)))


def doses(recipe: Recipe) -> tuple[Dose, ...]:
    return tuple(Dose(colour=key, g_per_100g=g) for key, g in recipe.items())


def recorded(recipes: list[Recipe], noise: float = 0.0, base: str = "buttercream") -> list[RecordedMix]:
    rng = np.random.default_rng(4)
    return [
        RecordedMix(
            name=f"mix {i}",
            base=base,
            doses=doses(recipe),
            seen=Lab.of(truth(recipe).array() + rng.normal(0, noise, 3) if noise else truth(recipe).array()),
        )
        for i, recipe in enumerate(recipes)
    ]


DYES = [key for key in ABSORB if key != "white"]
BOOK: list[Recipe] = [
    {},
    *({key: g} for key in DYES for g in (0.03, 0.12)),
    {"pink": 0.06, "blue": 0.02},
    {"lemon": 0.08, "blue": 0.03},
    {"red": 0.05, "brown": 0.03},
    {"orange": 0.04, "pink": 0.04},
]


@pytest.fixture(scope="module")
def model() -> MixModel:
    return learn_mixes("buttercream", SHELF, recorded(BOOK, noise=0.5))


def unseen(count: int, colours: int) -> list[Recipe]:
    rng = np.random.default_rng(8)
    return [
        {str(key): float(rng.uniform(0.01, 0.1)) for key in rng.choice(DYES, colours, replace=False)}
        for _ in range(count)
    ]


class TestKubelkaMunk:
    @pytest.mark.parametrize(
        ("reflectance", "k_over_s"),
        # Exact values of (1 - R)^2 / 2R (Kubelka and Munk 1931).
        [(1.0, 0.0), (0.5, 0.25), (0.25, 1.125), (0.1, 4.05), (0.2, 1.6), (0.8, 0.025)],
    )
    def test_closed_form(self, reflectance: float, k_over_s: float) -> None:
        assert absorption_of_reflectance(np.array(reflectance)) == pytest.approx(k_over_s)
        assert reflectance_of_absorption(np.array(k_over_s)) == pytest.approx(reflectance)

    @given(st.floats(1e-6, 1.0))
    def test_inverse(self, reflectance: float) -> None:
        there = absorption_of_reflectance(np.array(reflectance))
        assert float(reflectance_of_absorption(there)) == pytest.approx(reflectance, rel=1e-9)

    @given(st.floats(0.0, 1e5))
    def test_kubelkas_other_form(self, k_over_s: float) -> None:
        # Kubelka 1948: R = a - b, with a = 1 + K/S and b = sqrt(a^2 - 1); the two are one.
        a = 1 + k_over_s
        expected = a - np.sqrt(a * a - 1)
        assert float(reflectance_of_absorption(np.array(k_over_s))) == pytest.approx(expected, rel=1e-3, abs=1e-9)


class TestUnseenSpectra:
    @pytest.mark.parametrize(("colours", "mean", "worst"), [(1, 1.0, 3.0), (2, 1.0, 3.0), (3, 1.0, 3.0)])
    def test_foretells_mixes_it_never_saw(self, model: MixModel, colours: int, mean: float, worst: float) -> None:
        missed = [delta_e_2000(model.predict(doses(recipe)), truth(recipe)) for recipe in unseen(25, colours)]
        assert np.mean(missed) < mean
        assert max(missed) < worst

    def test_its_own_word_on_its_error_is_honest(self, model: MixModel) -> None:
        # Mixes left out one by one are fewer and lonelier than the whole book: their error is the larger one.
        recipes = [recipe for size in (1, 2, 3) for recipe in unseen(25, size)]
        really = float(np.mean([delta_e_2000(model.predict(doses(recipe)), truth(recipe)) for recipe in recipes]))
        assert model.mean_error is not None
        assert really < 1.2 * model.mean_error < 4 * really
        assert model.fit_delta_e < model.mean_error

    def test_better_than_mixing_colours_as_light(self, model: MixModel) -> None:
        """Adding up the shifts in CIELAB, as one does by eye, misses more."""
        bare = truth({}).array()
        by_light, by_model = [], []
        for recipe in unseen(25, 2):
            added = bare + sum(truth({key: g}).array() - bare for key, g in recipe.items())
            by_light.append(float(ciede2000(added, truth(recipe).array())))
            by_model.append(delta_e_2000(model.predict(doses(recipe)), truth(recipe)))
        assert np.mean(by_model) < np.mean(by_light) / 2

    def test_an_opaque_white_needs_the_second_constant(self) -> None:
        whites: list[Recipe] = [{}, {"white": 1}, {"white": 3}, {"red": 0.05}, {"red": 0.1}, {"red": 0.1, "white": 2}]
        asked = {"red": 0.07, "white": 1.5}
        two = learn_mixes("buttercream", SHELF, recorded(whites))
        plain = [OwnColour(key=one.key, name=one.name) for one in SHELF]
        one = learn_mixes("buttercream", plain, recorded(whites))
        assert truth({"white": 3}).lightness > truth({}).lightness + 1
        assert delta_e_2000(two.predict(doses(asked)), truth(asked)) < 1.0
        assert two.fit_delta_e < one.fit_delta_e

    def test_more_colour_is_darker(self, model: MixModel) -> None:
        for key in DYES:
            lights = [model.predict(doses({key: g})).lightness for g in (0.0, 0.02, 0.05, 0.08, 0.12)]
            assert all(more < less for less, more in pairwise(lights))

    def test_order_of_the_records_does_not_matter(self, model: MixModel) -> None:
        other = learn_mixes("buttercream", SHELF, recorded(BOOK, noise=0.5)[::-1])
        asked = doses({"pink": 0.05, "blue": 0.01})
        assert delta_e_2000(other.predict(asked), model.predict(asked)) < 0.02


class TestWish:
    @pytest.mark.parametrize("number", range(8))
    def test_finds_a_mix_that_really_comes_out(self, model: MixModel, number: int) -> None:
        wish = truth(unseen(8, 2)[number])
        match = mix_for(model, wish)
        really = truth({dose.colour: dose.g_per_100g for dose in match.doses})
        assert match.delta_e <= CLOSE_ENOUGH
        assert delta_e_2000(really, wish) <= CLOSE_ENOUGH + 2.0
        assert match.predicted == model.predict(match.doses)

    def test_one_colour_is_answered_with_one(self, model: MixModel) -> None:
        match = mix_for(model, truth({"pink": 0.05}))
        assert [dose.colour for dose in match.doses] == ["pink"]
        assert match.doses[0].g_per_100g == pytest.approx(0.05, rel=0.2)

    def test_the_bare_base_needs_nothing(self, model: MixModel) -> None:
        assert mix_for(model, truth({})).doses == ()

    def test_no_random_search_does_better(self, model: MixModel) -> None:
        rng = np.random.default_rng(5)
        most = dict(zip((c.key for c in model.colours), model.most_g, strict=True))
        for wish in (lab_of_hex("#e8b0c0"), lab_of_hex("#9cc3a0"), lab_of_hex("#203060")):
            best = nearest_mix(model, wish).delta_e
            for _ in range(300):
                keys = rng.choice(DYES, 3, replace=False)
                tried = {str(key): float(rng.uniform(0, most[str(key)])) for key in keys}
                # Up to three colours at WORTH_ANOTHER each may be given up for a simpler bowl.
                assert delta_e_2000(model.predict(doses(tried)), wish) > best - 1.3

    def test_what_cannot_be_reached_is_refused_with_the_nearest(self, model: MixModel) -> None:
        with pytest.raises(Infeasible, match=r"not reachable .* nearest is lab .* in 100 g") as refused:
            mix_for(model, lab_of_hex("#0000ff"))
        assert "record mixes of another colour" in refused.value.cheapest_change

    def test_a_trace_of_violet_takes_the_yellow_out_of_butter_but_makes_it_no_lighter(self, model: MixModel) -> None:
        # The trade's own trick, which the model has to find by itself.
        match = nearest_mix(model, Lab(lightness=99.5, a=0, b=0))
        bare = truth({})
        assert {dose.colour for dose in match.doses} == {"blue", "pink"}
        assert match.predicted.b < bare.b - 3
        assert match.predicted.lightness < bare.lightness
        assert not match.reached

    def test_never_more_than_was_recorded(self, model: MixModel) -> None:
        match = nearest_mix(model, lab_of_hex("#330000"))
        most = dict(zip((c.key for c in model.colours), model.most_g, strict=True))
        assert all(0 < dose.g_per_100g <= most[dose.colour] for dose in match.doses)
        assert len(match.doses) <= 3
        with pytest.raises(OutOfRange):
            model.predict(doses({"red": 0.2}))

    def test_measured_out_in_drops_and_by_the_scale(self, model: MixModel) -> None:
        match = mix_for(model, truth({"pink": 0.05, "blue": 0.02}))
        batch = portion_out(model, match, 800.0, scale_step_g=0.1)
        blue = next(one for one in batch.portions if one.colour == "blue")
        pink = next(one for one in batch.portions if one.colour == "pink")
        assert blue.drops >= 1
        assert blue.g == pytest.approx(blue.drops * 0.04)
        assert pink.drops == 0
        assert pink.g == pytest.approx(round(pink.g, 1))
        put_in = {one.colour: one.g / 8 for one in batch.portions}
        assert batch.predicted == model.predict([Dose(colour=key, g_per_100g=g) for key, g in put_in.items()])
        # A small bowl cannot be measured out as finely.
        assert portion_out(model, match, 60.0, scale_step_g=0.1).delta_e > batch.delta_e

    @pytest.mark.parametrize(("base_g", "step"), [(10.0, 0.1), (500.0, 0.0)])
    def test_refuses_odd_batches(self, model: MixModel, base_g: float, step: float) -> None:
        with pytest.raises(OutOfRange):
            portion_out(model, nearest_mix(model, lab_of_hex("#e8b0c0")), base_g, scale_step_g=step)


class TestRecords:
    def test_nothing_recorded_is_nothing_said(self) -> None:
        with pytest.raises(MissingData, match="a recorded mix of ganache"):
            learn_mixes("ganache", SHELF, recorded(BOOK))

    def test_the_bare_base_has_to_be_recorded(self) -> None:
        with pytest.raises(MissingData, match="bare buttercream"):
            learn_mixes("buttercream", SHELF, recorded([{"red": 0.1}]))

    def test_a_colour_that_is_not_on_the_shelf(self) -> None:
        with pytest.raises(UnknownName, match="lemmon"):
            learn_mixes("buttercream", SHELF, [
                *recorded([{}]),
                RecordedMix(name="odd", base="buttercream", doses=doses({"lemmon": 1}), seen=truth({})),
            ])  # fmt: skip

    def test_an_error_is_claimed_only_where_a_mix_could_be_left_out(self) -> None:
        model = learn_mixes("buttercream", SHELF, recorded([{}, {"red": 0.1}]))
        assert model.mean_error is None
        assert model.worst_error is None
        more = learn_mixes("buttercream", SHELF, recorded([{}, {"red": 0.1}, {"red": 0.05}]))
        assert [one.name for one in more.left_out] == ["mix 1", "mix 2"]

    def test_only_the_bare_base(self) -> None:
        model = learn_mixes("buttercream", SHELF, recorded([{}]))
        assert delta_e_2000(model.predict([]), truth({})) < 0.3
        assert nearest_mix(model, truth({})).reached
        assert not nearest_mix(model, truth({"red": 0.1})).reached

    def test_another_base_is_another_model(self) -> None:
        mixes = [*recorded([{}, {"red": 0.1}]), *recorded([{}, {"blue": 0.1}], base="ganache")]
        assert [one.key for one in learn_mixes("ganache", SHELF, mixes).colours] == ["blue"]

    def test_unknown_dose(self, model: MixModel) -> None:
        with pytest.raises(UnknownName):
            model.predict(doses({"white": 1}))
