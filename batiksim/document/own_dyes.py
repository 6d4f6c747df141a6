"""The maker's own dyes: those that a calibration has put into the dye book in the cloth's folder."""

from collections.abc import Sequence
from typing import Any

from batiksim import jobs
from batiksim.document.document import Document
from batiksim.document.renamed_pots import by_names
from batiksim.document.uploads.clicked_patches import OWN_BOOK
from batiksim.document.verbs import insert_own_dyes
from batiksim.errors import BatikError
from batiksim.files.toml import dyebooks
from batiksim.values import Design, Dye


def own_dyes(document: Document) -> dict[str, Dye]:
    """The dyes of the maker's own book by name; none when there is no such book."""
    file = document.autosave.folder / OWN_BOOK
    if document.sample or not file.is_file():
        return {}
    try:
        return {dye.name: dye for dye in dyebooks.read_book(file, name=OWN_BOOK).dyes}
    except BatikError:
        return {}  # a book that the maker is editing just now


def all_dyes(document: Document) -> list[dict[str, Any]]:
    """The dyes of the maker's own book and of the built-in one, as they dry on this cloth: name, hex, own."""
    own = own_dyes(document)
    demo = [dye for dye in dyebooks.read_book(dyebooks.DEMO).dyes if dye.name not in own]
    shown = Design(title="book", cloth=document.design.cloth, dyes=(*own.values(), *demo))
    return [{"name": name, "hex": colour, "own": name in own} for name, colour in jobs.dye_hexes(shown).items()]


def with_own_dyes(document: Document, changes: Sequence[Any]) -> list[Any]:
    """Changes by present names, in which a dye of the maker's own book, marked "own", stands as that dye."""
    changes = by_names(changes, document.new_names)
    if not any(isinstance(change, dict) and change.get("own") for change in changes):
        return list(changes)
    return insert_own_dyes(changes, own_dyes(document))
