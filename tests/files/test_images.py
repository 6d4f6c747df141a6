"""Pictures of every common kind come out as the same plain arrays; anything else is refused in one clear message."""

from __future__ import annotations

import io
import os
import struct
import zlib

import numpy as np
import pytest
import tifffile
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image, ImageCms

from batiksim.errors import BatikError
from batiksim.files.pictures.images import read_picture, read_rgb, write_png

RAMP = np.tile(np.arange(0, 256, 4, dtype=np.uint8), (20, 1))
RAMP[:3, :5] = 200
COLOUR = np.stack([RAMP, RAMP[:, ::-1], np.full_like(RAMP, 90)], axis=-1)
LUMA = COLOUR @ np.array([0.299, 0.587, 0.114])  # ITU-R BT.601-7, 2.5.1
CLEAR = np.tile(np.linspace(0, 255, 20).astype(np.uint8)[:, None], (1, 64))


@pytest.fixture
def saved(tmp_path):
    def save(image, name="a.png", **options):
        image.save(tmp_path / name, **options)
        return tmp_path / name

    return save


@pytest.mark.parametrize("name", ["a.png", "a.tif", "a.webp", "wrong-ending.jpg"])
def test_grey_is_kept_to_the_last_bit(saved, name):
    options = {"lossless": True} if name.endswith("webp") else {"format": "PNG"} if "wrong" in name else {}
    picture = read_picture(saved(Image.fromarray(RAMP), name, **options))
    assert np.array_equal(picture.grey, RAMP)
    assert (picture.alpha, picture.notes) == (None, ())
    assert picture.grey.dtype == np.uint8
    assert not picture.grey.flags.writeable


def test_jpeg(saved):
    assert np.abs(read_picture(saved(Image.fromarray(RAMP), "a.jpg", quality=95)).grey.astype(int) - RAMP).max() < 16


@pytest.mark.parametrize("name", ["a.png", "a.tif"])
@pytest.mark.parametrize("mode", ["RGB", "RGBA"])
def test_colour_is_read_by_its_luma(saved, name, mode):
    path = saved(Image.fromarray(COLOUR).convert(mode), name)
    picture = read_picture(path)
    assert np.abs(picture.grey - LUMA).max() <= 0.6
    assert picture.alpha is None
    assert np.array_equal(read_rgb(path), COLOUR)


@pytest.mark.parametrize("name", ["a.png", "a.tif"])
def test_one_bit(saved, name):
    picture = read_picture(saved(Image.fromarray(RAMP > 100), name))
    assert np.array_equal(picture.grey, np.where(RAMP > 100, 255, 0))


@pytest.mark.parametrize("mode", ["LA", "RGBA"])
def test_alpha(saved, mode):
    image = Image.fromarray(RAMP).convert(mode)
    image.putalpha(Image.fromarray(CLEAR))
    path = saved(image)
    picture = read_picture(path)
    assert np.array_equal(picture.grey, RAMP)
    assert np.array_equal(picture.alpha, CLEAR)
    over_white = RAMP * (CLEAR / 255) + 255 * (1 - CLEAR / 255)
    assert np.abs(read_rgb(path)[..., 0] - over_white).max() <= 1


def test_palette_with_and_without_transparency(saved):
    image = Image.fromarray(RAMP // 128).convert("P")
    image.putpalette([255, 255, 255, 30, 30, 30])
    assert set(np.unique(read_picture(saved(image)).grey)) == {30, 255}
    assert read_picture(saved(image)).alpha is None
    for transparency in (0, b"\x00\xff"):
        picture = read_picture(saved(image, transparency=transparency))
        assert np.array_equal(picture.alpha, np.where(RAMP < 128, 0, 255))


def test_one_grey_or_colour_told_to_be_clear(saved):
    picture = read_picture(saved(Image.fromarray(RAMP), transparency=200))
    assert np.array_equal(picture.alpha, np.where(RAMP == 200, 0, 255))
    picture = read_picture(saved(Image.fromarray(COLOUR), transparency=tuple(int(band) for band in COLOUR[0, 0])))
    assert picture.alpha[0, 0] == 0
    deep = RAMP.astype(np.uint16) * 257
    picture = read_picture(saved(Image.fromarray(deep), transparency=200 * 257))
    assert np.array_equal(picture.alpha, np.where(RAMP == 200, 0, 255))


@pytest.mark.parametrize("name", ["a.png", "a.tif"])
def test_16_bit_grey(saved, name):
    deep = (np.arange(20 * 64, dtype=np.uint16) * 51).reshape(20, 64)
    picture = read_picture(saved(Image.fromarray(deep), name))
    assert np.abs(picture.grey - deep / 257).max() < 0.505


@pytest.mark.parametrize("options", [{}, {"byteorder": ">"}, {"bigtiff": True}, {"planarconfig": "contig"}])
def test_16_bit_colour_tiff(tmp_path, options):
    tifffile.imwrite(tmp_path / "a.tif", COLOUR.astype(np.uint16) * 257, photometric="rgb", **options)
    assert np.array_equal(read_rgb(tmp_path / "a.tif"), COLOUR)


def test_12_bit_tiff(tmp_path):
    deep = np.minimum(RAMP.astype(np.uint16) * 16 + RAMP // 16, 4095)
    pairs = deep.reshape(-1, 2).astype(np.uint32)
    packed = (pairs[:, 0] << 12 | pairs[:, 1]).astype(">u4").view(np.uint8).reshape(-1, 4)[:, 1:].tobytes()
    tags = [(256, 3, 1, 64), (257, 3, 1, 20), (258, 3, 1, 12), (259, 3, 1, 1), (262, 3, 1, 1)]
    tags += [(273, 4, 1, 8), (277, 3, 1, 1), (278, 3, 1, 20), (279, 4, 1, len(packed))]
    listed = struct.pack("<H", len(tags)) + b"".join(struct.pack("<HHII", *tag) for tag in tags) + b"\0" * 4
    (tmp_path / "a.tif").write_bytes(struct.pack("<2sHI", b"II", 42, 8 + len(packed)) + packed + listed)
    assert np.abs(read_picture(tmp_path / "a.tif").grey - deep / 4095 * 255).max() < 0.6


@pytest.mark.parametrize(("deep", "order"), [(np.uint8, "<"), (np.uint8, ">"), (np.uint16, "<")])
def test_tiff_where_white_is_zero(tmp_path, deep, order):
    scale = 257 if deep == np.uint16 else 1
    pixels = (255 - RAMP).astype(deep) * deep(scale)
    tifffile.imwrite(tmp_path / "a.tif", pixels, photometric="miniswhite", byteorder=order)
    assert np.array_equal(read_picture(tmp_path / "a.tif").grey, RAMP)


def test_16_bit_colour_png(tmp_path):
    pixels = (COLOUR.astype(">u2") * 257).astype(">u2")
    rows = b"".join(b"\0" + row.tobytes() for row in pixels)
    (tmp_path / "a.png").write_bytes(png(64, 20, 16, 2, zlib.compress(rows)))
    assert np.array_equal(read_rgb(tmp_path / "a.png"), COLOUR)


@pytest.mark.parametrize("name", ["a.jpg", "a.tif"])
def test_cmyk(saved, name):
    image = Image.new("CMYK", (64, 20), (0, 0, 0, 0))
    image.paste((0, 0, 0, 255), (0, 0, 32, 20))
    picture = read_picture(saved(image, name))
    assert np.abs(picture.grey[:, :28].astype(int)).max() < 6
    assert np.abs(picture.grey[:, 36:].astype(int) - 255).max() < 6


@pytest.mark.parametrize("name", ["a.jpg", "a.tif", "a.png", "a.webp"])
@pytest.mark.parametrize("turn", range(1, 9))
def test_camera_turns(saved, name, turn):
    upright = np.kron(np.array([[10, 90, 170], [60, 130, 240]], np.uint8), np.ones((16, 16), np.uint8))
    undo = {  # the stored picture that this turn sets upright (EXIF 2.3, Orientation)
        1: upright,
        2: upright[:, ::-1],
        3: upright[::-1, ::-1],
        4: upright[::-1],
        5: upright.T,
        6: np.rot90(upright, 1),
        7: upright[::-1, ::-1].T,
        8: np.rot90(upright, -1),
    }[turn]
    exif = Image.Exif()
    exif[274] = turn
    options = {"lossless": True} if name == "a.webp" else {"quality": 95} if name == "a.jpg" else {}
    picture = read_picture(saved(Image.fromarray(np.ascontiguousarray(undo)), name, exif=exif, **options))
    assert picture.grey.shape == (32, 48)
    assert np.abs(picture.grey.astype(int) - upright).max() < 12


def test_srgb_profile_changes_nothing(saved):
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    path = saved(Image.fromarray(COLOUR), icc_profile=profile)
    assert np.array_equal(read_rgb(path), COLOUR)
    assert read_picture(path).notes == ()


def matrix_profile(gamma: float, *, grey: bool = False) -> bytes:
    """A small display profile (ICC.1:2010, v2 header): sRGB's primaries or grey, with a pure gamma."""

    def xyz(*values):
        return b"XYZ \0\0\0\0" + struct.pack(">3i", *(round(value * 65536) for value in values))

    curve = b"curv\0\0\0\0" + struct.pack(">IH", 1, round(gamma * 256)) + b"\0\0"
    text = b"desc\0\0\0\0" + struct.pack(">I", 5) + b"test\0" + b"\0" * 78
    tags = {b"desc": text + b"\0" * (-len(text) % 4), b"wtpt": xyz(0.9642, 1, 0.8249)}
    if grey:
        tags[b"kTRC"] = curve
    else:  # sRGB primaries adapted to D50
        tags |= {b"rXYZ": xyz(0.4361, 0.2225, 0.0139), b"gXYZ": xyz(0.3851, 0.7169, 0.0971)}
        tags |= {b"bXYZ": xyz(0.1431, 0.0606, 0.7141), b"rTRC": curve, b"gTRC": curve, b"bTRC": curve}
    table, body = struct.pack(">I", len(tags)), b""
    start = 128 + 4 + 12 * len(tags)
    for name, data in tags.items():
        table += name + struct.pack(">II", start + len(body), len(data))
        body += data
    kind = b"GRAY" if grey else b"RGB "
    head = struct.pack(">I4s4s4s4s4s12s4s4s", start + len(body), b"\0" * 4, b"\x02\x10\0\0", b"mntr", kind, b"XYZ ",
                       b"\x07\xda\0\x01\0\x01" + b"\0" * 6, b"acsp", b"\0" * 4)  # fmt: skip
    head += b"\0" * 24 + struct.pack(">3i", 63190, 65536, 54061)
    return head.ljust(128, b"\0") + table + body


@pytest.mark.parametrize("mode", ["L", "LA", "RGB", "RGBA", "P"])
def test_a_profile_is_followed(saved, mode):
    """Half grey at gamma 1 is 0.5 linear, which sRGB encodes as 188 (IEC 61966-2-1)."""
    image = Image.new(mode if mode != "P" else "L", (32, 32), 128 if mode in "LP" else (128,) * len(mode)).convert(mode)
    if image.mode in ("LA", "RGBA"):
        image.putalpha(Image.fromarray(np.pad(np.full((16, 32), 255, np.uint8), ((0, 16), (0, 0)))))
    path = saved(image, icc_profile=matrix_profile(1.0, grey=mode in ("L", "LA")))
    picture = read_picture(path)
    assert picture.notes == ()
    assert np.abs(picture.grey.astype(int) - 188).max() <= 1
    assert np.abs(read_rgb(path)[0].astype(int) - 188).max() <= 1
    assert (picture.alpha is None) == (mode not in ("LA", "RGBA"))


@pytest.mark.parametrize("profile", [b"not a profile", matrix_profile(1.0, grey=True), matrix_profile(1.0)[:200]])
def test_a_profile_that_does_not_fit_is_left_out_and_told(saved, profile):
    path = saved(Image.fromarray(COLOUR), icc_profile=profile)
    assert np.array_equal(read_rgb(path), COLOUR)
    assert read_picture(path).notes[0].key == "files.note.profile"


def test_broken_camera_data_is_left_out(saved):
    path = saved(Image.fromarray(RAMP), "a.jpg", exif=b"Exif\0\0II*\0\xff\xff\xff\x7f")
    assert read_picture(path).grey.shape == RAMP.shape


def png(width, height, bits, kind, packed):
    def chunk(name, data):
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    header = struct.pack(">IIBBBBB", width, height, bits, kind, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", packed) + chunk(b"IEND", b"")


def encoded(kind, image=None, **options):
    file = io.BytesIO()
    (image or Image.fromarray(COLOUR)).save(file, kind, **options)
    return file.getvalue()


FRAMES = [Image.fromarray(RAMP), Image.fromarray(RAMP[::-1].copy())]
REFUSED = {
    "empty": (b"", "is empty"),
    "text": (b"format = 1\n", "is not a picture"),
    "gif": (encoded("GIF"), "a GIF picture"),
    "bmp": (encoded("BMP"), "a BMP picture"),
    "heic": (b"\0\0\0\x18ftypheic\0\0\0\0", "HEIC"),
    "pdf": (b"%PDF-1.7\n", "a PDF"),
    "svg": (b'<?xml version="1.0"?><svg></svg>', "an SVG drawing"),
    "cut png": (encoded("PNG", compress_level=0)[:2000], "cut short"),
    "cut jpeg": (encoded("JPEG", quality=95)[:900], "cut short"),
    "cut tiff": (encoded("TIFF")[:900], "broken|cut short"),
    "cut webp": (encoded("WEBP", lossless=True)[:-60], "broken|cut short"),
    "png header only": (b"\x89PNG\r\n\x1a\n", "broken"),
    "jpeg header only": (b"\xff\xd8\xff", "broken"),
    "tiff header only": (b"II*\0\x08\0\0\0", "broken"),
    "webp header only": (b"RIFF\0\0\0\0WEBP", "broken"),
    "no pixels": (png(0, 0, 8, 0, b""), "too small|broken"),
    "bomb": (png(60_000, 60_000, 1, 0, zlib.compress(b"\0" * 99)), "60000 x 60000 pixels.*at most 400 million"),
    "small": (encoded("PNG", Image.new("L", (7, 90))), "7 x 90 pixels"),
    "moving png": (encoded("PNG", FRAMES[0], save_all=True, append_images=FRAMES[1:]), "2 frames"),
    "moving webp": (encoded("WEBP", FRAMES[0], save_all=True, append_images=FRAMES[1:], lossless=True), "2 frames"),
    "pages": (encoded("TIFF", FRAMES[0], save_all=True, append_images=FRAMES[1:]), "2 pages"),
    "float": (encoded("TIFF", Image.fromarray(RAMP.astype(np.float32))), "floating-point pixels"),
    "odd kind": (
        encoded("TIFF").replace(struct.pack("<HHII", 262, 3, 1, 2), struct.pack("<HHII", 262, 3, 1, 9)),
        "kind",
    ),
    "32 bit": (encoded("TIFF", Image.fromarray(RAMP.astype(np.int32))), "32-bit"),
}


@pytest.mark.parametrize("name", REFUSED)
@pytest.mark.parametrize("read", [read_picture, read_rgb])
def test_what_can_not_be_used_is_told(tmp_path, name, read):
    raw, told = REFUSED[name]
    path = tmp_path / "mask.png"
    path.write_bytes(raw)
    with pytest.raises(BatikError, match=told) as caught:
        read(path)
    assert caught.value.file == str(path)


def test_what_is_not_there(tmp_path):
    with pytest.raises(BatikError, match="no such picture"):
        read_picture(tmp_path / "none.png")
    with pytest.raises(BatikError, match="is a folder"):
        read_picture(tmp_path)
    with pytest.raises(BatikError, match="can't be opened"):
        read_picture("a\0b.png")


def test_the_limit_is_a_setting(saved):
    with pytest.raises(BatikError, match="64 x 20 pixels"):
        read_picture(saved(Image.fromarray(RAMP)), most_pixels=1_000)


def test_a_scanner_thumbnail_is_no_second_page(tmp_path):
    with tifffile.TiffWriter(tmp_path / "a.tif") as file:
        file.write(RAMP, photometric="minisblack")
        file.write(RAMP[::2, ::2], photometric="minisblack", subfiletype=1)
    assert np.array_equal(read_picture(tmp_path / "a.tif").grey, RAMP)


def test_large_pictures_raise_no_alarm_of_the_library(saved, monkeypatch):
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", 100)
    assert read_picture(saved(Image.fromarray(RAMP))).grey.shape == RAMP.shape


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.sampled_from(["PNG", "JPEG", "TIFF", "WEBP"]), st.data())
def test_mangled_bytes_never_end_in_another_error(tmp_path, kind, data):
    raw = bytearray(encoded(kind))
    for _ in range(data.draw(st.integers(1, 6))):
        raw[data.draw(st.integers(8 if kind == "PNG" else 4, len(raw) - 1))] = data.draw(st.integers(0, 255))
    path = tmp_path / "mangled"
    path.write_bytes(bytes(raw))
    refused_in = str(path)
    try:
        assert read_picture(path, most_pixels=1_000_000).grey.dtype == np.uint8
    except BatikError as error:
        refused_in = error.file
    assert refused_in == str(path)


def chunks(raw):
    at, found = 8, {}
    while at < len(raw):
        size, name = struct.unpack(">I4s", raw[at : at + 8])
        found[name] = raw[at + 8 : at + 8 + size]
        at += 12 + size
    return found


def test_a_plate_carries_its_pixels_size_and_colour_space(tmp_path):
    write_png(tmp_path / "plate.png", COLOUR, width_mm=32)
    found = chunks((tmp_path / "plate.png").read_bytes())
    assert found[b"sRGB"] == b"\0"
    assert list(found).index(b"sRGB") < list(found).index(b"IDAT")
    assert struct.unpack(">IIB", found[b"pHYs"]) == (2000, 2000, 1)  # 64 pixels on 32 mm, per metre
    assert np.array_equal(read_rgb(tmp_path / "plate.png"), COLOUR)
    assert os.listdir(tmp_path) == ["plate.png"]


def test_same_plate_same_bytes(tmp_path):
    first, second = io.BytesIO(), io.BytesIO()
    write_png(first, COLOUR, width_mm=450)
    write_png(second, COLOUR.copy(), width_mm=450)
    write_png(tmp_path / "a.png", COLOUR, width_mm=450)
    assert first.getvalue() == second.getvalue() == (tmp_path / "a.png").read_bytes()


def test_a_plate_that_can_not_be_written(tmp_path):
    with pytest.raises(BatikError, match="can't be written"):
        write_png(tmp_path / "none" / "plate.png", COLOUR)
