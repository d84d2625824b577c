"""The kitchen week in the browser: planned behind the page, kept, moved by hand, planned again."""
