"""See every stage of a batik cloth before the wax is melted.

The names, listed in __init__.pyi, are loaded when first used, so that `import batiksim` costs next to nothing.
"""

import lazy_loader

__version__ = "0.1.0"  # its one home: the wheel, `batiksim --version` and the site read it here

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
