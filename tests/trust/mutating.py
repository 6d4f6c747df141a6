"""Small changes to files as fuzzing makes them: on bytes, on words and numbers of text, on the frame of a PNG."""

from __future__ import annotations

import random
import re
import struct
import zlib
from collections.abc import Sequence

__all__ = ["WORD", "mended_png", "mutated"]

PNG = b"\x89PNG\r\n\x1a\n"
WORD = re.compile(rb'"[^"\n]*"|[-+]?\d+(?:\.\d+)?(?:e[-+]?\d+)?|[A-Za-z_][A-Za-z_0-9]*|[\[\]{}=,:;.#\n]')
VALUE = re.compile(rb'"[^"\n]*"|(?<=[ ,\[])[-+]?\d+(?:\.\d+)?(?:e[-+]?\d+)?')
NASTY = [
    b"nan", b"-inf", b"inf", b"NaN", b"1e309", b"1e-320", b"-0.0", b"0", b"-1", b"0.5", b"1e16", b"9007199254740993",
    b"9" * 400, b"9" * 4000, b"0x" + b"f" * 5000, b"0b1", b"0o7", b"+7", b"1_000", b"true", b"null", b"[]", b"{}",
    b'""', b'" "', b'"\\u0000"', b'"\\ud800"', b'"\xff"', b'"' + b"a" * 300 + b'"', b'"\\n"', b"'", b'"', b'"""',
    b'"../../x.png"', b'"/etc/passwd"', b'"~/x"', b'"C:/x"', b'"a\\\\b"', b'"."', b'"masks/../mask.png"',
    b"[" * 300, b"[" * 40 + b"]" * 40, b"{a=" * 40, b'{"a":' * 40, b"[[step]]", b"[cloth]", b"a.b.c.d.e=1", b"= 1",
    b"1979-05-27", b"07:32:00", b"1979-05-27T07:32:00Z", b"\x00", b"\xef\xbb\xbf", b"\xff\xfe", b"\xe2\x80\xae",
    b"\r\n", b"\r", b"\x0b", b"\x0c", b"\xe2\x80\xa8", b"\xc2\x85", b"\xd9\xa1\xd9\xa2", b"1,5", b"%", b"\t", b"#",
]  # fmt: skip


def mutated(data: bytes, chance: random.Random, words: Sequence[bytes], most: int) -> bytes:
    """A file changed in one to four places, at most `most` bytes long. words : those of its kind of file."""
    for _ in range(chance.choice((1, 1, 1, 1, 2, 4))):
        data = chance.choice(CHANGES)(data, chance, words)
    return data[:most]


def _word(data: bytes, chance: random.Random, words: Sequence[bytes]) -> bytes:
    """One word or bracket in another's place."""
    return _exchanged(data, list(WORD.finditer(data)), chance, words)


def _value(data: bytes, chance: random.Random, words: Sequence[bytes]) -> bytes:
    """One number or text in another's place, so that the file mostly stays one of its kind."""
    return _exchanged(data, list(VALUE.finditer(data)), chance, words)


def _exchanged(data: bytes, found: list[re.Match[bytes]], chance: random.Random, words: Sequence[bytes]) -> bytes:
    if not found:
        return _insert(data, chance, words)
    at = chance.choice(found)
    new = chance.choice(NASTY) if chance.random() < 0.6 else chance.choice([*words, chance.choice(found).group()])
    return data[: at.start()] + new + data[at.end() :]


def _insert(data: bytes, chance: random.Random, words: Sequence[bytes]) -> bytes:
    at = chance.randint(0, len(data))
    return data[:at] + chance.choice([*NASTY, *words]) + data[at:]


def _bytes(data: bytes, chance: random.Random, words: Sequence[bytes]) -> bytes:
    changed = bytearray(data or b"\0")
    for _ in range(chance.choice((1, 2, 8))):
        changed[chance.randrange(len(changed))] = chance.choice((0, 1, 127, 128, 255, chance.randrange(256)))
    return bytes(changed)


def _cut(data: bytes, chance: random.Random, words: Sequence[bytes]) -> bytes:
    one, other = sorted((chance.randint(0, len(data)), chance.randint(0, len(data))))
    if chance.random() < 0.3:
        return data[:one]
    return data[:one] + data[min(other, one + chance.choice((1, 4, 40))) :]


def _lines(data: bytes, chance: random.Random, words: Sequence[bytes]) -> bytes:
    """A line doubled, moved or left out."""
    lines = data.split(b"\n")
    one = lines.pop(chance.randrange(len(lines)))
    for _ in range(chance.choice((0, 1, 2, 30))):
        lines.insert(chance.randint(0, len(lines)), one)
    return b"\n".join(lines)


def _number(data: bytes, chance: random.Random, words: Sequence[bytes]) -> bytes:
    """A binary number of two or four bytes set to something large, small or odd."""
    size, forms = chance.choice(((2, "<H>H"), (4, "<I>I")))
    if len(data) < size:
        return data
    at = chance.randint(0, len(data) - size)
    top = 256**size
    value = chance.choice((0, 1, 8, 255, 256, 65535, top // 2, top - 1, chance.randrange(top))) % top
    form = forms[:2] if chance.random() < 0.5 else forms[2:]
    return data[:at] + struct.pack(form, value) + data[at + size :]


CHANGES = (_value,) * 8 + (_word, _word, _insert, _bytes, _cut, _lines, _number)


def mended_png(data: bytes) -> bytes:
    """A PNG whose checksums are put right again, so that what was changed is read at all; other files as they are."""
    if not data.startswith(PNG):
        return data
    out, at = [PNG], len(PNG)
    while at + 12 <= len(data):
        (length,) = struct.unpack_from(">I", data, at)
        body = data[at + 4 : at + 8 + length]
        if len(body) < 4 + length:
            break
        out.append(struct.pack(">I", length) + body + struct.pack(">I", zlib.crc32(body)))
        at += 12 + length
    return b"".join(out) + data[at:]
