"""The whole finish of one cake: everything that is asked for, worked, with what cannot be made said by name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Final, TypeVar

from tierwright.brief.decor import Band, BandKind, Border, Decor, Drip, Leaf, Painted, Texture
from tierwright.errors import OutOfRange
from tierwright.finish import scene
from tierwright.finish.bands import MADE_OF_FORMULA, WorkedBand, work_band
from tierwright.finish.drips import WorkedDrip, work_drip
from tierwright.finish.model import SHEET, DecorMass, Inedible, Labour, Placed, Surface, Ware
from tierwright.finish.painting import WorkedLeaf, WorkedPaint, work_leaf, work_paint
from tierwright.finish.piping import PipedRow, pipe
from tierwright.finish.stuff import Stuff
from tierwright.finish.textures import WorkedTexture, work_texture
from tierwright.ranges import total
from tierwright.working import Estimate, Question, Severity

Asked = TypeVar("Asked", Border, Texture, Band, Drip, Painted, Leaf)
Made = TypeVar("Made")
NAMES: Final = {
    "borders": "a piped row",
    "textures": "a worked coat",
    "bands": "a band",
    "drips": "drips",
    "painted": "a coloured area",
    "leaf": "leaf",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """
    What the finish is worked from.

    Attributes
    ----------
    decor
        What is asked for.
    surfaces
        Coated tiers, bottom first.
    stuffs
        Everything that is named, by its key.
    coat_mm
        Mean thickness of each tier's coat at the side, crumb coat included. [mm]
    hues
        Colours of the brief as they can be drawn: ``#rrggbb`` by the brief's words.
    """

    decor: Decor
    surfaces: tuple[Surface, ...]
    stuffs: Mapping[str, Stuff]
    coat_mm: Mapping[int, float]
    hues: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """
    Everything piped, spread, dripped, painted and gilded.

    Attributes
    ----------
    rows, textures, bands, drips, painted, leaf
        Each as the brief lists it, without what cannot be made.
    refused
        What cannot be made as asked, with the reason; it is in no sum.
    """

    rows: tuple[PipedRow, ...] = ()
    textures: tuple[WorkedTexture, ...] = ()
    bands: tuple[WorkedBand, ...] = ()
    drips: tuple[WorkedDrip, ...] = ()
    painted: tuple[WorkedPaint, ...] = ()
    leaf: tuple[WorkedLeaf, ...] = ()
    refused: tuple[Question, ...] = ()

    @property
    def masses(self) -> tuple[DecorMass, ...]:
        """What it takes of formulas and bought coats."""
        found = [row.mass for row in self.rows] + [drip.mass for drip in self.drips]
        maybe = [texture.mass for texture in self.textures] + [band.mass for band in self.bands]
        return (*found, *(mass for mass in maybe if mass is not None))

    @property
    def labour(self) -> tuple[Labour, ...]:
        """Hands' time for all of it."""
        return (
            *(job for texture in self.textures for job in texture.labour),
            *(job for row in self.rows for job in row.labour),
            *(job for band in self.bands for job in band.labour),
            *(job for drip in self.drips for job in drip.labour),
            *(job for paint in self.painted for job in paint.labour),
            *(job for leaf in self.leaf for job in leaf.labour),
        )

    @property
    def wares(self) -> tuple[Ware, ...]:
        """What is bought by the piece."""
        bought = [band.ware for band in self.bands if band.ware is not None]
        return (*bought, *(leaf.ware for leaf in self.leaf))

    @property
    def inedibles(self) -> tuple[Inedible, ...]:
        """What has to be taken off before the cake is cut."""
        return tuple(band.inedible for band in self.bands if band.inedible is not None)

    @property
    def minutes(self) -> Estimate:
        """Hands' time in all. [min]"""
        return total([job.minutes for job in self.labour])


def work_finish(order: Order) -> Work:
    """
    Work everything that a brief asks for beside flowers, mixed colours and lettering.

    Parameters
    ----------
    order
        Decor, surfaces and what things are made of.

    Returns
    -------
    work
        What does not fit its tier is refused by name and left out of every sum; the rest stands.
    """
    refused: list[Question] = []
    tiers = {surface.tier: surface for surface in order.surfaces}

    def each(name: str, asked: tuple[Asked, ...], make: Callable[[Asked, Surface], Made]) -> tuple[Made, ...]:
        made: list[Made] = []
        for position, one in enumerate(asked, start=1):
            place = f"finish.{name}.{position}"
            surface = tiers.get(one.tier)
            if surface is None:
                refused.append(_no_tier(place, NAMES[name], one.tier, len(tiers)))
                continue
            stuff = getattr(one, "formula", None)
            if stuff is not None and stuff not in order.stuffs:
                refused.append(_unknown(place, NAMES[name], stuff))
                continue
            if stuff is None and _needs_coat(one) and surface.coat not in order.stuffs:
                refused.append(_no_coat(place, NAMES[name], surface))
                continue
            try:
                made.append(make(one, surface))
            except OutOfRange as error:
                refused.append(_does_not_fit(place, NAMES[name], surface, error))
        return tuple(made)

    def of(key: str | None, surface: Surface) -> Stuff | None:
        stuff = order.stuffs.get(surface.coat if key is None else key)
        # What is piped of a tier's own coat has the colour that the coat was given.
        return replace(stuff, colour=surface.colour) if stuff is not None and stuff.key == surface.coat else stuff

    def sure(key: str | None, surface: Surface) -> Stuff:
        stuff = of(key, surface)
        assert stuff is not None  # asked about before
        return stuff

    def hue(words: str | None) -> str:
        return order.hues.get(words, "") if words else ""

    decor = order.decor
    return Work(
        rows=each("borders", decor.borders, lambda one, on: pipe(one, on, sure(one.formula, on))),
        textures=each(
            "textures",
            decor.textures,
            lambda one, on: work_texture(
                one,
                on,
                coat=of(None, on),
                coat_mm=order.coat_mm.get(on.tier, 0.0),
                second=of(one.formula, on) if one.formula else None,
            ),
        ),
        bands=each(
            "bands",
            decor.bands,
            lambda one, on: work_band(
                one, on, of(one.formula, on) if one.kind in MADE_OF_FORMULA else None, hue(one.colour)
            ),
        ),
        drips=each("drips", decor.drips, lambda one, on: work_drip(one, on, sure(one.formula, on), hue(one.colour))),
        painted=each("painted", decor.painted, lambda one, on: work_paint(one, on, hue(one.colour))),
        leaf=each("leaf", decor.leaf, work_leaf),
        refused=tuple(refused),
    )


def scene_parts(work: Work, surfaces: tuple[Surface, ...]) -> tuple[Placed, ...]:
    """
    Return everything on the cake, tier by tier, from the coat outward.

    Parameters
    ----------
    work
        What has been worked.
    surfaces
        The coated tiers that it lies on.
    """
    tiers = {surface.tier: surface for surface in surfaces}
    placed: list[Placed] = []
    for texture in work.textures:
        placed += scene.textured(texture, tiers[texture.tier])
    for paint in work.painted:
        placed += scene.painted(paint, tiers[paint.tier])
    for leaf in work.leaf:
        placed += scene.gilded(leaf, tiers[leaf.tier])
    for band in work.bands:
        placed += scene.banded(band, tiers[band.tier])
    for drip in work.drips:
        placed += scene.dripped(drip, tiers[drip.tier])
    for row in work.rows:
        placed += scene.piped(row, tiers[row.tier])
    return tuple(sorted(placed, key=lambda one: one.tier))


def _needs_coat(one: object) -> bool:
    return isinstance(one, Border) or (isinstance(one, Band) and one.kind is BandKind.STENCIL)


def _stop(key: str, text: str, reason: str, change: str, figure: str = "") -> Question:
    return Question(
        key=key, severity=Severity.STOP, sheet=SHEET, text=text, reason=reason, figure=figure, change=change
    )


def _no_tier(place: str, what: str, tier: int, tiers: int) -> Question:
    return _stop(
        place, f"Which tier is {what} for?", f"The cake has no tier {tier}.", f"a tier from 1 to {tiers}",
        f"tier {tier} of {tiers}",
    )  # fmt: skip


def _unknown(place: str, what: str, key: str) -> Question:
    reason = "The program does not know how this is piped, spread or poured, so nothing has been weighed for it."
    return _stop(place, f"What is {key} made into for {what}?", reason, "name a formula")


def _no_coat(place: str, what: str, surface: Surface) -> Question:
    reason = f"The {surface.name} tier has no coat that it could be made of."
    return _stop(place, f"What is {what} on the {surface.name} tier made of?", reason, "name a formula")


def _does_not_fit(place: str, what: str, surface: Surface, error: OutOfRange) -> Question:
    bound = error.high if error.value > error.high else error.low
    return _stop(
        place, f"How is {what} on the {surface.name} tier to fit?", f"{error}.", f"{bound:.4g} {error.unit}".strip(),
        f"{error.value:.4g} {error.unit}".strip(),
    )  # fmt: skip
