"""What does the hand do next, and what did the scale and the thermometer really say?"""
