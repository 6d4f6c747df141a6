from .charts import CHARTS as CHARTS, Chart as Chart, chart as chart, use_chart_style as use_chart_style
from .checking import (
    EITHER as EITHER,
    MARKED_ENDINGS as MARKED_ENDINGS,
    NOTHING as NOTHING,
    QUICK_NOTHING as QUICK_NOTHING,
    Checked as Checked,
    check as check,
)
from .dyes import (
    DyesOnCloth as DyesOnCloth,
    Matches as Matches,
    OverdyeChart as OverdyeChart,
    PotColour as PotColour,
    PotOnCloth as PotOnCloth,
    Spectra as Spectra,
    amount_words as amount_words,
    dyes_of as dyes_of,
    match as match,
    overdye as overdye,
    pot as pot,
    spectra as spectra,
)
from .envelope import Origin as Origin, envelope as envelope, head as head
from .handouts import HandoutOptions as HandoutOptions, Printed as Printed, handout as handout, risk as risk
from .live import (
    cloth_findings as cloth_findings,
    has_surround as has_surround,
    mask_outside_paper as mask_outside_paper,
    paper_corners as paper_corners,
    pot_hex as pot_hex,
    pot_on_cloth as pot_on_cloth,
    pot_words as pot_words,
    pots_like as pots_like,
    prepare_engine as prepare_engine,
    rectify_paper as rectify_paper,
    save_cloth_picture as save_cloth_picture,
)
from .ordering import Ordered as Ordered, orders as orders
from .workshops import (
    SHEET_ENDINGS as SHEET_ENDINGS,
    PlannedWorkshop as PlannedWorkshop,
    WorkshopRequest as WorkshopRequest,
    workshop as workshop,
)
from .previews import Preview as Preview, Saved as Saved, preview as preview, save_preview as save_preview
from .printing import (
    SHEETS_NAME as SHEETS_NAME,
    SavedStages as SavedStages,
    SavedStrips as SavedStrips,
    SavedTracing as SavedTracing,
    stages as stages,
    strip as strip,
    trace as trace,
)
from .projects import (
    AS_USUAL as AS_USUAL,
    OF_PICTURE as OF_PICTURE,
    Project as Project,
    Started as Started,
    finished_cloth as finished_cloth,
    new_design as new_design,
    on_compiling as on_compiling,
    open_design as open_design,
    output_ending as output_ending,
    read_mask as read_mask,
    save_opener as save_opener,
    start as start,
)
from .pictures import (
    DesignFromPicture as DesignFromPicture,
    FromPictureRequest as FromPictureRequest,
    from_picture as from_picture,
)
from .results import Result as Result
from .spot import levels_at as levels_at, spot_data as spot_data
from .learning import (
    COMPARE_TABLE as COMPARE_TABLE,
    READ_SHARE as READ_SHARE,
    Calibrated as Calibrated,
    CalibratedDye as CalibratedDye,
    Calibration as Calibration,
    Compared as Compared,
    MeasuredPiece as MeasuredPiece,
    calibrate as calibrate,
    compare as compare,
    names_its_cloth as names_its_cloth,
)
