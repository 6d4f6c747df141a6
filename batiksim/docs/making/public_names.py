"""A page for each public name, and tables of them all: what is public is read from the package's own stubs.

`.. public-names::` puts the tables on a page; the pages are written into `api/` before anything is read.
"""

import ast
import importlib
import inspect
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType

from docutils import nodes
from docutils.statemachine import StringList
from sphinx.application import Sphinx
from sphinx.config import Config
from sphinx.util.docutils import SphinxDirective
from sphinx.util.typing import ExtensionMetadata

from batiksim.values.settings import Value

MODULES = ("batiksim", "batiksim.colour")
FOLDER = "api"
TITLES = {
    "functions": "Functions",
    "files": "Files and values",
    "results": "What functions give",
    "values": "What a design is made of",
    "errors": "Errors",
    "more": "More",
}


@dataclass(frozen=True, kw_only=True)
class PublicName:
    """A name that a module offers. group : the key in `TITLES` of the table that it stands in."""

    module: str
    name: str
    group: str

    @property
    def whole(self) -> str:
        """The name as it is imported."""
        return f"{self.module}.{self.name}"

    @property
    def page(self) -> str:
        """Its page; `Pot` and `pot` lie in two folders, since some disks don't tell them apart."""
        folders = [FOLDER, *self.module.split(".")[1:], self.group]
        return "/".join([*folders, self.name])

    def source(self) -> str:
        """Its page's text."""
        one = getattr(importlib.import_module(self.module), self.name)
        lines = [self.name, "=" * len(self.name), "", *_directive(self.whole, one)]
        return "\n".join(lines) + "\n"


def public_names(module: str) -> list[PublicName]:
    """All names of a module, in the order of its stub where it has one."""
    there = importlib.import_module(module)
    names = _stub_names(there) or list(getattr(there, "__all__", ()))
    wholes = [(name, getattr(there, name)) for name in names]
    return [
        PublicName(module=module, name=name, group=_group(one)) for name, one in wholes if not inspect.ismodule(one)
    ]


def _stub_names(module: ModuleType) -> list[str]:
    stub = Path(str(module.__file__)).with_suffix(".pyi")
    if not stub.exists():
        return []
    tree = ast.parse(stub.read_text(encoding="utf-8"))
    return [
        alias.asname or alias.name for node in tree.body if isinstance(node, ast.ImportFrom) for alias in node.names
    ]


def _group(one: object) -> str:
    home = getattr(one, "__module__", "")
    if inspect.isclass(one):
        is_value = home.startswith("batiksim.values")
        return "errors" if issubclass(one, Exception) else "values" if is_value else "results"
    if not callable(one):
        return "more"
    return "files" if home.startswith("batiksim.files") else "functions"


def _directive(whole: str, one: object) -> Iterator[str]:
    """What autodoc is asked for. Of a class: what it and its forebears of this package can do."""
    kind = "exception" if inspect.isclass(one) and issubclass(one, Exception) else "class"
    if not inspect.isclass(one):
        yield f".. auto{'function' if callable(one) else 'data'}:: {whole}"
        return
    others = [base.__name__ for base in one.__mro__ if not base.__module__.startswith(MODULES[0])]
    yield from (f".. auto{kind}:: {whole}", "   :members:", f"   :inherited-members: {', '.join(others)}")
    if issubclass(one, Value):
        yield f"   :exclude-members: {', '.join(name for name in vars(Value) if not name.startswith('_'))}"


def write_pages(app: Sphinx, config: Config) -> None:
    """Write the page of each name, and take away pages of names that are public no more; link names to their pages.

    numpydoc has a table of Python's and numpy's own types as well, whose pages can't be had offline.
    """
    folder = Path(app.srcdir) / FOLDER
    names = [one for module in MODULES for one in public_names(module)]
    config.numpydoc_xref_aliases_complete = {one.name: one.whole for one in names if one.name[0].isupper()}
    pages = {Path(app.srcdir) / f"{one.page}.rst": one.source() for one in names}
    for old in set(folder.rglob("*.rst")) - set(pages):
        old.unlink()
    for file, text in pages.items():
        file.parent.mkdir(parents=True, exist_ok=True)
        if not file.exists() or file.read_text(encoding="utf-8") != text:
            file.write_text(text, encoding="utf-8")


class PublicNames(SphinxDirective):
    """A section for each kind of name, with a table of the names, each with its first sentence."""

    def run(self) -> list[nodes.Node]:
        """The sections."""
        return [section for module in MODULES for section in self._sections(module)]

    def _sections(self, module: str) -> Iterator[nodes.Node]:
        names = public_names(module)
        for group, title in TITLES.items():
            listed = [one for one in names if one.group == group]
            if not listed:
                continue
            heading = title if module == MODULES[0] else f"{module}: {title[0].lower()}{title[1:]}"
            section = nodes.section("", nodes.title(heading, heading), ids=[nodes.make_id(heading)], names=[heading])
            lines = [".. autosummary::", "   :nosignatures:", "", *(f"   ~{one.whole}" for one in listed), ""]
            lines += [".. toctree::", "   :hidden:", "", *(f"   /{one.page}" for one in listed), ""]
            self.state.nested_parse(StringList(lines, source=self.env.docname), self.content_offset, section)
            yield section


def leave_out_making(
    app: Sphinx, kind: str, name: str, one: object, options: object, signature: str | None, gives: str | None
) -> tuple[str, str | None] | None:
    """Results come from functions: how they are made is nobody's business."""
    made = kind == "class" and _group(one) == "results"
    return ("", gives) if made else None


def setup(app: Sphinx) -> ExtensionMetadata:
    """Write pages before they are looked for; offer the directive."""
    app.connect("config-inited", write_pages, priority=900)  # after numpydoc
    app.connect("autodoc-process-signature", leave_out_making)
    app.add_directive("public-names", PublicNames)
    return {"parallel_read_safe": True, "parallel_write_safe": True}
