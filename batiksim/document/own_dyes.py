"""The maker's own dyes: those that a calibration has put into the dye book in the cloth's folder."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from batiksim.document.document import Table
from batiksim.document.renamed_pots import by_names
from batiksim.document.uploads.clicked_patches import OWN_BOOK
from batiksim.document.verbs import made_own
from batiksim.errors import BatikError
from batiksim.files.toml import dyebooks
from batiksim.values import Dye

__all__ = ["own_dyes", "with_own_dyes"]


def own_dyes(table: Table) -> dict[str, Dye]:
    """The dyes of the maker's own book by name; none when there is no such book."""
    file = table.keeper.folder / OWN_BOOK
    if table.sample or not file.is_file():
        return {}
    try:
        return {dye.name: dye for dye in dyebooks.read_book(file, name=OWN_BOOK).dyes}
    except BatikError:
        return {}  # a book that the maker is editing just now


def with_own_dyes(table: Table, changes: Sequence[Any]) -> list[Any]:
    """Changes by the names of now, in which a dye of the maker's own book, marked "own", stands as that dye."""
    changes = by_names(changes, table.new_names)
    if not any(isinstance(one, dict) and one.get("own") for one in changes):
        return list(changes)
    return made_own(changes, own_dyes(table))
