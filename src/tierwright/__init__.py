"""Tierwright: tiered celebration cakes on commission, from the client's brief to the last slice."""

__version__ = "0.2.0"
