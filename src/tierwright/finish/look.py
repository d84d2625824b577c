"""The finished cake as plain data for whoever makes a picture of it: the very surfaces that are decorated, and more."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tierwright.brief.decor import TextureKind
from tierwright.finish.answer import Work, scene_parts
from tierwright.finish.inscriptions import Inscription, letter_parts
from tierwright.finish.laying import Flowers, flower_parts
from tierwright.finish.lettering_faces import FaceStyle
from tierwright.finish.model import Placed, Rim, Surface
from tierwright.finish.textures import WorkedTexture


@dataclass(frozen=True, slots=True, kw_only=True)
class Relief:
    """
    How the coat of a side stands up and down.

    Attributes
    ----------
    kind
        Combed or spread; a smooth or striped coat has none.
    is_upright
        Whether grooves run from foot to edge.
    stops_mm
        Middle of each groove: along the foot for upright ones, else over the foot. [mm]
    depth_mm, groove_mm
        Depth and breadth of one. [mm]
    """

    kind: TextureKind
    is_upright: bool
    stops_mm: tuple[float, ...]
    depth_mm: float
    groove_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Slab:
    """
    A board that shows.

    Attributes
    ----------
    rim
        Line round it.
    foot_mm, top_mm
        Its faces, over the base board. [mm]
    """

    rim: Rim
    foot_mm: float
    top_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CutLetter:
    """
    A letter and the face that it is cut in.

    Attributes
    ----------
    placed
        Where it stands.
    style
        Which face.
    size_mm
        Size of type. [mm]
    """

    placed: Placed
    style: FaceStyle
    size_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """
    Everything that can be seen of a finished cake.

    Attributes
    ----------
    surfaces
        The coated tiers, bottom first.
    reliefs
        Coats that are worked, by tier.
    boards
        Base board first.
    placed
        Everything on the coats and the board but letters.
    letters
        Every letter.
    """

    surfaces: tuple[Surface, ...]
    reliefs: tuple[tuple[int, Relief], ...]
    boards: tuple[Slab, ...]
    placed: tuple[Placed, ...]
    letters: tuple[CutLetter, ...]

    @property
    def floor_mm(self) -> float:
        """Level of the table, below the base board's upper face. [mm]"""
        return min((board.foot_mm for board in self.boards), default=0.0)

    @property
    def top_mm(self) -> float:
        """Level of the highest tier's top. [mm]"""
        return max(surface.top_mm for surface in self.surfaces)


BOARD_SHOWS_MM = 0.3
"""A joint narrower than this is closed by the coat. [mm]"""


def look_of(
    surfaces: Sequence[Surface],
    work: Work,
    flowers: Flowers,
    inscriptions: Sequence[Inscription],
    *,
    base_mm: float = 0.0,
) -> Look:
    """
    Gather what can be seen.

    Parameters
    ----------
    surfaces, work, flowers, inscriptions
        As the finish has been worked.
    base_mm
        Thickness of the base board; 0 where there is none. [mm]
    """
    return Look(
        surfaces=tuple(surfaces),
        reliefs=tuple((one.tier, relief) for one in work.textures if (relief := _relief(one)) is not None),
        boards=tuple(_boards(surfaces, base_mm)),
        placed=(*scene_parts(work, tuple(surfaces)), *flower_parts(flowers)),
        letters=tuple(
            CutLetter(placed=one, style=words.written.style, size_mm=words.written.size_mm)
            for words in inscriptions
            for one in letter_parts((words,), surfaces)
        ),
    )


def _relief(texture: WorkedTexture) -> Relief | None:
    if texture.grooves is None or texture.kind not in (TextureKind.COMBED, TextureKind.SPREAD):
        return None
    stops = texture.grooves.stops_mm
    if not texture.is_upright:
        pitch = texture.grooves.length_mm / texture.grooves.count
        stops = tuple(pitch * (i + 0.5) for i in range(texture.grooves.count))
    return Relief(
        kind=texture.kind, is_upright=texture.is_upright, stops_mm=stops, depth_mm=texture.depth_mm,
        groove_mm=texture.groove_mm,
    )  # fmt: skip


def _boards(surfaces: Sequence[Surface], base_mm: float) -> list[Slab]:
    found: list[Slab] = []
    level = 0.0
    for surface, below in zip(surfaces, (None, *surfaces[:-1]), strict=True):
        if below is None and surface.ground is not None and base_mm > 0:
            found.append(Slab(rim=surface.ground, foot_mm=-base_mm, top_mm=0.0))
        if surface.foot_mm - level > BOARD_SHOWS_MM:
            # The board under a tier, where its coat begins above it.
            rim = surface.foot if below is None or below.above is None else below.above
            found.append(Slab(rim=rim, foot_mm=level, top_mm=surface.foot_mm))
        level = surface.top_mm
    return found
