"""What can hurt someone, told with the step where it can. It stands behind the label, local rules and qualified advice.

The cautions are common practice unless a source is named; the wording is this project's own.
"""

from dataclasses import dataclass

DEFER = (
    "The label on your dye, wax or bleach, your local rules and qualified advice come first; this sheet only reminds."
)


@dataclass(frozen=True)
class Caution:
    """One thing to look out for. title : two or three words; text : what to do; source : where it is known from."""

    key: str
    title: str
    text: str
    source: str = "common practice, no source"


_LISTED = (
    Caution(
        "powder",
        "Dye powder",
        "Weigh it and wet it out of draughts, with a fitted dust mask and gloves on, over damp paper. Powder in "
        "the air can make lungs sensitive for good; anyone who already reacts to it stays out of the room.",
        "reactive dyes can sensitise lungs: Health and Safety Executive (UK)",
    ),
    Caution(
        "soda",
        "Soda ash",
        "It is caustic. Wear gloves and eye protection, add powder to water, and rinse splashes off at once with "
        "plenty of water.",
    ),
    Caution(
        "wax",
        "Hot wax",
        "Use a pot with a thermostat on a stand that cannot tip, work at 104 to 116 °C and never above 121 °C. "
        "Stay with it while it is on; tie back hair and sleeves. Cool a burn under running water at once, and get "
        "help for more than a small one.",
        "temperatures: published for batik wax blends",
    ),
    Caution(
        "fire",
        "Wax fire",
        "Wax can flash near 200 °C. Keep a lid, dry powder and a fire blanket in reach. Switch off and cover; "
        "never put water near hot wax or on a wax fire.",
    ),
    Caution(
        "fumes",
        "Fumes",
        "Hot wax gives off acrolein, the more the hotter it is. Keep air moving through the room; if it smokes, it "
        "is too hot.",
    ),
    Caution(
        "dye",
        "Live dye",
        "Wear gloves and old clothes, and wipe up spills: mixed dye is alkaline and stains skin and floors.",
    ),
    Caution(
        "bleach",
        "Bleach",
        "Wear gloves and eye protection, keep air moving, and never let it meet an acid, a descaler or any other "
        "cleaner: poisonous gas comes off. Stop it and rinse it as its label says.",
    ),
    Caution(
        "iron",
        "Ironing wax out",
        "The fumes come back with the heat: iron by an open window with a moderate iron, and change the paper often. "
        "Do not take wax out with solvents at home.",
    ),
    Caution(
        "hot water",
        "Melting wax out in water",
        "Lift cloth out of hot water with tongs. Let the bath go cold and take the wax off the top; wax never "
        "goes down a drain.",
    ),
    Caution(
        "drain",
        "What goes down the drain",
        "Only dye water, with plenty of water after it, as your local rules allow. Never wax.",
    ),
    Caution(
        "food",
        "Kitchen things",
        "Mark pots, spoons and bowls used for dye or wax; they never go back to food. No eating or drinking at "
        "the table.",
    ),
    Caution("children", "Children", "An adult handles hot wax and all powders; children brush on mixed dye in gloves."),
)
CAUTIONS: dict[str, Caution] = {one.key: one for one in _LISTED}

KINDS: dict[str, tuple[str, ...]] = {
    "powders": ("powder", "food", "children"),
    "fixative": ("soda", "children"),
    "soak": ("soda", "children"),
    "melt": ("wax", "fire", "fumes"),
    "wax": ("wax", "fire", "fumes", "children"),
    "dye": ("dye", "soda"),
    "discharge": ("bleach", "children"),
    "remove_wax": ("iron", "hot water", "fire", "fumes", "children"),
    "wash": ("dye", "drain"),
}


def cautions_for(kind: str) -> tuple[Caution, ...]:
    """The cautions of one kind of work, a key of `KINDS`; nothing for work that hurts no one."""
    return tuple(CAUTIONS[key] for key in KINDS.get(kind, ()))
