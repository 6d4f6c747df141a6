"""A workshop as plain data, as `workshop --json` prints it."""

import dataclasses
import math
from typing import Any

from batiksim.texts.catalogue import Message, message_data
from batiksim.workshop.cautions import CAUTIONS, DEFER, cautions_for
from batiksim.workshop.figures import FIGURES, figures_data
from batiksim.workshop.measures import System, amount_words
from batiksim.workshop.shopping import Item, Shopping
from batiksim.workshop.tasks import Task
from batiksim.workshop.timetable_values import Sitting, Timetable
from batiksim.workshop.values import Workshop

_UNITS = {"length": "mm", "weight": "g", "volume": "ml"}


def workshop_data(workshop: Workshop, shopping: Shopping) -> dict[str, Any]:
    """Amounts (ml, g, mm2, mm), timetable (minutes), cautions and the figures behind them."""
    systems = [mixes.system for mixes in workshop.mixes]
    request = workshop.request
    return {
        "title": workshop.title,
        "makers": request.makers,
        "room_c": request.room_c,
        "sessions_min": list(request.session_minutes),
        "presoaked": request.presoak,
        "hard_water": request.hard_water,
        "waste": request.waste,
        "cloth": {"width_mm": workshop.areas.width_mm, "height_mm": workshop.areas.height_mm},
        "reaches": [dataclasses.asdict(reach) for reach in workshop.areas.reaches],
        "shopping": _shopping_data(shopping, systems),
        "mixes": {mixes.system: _lists(dataclasses.asdict(mixes), "system") for mixes in workshop.mixes},
        "wax": [dataclasses.asdict(use) for use in workshop.waxes],
        "wax_pots": workshop.wax_pots,
        "wax_pot_fill_g": dict(zip(("beeswax", "paraffin"), workshop.pot_fill_g, strict=True)),
        "bleach": [dataclasses.asdict(one) for one in workshop.bleaches],
        "presoak": None if workshop.presoak is None else dataclasses.asdict(workshop.presoak),
        "timetable": _timetable_data(workshop.times),
        "cautions": {
            key: _said(title=caution.title, text=caution.text) | {"source": str(caution.source)}
            for key, caution in CAUTIONS.items()
        },
        "defer": str(DEFER),
        "notes": [str(note) for note in (*workshop.notes, *shopping.notes)],
        "figures": figures_data(FIGURES),
    }


def _said(**messages: Message | None) -> dict[str, Any]:
    """Sentences, and beside each what it says: its key and values."""
    said: dict[str, Any] = {name: str(message or "") for name, message in messages.items()}
    return said | {f"{name}_says": message and message_data(message) for name, message in messages.items()}


def _lists(entries: dict[str, Any], *without: str) -> dict[str, Any]:
    return {key: list(value) for key, value in entries.items() if key not in without}


def _shopping_data(shopping: Shopping, systems: list[System]) -> dict[str, Any]:
    return {
        "items": [_item_data(item, systems) for item in shopping.items],
        "ready": [str(thing) for thing in shopping.ready],
        "currency": shopping.currency,
        "used": shopping.used if shopping.priced else None,
        "pay": shopping.pay if shopping.priced else None,
    }


def _item_data(item: Item, systems: list[System]) -> dict[str, Any]:
    return {
        "key": item.key,
        "name": str(item.name),
        "need": item.need,
        "unit": _UNITS[item.kind],
        "words": {system: str(amount_words(item.need, item.kind, system)) for system in systems},
        "packs": item.packs,
        "used": item.used,
        "pay": item.pay,
        "note": str(item.note),
    }


def _timetable_data(times: Timetable) -> dict[str, Any]:
    return {
        "before": [_task_data(task) for task in times.before],
        "sittings": [_sitting_data(sitting) for sitting in times.sittings],
        "home": [_task_data(task) for task in times.home],
        "lots": [dataclasses.asdict(lot) for lot in times.lots],
        "hands_min": times.hands_min,
        "pot_strong_min": None if math.isinf(times.strong_min) else times.strong_min,
        "pot_useful_min": None if math.isinf(times.useful_min) else times.useful_min,
        "warnings": [str(warning) for warning in times.warnings],
    }


def _sitting_data(sitting: Sitting) -> dict[str, Any]:
    return {
        "number": sitting.number,
        "minutes": sitting.minutes,
        "used": sitting.used,
        "extra": sitting.extra,
        "slots": [
            _task_data(slot.task) | {"start": slot.start, "minutes": slot.minutes, "part": str(slot.part or "")}
            for slot in sitting.slots
        ],
        "after": [_task_data(task) for task in sitting.after],
    }


def _task_data(task: Task) -> dict[str, Any]:
    return {
        "step": task.step,
        "work": task.work,
        **_said(title=task.title, detail=task.detail),
        "minutes": task.minutes,
        "longest": task.longest or None,
        "pots": list(task.pots),
        "cautions": [caution.key for caution in cautions_for(task.work)],
    }
