"""Designs, dye books, strips and price lists: text files to values and back."""
