from .charts import CHARTS as CHARTS, Chart as Chart, draw_chart as draw_chart, save_chart as save_chart
from .check import EITHER as EITHER, NOTHING as NOTHING, QUICK_NOTHING as QUICK_NOTHING, check_design as check_design
from .dyes import (
    ChartRequest as ChartRequest,
    DyesOnCloth as DyesOnCloth,
    Matched as Matched,
    PotColour as PotColour,
    PotLook as PotLook,
    amount_words as amount_words,
    dyes_of as dyes_of,
    MatchRequest as MatchRequest,
    look_at_pot as look_at_pot,
    match_colour as match_colour,
    match_data as match_data,
    overdye_chart as overdye_chart,
    overdye_data as overdye_data,
    pot_data as pot_data,
    save_match as save_match,
    save_overdye as save_overdye,
    save_pot as save_pot,
)
from .handout import (
    HandoutOptions as HandoutOptions,
    Printed as Printed,
    save_handout as save_handout,
    save_risk as save_risk,
)
from .live import (
    Trial as Trial,
    cloth_findings as cloth_findings,
    described_pot_name as described_pot_name,
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
from .orders import (
    Ordered as Ordered,
    keep_orders as keep_orders,
    orders_data as orders_data,
    rank_orders as rank_orders,
    save_orders as save_orders,
    write_order as write_order,
)
from .workshop import (
    PlannedWorkshop as PlannedWorkshop,
    WorkshopRequest as WorkshopRequest,
    plan_workshop as plan_workshop,
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
    save_tracing as save_tracing,
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
from .from_picture import (
    DesignFromPicture as DesignFromPicture,
    FromPictureRequest as FromPictureRequest,
    save_from_picture as save_from_picture,
    design_from_picture as design_from_picture,
    from_picture_data as from_picture_data,
)
from .spot import levels_at as levels_at, spot_data as spot_data
from .calibrate import (
    COMPARE_TABLE as COMPARE_TABLE,
    READ_SHARE as READ_SHARE,
    Calibrated as Calibrated,
    CalibratedDye as CalibratedDye,
    Calibration as Calibration,
    Compared as Compared,
    MeasuredPiece as MeasuredPiece,
    calibrate_book as calibrate_book,
    calibrated_data as calibrated_data,
    compare_photo as compare_photo,
    compared_data as compared_data,
    names_its_cloth as names_its_cloth,
)
