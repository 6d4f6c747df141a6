"""What source files import and call, read once for all tests of one process that ask."""

from __future__ import annotations

import ast
from dataclasses import dataclass
from functools import cache
from pathlib import Path


@dataclass(frozen=True)
class Use:
    """One name that a module imports or calls, at a line of it; of a call, its first argument where that is a text."""

    line: int
    name: str
    call: bool
    text: str = ""


@cache
def uses(path: Path) -> tuple[Use, ...]:
    """All imports and calls of a file, also those inside functions."""
    return tuple(use for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) for use in _uses(node))


def tops(path: Path) -> set[str]:
    """The top names of all that a file imports."""
    return {use.name.partition(".")[0] for use in uses(path) if not use.call}


def names(path: Path) -> set[str]:
    """The whole names of all that a file imports and calls."""
    return {use.name for use in uses(path)}


def dotted(node: ast.AST) -> str:
    """The name under which something stands, as `a.b.c`; of what a call gives, the names after it."""
    if isinstance(node, ast.Attribute):
        return f"{dotted(node.value)}.{node.attr}".lstrip(".")
    return node.id if isinstance(node, ast.Name) else ""


def _uses(node: ast.AST) -> list[Use]:
    if isinstance(node, ast.Import):
        return [Use(node.lineno, alias.name, call=False) for alias in node.names]
    if isinstance(node, ast.ImportFrom):
        here = [alias.name for alias in node.names] if node.level == 0 and node.module else []
        return [Use(node.lineno, f"{node.module}.{name}", call=False) for name in here]
    if isinstance(node, ast.Call):
        first = node.args[0].value if node.args and isinstance(node.args[0], ast.Constant) else ""
        return [Use(node.lineno, dotted(node.func), call=True, text=first if isinstance(first, str) else "")]
    return []
