"""Results as plain data by their fields: what `--json`, report.json and the page get.

A frozen dataclass gives every field under its own name; a field says where it wants it otherwise:

    share: float = field(metadata=as_data(places=4))
    miss: float = field(metadata=as_data("difference", places=2))

Properties that belong to the data too are named in `DATA` of the class. A sentence is given in the language that is
spoken, and beside it, as `<field>_says`, its key and values.
"""

import dataclasses
import datetime
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from batiksim.texts.catalogue import Message, message_data


@dataclass(frozen=True, kw_only=True)
class AsData:
    """How a field becomes data.

    name : instead of the field's own; places : its numbers are rounded to; make : gives what to show in its stead
    spread : its own fields stand among those of the value; left_out : it is no data
    """

    name: str = ""
    places: int | None = None
    make: Callable[[Any], Any] | None = None
    spread: bool = False
    left_out: bool = False


AS_IT_IS = AsData()


def as_data(name: str = "", **how: Any) -> dict[str, Any]:
    """The metadata of a field that becomes data otherwise than as it is; how : as of `AsData`."""
    return {"data": AsData(name=name, **how)}


LEFT_OUT = as_data(left_out=True)


def plain_data(value: Any, *, without: Sequence[str] = (), places: int | None = None) -> dict[str, Any]:
    """A frozen dataclass as plain data.

    without : fields to leave out; places : numbers are rounded to where their field says nothing else
    """
    data: dict[str, Any] = {}
    kind: Any = type(value)
    for name, how in _shown(kind):
        if name in without:
            continue
        held = getattr(value, name)
        if how.make is not None and held is not None:
            held = how.make(held)
        if how.spread:
            data |= plain_data(held)
        else:
            key = how.name or name
            data[key] = plain(held, places=places if how.places is None else how.places)
            data |= _says(key, held)
    return data


def plain(held: Any, *, places: int | None = None) -> Any:
    """Anything that a field holds as plain data; places : numbers are rounded to. What is endless is null."""
    if held is None or isinstance(held, str | bool | int):
        return held
    if dataclasses.is_dataclass(held):
        return str(held) if isinstance(held, Message) else plain_data(held, places=places)
    if isinstance(held, tuple | list):
        return [plain(each, places=places) for each in held]
    if isinstance(held, Mapping):
        return {name: plain(each, places=places) for name, each in held.items()}
    if isinstance(held, Path | datetime.date):
        return str(held)
    if hasattr(held, "tolist"):  # arrays and single numbers of numpy
        return plain(held.tolist(), places=places)
    if not math.isfinite(held):
        return None
    return held if places is None else round(held, places)


def sentences(key: str, held: Any) -> dict[str, Any]:
    """A sentence, or several, under a key, and beside it what they say, as the field of a dataclass has them."""
    return {key: plain(held)} | _says(key, held)


def _says(key: str, held: Any) -> dict[str, Any]:
    """What a sentence says, or each of several."""
    if isinstance(held, Message):
        return {f"{key}_says": message_data(held)}
    if isinstance(held, tuple | list) and held and all(isinstance(each, Message) for each in held):
        return {f"{key}_says": [message_data(each) for each in held]}
    return {}


@cache
def _shown(kind: Any) -> tuple[tuple[str, AsData], ...]:
    """What of a class is data, and how."""
    ways = [(field.name, field.metadata.get("data", AS_IT_IS)) for field in dataclasses.fields(kind)]
    ways += [(name, AS_IT_IS) for name in getattr(kind, "DATA", ())]
    return tuple((name, how) for name, how in ways if not how.left_out)
