"""Steps of a design as the design file writes them, both ways."""

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

from batiksim.errors import BatikError, nearest
from batiksim.files.disk.resolve import PICTURE_ENDINGS, file_beside
from batiksim.files.toml.tables import Table, placed
from batiksim.files.toml.writing import stated
from batiksim.values import GREYS, MARKS, TOOLS, Discharge, DyeBath, MaskUse, Paint, RemoveWax, Step, Wax


def _wax(folder: Path, table: Table) -> Wax:
    mask = read_mask_use(folder, table, "wax")
    with placed(table.where):
        return Wax(
            mask=mask,
            grey=table.choice("grey", GREYS) or "cover",
            crackle=table.number("crackle", 0.0, example="crackle = 0.3"),
            tool=table.choice("tool", TOOLS),
            paraffin=table.number("paraffin", Wax.paraffin, example="paraffin = 0.6"),
            edges=table.number("edges", 0.0, example="edges = 0.3"),
            cool=table.number("cool", 0.0, example="cool = 0.4"),
            seed=_integer(table, "seed", example="seed = 7") if "seed" in table else None,
        )


def _integer(table: Table, key: str, *, example: str) -> int:
    value = table.number(key, example=example)
    if not math.isfinite(value) or value != int(value):
        raise table.wrong(key, "needs a whole number", f"write {example}")
    return int(value)


def _dye_bath(folder: Path, table: Table) -> DyeBath:
    value = table.any("dye", example='dye = "navy"')
    where = f"{table.where}: dye"
    if not isinstance(value, list):
        return DyeBath(paints=(_paint(folder, value, where),))
    if not value:
        raise BatikError("needs at least one pot", field=where, got="an empty list", fix='write dye = "name of a pot"')
    numbered = enumerate(value, start=1)
    return DyeBath(paints=tuple(_paint(folder, entry, f"{where} {number}") for number, entry in numbered))


def _paint(folder: Path, value: object, where: str) -> Paint:
    if isinstance(value, str):
        with placed(where):
            return Paint(pot=value)
    if not isinstance(value, dict):
        fix = 'write dye = "navy", or dye = { pot = "navy", where = "sky.png" }'
        raise BatikError("needs a pot", field=where, got=value, fix=fix)
    table = Table(value, where, ("pot", "where", "spread", "marks", "clean"))
    pot = table.text("pot", example='pot = "navy"')
    if "where" not in table:
        _no_mask_keys(table, 'where = "sky.png"')
    mask = read_mask_use(folder, table, "where") if "where" in table else None
    spread, reach = _spread(table)
    with placed(where):
        return Paint(pot=pot, where=mask, spread=spread, reach_mm=reach)


def _spread(table: Table) -> tuple[bool, float | None]:
    """Whether a pot spreads, and its reach in mm where the design gives one: spread = true, or spread = 3.5."""
    value = table.any("spread", example="spread = true") if "spread" in table else False
    if isinstance(value, bool):
        return value, None
    if not isinstance(value, int | float):
        raise table.wrong("spread", "needs true, or how far in mm", "write spread = true or spread = 3, without quotes")
    return True, table.number("spread", example="spread = 3")


def _discharge(folder: Path, table: Table) -> Discharge:
    value = table.any("discharge", example="discharge = true")
    if value is not True and not isinstance(value, str):
        raise table.wrong("discharge", "needs a picture, or true for the whole cloth", 'write "bleach.png" or true')
    if value is True:
        _no_mask_keys(table, 'discharge = "bleach.png"')
    mask = None if value is True else read_mask_use(folder, table, "discharge")
    with placed(table.where):
        return Discharge(where=mask, strength=table.number("strength", 1.0, example="strength = 0.8"))


def _remove_wax(folder: Path, table: Table) -> RemoveWax:
    del folder
    if table.any("remove_wax", example="remove_wax = true") is not True:
        raise table.wrong("remove_wax", "can only be true", "write remove_wax = true, or take this step out")
    return RemoveWax()


# Each kind of step: the key that makes it one, its reader, and the keys that may stand beside.
_STEPS: dict[str, tuple[Callable[[Path, Table], Step], tuple[str, ...]]] = {
    "wax": (_wax, ("grey", "marks", "clean", "crackle", "tool", "paraffin", "edges", "cool", "seed")),
    "dye": (_dye_bath, ()),
    "discharge": (_discharge, ("strength", "marks", "clean")),
    "remove_wax": (_remove_wax, ()),
}


def read_step(folder: Path, entries: Mapping[str, object], where: str) -> Step:
    """Read one [[step]] table.

    folder : the design's folder, where the pictures must be
    where : how errors call it ("step 2")
    """
    kinds = [kind for kind in _STEPS if kind in entries]
    if len(kinds) != 1:
        others = [key for key in entries if key not in kinds]
        if others and not kinds:
            raise BatikError("is not a kind of step", field=where, got=others[0], fix=nearest(others[0], _STEPS))
        raise BatikError(
            "needs exactly one of wax, dye, discharge or remove_wax",
            field=where,
            got=" and ".join(kinds) or "none of them",
            fix="write one [[step]] for each",
        )
    kind = kinds[0]
    read, keys = _STEPS[kind]
    if kind == "dye":
        _check_dye_step(entries, where)
    table = Table(entries, where, (kind, *keys, "note"))
    step = read(folder, table)
    if "note" not in table:
        return step
    note = table.text("note", example='note = "Warm the cloth a little first."')
    with placed(where):
        return replace(step, note=note)


def _check_dye_step(entries: Mapping[str, object], where: str) -> None:
    """Say where the keys of one pot belong, a likely slip that the list of step keys alone wouldn't explain."""
    stray = next((key for key in entries if key in ("where", "spread", "marks", "clean")), None)
    if stray is not None:
        example = f'write dye = {{ pot = "navy", where = "sky.png"{"" if stray == "where" else f", {stray} = ..."} }}'
        raise BatikError("belongs to a pot, not to the step", field=where, got=stray, fix=example)


def read_mask_use(folder: Path, table: Table, key: str) -> MaskUse:
    """The picture at `key`, with the marks and clean that stand beside it."""
    name = table.text(key, example=f'{key} = "leaves.png"')
    try:
        file_beside(folder, name, kind="picture", endings=PICTURE_ENDINGS)
        marks, clean = table.choice("marks", MARKS), table.flag("clean")
    except BatikError as error:
        raise (error if error.field else error.in_field(table.field(key) or key)) from None
    with placed(table.where):
        return MaskUse(picture=name, marks=marks, clean=clean)


def _no_mask_keys(table: Table, example: str) -> None:
    for key in ("marks", "clean"):
        if key in table:
            fix = f"add {example}, or drop it"
            raise BatikError("has no picture to go with", field=table.field(), got=key, fix=fix)


def step_entries(step: Step) -> dict[str, object]:
    """A step as one [[step]] table holds it, defaults left out; `read_step` gives the same step back."""
    return _work_entries(step) | stated(step, "note")


def _work_entries(step: Step) -> dict[str, object]:
    if isinstance(step, Wax):
        keys = ("grey", "crackle", "tool", "paraffin", "edges", "cool", "seed")
        return mask_entries("wax", step.mask) | stated(step, *keys)
    if isinstance(step, DyeBath):
        paints = [_paint_entries(paint) for paint in step.paints]
        return {"dye": paints[0] if len(paints) == 1 else paints}
    if isinstance(step, Discharge):
        entries = {"discharge": True} if step.where is None else mask_entries("discharge", step.where)
        return entries | stated(step, "strength")
    return {"remove_wax": True}


def _paint_entries(paint: Paint) -> str | dict[str, object]:
    if paint.where is None and not paint.spread:
        return paint.pot
    entries: dict[str, object] = {"pot": paint.pot}
    entries |= {} if paint.where is None else mask_entries("where", paint.where)
    return entries | ({"spread": paint.reach_mm or True} if paint.spread else {})


def mask_entries(key: str, mask: MaskUse) -> dict[str, object]:
    """A mask's name at `key`, with its marks and clean beside it."""
    return {key: mask.picture} | stated(mask, "marks", "clean")
