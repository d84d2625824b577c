"""Printing the sheets of a version as a PDF: long work, watched, stopped, and kept until it is asked for again."""
