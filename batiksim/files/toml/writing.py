"""TOML as a maker would write it: short keys, a blank line between tables, whole numbers without a point."""

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from batiksim.errors import BatikError
from batiksim.values import FORMAT
from batiksim.values.settings import Value


def toml_text(entries: Mapping[str, object]) -> str:
    """A TOML file's text: texts and numbers first, a Mapping becomes [key], a sequence of Mappings becomes [[key]]."""
    import tomlkit  # only writing needs it, and it is slow to import

    document = tomlkit.document()
    for key, value in entries.items():
        if isinstance(value, Mapping):
            document[key] = toml_table(value)
        elif isinstance(value, Sequence) and not isinstance(value, str):
            if value:
                document[key] = tables = tomlkit.aot()
                for entry in value:
                    tables.append(toml_table(entry))
        else:
            document[key] = toml_value(value)
    return re.sub(r"\n{3,}", "\n\n", tomlkit.dumps(document)).rstrip("\n") + "\n"


def file_entries(value: Value) -> dict[str, object]:
    """What a file of its own holds of a value, for `toml_text`."""
    return {"format": FORMAT, **value.written()}


def as_bytes(text: str, file: Path) -> bytes:
    """A file's text as it goes to disk, UTF-8. BatikError naming the file for half a letter."""
    try:
        return text.encode()
    except UnicodeEncodeError as error:
        letter = ascii(error.object[error.start])
        raise BatikError("files.error.half_a_letter", file=file, got=letter) from None


def toml_table(entries: Mapping[str, object]) -> Any:
    """One TOML table with a blank line after it, tables inside it on one line."""
    import tomlkit

    table = tomlkit.table()
    for key, value in entries.items():
        table[key] = toml_value(value)
    table.add(tomlkit.nl())
    return table


def toml_value(value: object) -> Any:
    """One value: tables inside a table on one line, lists of tables on several."""
    import tomlkit

    if isinstance(value, Mapping):
        inline = tomlkit.inline_table()
        for key, inner in value.items():
            inline[key] = toml_value(inner)
        return inline
    if isinstance(value, list | tuple):
        array = tomlkit.array()
        array.extend(toml_value(inner) for inner in value)
        return array.multiline(any(isinstance(inner, Mapping | list | tuple) for inner in value))
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return tomlkit.item(int(value))
    return tomlkit.item(value)
