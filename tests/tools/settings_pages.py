"""Write what is made from the declarations of settings: python tests/tools/settings_pages.py.

The JSON Schemas of design file and dye book (`batiksim/data/schemas`), which editors complete and check by, and the
reference page of all settings (`batiksim/docs/settings.md`).
"""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from batiksim.values import FORMAT, Design, DyeBook, MaskUse, PriceList
from batiksim.values.rules import Amounts, Choice, Colour, Flag, Number, Numbers, Pairs, Rule, toml_inline
from batiksim.values.settings import Table, Tables, Value, doc_line, rules, schema_of
from batiksim.values.steps import Mask, Paint, Paints, Spread, Steps
from batiksim.values.strip_file import StripFile

PACKAGE = Path(__file__).resolve().parents[2] / "batiksim"
SCHEMAS = {"design.schema.json": Design, "dye-book.schema.json": DyeBook}
FILES = {"The design file": Design, "A dye book": DyeBook, "A price list": PriceList, "A strip file": StripFile}
HEAD = """\
# All settings

Every setting of the files that you write by hand. The first line of each file is `format = 1`. This page is made from
the declarations in `batiksim/values` by `python tests/tools/settings_pages.py`.
"""


def file_schema(kind: type[Value]) -> dict[str, Any]:
    """The JSON Schema of a whole file, whose first setting is its format."""
    schema = schema_of(kind)
    number = {"description": "Format of the file.", "const": FORMAT}
    needed = ["format", *schema.get("required", [])]
    draft = {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": doc_line(kind).rstrip(".")}
    return draft | schema | {"properties": {"format": number, **schema["properties"]}, "required": needed}


def schema_text(kind: type[Value]) -> str:
    """A schema file's text."""
    return json.dumps(file_schema(kind), ensure_ascii=False, indent=1, default=str) + "\n"


def page_text() -> str:
    """The reference page."""
    return HEAD + "\n".join(_page()).rstrip() + "\n"


def _page() -> Iterator[str]:
    for title, kind in FILES.items():
        yield from ("", f"## {title}", "", doc_line(kind), "", *table_lines(kind))
        for heading, inner in _inside(kind):
            yield from ("", f"### {heading}", "", doc_line(inner), "", *table_lines(inner))


def _inside(kind: type[Value]) -> Iterator[tuple[str, type[Value]]]:
    """The tables inside a table, each with its heading."""
    for name, rule, _ in rules(kind):
        key = rule.key or name
        inner: list[tuple[str, type[Value]]] = []
        if isinstance(rule, Steps):
            inner = [(f"[[{key}]] with {word}", step) for word, step in rule.KINDS.items()]
        elif isinstance(rule, Tables):
            inner = [(f"[[{key}]]", rule.of)]
        elif isinstance(rule, Table):
            inner = [(f"{key} = {{ … }}" if rule.inline else f"[{key}]", rule.of)]
        elif isinstance(rule, Paints):
            inner = [(f"{key} = {{ … }}", Paint)]
        for heading, table in inner:
            yield heading, table
            yield from _inside(table)


def table_lines(kind: type[Value]) -> Iterator[str]:
    """The settings of one table."""
    yield "| setting | what it is | can be | if left out | example |"
    yield "|---|---|---|---|---|"
    for name, rule, default in rules(kind):
        first, *beside = rule.keys(name)
        yield _row(first, rule, default)
        yield from (_row(extra, rule, default) for extra, rule, default in rules(MaskUse) if extra in beside)


def _row(key: str, rule: Rule, default: Any) -> str:
    return f"| `{key}` | {rule.help} | {may_be(rule)} | {left_out(rule, default)} | {example(rule)} |"


def may_be(rule: Rule) -> str:
    """What a setting may hold, in words."""
    unit = rule.unit and f" {rule.unit}"
    if isinstance(rule, Number):
        kind = "whole number" if rule.whole else "number"
        return f"{kind} {'above' if rule.above else 'from'} {rule.low:,g} to {rule.high:,.12g}{unit}"
    if isinstance(rule, Choice):
        return " or ".join(f"`{choice}`" for choice in rule.choices)
    if isinstance(rule, Flag):
        return "`true`" if rule.only else "`true` or `false`"
    if isinstance(rule, Amounts):
        return f"names, each with a {may_be(rule.each)}"
    if isinstance(rule, Numbers | Pairs):
        return f"{len(rule.each)} numbers{unit}" if isinstance(rule, Numbers) else f"pairs of numbers{unit}"
    if isinstance(rule, Mask):
        return "picture, or `true`" if rule.everywhere else "picture"
    if isinstance(rule, Spread):
        return f"`true` or `false`, or a {may_be(rule.reach)}"
    if isinstance(rule, Paints):
        return "name, or `{ … }`, or a list of those"
    if isinstance(rule, Table | Tables):
        return "see below"
    return "colour" if isinstance(rule, Colour) else "text"


def left_out(rule: Rule, default: Any) -> str:
    """What holds where a setting is left out."""
    if rule.stated or not isinstance(default, bool | int | float | str | tuple | dict | None | Value):
        return "**needed**"
    return f"`{toml_inline(default)}`" if isinstance(default, bool | int | float | str) and default != "" else ""


def example(rule: Rule) -> str:
    """An example as a file has it."""
    return "" if rule.example is None else f"`{toml_inline(rule.example)}`"


def main() -> None:
    """Write all of it."""
    (PACKAGE / "data" / "schemas").mkdir(exist_ok=True)
    for name, kind in SCHEMAS.items():
        (PACKAGE / "data" / "schemas" / name).write_text(schema_text(kind), encoding="utf-8")
    (PACKAGE / "docs").mkdir(exist_ok=True)
    (PACKAGE / "docs" / "settings.md").write_text(page_text(), encoding="utf-8")


if __name__ == "__main__":
    main()
