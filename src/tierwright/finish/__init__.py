"""Finish: piping, bands, drips, leaf, flowers, colour, lettering and the look of the finished cake."""
