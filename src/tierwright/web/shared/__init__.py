"""What may the client see, and what have they answered?"""
