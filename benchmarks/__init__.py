"""Speed and memory, measured by hand or shown in a build; nothing here passes or fails."""
