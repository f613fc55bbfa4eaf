"""Reading a photo: every kind whole and upright, every damaged one refused."""

import hashlib
import io
import struct
import zlib

import numpy as np
import pillow_heif
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageOps

from plaidcut.errors import NotFound, PhotoTooLarge, UnreadablePhoto
from plaidcut.photo import load_photo
from plaidcut.photo_colours import SRGB_FROM_P3

pillow_heif.register_heif_opener()

KINDS = {
    "jpg": {"format": "JPEG", "quality": 95},
    "progressive.jpg": {"format": "JPEG", "quality": 95, "progressive": True},
    "png": {"format": "PNG"},
    "webp": {"format": "WEBP", "quality": 95},
    "lossless.webp": {"format": "WEBP", "lossless": True},
    "tif": {"format": "TIFF"},
    "lzw.tif": {"format": "TIFF", "compression": "tiff_lzw"},
    "heic": {"format": "HEIF", "quality": 95},
}
LOSSLESS = ("png", "lossless.webp", "tif", "lzw.tif")


def scene(width=160, height=96):
    """Patches of many colours, not square, no two corners alike."""
    rng = np.random.default_rng(5)
    patches = rng.integers(20, 236, (height // 16, width // 16, 3))
    return np.repeat(np.repeat(patches, 16, axis=0), 16, axis=1).astype(np.uint8)


def coded(picture, **options):
    """A picture's file as bytes."""
    file = io.BytesIO()
    picture.save(file, **options)
    return file.getvalue()


def saved(folder, data, name="cloth.jpg"):
    """A file with these bytes."""
    path = folder / name
    path.write_bytes(data)
    return path


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_read(tmp_path, kind):
    """Each kind of file gives its own pixels, its name and the hash of its bytes."""
    data = coded(Image.fromarray(scene()), **KINDS[kind])
    photo = load_photo(saved(tmp_path, data, f"harbour skirt.{kind}"))

    assert photo.name == f"harbour skirt.{kind}"
    assert photo.sha256 == hashlib.sha256(data).hexdigest()
    assert photo.size_px == (160, 96)
    assert photo.pixels.dtype == np.uint8
    assert not photo.pixels.flags.writeable
    assert photo.cautions == ()
    middles = photo.pixels[8::16, 8::16].astype(int) - scene()[8::16, 8::16]
    assert np.abs(middles).max() <= (0 if kind in LOSSLESS else 8)


@pytest.mark.parametrize("kind", ["jpg", "png", "webp", "tif", "heic"])
@pytest.mark.parametrize("orientation", range(1, 9))
def test_all_orientations_come_out_upright(tmp_path, kind, orientation):
    """However the camera was held, the photo comes out as an unturned one does."""
    upright = Image.fromarray(scene())
    # the transposition that undoes each orientation, EXIF's own table (JEITA CP-3451)
    undo = {
        2: Image.Transpose.FLIP_LEFT_RIGHT,
        3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_90,
        7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_270,
    }
    held = upright if orientation == 1 else upright.transpose(undo[orientation])
    exif = Image.Exif()
    exif[0x0112] = orientation
    data = coded(held, **KINDS[kind], exif=exif.tobytes())  # HEIF turns by boxes of its own

    photo = load_photo(saved(tmp_path, data))

    assert photo.size_px == upright.size
    middles = photo.pixels[8::16, 8::16].astype(int) - scene()[8::16, 8::16]
    assert np.abs(middles).max() <= 8


def test_turning_a_tall_photo_keeps_every_pixel(tmp_path):
    """Turning in bands of rows agrees with Pillow's turning in one go, over several bands."""
    pixels = np.random.default_rng(2).integers(0, 256, (700, 300, 3)).astype(np.uint8)
    for orientation in range(1, 9):
        exif = Image.Exif()
        exif[0x0112] = orientation
        data = coded(Image.fromarray(pixels), format="PNG", exif=exif)
        with Image.open(io.BytesIO(data)) as image:
            turned = np.asarray(ImageOps.exif_transpose(image))

        assert np.array_equal(load_photo(saved(tmp_path, data)).pixels, turned)


@pytest.mark.parametrize("orientation", [0, 9, 77])
def test_an_impossible_orientation_is_ignored(tmp_path, orientation):
    """An orientation that EXIF doesn't know leaves the photo as it is."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    data = coded(Image.fromarray(scene()), format="PNG", exif=exif)

    assert np.array_equal(load_photo(saved(tmp_path, data)).pixels, scene())


@pytest.mark.parametrize(
    ("mode", "tone"),
    [("1", (255, 255, 255)), ("L", (90, 90, 90)), ("P", (204, 51, 51)), ("YCbCr", (200, 30, 60))],
)
def test_other_kinds_of_pixels(tmp_path, mode, tone):
    """Black-and-white, grey, palette and YCbCr pictures become RGB."""
    picture = Image.new("RGB", (40, 30), tone).convert(mode)
    data = coded(picture, format="JPEG" if mode == "YCbCr" else "PNG")

    photo = load_photo(saved(tmp_path, data))

    assert photo.pixels.shape == (30, 40, 3)
    assert np.abs(photo.pixels[15, 20].astype(int) - tone).max() <= 2


@pytest.mark.parametrize("suffix", ["png", "tif"])
def test_sixteen_bit_grey_keeps_its_upper_bits(tmp_path, suffix):
    """A 16-bit grey picture is cut to 8 bits, not clipped."""
    ramp = np.linspace(0, 65535, 256).round().astype(np.uint16)
    picture = Image.fromarray(np.tile(ramp, (8, 1)))
    data = coded(picture, format="PNG" if suffix == "png" else "TIFF")

    photo = load_photo(saved(tmp_path, data))

    assert np.abs(photo.pixels[4, :, 1].astype(int) - np.arange(256)).max() <= 1


def test_sixteen_bit_colour_keeps_its_upper_bits(tmp_path):
    """A 16-bit RGB picture is cut to 8 bits, each channel by itself."""
    import cv2

    rgb = np.zeros((8, 256, 3), np.uint16)
    rgb[:, :, 0] = np.arange(256) * 257
    rgb[:, :, 2] = 65535 - np.arange(256) * 257
    ok, data = cv2.imencode(".png", np.ascontiguousarray(rgb[:, :, ::-1]))
    assert ok

    photo = load_photo(saved(tmp_path, data.tobytes()))

    assert np.abs(photo.pixels[4, :, 0].astype(int) - np.arange(256)).max() <= 1
    assert np.abs(photo.pixels[4, :, 2].astype(int) - np.arange(255, -1, -1)).max() <= 1
    assert photo.pixels[:, :, 1].max() == 0


@pytest.mark.parametrize("mode", ["RGBA", "LA"])
def test_transparency_lies_on_white(tmp_path, mode):
    """What is clear is white, what is half clear is half way to white."""
    picture = Image.new(mode, (30, 10), (0, 0, 0, 255) if mode == "RGBA" else (0, 255))
    picture.putalpha(Image.fromarray(np.repeat([[0, 128, 255]], 10, 0).repeat(10, 1).astype("u1")))

    photo = load_photo(saved(tmp_path, coded(picture, format="PNG")))

    assert photo.pixels[5, 5].tolist() == [255] * 3
    assert np.abs(photo.pixels[5, 15].astype(int) - 127).max() <= 1
    assert photo.pixels[5, 25].tolist() == [0] * 3


@pytest.mark.parametrize("form", ["JPEG", "TIFF"])
def test_cmyk_becomes_rgb(tmp_path, form):
    """No ink is white, full cyan keeps no red, full black is black."""
    picture = Image.new("CMYK", (48, 16))
    picture.paste((255, 0, 0, 0), (16, 0, 32, 16))
    picture.paste((0, 0, 0, 255), (32, 0, 48, 16))

    photo = load_photo(saved(tmp_path, coded(picture, format=form)))

    assert photo.pixels[8, 8].min() > 250
    assert photo.pixels[8, 24, 0] < 10
    assert photo.pixels[8, 24, 1:].min() > 240
    assert photo.pixels[8, 40].max() < 10


# ---- colour ---------------------------------------------------------------------------------

P3_PRIMARIES = ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060))
SRGB_PRIMARIES = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))
D65, D50 = (0.3127, 0.3290), (0.34567, 0.35850)


def xyz_of(x, y):
    """Tristimulus values of a chromaticity at luminance 1."""
    return np.array([x / y, 1, (1 - x - y) / y])


def to_xyz(primaries):
    """Matrix (3, 3) from linear RGB with white D65 to XYZ."""
    columns = np.array([xyz_of(*primary) for primary in primaries]).T
    return columns * np.linalg.solve(columns, xyz_of(*D65))


def p3_profile():
    """A minimal ICC profile of Display P3 (ISO 15076-1: matrix and one sampled tone curve)."""
    bradford = np.array(
        [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
    )
    gain = (bradford @ xyz_of(*D50)) / (bradford @ xyz_of(*D65))
    adapted = np.linalg.inv(bradford) @ np.diag(gain) @ bradford @ to_xyz(P3_PRIMARIES)

    def fixed(values):
        return b"".join(struct.pack(">i", round(value * 65536)) for value in values)

    tone = np.linspace(0, 1, 1024)
    curve = np.where(tone <= 0.04045, tone / 12.92, ((tone + 0.055) / 1.055) ** 2.4)
    name = b"Test P3\0"
    tags = {
        b"desc": b"desc" + bytes(4) + struct.pack(">I", len(name)) + name + bytes(78),
        b"cprt": b"text" + bytes(4) + b"none\0",
        b"wtpt": b"XYZ " + bytes(4) + fixed(xyz_of(*D50)),
        **{
            channel + b"XYZ": b"XYZ " + bytes(4) + fixed(adapted[:, place])
            for place, channel in enumerate((b"r", b"g", b"b"))
        },
        b"rTRC": b"curv"
        + struct.pack(">II", 0, len(curve))
        + (curve * 65535).round().astype(">u2").tobytes(),
    }
    tags = {tag: data + bytes(-len(data) % 4) for tag, data in tags.items()}
    entries, body, start = [], b"", 128 + 4 + 12 * (len(tags) + 2)
    for tag, data in tags.items():
        names = (b"rTRC", b"gTRC", b"bTRC") if tag == b"rTRC" else (tag,)
        entries += [name + struct.pack(">II", start + len(body), len(data)) for name in names]
        body += data
    table = struct.pack(">I", len(entries)) + b"".join(entries)
    head = struct.pack(
        ">I4sI4s4s4s12s4s4sI4s4sQI12s4s44s",
        128 + len(table) + len(body), b"", 0x02400000, b"mntr", b"RGB ", b"XYZ ",
        struct.pack(">6H", 2024, 1, 1, 0, 0, 0), b"acsp", b"", 0, b"", b"", 0, 1,
        fixed(xyz_of(*D50)), b"", b"",
    )  # fmt: skip
    return head + table + body


def p3_as_srgb(tones):
    """8-bit Display P3 tones (..., 3) as 8-bit sRGB, straight from the two spaces' primaries."""
    coded_tone = np.asarray(tones) / 255
    light = np.where(
        coded_tone <= 0.04045, coded_tone / 12.92, ((coded_tone + 0.055) / 1.055) ** 2.4
    )
    light = light @ (np.linalg.inv(to_xyz(SRGB_PRIMARIES)) @ to_xyz(P3_PRIMARIES)).T
    light = np.clip(light, 0, 1)
    return 255 * np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)


@pytest.mark.parametrize("kind", ["jpg", "png", "webp", "tif", "heic"])
def test_display_p3_profile_becomes_srgb(tmp_path, kind):
    """Colours under an embedded Display P3 profile come out as the two spaces' definitions say."""
    data = coded(Image.fromarray(scene()), **KINDS[kind], icc_profile=p3_profile())

    photo = load_photo(saved(tmp_path, data))

    expected = p3_as_srgb(scene()[8::16, 8::16])
    assert np.abs(expected - scene()[8::16, 8::16]).max() > 20
    off = np.abs(photo.pixels[8::16, 8::16] - expected)
    assert np.percentile(off, 90) < (2 if kind in LOSSLESS else 5)
    assert off.max() < (4 if kind in LOSSLESS else 25)  # a coded P3 tone at the edge of sRGB


def test_display_p3_without_a_profile_in_heif(tmp_path):
    """A HEIF file that only names P3's primaries by number is brought to sRGB too."""
    data = coded(
        Image.fromarray(scene()),
        format="HEIF",
        quality=100,
        chroma=444,
        color_primaries=12,
        transfer_characteristics=13,
        matrix_coefficients=1,
        full_range_flag=1,
    )

    photo = load_photo(saved(tmp_path, data))

    off = np.abs(photo.pixels[8::16, 8::16] - p3_as_srgb(scene()[8::16, 8::16]))
    assert np.percentile(off, 90) < 5


def test_p3_matrix_follows_from_the_primaries():
    """The constant for Display P3 is what its primaries, sRGB's and D65 give."""
    np.testing.assert_allclose(
        SRGB_FROM_P3, np.linalg.inv(to_xyz(SRGB_PRIMARIES)) @ to_xyz(P3_PRIMARIES), atol=1e-6
    )


def test_a_grey_picture_with_an_rgb_profile(tmp_path):
    """Grey stays grey under a colour profile with sRGB's tone curve."""
    picture = Image.new("L", (32, 32), 120)
    photo = load_photo(saved(tmp_path, coded(picture, format="PNG", icc_profile=p3_profile())))

    assert np.abs(photo.pixels.astype(int) - 120).max() <= 1


def test_a_broken_profile_is_a_caution(tmp_path):
    """A profile that can't be used leaves the pixels alone and says so."""
    data = coded(Image.fromarray(scene()), format="PNG", icc_profile=b"no profile at all" * 9)
    photo = load_photo(saved(tmp_path, data))

    assert np.array_equal(photo.pixels, scene())
    assert [caution.code for caution in photo.cautions] == ["colour-profile"]


# ---- refusals -------------------------------------------------------------------------------


def test_a_missing_file(tmp_path):
    """A name without a file is not found."""
    with pytest.raises(NotFound, match="no file"):
        load_photo(tmp_path / "harbour.jpg")


def test_a_folder(tmp_path):
    """A folder is no photo."""
    with pytest.raises(UnreadablePhoto, match="folder"):
        load_photo(tmp_path)


@pytest.mark.parametrize(
    "data",
    [b"", b"\xff\xd8\xff", b"GIF89a" + bytes(100), b"not a picture\n" * 50, b"%PDF-1.4\n%%EOF"],
)
def test_what_is_no_photo(tmp_path, data):
    """Empty files, stumps, other kinds and text under a photo's name are refused."""
    with pytest.raises(UnreadablePhoto) as caught:
        load_photo(saved(tmp_path, data))

    assert "cloth.jpg" in caught.value.message
    assert caught.value.hint


def test_the_name_does_not_matter(tmp_path):
    """A PNG called .heic is read by what it holds."""
    data = coded(Image.fromarray(scene()), format="PNG")

    assert np.array_equal(load_photo(saved(tmp_path, data, "a.heic")).pixels, scene())


@given(kind=st.sampled_from(sorted(KINDS)), share=st.floats(0, 0.999))
def test_a_truncated_file_is_never_half_read(tmp_path_factory, kind, share):
    """A file cut anywhere is refused, unless all its pixels are there all the same."""
    data = coded(Image.fromarray(scene()), **KINDS[kind])
    whole = load_photo(saved(tmp_path_factory.mktemp("whole"), data)).pixels
    cut = saved(tmp_path_factory.mktemp("cut"), data[: int(share * len(data))])
    try:
        pixels = load_photo(cut).pixels
    except UnreadablePhoto:
        return

    assert np.array_equal(pixels, whole)


@pytest.mark.parametrize("kind", ["jpg", "progressive.jpg", "png", "webp", "lossless.webp", "heic"])
def test_an_unfinished_download_is_refused(tmp_path, kind):
    """A file of the right length whose end is still empty is refused."""
    noise = np.random.default_rng(1).integers(0, 256, (320, 320, 3)).astype(np.uint8)
    data = coded(Image.fromarray(noise), **KINDS[kind])
    keep = len(data) - 20_000

    with pytest.raises(UnreadablePhoto):
        load_photo(saved(tmp_path, data[:keep] + bytes(20_000)))


def with_height(data, height):
    """A picture file whose header claims another height."""
    data = bytearray(data)
    if data[:4] == b"\x89PNG":
        data[20:24] = struct.pack(">I", height)
        data[29:33] = struct.pack(">I", zlib.crc32(bytes(data[12:29])))
    elif data[:2] == b"\xff\xd8":
        frame = max(data.find(b"\xff\xc0"), data.find(b"\xff\xc2"))
        data[frame + 5 : frame + 7] = struct.pack(">H", height)
    else:
        (start,) = struct.unpack("<I", data[4:8])
        entries = range(start + 2, start + 2 + 12 * data[start], 12)
        (entry,) = (at for at in entries if data[at : at + 2] == b"\x01\x01")
        data[entry + 8 : entry + 12] = struct.pack("<I", height)
    return bytes(data)


@pytest.mark.parametrize("height", [97, 112, 500])
@pytest.mark.parametrize("kind", ["jpg", "progressive.jpg", "png", "tif", "lzw.tif"])
def test_a_header_that_lies_about_the_size(tmp_path, kind, height):
    """A file that claims more rows than it holds is refused, not filled up with grey."""
    data = coded(Image.fromarray(scene()), **KINDS[kind])
    assert load_photo(saved(tmp_path, with_height(data, 96))).size_px == (160, 96)
    if kind.endswith("jpg") and height == 97:
        height = 113  # a JPEG's blocks of 16 rows hide what is less

    with pytest.raises(UnreadablePhoto):
        load_photo(saved(tmp_path, with_height(data, height)))


@pytest.mark.parametrize("mode", ["RGB", "L", "1", "P", "RGBA", "LA", "I;16"])
@pytest.mark.parametrize("size", [(1, 1), (3, 5), (33, 17)])
def test_small_pngs_of_all_kinds_are_whole(tmp_path, mode, size):
    """Counting a PNG's bytes refuses none that is whole."""
    data = coded(Image.new(mode, size), format="PNG")

    assert load_photo(saved(tmp_path, data)).size_px == size


@pytest.mark.parametrize("size", [(1, 1), (3, 5), (33, 17)])
def test_interlaced_pngs(tmp_path, size):
    """An interlaced PNG is read; without its last pass it is refused."""
    width, height = size
    pixels = np.random.default_rng(3).integers(0, 256, (height, width)).astype(np.uint8)
    steps = [(0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2)]
    passes = [pixels[y::down, x::across] for x, y, across, down in [*steps, (0, 1, 1, 2)]]

    def png(passes):
        lines = b"".join(b"\0" + line.tobytes() for part in passes if part.size for line in part)
        head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 1)
        chunks = [(b"IHDR", head), (b"IDAT", zlib.compress(lines)), (b"IEND", b"")]
        return b"\x89PNG\r\n\x1a\n" + b"".join(
            struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
            for kind, body in chunks
        )

    assert np.array_equal(load_photo(saved(tmp_path, png(passes))).pixels[:, :, 0], pixels)
    if height > 1:
        with pytest.raises(UnreadablePhoto):
            load_photo(saved(tmp_path, png(passes[:-1])))


def test_damage_within_a_jpeg(tmp_path):
    """A hole torn into a JPEG's data is refused."""
    noise = np.random.default_rng(1).integers(0, 256, (320, 320, 3)).astype(np.uint8)
    data = coded(Image.fromarray(noise), **KINDS["jpg"])

    with pytest.raises(UnreadablePhoto):
        load_photo(saved(tmp_path, data[:30_000] + data[45_000:]))


def test_size_is_checked_before_decoding(tmp_path):
    """A picture over the limit is refused by its header; its pixels need not even be there."""
    data = coded(Image.new("L", (4000, 3000)), format="PNG")[:60]

    with pytest.raises(PhotoTooLarge, match="4000 × 3000"):
        load_photo(saved(tmp_path, data), max_megapixels=11.9)


def test_the_limit_can_be_raised(tmp_path):
    """What is allowed is allowed, also past Pillow's own alarm, and exactly at the limit."""
    picture = Image.new("1", (20_000, 9_500))
    path = saved(tmp_path, coded(picture, format="PNG"))
    with pytest.raises(PhotoTooLarge):
        load_photo(path)

    assert load_photo(path, max_megapixels=190).size_px == (20_000, 9_500)


def test_a_file_of_too_many_bytes_is_not_read(tmp_path):
    """A file far too large for the pixels allowed is refused unread."""
    path = saved(tmp_path, bytes(2_000_000))

    with pytest.raises(PhotoTooLarge, match="bytes"):
        load_photo(path, max_megapixels=0.1)


def test_pillow_is_left_as_it_was(tmp_path):
    """Reading a photo does not lift Pillow's alarm for the rest of the program."""
    before = Image.MAX_IMAGE_PIXELS
    load_photo(saved(tmp_path, coded(Image.fromarray(scene()), format="PNG")))

    assert before == Image.MAX_IMAGE_PIXELS
