"""Which packets stand open in this kitchen, what do their labels say, and what does a new one change?"""
