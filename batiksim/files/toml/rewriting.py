"""A maker's own TOML file written anew: only what has changed is touched; her comments, order and spacing stay.

The text is taken apart into blocks: what stands before the first table, then each table with the comment lines right
above it. A block whose table is as it was is kept to the letter, and moves with its table.
"""

import operator
import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from batiksim.files.toml.reading import read_toml
from batiksim.files.toml.writing import toml_table, toml_text, toml_value

Entries = Mapping[str, object]
_HEADER = re.compile(r"\s*\[(\[?)\s*[\"']?(\w+)[\"']?\s*\]\]?\s*(#.*)?")


@dataclass(frozen=True)
class _Block:
    kind: str  # the table's name; empty for what stands before the first table
    text: str  # without blank lines at the end
    gap: str  # line ends behind it


def changed_text(file: Path, new: Entries, says: Callable[[Entries], Entries]) -> str:
    """A file's text with what differs from `new` changed in it; all of it afresh where that can't be done.

    new : as for `toml_text`; says : what entries as they stand in the file mean, in the same form
    """
    try:
        text = rewritten(file.read_bytes().decode("utf-8-sig"), says(read_toml(file)), new)
        if text is not None and says(tomllib.loads(text)) == new:
            return text
    except Exception:  # no such file, or laid out in a way that can't be followed: saving never fails for that
        pass
    return toml_text(new)


def rewritten(text: str, old: Entries, new: Entries) -> str | None:
    """A file's text with what differs between `old` and `new` changed in it.

    old, new : as for `toml_text`; `old` is what the text says, where keys at their default may be left out
    returns : None when the text is laid out in a way that this can't follow; whoever asks must check what it says
    """
    kinds = tuple(key for key, value in {**old, **new}.items() if _is_table(value) or _is_list(value))
    head, *blocks = _blocks(text.replace("\r\n", "\n"), kinds)
    usual = blocks[0].gap if len(blocks) > 1 else "\n\n"
    blocks_of = {kind: [block for block in blocks if block.kind == kind] for kind in kinds}
    laid: dict[str, list[_Block]] = {}
    for kind in kinds:
        before, after = _listed(old.get(kind)), _listed(new.get(kind))
        if len(blocks_of[kind]) != len(before):
            return None
        laid[kind] = _matched(kind, blocks_of[kind], before, after, many=_is_list({**old, **new}[kind]), gap=usual)
    top = _changed_block(head, _plain(old, kinds), _plain(new, kinds))
    new_text = _joined_text([top, *_in_places(blocks, laid, kinds)], usual)
    return new_text.replace("\n", "\r\n") if "\r\n" in text else new_text


def _is_table(value: object) -> bool:
    return isinstance(value, Mapping)


def _is_list(value: object) -> bool:
    return isinstance(value, Sequence) and not isinstance(value, str)


def _listed(value: Any) -> list[Entries]:
    return [] if value is None else [value] if _is_table(value) else list(value)


def _plain(entries: Entries, kinds: tuple[str, ...]) -> Entries:
    return {key: value for key, value in entries.items() if key not in kinds}


def _blocks(text: str, kinds: tuple[str, ...]) -> list[_Block]:
    """What stands before the first table, then every table; the comment lines right above a header are its own."""
    lines = text.splitlines(keepends=True)
    starts: list[tuple[int, str]] = [(0, "")]
    for at, line in enumerate(lines):
        header = _HEADER.fullmatch(line.rstrip("\n"))
        if header is None or header[2] not in kinds:
            continue
        first = at
        while first > starts[-1][0] and lines[first - 1].lstrip().startswith("#"):
            first -= 1
        starts.append((first, header[2]))
    ends = [first for first, _ in starts[1:]] + [len(lines)]
    return [_block(kind, "".join(lines[first:end])) for (first, kind), end in zip(starts, ends, strict=True)]


def _block(kind: str, text: str) -> _Block:
    body = text.rstrip()
    return _Block(kind, body, "\n" * max(1, text[len(body) :].count("\n")))


def _matched(
    kind: str, blocks: list[_Block], old: list[Entries], new: list[Entries], *, many: bool, gap: str
) -> list[_Block]:
    """A block for each new table: that of the table it was, changed where need be, or a fresh one."""
    free = list(range(len(old)))
    partner: dict[int, int] = {}
    for alike in (operator.eq, _namesake, _kindred):
        for number, entries in enumerate(new):
            if number not in partner:
                candidates = [at for at in free if alike(old[at], entries)]
                if candidates:
                    partner[number] = min(candidates, key=lambda at: abs(at - number))
                    free.remove(partner[number])
    return [
        _changed_block(blocks[partner[number]], old[partner[number]], entries)
        if number in partner
        else _fresh(kind, entries, many=many, gap=gap)
        for number, entries in enumerate(new)
    ]


def _namesake(old: Entries, new: Entries) -> bool:
    return "name" in old and old["name"] == new.get("name")


def _kindred(old: Entries, new: Entries) -> bool:
    """A step of the same kind: its first key says which."""
    return "name" not in old and next(iter(old), None) == next(iter(new), None)


def _fresh(kind: str, entries: Entries, *, many: bool, gap: str) -> _Block:
    import tomlkit

    header = f"[[{kind}]]" if many else f"[{kind}]"
    return _Block(kind, f"{header}\n{tomlkit.dumps(toml_table(entries)).strip()}", gap)


def _changed_block(block: _Block, old: Entries, new: Entries) -> _Block:
    """The block with those keys set or taken out that differ."""
    if old == new:
        return block
    import tomlkit

    document = tomlkit.parse(block.text + "\n")
    table: Any = document if not block.kind else document[block.kind]
    if isinstance(table, list):
        (table,) = table
    for key in [key for key in old if key not in new]:
        table.remove(key)
    for key, value in new.items():
        if key not in old or old[key] != value:
            table[key] = toml_value(value)
    return _Block(block.kind, tomlkit.dumps(document).rstrip(), block.gap)


def _in_places(blocks: list[_Block], laid: dict[str, list[_Block]], kinds: tuple[str, ...]) -> list[_Block]:
    """The new blocks in the places of the old ones of their kind, more of a kind behind its last."""
    left = {kind: list(waiting) for kind, waiting in laid.items()}
    result: list[_Block] = []
    for at, block in enumerate(blocks):
        waiting = left[block.kind]
        last = all(other.kind != block.kind for other in blocks[at + 1 :])
        take = len(waiting) if last else min(1, len(waiting))
        result += waiting[:take]
        del waiting[:take]
    for place, kind in enumerate(kinds):  # kinds that had none: behind those that come before them
        if left[kind]:
            at = 1 + max((n for n, other in enumerate(result) if other.kind in kinds[:place]), default=-1)
            result[at:at] = left[kind]
    return result


def _joined_text(blocks: list[_Block], usual: str) -> str:
    parts: list[str] = []
    for number, block in enumerate(blocks):
        if not block.text:
            continue
        last = number == len(blocks) - 1
        parts.append(block.text + ("\n" if last else block.gap if len(block.gap) > 1 else usual))
    return "".join(parts)
