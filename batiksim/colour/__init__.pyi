from .ciede2000 import delta_e_2000 as delta_e_2000
from .differences import difference_words as difference_words
from .exchange import (
    from_spectral_distribution as from_spectral_distribution,
    to_spectral_distribution as to_spectral_distribution,
)
from .gamut import fit_to_srgb as fit_to_srgb, lab_to_hex as lab_to_hex, xyz_to_hex as xyz_to_hex
from .kubelka_munk import (
    ks_from_reflectance as ks_from_reflectance,
    reflectance_from_ks as reflectance_from_ks,
    waxed_reflectance as waxed_reflectance,
    wet_reflectance as wet_reflectance,
)
from .names import (
    ColourName as ColourName,
    colour_name as colour_name,
    colour_names as colour_names,
    known_names as known_names,
)
from .reflectance_recovery import dye_curve as dye_curve, smooth_reflectance as smooth_reflectance
from .spaces import (
    D65 as D65,
    adapt as adapt,
    decode_srgb as decode_srgb,
    encode_srgb as encode_srgb,
    hex_to_lab as hex_to_lab,
    hex_to_xyz as hex_to_xyz,
    lab_to_xyz as lab_to_xyz,
    linear_srgb_to_xyz as linear_srgb_to_xyz,
    oklab_to_oklch as oklab_to_oklch,
    oklab_to_xyz as oklab_to_xyz,
    oklch_to_oklab as oklch_to_oklab,
    xyz_to_lab as xyz_to_lab,
    xyz_to_linear_srgb as xyz_to_linear_srgb,
    xyz_to_oklab as xyz_to_oklab,
)
from .spectra import (
    BANDS_NM as BANDS_NM,
    LIGHTS as LIGHTS,
    light_weights as light_weights,
    reflectance_to_xyz as reflectance_to_xyz,
    resample as resample,
    white_point as white_point,
)
from .viewing import seen_xyz as seen_xyz
