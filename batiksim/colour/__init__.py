"""What the eye sees: spectra, how dyes mix, colour spaces, names. Arrays in, new arrays out; only numpy.

Every function takes whatever numpy can read as an array of numbers and works on its last axis: 31 for spectra, on the
grid `BANDS_NM`; 3 for colours. Leading axes are free and are kept. What comes back is float64 and shares no memory with
what was given. NaN passes through; where one colour is asked for (a name, words, a curve, "#rrggbb") it is refused.

XYZ has Y = 1 for perfect white; white is D65 of sRGB (x .3127, y .3290) unless a light is named. Each function names
the source of its formula. The names, listed in __init__.pyi, are loaded when first used.
"""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
