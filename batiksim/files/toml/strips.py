"""Strip files: what was dyed where on a photographed strip, and where the strip lies in the photo. Read and written."""

import json
from collections.abc import Mapping, Sequence
from pathlib import Path

from batiksim.errors import BatikError, in_file
from batiksim.files.measurements.layers import UNDYED, layers_text
from batiksim.files.toml.tables import Table, check_format, placed, read_toml
from batiksim.types import StrPath
from batiksim.values import FORMAT, MADE_BY, Layers, Patch, Strip

_CORNERS = "corners = [[412, 305], [3620, 380], [3580, 1490], [395, 1420]]"
_AT = "at = [left, top, width, height]"
_Box = tuple[float, float, float, float]


def read_strip(path: StrPath, *, corners: tuple[tuple[float, float], ...] | None = None) -> Strip:
    """Read a strip file (TOML, format 1).

    corners : of the strip in this photo, instead of those in the file
    errors : BatikError naming file, field, what was found and what to write
    """
    file = Path(path)
    entries = read_toml(file)
    with in_file(file):
        return _strip(entries, corners)


def _strip(entries: Mapping[str, object], corners: tuple[tuple[float, float], ...] | None) -> Strip:
    top = Table(entries, "", ("format", "title", "cloth", "photo", "strip", "card", "patch"))
    check_format(entries)
    cloth = Table(_inner(top, "cloth"), "cloth", ("colour", "assumed"))
    photo = Table(_inner(top, "photo"), "photo", ("corners", "light"))
    keys = ("rows", "columns", "gap", "width_mm", "height_mm", "ground")
    layout = _Layout(Table(_inner(top, "strip"), "strip", keys))
    patches = [_patch(entry, number, layout) for number, entry in enumerate(top.tables("patch"), start=1)]
    cards = [_card(entry, number, layout) for number, entry in enumerate(top.tables("card"), start=1)]
    return Strip(
        title=top.text("title", example='title = "Blues, March"') if "title" in top else "Dyed strip",
        cloth_colour=cloth.text("colour", example='colour = "#f1ede2"') if "colour" in cloth else None,
        cloth_assumed=cloth.flag("assumed"),
        corners=corners or _corners(photo),
        patches=(*patches, *cards),
        ground=layout.ground,
        lit_by=photo.text("light", example='light = "A"') if "light" in photo else "D65",
    )


def _inner(top: Table, key: str) -> Mapping[str, object]:
    return top.table(key, example=f"[{key}]") if key in top else {}


def _corners(photo: Table) -> tuple[tuple[float, float], ...]:
    value = photo.any("corners", example=_CORNERS)
    pairs = value if isinstance(value, list) else []
    if len(pairs) != 4 or not all(isinstance(pair, list) and len(pair) == 2 for pair in pairs):
        raise photo.wrong("corners", "needs four corners, each [x, y] in pixels of the photo", f"write {_CORNERS}")
    return tuple((_plain(photo, "corners", pair[0]), _plain(photo, "corners", pair[1])) for pair in pairs)


def _plain(table: Table, key: str, value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) <= 1e6:
        raise BatikError("needs numbers", field=table.field(key), got=value, fix="write them without quotes")
    return float(value)


class _Layout:
    """Where patches lie: cells of a grid in reading order, or each by its own `at`."""

    def __init__(self, table: Table) -> None:
        self.table = table
        self.rows = self._integer("rows")
        self.columns = self._integer("columns")
        self.gap = table.number("gap", 0.0, example="gap = 0.2")
        if not 0 <= self.gap <= 0.8:
            raise table.wrong("gap", "out of range", "give the share of a cell that is bare: 0 to 0.8")
        self.ground = table.choice("ground", (UNDYED,)) is not None
        self.size = self._size()
        self.next = 0

    def _integer(self, key: str) -> int:
        value = self.table.number(key, 0.0, example=f"{key} = 4")
        if not 0 <= value <= 100 or value != int(value):
            raise self.table.wrong(key, "needs a whole number", "use 1 to 100")
        return int(value)

    def _size(self) -> tuple[float, float] | None:
        if "width_mm" not in self.table and "height_mm" not in self.table:
            return None
        width, height = (self.table.number(key, example=f"{key} = 300") for key in ("width_mm", "height_mm"))
        if min(width, height) <= 0:
            raise self.table.wrong("width_mm", "out of range", "give the strip's size in mm, above 0")
        return width, height

    def box(self, table: Table) -> _Box:
        """Left, top, width, height as shares of the strip."""
        if "at" in table:
            return self._explicit_box(table)
        if not (self.rows and self.columns):
            example = f"{_AT}, or rows and columns under [strip] to take the patches in reading order"
            raise BatikError("is missing", field=table.field("at"), fix=f"write {example}")
        row, column = divmod(self.next, self.columns)
        if row >= self.rows:
            cells = self.rows * self.columns
            fix = "add rows"
            raise BatikError("there are more patches than cells", field=table.field(), got=f"{cells} cells", fix=fix)
        self.next += 1
        bare = self.gap / 2
        wide, high = 1 / self.columns, 1 / self.rows
        return (column + bare) * wide, (row + bare) * high, (1 - self.gap) * wide, (1 - self.gap) * high

    def _explicit_box(self, table: Table) -> _Box:
        value = table.any("at", example=_AT)
        if not isinstance(value, list) or len(value) != 4:
            raise table.wrong("at", "needs four numbers", f"write {_AT}")
        left, top, width, height = (_plain(table, "at", part) for part in value)
        if self.size:
            return left / self.size[0], top / self.size[1], width / self.size[0], height / self.size[1]
        if max(width, height) > 4:
            fix = "give shares of the strip (0 to 1), or width_mm and height_mm under [strip]"
            raise table.wrong("at", "looks like mm, but the strip's size isn't given", fix)
        return left, top, width, height


def _patch(entries: Mapping[str, object], number: int, layout: _Layout) -> Patch:
    table = Table(entries, f"patch {number}", ("name", "dye", "strength", "dyes", "undyed", "at"))
    layers = _patch_layers(table)
    name = table.text("name", example='name = "leaf"') if "name" in table else layers_text(layers)
    with placed(table.where):
        return Patch(name=name, layers=layers, at=layout.box(table))


def _patch_layers(table: Table) -> Layers:
    kinds = [key for key in ("dye", "dyes", "undyed") if key in table]
    if len(kinds) != 1:
        fix = 'write dye = "sun yellow", dyes = { "sun yellow" = 1, "sea blue" = 0.5 } or undyed = true'
        raise BatikError("needs one of dye, dyes or undyed", field=table.field(), got=" and ".join(kinds), fix=fix)
    if "strength" in table and "dye" not in table:
        fix = 'with dyes, write each strength behind its dye: dyes = { "sun yellow" = 0.5 }'
        raise BatikError("belongs to a single dye", field=table.field("strength"), fix=fix)
    if "undyed" in table:
        if not table.flag("undyed"):
            raise table.wrong("undyed", "can only be true", "leave it out and name the dye")
        return ()
    if "dye" in table:
        dye = table.text("dye", example='dye = "sun yellow"')
        return ((dye, table.number("strength", 1.0, example="strength = 0.5")),)
    dyes = table.table("dyes", example='dyes = { "sun yellow" = 1, "sea blue" = 0.5 }')
    inner = Table(dyes, str(table.field("dyes")), dyes)
    if not dyes:
        raise table.wrong("dyes", "names no dye", "for undyed cloth write undyed = true")
    return tuple((dye, inner.number(dye, example=f'"{dye}" = 1')) for dye in dyes)


def _card(entries: Mapping[str, object], number: int, layout: _Layout) -> Patch:
    table = Table(entries, f"card {number}", ("name", "reflectance", "at"))
    name = table.text("name", example='name = "grey card"') if "name" in table else f"card {number}"
    card = table.number("reflectance", example="reflectance = 0.18 for a grey card, about 0.9 for a white one")
    if "at" not in table:
        raise BatikError("is missing", field=table.field("at"), fix=f"write {_AT}; it may lie beside the strip")
    with placed(table.where):
        return Patch(name=name, at=layout.box(table), card=card)


def strip_text(
    title: str,
    cells: Sequence[Layers],
    *,
    columns: int,
    gap: float,
    cloth: str,
    cloth_assumed: bool,
    card: tuple[float, Sequence[float]] | None,
) -> str:
    """A strip file whose patches lie in rows, bare cloth between them; the photo's corners are left to fill in.

    cells : (dye, strength) of each in reading order, () for bare cloth
    cloth_assumed : whether the cloth's colour is only what cotton commonly is
    card : its reflectance, and left, top, width, height in the photo as shares; None without one
    """
    lines = [f"# {MADE_BY}. A strip made again in this folder takes its place: give it another name if you changed it."]
    lines += [f"format = {FORMAT}", f"title = {_quoted(title)}", "", "[cloth]"]
    lines += [f"colour = {_quoted(cloth)}  # undyed, by daylight: write your own cloth's colour if you know it"]
    lines += ["assumed = true  # take this line out when you have written it", ""] if cloth_assumed else [""]
    lines += ["# The strip's corners in your photo, in pixels: top left, top right, bottom right, bottom left."]
    lines += ["# Fill them in here and take the # away, or give them to calibrate with --corners."]
    lines += ["# [photo]", "# corners = [[412, 305], [3620, 380], [3580, 1490], [395, 1420]]"]
    lines += ['# Taken under a filament lamp and not by day? Then write light = "A" below corners.', "", "[strip]"]
    lines += [f"rows = {len(cells) // columns}", f"columns = {columns}", f"gap = {gap:g}", 'ground = "undyed"', ""]
    if card is not None:
        reflectance, place = card
        at = ", ".join(f"{share:.6g}" for share in place)
        lines += ["[[card]]  # no card in the photo? Take these three lines out.", f"reflectance = {reflectance:g}"]
        lines += [f"at = [{at}]", ""]
    for cell in cells:
        lines += ["[[patch]]", *_patch_lines(cell), ""]
    return "\n".join(lines).rstrip() + "\n"


def _patch_lines(layers: Layers) -> list[str]:
    if not layers:
        return ["undyed = true"]
    if len(layers) == 1:
        ((dye, strength),) = layers
        return [f"dye = {_quoted(dye)}", *([] if strength == 1 else [f"strength = {strength:g}"])]
    inside = ", ".join(f"{_quoted(dye)} = {strength:g}" for dye, strength in layers)
    return [f"dyes = {{ {inside} }}  # one over the other"]


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)  # TOML's basic strings escape as JSON's do
