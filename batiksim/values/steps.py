"""What is done to the cloth, step by step."""

import re
from dataclasses import dataclass
from typing import Literal

from batiksim.errors import BatikError
from batiksim.values.fields import between, choice, flag, note, text

Grey = Literal["cover", "thin"]
Marks = Literal["dark", "light", "alpha"]
Tool = Literal["canting", "brush", "stamp"]
GREYS: tuple[Grey, ...] = ("cover", "thin")
MARKS: tuple[Marks, ...] = ("dark", "light", "alpha")
_NO_NAMES = ("keep", "wax", "mask", "step", "paint")  # words before a picture's name that say what it is for
TOOLS: tuple[Tool, ...] = ("canting", "brush", "stamp")


@dataclass(frozen=True, kw_only=True)
class MaskUse:
    """A mask picture and how to read it.

    picture : file name, as the design gives it
    marks : what is marked; None = work it out and tell
    clean : take it as a photo or scan of a drawing and clean it
    """

    picture: str
    marks: Marks | None = None
    clean: bool = False

    def __post_init__(self) -> None:
        text("picture", self.picture)
        if self.marks is not None:
            choice("marks", self.marks, MARKS)
        flag("clean", self.clean)

    @property
    def called(self) -> str:
        """What to call the picture in a sentence: its name without folders and ending."""
        return picture_name(self.picture)

    @property
    def shape(self) -> str:
        """What the picture's name says of what it shows: "masks/2-keep-petals.png" is "petals"; "" where nothing."""
        words = re.split(r"[-_\s]+", self.called)
        while words and (words[0].isdigit() or words[0].lower() in _NO_NAMES):
            words.pop(0)
        return " ".join(words)


def picture_name(picture: str) -> str:
    """A picture's name without folders, ending and the mark of its content that the worktable adds."""
    name = picture.rpartition("/")[2]
    stem = name.rpartition(".")[0] or name
    head, _, mark = stem.rpartition("-")
    marked = head and len(mark) == 10 and all(letter in "0123456789abcdef" for letter in mark)
    return head if marked else stem


@dataclass(frozen=True, kw_only=True)
class Wax:
    """Hot wax where the mask says.

    grey : "cover" = that share of a pixel is under wax; "thin" = wax too thin to seal
    crackle : 0..1, how hard the waxed cloth is crumpled afterwards; this waxing's wax cracks
    paraffin : 0..1, share of paraffin in the blend, the rest beeswax; the more, the finer it cracks
    edges : 0..1, how much the tool shows: creeping lines and drops of a canting, dry brush, patchy stamp
    cool : 0..1, how much too cool the wax was; cool wax sits on top and seals less
    seed : for cracks and edges of its own choice; None = by the design's title and the step
    note : what the maker tells learners of this step
    """

    mask: MaskUse
    grey: Grey = "cover"
    crackle: float = 0.0
    tool: Tool | None = None
    paraffin: float = 0.5
    edges: float = 0.0
    cool: float = 0.0
    seed: int | None = None
    note: str = ""

    def __post_init__(self) -> None:
        note("note", self.note)
        choice("grey", self.grey, GREYS)
        for key in ("crackle", "paraffin", "edges", "cool"):
            between(key, getattr(self, key), 0, 1, share=True)
        if self.tool is not None:
            choice("tool", self.tool, TOOLS)
        if self.edges > 0 and self.tool is None:
            raise BatikError("needs to know the tool", field="edges", got=self.edges, fix='add tool = "canting"')
        if self.seed is not None and between("seed", self.seed, 0, 1_000_000_000) != int(self.seed):
            raise BatikError("needs a whole number", field="seed", got=self.seed, fix="write seed = 7")

    @property
    def seals(self) -> bool:
        """Whether the wax seals what it covers; thin or cool wax only holds back part of the dye."""
        return self.grey == "cover" and self.cool == 0

    @property
    def shaped(self) -> bool:
        """Whether the wax lies other than drawn: cracked, with the tool's edges, or too cool."""
        return self.crackle > 0 or self.edges > 0 or self.cool > 0


@dataclass(frozen=True, kw_only=True)
class Paint:
    """One pot brushed on: where a paint mask says, or over the whole cloth without one. Grey scales the load.

    spread : whether it creeps through open fibre to the wax edge
    reach_mm : how far it creeps; None = as thin dye does on dry cloth
    """

    pot: str
    where: MaskUse | None = None
    spread: bool = False
    reach_mm: float | None = None

    def __post_init__(self) -> None:
        text("pot", self.pot)
        flag("spread", self.spread)
        if self.reach_mm is not None:
            between("spread", self.reach_mm, 0, 30, above=True)
            if not self.spread:
                raise BatikError("is for dye that spreads", field="reach_mm", got=self.reach_mm, fix="let it spread")

    @property
    def creeps(self) -> bool:
        """Whether it comes to lie wider than brushed on."""
        return self.spread and self.where is not None


@dataclass(frozen=True, kw_only=True)
class DyeBath:
    """One dyeing: any number of pots, all onto the cloth as the step before left it.

    paints : the pots in the order they are brushed on. Where two lie on one spot it takes from both, and their order
        makes no difference until the fibre nears its fill (`cloth.loads.LOAD_KNEE`): then the later takes less
    note : as of `Wax`
    """

    paints: tuple[Paint, ...]
    note: str = ""

    def __post_init__(self) -> None:
        note("note", self.note)
        if not self.paints:
            raise BatikError("needs at least one pot", field="dye", fix='write dye = "name of a pot"')


@dataclass(frozen=True, kw_only=True)
class Discharge:
    """Bleaching: open fibre loses `strength` (0..1) of the dye it holds, where the mask says or everywhere.

    note : as of `Wax`
    """

    where: MaskUse | None = None
    strength: float = 1.0
    note: str = ""

    def __post_init__(self) -> None:
        note("note", self.note)
        between("strength", self.strength, 0, 1, share=True)


@dataclass(frozen=True, kw_only=True)
class RemoveWax:
    """All wax comes out. note : as of `Wax`."""

    note: str = ""

    def __post_init__(self) -> None:
        note("note", self.note)


Step = Wax | DyeBath | Discharge | RemoveWax
