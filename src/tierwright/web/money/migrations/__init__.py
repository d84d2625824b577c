"""The money room's tables, step by step."""
