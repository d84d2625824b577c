"""The sheets of work, one folder each."""
