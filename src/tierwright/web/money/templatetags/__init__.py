"""Tags of the money room."""
