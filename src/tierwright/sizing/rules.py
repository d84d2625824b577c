"""Rules of proportion, and the weights by which stacks are ranked. All of them common practice, all stated."""

from __future__ import annotations

LEAST_STEP_MM = 48.0
"""Least difference in width of neighbouring tiers: two inches or five centimetres, less a rim. [mm]"""

WIDE_STEP_MM = 82.0
"""Up to this step the eye runs on from tier to tier: three inches or eight centimetres. [mm]"""

WIDEST_STEP_MM = 108.0
"""No stack with a wider step is proposed unless the maker fixes its tiers. [mm]"""

ALIKE_MM = 20.0
"""A pan to buy, or a foam, that differs by less from one at hand is not considered. [mm]"""

UNEVEN_MM = 10.0
"""Steps that differ by more are seen as uneven. [mm]"""

SLENDER = 1.7
"""A stack higher than this many times its base looks like a post, and tips sooner. [-]"""

BOARD_MARGIN_MM = 38.0
"""Board seen on each side of the bottom tier. [mm]"""

USUAL_LAYERS = 3
MOST_LAYERS = 8
LEAST_LAYER_MM = 12.0
"""A thinner layer is torn when it is levelled and moved. [mm]"""

MOST_TIERS = 5
USUAL_TIERS = 3
MOST_KITCHEN_CAKES = 12

DIET_MARGIN = 1.3
"""A tier for guests who can eat no other holds this many portions for each, because others take of it. [-]"""

# Weights of the ranking, in portions: how many portions of surplus a maker would rather bake than have one of these.
WEIGHT_LOAD = 1.5
WEIGHT_KITCHEN_CAKE = 4.0
WEIGHT_DUMMY = 12.0
WEIGHT_PAN_TO_BUY = 8.0
WEIGHT_BROKEN_RULE = 4.0
WEIGHT_TIER_OFF_USUAL = 4.0
WEIGHT_UNEVEN = 1.0
