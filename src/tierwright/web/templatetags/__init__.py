"""Words that templates use."""
