from .charts import CHARTS as CHARTS, Chart as Chart, chart as chart, save_chart as save_chart
from .checking import EITHER as EITHER, NOTHING as NOTHING, QUICK_NOTHING as QUICK_NOTHING, check as check
from .dyes import (
    ChartRequest as ChartRequest,
    DyesOnCloth as DyesOnCloth,
    Matched as Matched,
    PotColour as PotColour,
    PotLook as PotLook,
    amount_words as amount_words,
    dyes_of as dyes_of,
    MatchRequest as MatchRequest,
    pot as pot,
    match as match,
    match_data as match_data,
    overdye as overdye,
    overdye_data as overdye_data,
    pot_data as pot_data,
    save_match as save_match,
    save_overdye as save_overdye,
    save_pot as save_pot,
)
from .handouts import HandoutOptions as HandoutOptions, Printed as Printed, handout as handout, save_risk as save_risk
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
from .ordering import (
    Ordered as Ordered,
    keep_orders as keep_orders,
    orders_data as orders_data,
    orders as orders,
    save_orders as save_orders,
    write_order as write_order,
)
from .workshops import (
    PlannedWorkshop as PlannedWorkshop,
    WorkshopRequest as WorkshopRequest,
    workshop as workshop,
    save_workshop as save_workshop,
    workshop_data as workshop_data,
    workshop_parts as workshop_parts,
    workshop_text as workshop_text,
)
from .previews import Preview as Preview, Saved as Saved, preview as preview, save_preview as save_preview
from .printing import (
    SHEETS_NAME as SHEETS_NAME,
    SavedStrips as SavedStrips,
    SavedTracing as SavedTracing,
    save_stages as save_stages,
    save_strips as save_strips,
    trace as trace,
)
from .projects import (
    AS_USUAL as AS_USUAL,
    OF_PICTURE as OF_PICTURE,
    Progress as Progress,
    Project as Project,
    finished_cloth as finished_cloth,
    new_design as new_design,
    on_compiling as on_compiling,
    open_design as open_design,
    read_mask as read_mask,
    save_opener as save_opener,
)
from .pictures import (
    DesignFromPicture as DesignFromPicture,
    FromPictureRequest as FromPictureRequest,
    save_from_picture as save_from_picture,
    from_picture as from_picture,
    from_picture_data as from_picture_data,
)
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
    calibrated_data as calibrated_data,
    compare as compare,
    compared_data as compared_data,
    names_its_cloth as names_its_cloth,
)
