"""How much filling and coat does each tier take, and what does it weigh then?"""

from tierwright.coating.areas import covered_area_mm2, offset_area_mm2, shell_volume_ml, thin_coat_ml
from tierwright.coating.ganache import Chocolate, GanacheSplit, Season, ganache_density, split_ganache
from tierwright.coating.model import (
    Band,
    CoatedTier,
    Coating,
    CoatStyle,
    Finish,
    Need,
    Part,
    PartMass,
    RolledSheet,
)
from tierwright.coating.order import Laying, Spread, TierToCoat
from tierwright.coating.strength import bearing_depth_mm, sliding_share, slump_thickness_mm, yield_stress_pa
from tierwright.coating.tables import Kind, density, density_from_overrun, kind, kind_for, kinds
from tierwright.coating.work import coat

__all__ = [
    "Band",
    "Chocolate",
    "CoatStyle",
    "CoatedTier",
    "Coating",
    "Finish",
    "GanacheSplit",
    "Kind",
    "Laying",
    "Need",
    "Part",
    "PartMass",
    "RolledSheet",
    "Season",
    "Spread",
    "TierToCoat",
    "bearing_depth_mm",
    "coat",
    "covered_area_mm2",
    "density",
    "density_from_overrun",
    "ganache_density",
    "kind",
    "kind_for",
    "kinds",
    "offset_area_mm2",
    "shell_volume_ml",
    "sliding_share",
    "slump_thickness_mm",
    "split_ganache",
    "thin_coat_ml",
    "yield_stress_pa",
]
