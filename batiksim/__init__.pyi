from .errors import BatikError as BatikError
from .files.toml.designs import read_design as read_design, write_design as write_design
from .jobs import (
    Preview as Preview,
    Project as Project,
    Saved as Saved,
    check as check,
    open_design as open_design,
    preview as preview,
    save_preview as save_preview,
)
from .values import (
    BookDye as BookDye,
    BuildUp as BuildUp,
    Cloth as Cloth,
    Design as Design,
    Discharge as Discharge,
    Dye as Dye,
    DyeBath as DyeBath,
    DyeBook as DyeBook,
    Finding as Finding,
    MaskUse as MaskUse,
    Paint as Paint,
    Place as Place,
    Pot as Pot,
    Region as Region,
    RemoveWax as RemoveWax,
    Swatch as Swatch,
    Undyed as Undyed,
    Want as Want,
    Wax as Wax,
)
