"""See every stage of a batik cloth before the wax is melted.

The names below are loaded when first used, so that `import batiksim` costs next to nothing.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from batiksim.errors import BatikError
    from batiksim.files.toml.designs import read_design, write_design
    from batiksim.jobs import Preview, Project, Saved, check_design, open_design, preview, save_preview
    from batiksim.values import (
        BuildUp,
        Cloth,
        Design,
        Discharge,
        Dye,
        DyeBath,
        Finding,
        MaskUse,
        Paint,
        Pot,
        Region,
        RemoveWax,
        Undyed,
        Want,
        Wax,
    )

__all__ = [
    "BatikError",
    "BuildUp",
    "Cloth",
    "Design",
    "Discharge",
    "Dye",
    "DyeBath",
    "Finding",
    "MaskUse",
    "Paint",
    "Pot",
    "Preview",
    "Project",
    "Region",
    "RemoveWax",
    "Saved",
    "Undyed",
    "Want",
    "Wax",
    "check_design",
    "open_design",
    "preview",
    "read_design",
    "save_preview",
    "write_design",
]

_JOBS = ("Preview", "Project", "Saved", "check_design", "open_design", "preview", "save_preview")
_HOMES = dict.fromkeys(__all__, "batiksim.values") | dict.fromkeys(_JOBS, "batiksim.jobs")
_HOMES |= dict.fromkeys(("read_design", "write_design"), "batiksim.files.toml.designs")
_HOMES |= {"BatikError": "batiksim.errors"}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'batiksim' has no attribute {name!r}")
    return getattr(importlib.import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return sorted(__all__)
