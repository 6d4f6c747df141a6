"""A page for each public name, and tables of them all: what is public is read from the package's own stubs.

`.. public-names:: batiksim` puts the tables on a page; pages are written into `api/` before anything is read.
"""

import ast
import importlib
import inspect
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from docutils import nodes
from docutils.statemachine import StringList
from sphinx.application import Sphinx
from sphinx.config import Config
from sphinx.pycode import ModuleAnalyzer
from sphinx.util.docutils import SphinxDirective
from sphinx.util.typing import ExtensionMetadata

from batiksim.values.settings import Value

PACKAGE, FOLDER = "batiksim", "api"
TITLES = {  # of the whole package's names, in the order of their tables; a part's stand by the module they come from
    "function": "Functions",
    "file": "Reading and writing",
    "result": "What functions give",
    "value": "What a design is made of",
    "error": "Errors",
    "data": "Constants",
    "module": "Parts of their own",
}


@dataclass(frozen=True, kw_only=True)
class PublicName:
    """A name that a module offers. home : the module that it comes from."""

    module: str
    name: str
    home: str

    @property
    def whole(self) -> str:
        """The name as it is imported."""
        return f"{self.module}.{self.name}"

    @property
    def thing(self) -> Any:
        """What it names."""
        return getattr(importlib.import_module(self.module), self.name)

    @property
    def kind(self) -> str:
        """A key of `TITLES`."""
        if inspect.ismodule(self.thing):
            return "module"
        if inspect.isclass(self.thing):
            return "error" if issubclass(self.thing, Exception) else "value" if "values" in self.home else "result"
        return ("file" if "files" in self.home else "function") if callable(self.thing) else "data"

    @property
    def title(self) -> str:
        """Of the table that it stands in."""
        if self.module == PACKAGE:
            return TITLES[self.kind]
        about = inspect.getdoc(importlib.import_module(self.home)) or self.home
        return re.split(r"[.:]\s", about + " ")[0]

    @property
    def page(self) -> str:
        """Its page; `Pot` and `pot` lie in two folders, since some disks don't tell them apart."""
        return "/".join([FOLDER, *self.module.split(".")[1:], self.kind, self.name])

    def source(self) -> str:
        """Its page's text; of a class, with what it and its forebears of this package can do."""
        lines = [self.name, "=" * len(self.name), ""]
        if self.kind == "module":
            lines += [f".. automodule:: {self.whole}", "   :no-members:", "", f".. public-names:: {self.whole}"]
        elif not inspect.isclass(self.thing):
            lines += [f".. autofunction:: {self.whole}"]
        else:
            others = [base.__name__ for base in self.thing.__mro__ if not base.__module__.startswith(PACKAGE)]
            lines += [f".. auto{'exception' if self.kind == 'error' else 'class'}:: {self.whole}", "   :members:"]
            lines += [f"   :inherited-members: {', '.join(others)}"]
            if issubclass(self.thing, Value):
                lines += [f"   :exclude-members: {', '.join(name for name in vars(Value) if name[0] != '_')}"]
        return "\n".join(lines) + "\n"

    def described(self) -> list[str]:
        """A constant of the current module, in the words below it where it is made."""
        told = ModuleAnalyzer.for_module(self.home).find_attr_docs().get(("", self.name), [])
        value = [] if hasattr(self.thing, "shape") else [f"   :value: {self.thing!r}"]
        return [f".. py:data:: {self.name}", *value, "", *(f"   {line}" for line in told), ""]


def public_names(module: str) -> list[PublicName]:
    """All names of a module, in the order of its stub."""
    stub = Path(str(importlib.import_module(module).__file__)).with_suffix(".pyi")
    tree = ast.parse(stub.read_text(encoding="utf-8"))
    return [
        PublicName(module=module, name=alias.name, home=f"{module}.{node.module or alias.name}")
        for node in tree.body
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    ]


def all_names(module: str = PACKAGE) -> Iterator[PublicName]:
    """The names of a module, and those of the modules that it offers."""
    for one in public_names(module):
        yield one
        if one.kind == "module":
            yield from all_names(one.whole)


def write_pages(app: Sphinx, config: Config) -> None:
    """Write the page of each name, and take away pages of names that are public no more; link names to their pages.

    numpydoc has a table of Python's and numpy's own types as well, whose pages can't be had offline.
    """
    names = [one for one in all_names() if one.kind != "data"]
    config.numpydoc_xref_aliases_complete = {one.name: one.whole for one in names if inspect.isclass(one.thing)}
    pages = {Path(app.srcdir) / f"{one.page}.rst": one.source() for one in names}
    for old in set((Path(app.srcdir) / FOLDER).rglob("*.rst")) - set(pages):
        old.unlink()
    for file, text in pages.items():
        file.parent.mkdir(parents=True, exist_ok=True)
        if not file.exists() or file.read_text(encoding="utf-8") != text:
            file.write_text(text, encoding="utf-8")


class PublicNames(SphinxDirective):
    """A section for each kind of name of a module, with a table of the names, each with its first sentence."""

    required_arguments = 1

    def run(self) -> list[nodes.Node]:
        """The sections."""
        names = public_names(self.arguments[0])
        titles = dict.fromkeys([*TITLES.values(), *(one.title for one in names)])
        groups = {title: [one for one in names if one.title == title] for title in titles}
        return [self._section(title, listed) for title, listed in groups.items() if listed]

    def _section(self, title: str, names: list[PublicName]) -> nodes.Node:
        section = nodes.section("", nodes.title(title, title), ids=[nodes.make_id(title)], names=[title])
        paged = [one for one in names if one.kind != "data"]
        lines = [f".. currentmodule:: {names[0].module}", ""]
        if paged:
            lines += [".. autosummary::", "   :nosignatures:", "", *(f"   {one.name}" for one in paged), ""]
            lines += [".. toctree::", "   :hidden:", "", *(f"   /{one.page}" for one in paged), ""]
        lines += [line for one in names if one.kind == "data" for line in one.described()]
        self.state.nested_parse(StringList(lines, source=self.env.docname), self.content_offset, section)
        return section


def tidy_signature(
    app: Sphinx, kind: str, name: str, thing: Any, options: object, signature: str | None, gives: str | None
) -> tuple[str, str | None] | None:
    """Results come from functions, so how they are made is nobody's business; a default that is a function is named."""
    if kind == "class" and not thing.__module__.startswith(f"{PACKAGE}.values"):
        return "", gives
    return (re.sub(r"<function (\w+)(?: at 0x\w+)?>", r"\1", signature), gives) if signature else None


def setup(app: Sphinx) -> ExtensionMetadata:
    """Write pages before they are looked for; offer the directive."""
    app.connect("config-inited", write_pages, priority=900)  # after numpydoc
    app.connect("autodoc-process-signature", tidy_signature)
    app.add_directive("public-names", PublicNames)
    return {"parallel_read_safe": True, "parallel_write_safe": True}
