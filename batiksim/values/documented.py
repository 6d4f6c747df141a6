"""Docstrings of public values in numpydoc's form: parameters as their rules say, the rest as written by hand."""

import dataclasses
import inspect
import re
from typing import Any, TypeVar

from batiksim.values.rules import Rule
from batiksim.values.settings import Value, rules

V = TypeVar("V", bound=type[Value])
_HEADING = re.compile(r"^(\w[\w ]*)\n-{3,}\n", re.MULTILINE)
_RAISES = """\
BatikError
    For a setting that isn't allowed, with its name, what was found and what to write.
TypeError
    For something of a kind that no setting can hold."""


def documented(kind: V) -> V:
    """A class decorator: complete a value's docstring by its parameters, made from their rules, and what it raises.

    Parameters without a rule are written by hand, in a section of their own; all come in the order of the fields.
    """
    summary, *rest = _HEADING.split(inspect.cleandoc(kind.__doc__ or ""))
    sections = dict(zip(rest[::2], rest[1::2], strict=True))
    by_hand = re.split(r"\n(?=\S)", sections.pop("Parameters", "").strip())
    told = {entry.partition(" ")[0]: entry for entry in by_hand if entry}
    told |= {name: _entry(name, rule, default) for name, rule, default in rules(kind)}
    order = {field.name: place for place, field in enumerate(dataclasses.fields(kind))}  # type: ignore[arg-type]
    entries = [told[name] for name in sorted(told, key=lambda name: order.get(name, len(order)))]
    sections = {"Parameters": "\n".join(entries), "Raises": _RAISES, **sections}
    parts = [f"{heading}\n{'-' * len(heading)}\n{text.strip()}" for heading, text in sections.items()]
    kind.__doc__ = "\n" + "\n\n".join([summary.strip(), *parts]) + "\n"
    return kind


def _entry(name: str, rule: Rule, default: Any) -> str:
    """One parameter: its type, its default, what it is, and from where to where it may go."""
    left_out = (
        f", default {default!r}" if isinstance(default, bool | int | float | str) and default != "" else ", optional"
    )
    return "\n    ".join(
        (
            f"{name} : {rule.takes}{'' if default is dataclasses.MISSING else left_out}",
            rule.python or rule.help,
            *rule.limits,
        )
    )
