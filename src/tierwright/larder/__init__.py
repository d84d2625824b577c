"""What is there: ingredients, pans, boards, supports and flowers, each row with its source."""

from tierwright.larder.composition import PARTS, Composition, blend

__all__ = ["PARTS", "Composition", "blend"]
