"""Strip files: what was dyed where on a photographed strip, and where the strip lies in the photo. Read and written."""

from collections.abc import Sequence
from pathlib import Path

from batiksim.errors import BatikError, in_file
from batiksim.files.measurements.layers import layers_text
from batiksim.files.toml.reading import formatted, read_toml
from batiksim.texts.catalogue import say, texts
from batiksim.types import StrPath
from batiksim.values import FORMAT, MADE_BY, Layers, Patch, Strip
from batiksim.values.rules import placed, toml_inline, toml_line
from batiksim.values.strip_file import StripFile, StripLayout

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
        return _strip(formatted(StripFile, entries), corners)


def _strip(file: StripFile, corners: tuple[tuple[float, float], ...] | None) -> Strip:
    corners = corners or file.photo.corners
    if corners is None:
        raise BatikError(
            "settings.error.missing", field="photo: corners", fix=say("settings.error.write", example=_CORNERS)
        )
    boxes, patches = _Boxes(file.layout), []
    for number, patch in enumerate(file.patches, start=1):
        with placed(f"patch {number}"):
            box = boxes.cell() if patch.at is None else boxes.at(patch.at)
            patches.append(Patch(name=patch.name or layers_text(patch.layers), layers=patch.layers, at=box))
    for number, card in enumerate(file.cards, start=1):
        with placed(f"card {number}"):
            name = card.name or f"card {number}"
            patches.append(Patch(name=name, at=boxes.at(card.at), card=card.reflectance))
    return Strip(
        title=file.title,
        cloth_colour=file.cloth.colour,
        cloth_assumed=file.cloth.assumed,
        corners=corners,
        patches=tuple(patches),
        ground=file.layout.ground is not None,
        lit_by=file.photo.light,
    )


class _Boxes:
    """Where patches lie: in cells of a grid in reading order, or each at its own place."""

    def __init__(self, layout: StripLayout) -> None:
        self.layout = layout
        self.next = 0

    def cell(self) -> _Box:
        """The next cell: left, top, width, height as shares of the strip."""
        layout = self.layout
        if not (layout.rows and layout.columns):
            raise BatikError("files.strip.error.no_place", field="at", example=_AT)
        row, column = divmod(self.next, layout.columns)
        if row >= layout.rows:
            raise BatikError("files.strip.error.too_many_patches", cells=layout.rows * layout.columns)
        self.next += 1
        bare, size = layout.gap / 2, 1 - layout.gap
        return (column + bare) / layout.columns, (row + bare) / layout.rows, size / layout.columns, size / layout.rows

    def at(self, box: _Box) -> _Box:
        """A place that the file gives, as shares of the strip."""
        left, top, width, height = box
        if self.layout.size_mm is not None:
            strip_width, strip_height = self.layout.size_mm
            return left / strip_width, top / strip_height, width / strip_width, height / strip_height
        if max(width, height) > 4:
            raise BatikError("files.strip.error.looks_like_mm", field="at", got=list(box))
        return box


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
    says = texts()

    def remark(key: str) -> str:
        return says(f"files.strip.remark.{key}")

    lines = [f"# {MADE_BY}. {remark('again')}", f"format = {FORMAT}", toml_line("title", title), "", "[cloth]"]
    lines += [f"{toml_line('colour', cloth)}  # {remark('colour')}"]
    lines += [f"assumed = true  # {remark('assumed')}", ""] if cloth_assumed else [""]
    lines += [f"# {line}" for line in says.lines("files.strip.remark.corners")]
    lines += ["# [photo]", f"# {_CORNERS}", f"# {remark('light')}", "", "[strip]"]
    lines += [f"rows = {len(cells) // columns}", f"columns = {columns}", f"gap = {gap:g}", 'ground = "undyed"', ""]
    if card is not None:
        reflectance, place = card
        shares = ", ".join(f"{share:.6g}" for share in place)
        lines += [f"[[card]]  # {remark('card')}", f"reflectance = {reflectance:g}", f"at = [{shares}]", ""]
    for cell in cells:
        lines += ["[[patch]]", *_patch_lines(cell), ""]
    return "\n".join(lines).rstrip() + "\n"


def _patch_lines(layers: Layers) -> list[str]:
    if not layers:
        return ["undyed = true"]
    if len(layers) == 1:
        ((dye, strength),) = layers
        return [toml_line("dye", dye), *([] if strength == 1 else [f"strength = {strength:g}"])]
    inside = ", ".join(f"{toml_inline(dye)} = {strength:g}" for dye, strength in layers)
    return [f"dyes = {{ {inside} }}  # {texts()('files.strip.remark.over')}"]
