"""Put the catalogue of sentences in order and compile it: python tests/tools/catalogue.py [--set KEY TEXT]...

Sorts every `batiksim/texts/locale/*.po` by key, puts the English sentence as a comment over every translation, drops
keys that English no longer has, and writes the `.mo` beside it that batiksim reads.
"""

import argparse
import datetime
import io
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

LOCALE = Path(__file__).resolve().parents[2] / "batiksim" / "texts" / "locale"
WIDTH = 118
NEVER = datetime.datetime(2000, 1, 1, tzinfo=datetime.UTC)


def read(language: str) -> Catalog:
    """A catalogue as its `.po` has it."""
    with (LOCALE / f"{language}.po").open("rb") as file:
        return read_po(file, locale=language, abort_invalid=True)


def key_of(message: Message) -> str:
    """The key of an entry, with or without plural."""
    return message.id if isinstance(message.id, str) else message.id[0]


def ordered(catalogue: Catalog, english: Catalog) -> Catalog:
    """The same catalogue with the keys that English has, by key, each under its English sentence."""
    first = {key_of(message): message for message in english if message.id}
    new = Catalog(locale=catalogue.locale, header_comment=catalogue.header_comment, project="batiksim", charset="utf-8")
    new.fuzzy = False
    for message in sorted(catalogue, key=key_of):
        key = key_of(message)
        if not message.id or key not in first:
            continue
        sentences = first[key].string if isinstance(first[key].string, tuple) else (first[key].string,)
        comments = [] if catalogue is english else [line for text in sentences for line in text.split("\n")]
        new.add(message.id, message.string, auto_comments=comments)
    return new


def as_po(catalogue: Catalog) -> bytes:
    """The text of a `.po`, the same for the same entries whenever it is written."""
    file = io.BytesIO()
    write_po(file, catalogue, width=WIDTH, omit_header=False)
    head, _, entries = file.getvalue().partition(b"\n\n")
    moving = (b'"POT-Creation-Date', b'"PO-Revision-Date', b'"Last-Translator', b'"Language-Team', b'"Report-Msgid')
    moving += (b'"Generated-By', b'"Project-Id-Version')
    return b"\n".join(line for line in head.split(b"\n") if not line.startswith(moving)) + b"\n\n" + entries


def as_mo(catalogue: Catalog) -> bytes:
    """The compiled catalogue, from its `.po` alone."""
    file = io.BytesIO()
    written = read_po(io.BytesIO(as_po(catalogue)), locale=catalogue.locale)
    written.creation_date = written.revision_date = NEVER
    write_mo(file, written)
    return file.getvalue()


def main() -> None:
    """Order and compile every catalogue."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--set", nargs=2, action="append", default=[], metavar=("KEY", "TEXT"))
    parser.add_argument("--set-plural", nargs=3, action="append", default=[], metavar=("KEY", "ONE", "OTHER"))
    parser.add_argument("--language", default="en")
    wanted = parser.parse_args()
    english = read("en")
    for path in sorted(LOCALE.glob("*.po")):
        catalogue = english if path.stem == "en" else read(path.stem)
        if path.stem == wanted.language:
            for key, text in wanted.set:
                catalogue.delete(key)
                catalogue.add(key, text)
            for key, *forms in wanted.set_plural:
                catalogue.delete(key)
                catalogue.add((key, key), tuple(forms[: catalogue.num_plurals]))
        in_order = ordered(catalogue, english)
        path.write_bytes(as_po(in_order))
        path.with_suffix(".mo").write_bytes(as_mo(in_order))
        print(f"{path.stem}: {len(in_order)} sentences")


if __name__ == "__main__":
    main()
