"""Files without end, of every shape that a reader might work at for ever."""

from __future__ import annotations

from batiksim.files.measurements.spectra import read_spectrum
from batiksim.files.measurements.swatches import read_swatches
from batiksim.files.toml.designs import read_design
from batiksim.files.toml.dyebooks import read_book
from batiksim.files.toml.reading import LARGEST_BYTES
from batiksim.files.toml.strips import read_strip

__all__ = ["ENDLESS", "HEAD", "READERS", "SIZE"]

READERS = (read_design, read_book, read_strip, read_swatches, read_spectrum)
SIZE = LARGEST_BYTES // 32  # of each; of the largest size, each was told within 2 s
HEAD = 'format = 1\ntitle = "x"\n[cloth]\nwidth_mm = 450\n'


def filled(piece: str, *, before: str = "", after: str = "", most: int = SIZE) -> bytes:
    """A large file of one thing over and over."""
    count = (most - len(before.encode()) - len(after.encode())) // len(piece.encode())
    return (before + piece * count + after).encode()


def counted(form: str, *, before: str = "", after: str = "") -> bytes:
    """The same, each with a number of its own."""
    lines, size = [], len(before) + len(after)
    while size < SIZE - 100:
        lines.append(form.format(len(lines)))
        size += len(lines[-1])
    return (before + "".join(lines) + after).encode()


ENDLESS = {
    "a key of many parts": filled("a.", after="a = 1"),
    "a heading of many parts": filled("a.", before="[", after="a]"),
    "quoted parts": filled('"a" . ', after="a = 1"),
    "many keys of some parts": counted("a{}.b.c.d.e.f.g.h = 1\n"),
    "lists in lists": filled("[", before="format = "),
    "tables in tables": filled("{a=", before="format = "),
    "one long name": filled("a", before='title = "', after='"'),
    "one long number": filled("9", before="format = "),
    "one long hexadecimal": filled("f", before="format = 0x"),
    "one long fraction": filled("1", before="format = 0."),
    "many keys": counted("a{} = 1\n"),
    "many tables": counted("[a{}]\n"),
    "many steps": filled("[[step]]\n", before=HEAD),
    "many pots": filled("[[pot]]\n", before=HEAD),
    "many parts of a pot": counted("a{}=1,", before=HEAD + '[[pot]]\nname = "x"\nparts = {', after="b=1}"),
    "many pots in a bath": filled('"a",', before=HEAD + "[[step]]\ndye = [", after="]"),
    "many checks": filled('"a",', before=HEAD + "[checks]\nskip = [", after="]"),
    "a long unknown dye": filled("ab", before=HEAD + '[[pot]]\nname = "x"\nparts = { "', after='" = 1 }'),
    "quotes": filled('"'),
    "open quotes": filled('"""a\n'),
    "hashes": filled("#"),
    "points": filled("."),
    "equal signs": filled("="),
    "line ends": filled("\r\n"),
    "spaces": filled(" ", before="a", after="."),
    "letters of four bytes": filled("\U0001f9f5"),
    "numbers with commas": filled("1,"),
    "cells": filled(",", before="name,dyes,L,a,b\n"),
    "wavelengths": counted("{},0.5\n"),
    "quoted lines": filled('"1\n', before="nm,r\n"),
    "samples": filled("1 2\n", before="BEGIN_DATA_FORMAT\nSAMPLE_ID NM_400\nEND_DATA_FORMAT\nBEGIN_DATA\n"),
    "fields": filled("NM_400 ", before="BEGIN_DATA_FORMAT\n"),
    "short lines of fields": filled("A\n", before="BEGIN_DATA_FORMAT\n"),
    "short lines of values": filled("1\n", before=f"BEGIN_DATA_FORMAT\n{'A ' * 4_900}\nEND_DATA_FORMAT\nBEGIN_DATA\n"),
}  # fmt: skip
