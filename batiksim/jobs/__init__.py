"""One function for each thing a maker asks for. The command line and the worktable call these, and nothing else.

The names, listed in __init__.pyi, are loaded when first used: a preview doesn't pay for charts, nor a chart for
previews.
"""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
