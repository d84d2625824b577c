"""Handover: the papers that travel with the cake, what is loaded, and the dates of a commission."""
