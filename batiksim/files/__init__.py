"""Disk to values and back: designs, pictures, spectra. Nothing here computes a colour."""
