"""The documentation site, from the guide, the docstrings and the stubs; everything it shows lies within it.

python -m sphinx -q -W --keep-going -d out/doctrees -b html batiksim/docs batiksim/docs/site
"""

import sys
from pathlib import Path

from batiksim import __version__

HERE = Path(__file__).resolve().parent
FONTS, PAGE = HERE.parent / "data" / "fonts", HERE.parent / "worktable" / "page"
sys.path.insert(0, str(HERE))  # for what is in `making`

project = "batiksim"
author = "The batiksim makers"
version = release = __version__
language = "en_GB"

extensions = [
    "myst_parser",
    "sphinx.ext.autodoc",
    "sphinx.ext.autosummary",
    "numpydoc",
    "making.contents",
    "making.formulas",
    "making.public_names",
    "making.snippets",
]
exclude_patterns = ["making", "site", "static"]
keep_warnings = False

myst_enable_extensions = ["dollarmath"]
myst_heading_anchors = 3

autosummary_generate = False  # `making.public_names` writes the pages
autodoc_typehints = "none"  # docstrings say what is taken and given
default_role = "py:obj"  # what docstrings have between backticks: a link where it is a public name
numpydoc_show_class_members = False
numpydoc_xref_param_type = True
numpydoc_xref_ignore = "all"  # but public names, of which `making.public_names` tells

html_theme = "furo"
pygments_dark_style = "a11y-dark"
html_title = "batiksim"
html_logo = html_favicon = str(PAGE / "mark.svg")
html_static_path = ["static", *(str(FONTS / f"Alegreya-{face}.ttf") for face in ("Regular", "Italic", "Bold"))]
html_css_files = ["site.css"]
html_sidebars = {"**": [f"sidebar/{part}.html" for part in ("brand", "search", "navigation")]}
html_theme_options: dict[str, object] = {"top_of_page_buttons": []}
html_math_renderer = "drawn"
html_copy_source = html_show_sourcelink = html_show_copyright = False
html_show_search_summary = False  # it would ask for pages, which a page opened from disk can't
html_domain_indices = False
