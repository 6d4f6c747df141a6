"""How much of everything a workshop needs: `plan_workshop` takes a design, its areas and what is asked.

For pages of other sheets: `sheets.workshop.workshop_blocks` gives the whole sheet as blocks (headings, texts, lists,
tables), `sheets.mixing.mixing_blocks` the doses alone; `measures.amount_words` puts any amount here into words.
"""

from batiksim.plan.workshop.planning import cloth_piece_mm, plan_workshop
from batiksim.plan.workshop.values import (
    Asked,
    Bleach,
    ChemicalWater,
    Mixes,
    PotMix,
    Presoak,
    Stock,
    WaxUse,
    Workshop,
)

__all__ = [
    "Asked",
    "Bleach",
    "ChemicalWater",
    "Mixes",
    "PotMix",
    "Presoak",
    "Stock",
    "WaxUse",
    "Workshop",
    "cloth_piece_mm",
    "plan_workshop",
]
