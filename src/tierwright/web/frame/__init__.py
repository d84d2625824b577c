"""What stands round every sheet of work: the line, the drawing, changes before they are kept, versions, the working."""
