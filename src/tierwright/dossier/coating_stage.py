"""From tiers and formulas to what coating needs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from tierwright.brief import Commission, Flavour, FormulaSheet, Kitchen
from tierwright.brief.decor import Decor, TextureKind
from tierwright.coating import Coating, CoatStyle, Finish, Season, Spread, TierToCoat, coat, kind_for, kinds
from tierwright.errors import BadInput, MissingData, Problem
from tierwright.formula import formula_class
from tierwright.larder import Board, Group, Ingredient, board, boards, find
from tierwright.measures import notes_in_measures
from tierwright.shapes import Outline
from tierwright.sizing import KitchenCake, Sizing, Tier, TierKind
from tierwright.words import FormulaKind
from tierwright.working import COMMON_PRACTICE, Assumption, Basis, Estimate, Notes, Source

BAKE_LOSS = Estimate(value=0.095, low=0.07, high=0.12)
"""Share of a layer's mass that leaves as steam. [-]"""
BAKE_LOSS_SOURCE = Source(
    basis=Basis.PUBLISHED, text="conventional-oven cakes lose 8 to 12 % of their mass; common practice for deep layers"
)
BOUGHT_FONDANT = "fondant_rolled"
BASE_MARGIN_MM = 38.0
"""Board that shows on each side of the bottom tier. [mm] Common practice: three inches wider."""
WARM_C = 25.0

TEXTURES = {
    TextureKind.SMOOTH: Finish.SMOOTH,
    TextureKind.COMBED: Finish.COMBED,
    TextureKind.STRIPED: Finish.STRIPED,
    TextureKind.SPREAD: Finish.TEXTURED,
}
BOUGHT_KINDS = {
    Group.PRESERVE: "jam",
    Group.NUT: "praline",
    Group.FRUIT: "fresh_fruit",
    Group.SYRUP: "syrup",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Boards:
    """The boards chosen: one under each tier (bottom first), and the one under everything."""

    tiers: tuple[Board | None, ...]
    base: Board | None


def coat_tiers(commission: Commission, kitchen: Kitchen, sizing: Sizing, losses: Mapping[str, Estimate]) -> Coating:
    """
    Run the coating stage for a sized stack.

    ``losses`` is the share of each formula's batter that leaves as steam; where no bake could be computed the usual
    share is taken.
    """
    stack = sizing.stack
    chosen = choose_boards(stack.tiers, kitchen)
    venue, cabin = commission.venue.temperature, commission.travel.cabin
    done = coat(
        [_order(commission, tier, under, losses) for tier, under in zip(stack.tiers, chosen.tiers, strict=True)],
        [_order(commission, cake, None, losses) for cake in stack.kitchen_cakes],
        expected_c=venue.value,
        road_c=cabin.high if cabin is not None else None,
        season=Season.SUMMER if venue.value > WARM_C else Season.COOL,
        base_board=chosen.base.key if chosen.base is not None else "",
    )
    notes = notes_in_measures(done.notes + Notes(assumptions=_bought(commission)), kitchen.units.display())
    return replace(done, notes=notes)


def _bought(commission: Commission) -> tuple[Assumption, ...]:
    """Say that fondant is bought where it is rolled out and no formula is named for it."""
    unnamed = [
        flavour.name
        for flavour in commission.cake.flavours
        if (flavour.coating or commission.cake.coating) is CoatStyle.ROLLED and flavour.rolled is None
    ]
    if not unnamed:
        return ()
    text = "Rolled fondant is bought ready to roll, as no formula is named for it"
    return (Assumption(key="coating.fondant_bought", text=text, value=", ".join(unnamed), source=COMMON_PRACTICE),)


def loss_assumed(formulas: Iterable[str]) -> tuple[Assumption, ...]:
    """Say where the usual loss of steam stood in for a computed bake."""
    return tuple(
        Assumption(
            key=f"coating.bake_loss.{formula}",
            text=f"Steam lost from each layer of {formula} in the oven",
            value=f"{BAKE_LOSS.low:.0%} to {BAKE_LOSS.high:.0%} of its batter",
            source=BAKE_LOSS_SOURCE,
        )
        for formula in sorted(formulas)
    )


def crumb_density(sheet: FormulaSheet, loss: Estimate = BAKE_LOSS) -> Estimate:
    """Density of a baked layer: that of its batter, less the steam, over its rise. [g/ml]"""
    known = formula_class(sheet.kind)
    gravity = sheet.specific_gravity
    batter = known.density if gravity is None else Estimate.within(gravity, 0.03)
    return Estimate(
        value=batter.value * (1 - loss.value) / known.rise.value,
        low=batter.low * (1 - loss.high) / known.rise.high,
        high=batter.high * (1 - loss.low) / known.rise.low,
    )


def choose_boards(tiers: tuple[Tier, ...], kitchen: Kitchen) -> Boards:
    """Choose an owned board (else one to buy) of each tier's own size, and a base board with a margin."""
    owned = [board(entry.board) for entry in kitchen.boards]
    under = tuple(_fitting(owned, tier.outline, kinds=("card", "foam_core", "hardboard", "acrylic")) for tier in tiers)
    return Boards(tiers=under, base=_fitting(owned, tiers[0].outline.grown(BASE_MARGIN_MM), kinds=("drum", "plywood")))


def _fitting(owned: list[Board], outline: Outline, kinds: tuple[str, ...]) -> Board | None:
    """Find the smallest board of a kind that is at least as large as an outline, those owned first."""
    slack = 3.0  # a nominal 10 in board under a nominal 25 cm tier
    for source in (owned, list(boards().values())):
        fits = [
            candidate
            for candidate in source
            if candidate.kind in kinds
            and candidate.outline.shape is outline.shape
            and candidate.outline.width_mm >= outline.width_mm - slack
            and candidate.outline.length_mm >= outline.length_mm - slack
        ]
        if fits:
            return min(fits, key=lambda b: (b.outline.area_mm2, kinds.index(b.kind)))
    return None


def _order(
    commission: Commission, cake: Tier | KitchenCake, under: Board | None, losses: Mapping[str, Estimate]
) -> TierToCoat:
    style_of = commission.cake
    dummy = isinstance(cake, Tier) and cake.kind is TierKind.DUMMY
    flavour = commission.cake.flavours[max(cake.flavour, 0)]
    sheet = commission.formula(flavour.cake)
    style = flavour.coating or style_of.coating
    kitchen_cake = isinstance(cake, KitchenCake)
    outside = None if style is CoatStyle.NAKED else spread_of(commission, flavour, "coat")
    rolled = style is CoatStyle.ROLLED and not kitchen_cake
    coat_mm = style_of.coat_thickness
    return TierToCoat(
        cake=cake,
        # A kitchen cake is never seen whole: it gets a plain coat.
        style=CoatStyle.FULL if kitchen_cake and style is CoatStyle.ROLLED else style,
        finish=_worked(commission.decor, cake) or flavour.finish or style_of.finish,
        sponge_formula="" if dummy or sheet is None else sheet.key,
        sponge_g_per_ml=None if dummy or sheet is None else crumb_density(sheet, losses.get(sheet.key, BAKE_LOSS)),
        filling=None if dummy else spread_of(commission, flavour, "filling"),
        coat=_rolled(commission, flavour) if rolled else outside,
        undercoat=outside if rolled else None,
        soak=None if dummy else spread_of(commission, flavour, "soak"),
        coat_mm=None if coat_mm is None or rolled else Estimate.within(coat_mm, 0.15),
        board=under.key if under is not None else "",
        board_mm=under.thickness_mm.value if under is not None else 3.0,
        board_outline=under.outline if under is not None else None,
        board_g=Estimate.exact(under.mass_g) if under is not None else None,
    )


def _rolled(commission: Commission, flavour: Flavour) -> Spread:
    """Return what is rolled out over a tier: the flavour's own, or fondant as it is bought."""
    place = f"cake.flavours.{flavour.name}.rolled"
    return spread_of(commission, flavour, "rolled") or named_spread(commission, BOUGHT_FONDANT, place)


def _worked(decor: Decor, cake: Tier | KitchenCake) -> Finish | None:
    """Return the finish that the worked coat of a tier asks for, or None where the decor says nothing of it."""
    if isinstance(cake, KitchenCake):
        return None
    return next((TEXTURES[texture.kind] for texture in decor.textures if texture.tier == cake.number), None)


def spread_of(commission: Commission, flavour: Flavour, part: str) -> Spread | None:
    """Find what a flavour names for one of its parts: a formula, or a bought ingredient."""
    key: str | None = getattr(flavour, part)
    return None if key is None else named_spread(commission, key, f"cake.flavours.{flavour.name}.{part}")


def named_spread(commission: Commission, key: str, place: str) -> Spread:
    """
    Find what a key of the brief names: a formula, or a bought ingredient.

    Raises
    ------
    BadInput
        A formula spread as a kind that there is not.
    MissingData
        Neither a formula nor an ingredient, or one that nobody can spread as it is.
    """
    sheet = commission.formula(key)
    if sheet is not None:
        if sheet.spread is not None and sheet.spread not in kinds():
            raise BadInput(
                [Problem(place=f"formulas.{key}.spread", found=sheet.spread, expected="one of " + ", ".join(kinds()))]
            )
        kind = sheet.spread or ("syrup" if sheet.kind is FormulaKind.SYRUP else kind_for(sheet.kind).key)
        return Spread(kind=kind, formula=key, measured_g_per_ml=sheet.density)
    match = find(key.replace("-", " ").replace("_", " "))
    if match.ingredient is None:
        raise MissingData(f"a formula or ingredient called {key!r}", "filling and coating", place)
    return Spread(kind=_bought_kind(match.ingredient, place), formula=match.ingredient.key)


def _bought_kind(bought: Ingredient, place: str) -> str:
    """Say what kind of spread a bought ingredient is."""
    for kind in ("curd", "marzipan", "rolled_fondant", "royal_icing"):
        if kind in bought.key or kind.split("_")[-1] in bought.key:
            return kind
    kind = BOUGHT_KINDS.get(bought.group, "")
    if not kind:
        raise MissingData(f"a formula that says what {bought.name_us} is made into", "filling and coating", place)
    return kind
