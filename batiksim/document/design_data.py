"""A document as plain data for whoever shows it: at once, and what takes a little longer."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from batiksim import jobs
from batiksim.changes.dyes_and_pots import is_pot_of, pot_name, used_in
from batiksim.changes.new_masks import use_of_new
from batiksim.cloth import render
from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.loads import STRONGEST_POT, WEAKEST_POT
from batiksim.cloth.outcome import outcome_of
from batiksim.cloth.program import design_masks
from batiksim.cloth.stages import stages
from batiksim.document.document import Document
from batiksim.document.frames.frames import Frames
from batiksim.document.uploads.clicked_patches import OWN_BOOK
from batiksim.texts.catalogue import message_data
from batiksim.values import Design, Discharge, Dye, DyeBath, MaskUse, Pot, Wax
from batiksim.values.plain_data import plain, plain_data
from batiksim.values.step_words import step_kind, step_words

REGIONS_PX = 1000  # width at which regions are counted: quick, and their shares hold to a part in a thousand


def state_data(document: Document) -> dict[str, Any]:
    """The document: its design, what undo would do, whether it is saved."""
    with document.lock:
        design, revision = document.design, document.revision
        base = {
            "document": document.number,
            "revision": revision,
            "design_number": document.stack.number,
            "saved": document.saved,
            "problem": document.problem and str(document.problem),
            "sample": document.sample,
            "folder": str(document.autosave.file.parent.name if not document.sample else ""),
            "undo": plain(document.stack.undo_words),
            "redo": plain(document.stack.redo_words),
            "set_aside": document.set_aside is not None,
            "new_names": document.new_names,
            "elsewhere": document.autosave.elsewhere,
        }
    rows, cols = document.masks.size(design)
    return base | design_data(design, document.frames.dyes(design), rows, cols)


def design_data(design: Design, dyes: ClothDyes, rows: int, cols: int) -> dict[str, Any]:
    """A design and the size of its pictures."""
    cloth = design.cloth
    return {
        "title": design.title,
        "cloth": plain_data(cloth, without=("surface",))
        | {"height_mm": cloth.width_mm * rows / cols, "colour": dyes.colour},
        "size": {"rows": rows, "cols": cols},
        "dyes": [_dye_data(design, dyes, dye.name) for dye in design.dyes],
        "strengths": {"weakest": WEAKEST_POT, "strongest": STRONGEST_POT},
        "pots": [_pot_data(design, dyes, pot) for pot in _bowls(design)],
        "steps": [step_data(design, dyes, number) for number in range(1, len(design.steps) + 1)],
        "pictures": [_use_data(use) for use in design_masks(design)],
    }


def _dye_data(design: Design, dyes: ClothDyes, name: str) -> dict[str, Any]:
    book = next(dye.book for dye in design.dyes if dye.name == name)
    used = bool(used_in(design, name))
    hexed = jobs.pot_hex(design, dyes, name)
    return {"name": name, "pot": pot_name(design, name), "hex": hexed, "used": used, "own": book == OWN_BOOK}


def _bowls(design: Design) -> list[Pot]:
    """Every pot, and every dye that a bath uses by its own name, in the order of the dyes on the shelf.

    So a bowl keeps its place when the order of the steps changes, or when a plain dye becomes a pot.
    """
    used = {paint.pot for step in design.steps if isinstance(step, DyeBath) for paint in step.paints}
    names = dict.fromkeys([*(dye.name for dye in design.dyes if dye.name in used), *(pot.name for pot in design.pots)])
    shelf = [dye.name for dye in design.dyes]

    def place(pot: Pot) -> tuple[int, bool]:
        main = next((dye for dye in pot.dyes if dye in shelf), None)
        if main is None:
            return len(shelf), True
        return shelf.index(main), not (pot.name == main or is_pot_of(pot.name, main))

    return sorted((design.pot(name) for name in names), key=place)


def _pot_data(design: Design, dyes: ClothDyes, pot: Pot) -> dict[str, Any]:
    return {
        "hex": jobs.pot_hex(design, dyes, pot.name),
        **plain_data(pot),
        **jobs.pot_words(pot),
        "mixed": any(mixed.name == pot.name for mixed in design.pots),
        "steps": used_in(design, pot.name),
    }


def step_data(design: Design, dyes: ClothDyes, number: int) -> dict[str, Any]:
    """One step."""
    step = design.steps[number - 1]
    title, detail = step_words(design, number)
    data: dict[str, Any] = {"kind": step_kind(step), "title": str(title), "detail": str(detail or "")}
    data |= {"title_says": message_data(title), "detail_says": detail and message_data(detail)}
    if isinstance(step, Wax):
        data |= {"where": _use_data(step.mask)} | plain_data(step, without=("mask",))
    elif isinstance(step, DyeBath):
        data["paints"] = [
            plain_data(paint) | {"hex": jobs.pot_hex(design, dyes, paint.pot), "where": _use_data(paint.where)}
            for paint in step.paints
        ]
    elif isinstance(step, Discharge):
        data |= plain_data(step) | {"where": _use_data(step.where)}
    return data


def _use_data(use: MaskUse | None) -> dict[str, Any] | None:
    if use is None:
        return None
    return plain_data(use) | {"name": use.called, "shape": use.shape or use.called}


def regions_data(frames: Frames, design: Design) -> dict[str, Any]:
    """Regions of the finished cloth, and the colours after each step."""
    outcome = outcome_of(design, frames.dyes(design), frames.planes(design, REGIONS_PX))
    told = [
        {"step": stage.emit.step, "finished": stage.emit.finished, "colours": plain(stage.colours)}
        for stage in stages(outcome)
    ]
    return {"regions": plain(outcome.regions), "stages": told, "notes": plain(render.engine_notes())}


def findings_data(frames: Frames, design: Design, *, own: Mapping[str, Dye] = MappingProxyType({})) -> dict[str, Any]:
    """Findings with the remedies that can be tried; this takes longer. own : the dyes of the maker's own book."""
    findings = jobs.cloth_findings(design, frames.dyes(design), frames.drawn(design), own=own)
    for remedy in (remedy for finding in findings for remedy in finding.remedies):
        for name, mask in remedy.masks.items():
            frames.masks.put_unsaved(use_of_new(name), mask)
    return {"findings": plain(findings)}
