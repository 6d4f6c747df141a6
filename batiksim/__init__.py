"""See every stage of a batik cloth before the wax is melted.

The names below are loaded when first used, so that `import batiksim` costs next to nothing.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from batiksim.errors import BatikError
    from batiksim.files.designs import read_design, write_design
    from batiksim.jobs import Preview, Project, Saved, check_design, open_design, preview, save_preview
    from batiksim.values import Cloth, Design, Discharge, Dye, DyeBath, MaskUse, Paint, Pot, RemoveWax, Wax

__all__ = [
    "BatikError",
    "Cloth",
    "Design",
    "Discharge",
    "Dye",
    "DyeBath",
    "MaskUse",
    "Paint",
    "Pot",
    "Preview",
    "Project",
    "RemoveWax",
    "Saved",
    "Wax",
    "check_design",
    "open_design",
    "preview",
    "read_design",
    "save_preview",
    "write_design",
]

_VALUES = ("Cloth", "Design", "Discharge", "Dye", "DyeBath", "MaskUse", "Paint", "Pot", "RemoveWax", "Wax")
_HOMES = {"BatikError": "batiksim.errors", "read_design": "batiksim.files.designs"}
_HOMES |= {"write_design": "batiksim.files.designs"} | dict.fromkeys(_VALUES, "batiksim.values")


def __getattr__(name: str) -> Any:
    if name not in __all__:
        raise AttributeError(f"module 'batiksim' has no attribute {name!r}")
    return getattr(importlib.import_module(_HOMES.get(name, "batiksim.jobs")), name)


def __dir__() -> list[str]:
    return sorted(__all__)
