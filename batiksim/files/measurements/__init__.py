"""Spectra and swatch tables, as instruments and spreadsheets write them."""
