"""Worked coats: what a comb takes off, how deep it leaves the coat, and stripes that close."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tierwright.brief.decor import Texture, TextureKind
from tierwright.errors import OutOfRange
from tierwright.finish.closing import Closed, close
from tierwright.finish.model import DecorMass, Labour, Surface
from tierwright.finish.stuff import Stuff
from tierwright.finish.tables import amount, time_of
from tierwright.ranges import times, with_losses
from tierwright.working import NOTHING, Estimate

MM3_PER_ML: Final = 1000.0
MM2_PER_DM2: Final = 1e4
FILLS: Final = {TextureKind.COMBED: 0.5, TextureKind.STRIPED: 1.0, TextureKind.SPREAD: 0.5}
"""Share of depth times breadth that a groove takes: a V half, a square groove all, a wave between strokes half. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedTexture:
    """
    The worked coat of one side.

    Attributes
    ----------
    tier, kind
        Which tier, and how its coat is worked.
    depth_mm, groove_mm
        Depth and breadth of one groove, stripe or stroke. [mm]
    grooves
        How they part the side: round it for upright ones, else up its height; None for a smooth coat.
    is_upright
        Whether they run from foot to edge.
    mean_mm
        Mean thickness of the coat as it is reckoned. [mm]
    ridge_mm, valley_mm
        Thickness on the ridges, and in the grooves before anything fills them. [mm]
    removed_g
        What comes off the tier's own coat. [g]
    mass
        The second coat in stripes, or None.
    labour
        Hands' time beyond that of a smooth coat.
    colour
        Of the second coat in stripes, else of the coat, ``#rrggbb``.
    """

    tier: int
    kind: TextureKind
    depth_mm: float
    groove_mm: float
    grooves: Closed | None
    is_upright: bool
    mean_mm: float
    ridge_mm: float
    valley_mm: float
    removed_g: Estimate
    mass: DecorMass | None
    labour: tuple[Labour, ...]
    colour: str = ""


def work_texture(
    texture: Texture, surface: Surface, *, coat: Stuff | None, coat_mm: float, second: Stuff | None
) -> WorkedTexture:
    """
    Work the coat of one side.

    Parameters
    ----------
    texture
        What is asked for.
    surface
        The tier.
    coat
        Its coat; None where nobody has said.
    coat_mm
        Mean thickness of the coat at the side, crumb coat included. [mm]
    second
        What fills the stripes, or None.

    Returns
    -------
    worked
        A groove of depth d and breadth b at the distance p takes ``f d b / p`` off the mean thickness, f being 1/2 for
        a V or a wave and 1 for a square groove; the ridge of a combed coat stands that much over the mean, a striped
        coat is scraped level at it.

    Raises
    ------
    OutOfRange
        A groove broader than its distance.
    """
    if texture.kind is TextureKind.SMOOTH:
        return WorkedTexture(
            tier=surface.tier, kind=texture.kind, depth_mm=0.0, groove_mm=0.0, grooves=None, is_upright=False,
            mean_mm=coat_mm, ridge_mm=coat_mm, valley_mm=coat_mm, removed_g=NOTHING, mass=None, labour=(),
        )  # fmt: skip
    stem = {TextureKind.COMBED: "comb", TextureKind.STRIPED: "stripe", TextureKind.SPREAD: "stroke"}[texture.kind]
    depth = texture.depth or amount(f"{stem}_depth_mm").value.value
    wanted = texture.pitch or amount(f"{stem}_pitch_mm").value.value
    spans = surface.foot.path.spans_mm if texture.upright else (surface.height_mm,)
    grooves = close(spans, wanted)
    pitch = grooves.length_mm / grooves.count
    groove = texture.groove or (pitch / 2 if texture.kind is TextureKind.STRIPED else pitch)
    if groove > pitch + 1e-9:
        raise OutOfRange("breadth of a groove", groove, 0.0, pitch, "mm", f"the {surface.name} tier")
    fill = FILLS[texture.kind]
    taken_mm = fill * depth * groove / pitch
    level = texture.kind is TextureKind.STRIPED
    ridge = coat_mm if level else coat_mm + taken_mm
    # A comb's depth is cut by hand: a fifth either way.
    volume = Estimate.within(surface.side_mm2 * taken_mm / MM3_PER_ML, 0.2)
    mass = None
    if level and second is not None:
        on_cake = times(volume, second.density_g_per_ml)
        losses = (amount("stripe_loss").value, amount("bowl_loss").value, amount("bag_loss").value)
        mass = DecorMass(
            tier=surface.tier, part="stripes", formula=second.key, volume_ml=volume, on_cake_g=on_cake,
            to_make_g=with_losses(on_cake, *losses), thickness_mm=Estimate.exact(depth),
        )  # fmt: skip
    return WorkedTexture(
        tier=surface.tier,
        kind=texture.kind,
        depth_mm=depth,
        groove_mm=groove,
        grooves=grooves,
        is_upright=texture.upright,
        mean_mm=coat_mm,
        ridge_mm=ridge,
        valley_mm=ridge - depth,
        removed_g=NOTHING if coat is None else times(volume, coat.density_g_per_ml),
        mass=mass,
        labour=_labour(texture.kind, surface),
        colour=surface.colour if second is None else second.colour,
    )


def _labour(kind: TextureKind, surface: Surface) -> tuple[Labour, ...]:
    task = {TextureKind.COMBED: "combing", TextureKind.STRIPED: "striping", TextureKind.SPREAD: "spreading"}[kind]
    time = time_of(task)
    count = surface.side_mm2 / MM2_PER_DM2 if time.per == "dm2" else 1.0
    return (
        Labour(
            task=task, label=time.label, tier=surface.tier, count=count, per=time.per, minutes_each=time.minutes
        ),
    )  # fmt: skip
