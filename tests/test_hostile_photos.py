"""Photos that mean harm, or were damaged on their way: refused in words, or read as they look."""

import io
import os
import struct
import zlib

import numpy as np
import pillow_heif
import pytest
from PIL import Image

from plaidcut.errors import FileTrouble, NotFound, PhotoTooLarge, UnreadablePhoto
from plaidcut.photo import load_photo

pillow_heif.register_heif_opener()

KINDS = {
    "jpg": {"format": "JPEG", "quality": 90},
    "progressive.jpg": {"format": "JPEG", "progressive": True},
    "png": {"format": "PNG"},
    "webp": {"format": "WEBP"},
    "lzw.tif": {"format": "TIFF", "compression": "tiff_lzw"},
    "heic": {"format": "HEIF"},
}
NOISE = np.random.default_rng(3).integers(0, 256, (48, 80, 3)).astype(np.uint8)


def coded(picture=None, **options):
    """A picture's file as bytes; noise where none is given."""
    file = io.BytesIO()
    (Image.fromarray(NOISE) if picture is None else picture).save(file, **options)
    return file.getvalue()


def saved(folder, data, name="cloth.jpg"):
    """A file with these bytes."""
    path = folder / name
    path.write_bytes(data)
    return path


def chunk(kind, body):
    """A chunk of a PNG."""
    crc = struct.pack(">I", zlib.crc32(kind + body))
    return struct.pack(">I", len(body)) + kind + body + crc


def png(width, height, *chunks, bits=8, kind=2):
    """A PNG made by hand."""
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, bits, kind, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + b"".join(chunks) + chunk(b"IEND", b"")


def tiff(tags, data=b""):
    """A TIFF made by hand: tags as number, kind and value (or offset)."""
    entries = b"".join(struct.pack("<HHII", *(*tag[:2], 1, tag[2])) for tag in sorted(tags))
    return b"II*\0" + struct.pack("<IH", 8, len(tags)) + entries + bytes(4) + data


@pytest.mark.parametrize("share", [0.001, 0.02, 0.1, 0.3, 0.5, 0.7, 0.9, 0.97])
@pytest.mark.parametrize("kind", KINDS)
def test_a_photo_cut_off_is_refused(tmp_path, kind, share):
    """Wherever it ends too early, none of its pixels is used."""
    data = coded(**KINDS[kind])
    with pytest.raises(UnreadablePhoto, match=r"cloth\.jpg"):
        load_photo(saved(tmp_path, data[: int(share * len(data))]))


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("kind", KINDS)
def test_bits_turned_over_never_break_it(tmp_path, kind, seed):
    """Damaged bytes give a refusal or whole pixels, never a fault."""
    rng = np.random.default_rng(seed)
    data = np.frombuffer(coded(**KINDS[kind]), np.uint8).copy()
    places = rng.integers(0, len(data), 12)
    data[places] = rng.integers(0, 256, 12)
    try:
        photo = load_photo(saved(tmp_path, data.tobytes()), max_megapixels=1)
    except (UnreadablePhoto, PhotoTooLarge):
        return
    assert photo.pixels.size
    assert photo.pixels.dtype == np.uint8


def large_heads():
    """Files of a few bytes that claim a picture of very many pixels."""
    jpeg = bytearray(coded(format="JPEG"))
    frame = jpeg.find(b"\xff\xc0")
    jpeg[frame + 5 : frame + 9] = b"\xff\xff\xff\xff"
    webp = bytearray(coded(format="WEBP", lossless=True))
    webp[21:25] = struct.pack("<I", 0x0FFFFFFF)  # two sides of 14 bits each
    size = [(256, 4, 2**31 - 1), (257, 4, 2**31 - 1), (258, 3, 8), (259, 3, 1), (262, 3, 1)]
    return {
        "jpeg": bytes(jpeg),
        "png": png(2**31 - 1, 2**31 - 1, chunk(b"IDAT", zlib.compress(bytes(100)))),
        "tiff": tiff([*size, (273, 4, 200), (278, 4, 2**31 - 1), (279, 4, 2**31 - 1)], bytes(99)),
        "webp": bytes(webp),
    }


@pytest.mark.parametrize("kind", ["jpeg", "png", "tiff", "webp"])
def test_a_picture_of_too_many_pixels_is_refused_by_its_head(tmp_path, kind):
    """A bomb isn't unpacked: its size is looked at first."""
    with pytest.raises(FileTrouble) as told:
        load_photo(saved(tmp_path, large_heads()[kind]), max_megapixels=50)
    assert told.value.code in {"photo-too-large", "unreadable-photo"}


def test_what_comes_after_the_last_row_is_not_unpacked(tmp_path):
    """A PNG of one pixel with thousands of millions of noughts behind it takes no time."""
    packer = zlib.compressobj(9)
    bomb = packer.compress(b"\0abc") + b"".join(packer.compress(bytes(1 << 20)) for _ in range(100))
    data = png(1, 1, *[chunk(b"IDAT", bomb + packer.flush())])
    assert len(data) < 300_000
    assert load_photo(saved(tmp_path, data)).pixels[0, 0].tolist() == [97, 98, 99]


@pytest.mark.parametrize("progressive", [True, False])
def test_a_jpeg_of_very_many_passes_is_refused(tmp_path, progressive):
    """Each pass goes over the whole picture, and costs the file a dozen bytes only."""
    data = coded(format="JPEG", progressive=progressive)
    start, end = data.rindex(b"\xff\xda"), data.rindex(b"\xff\xd9")
    with pytest.raises(UnreadablePhoto, match="times"):
        load_photo(saved(tmp_path, data[:end] + data[start:end] * 300 + data[end:]))


@pytest.mark.parametrize(
    "data",
    [
        png(0, 0),
        png(0, 5, chunk(b"IDAT", zlib.compress(b""))),
        png(5, 0, chunk(b"IDAT", zlib.compress(b""))),
        png(1, 1),
        png(1, 1, chunk(b"IDAT", b"")),
        png(1, 1, chunk(b"IDAT", b"\xff" * 99)),
        png(4, 4, chunk(b"IDAT", zlib.compress(bytes(9)))),
        png(4, 4, chunk(b"IDAT", zlib.compress(bytes(99))), bits=3),
        png(4, 4, chunk(b"IDAT", zlib.compress(bytes(99))), kind=5),
        png(4, 4, chunk(b"zTXt", b"a\0\0" + zlib.compress(bytes(1 << 24)))),
        tiff([]),
        tiff([(256, 4, 0), (257, 4, 0)]),
        tiff([(256, 4, 9), (257, 4, 9), (258, 3, 8), (273, 4, 2**32 - 1), (279, 4, 81)]),
        b"II*\0" + struct.pack("<I", 2**32 - 1),
        b"II*\0" + struct.pack("<IHHHIII", 8, 1, 256, 4, 2**32 - 1, 2**31, 8),
        b"II+\0\x08\0\0\0" + b"\xff" * 24,
        b"RIFF\xff\xff\xff\xffWEBPVP8 \xff\xff\xff\xff",
        b"RIFF\x00\x00\x00\x00WEBPVP8L\x00\x00\x00\x00",
        b"\0\0\0\x18ftypheic\0\0\0\0heicmif1" + b"\xff" * 40,
        b"\xff\xd8\xff\xd9",
        b"\xff\xd8\xff\xc0\x00\x02\xff\xd9",
        b"\xff\xd8" + b"\xff\xe1\xff\xff" * 2000,
        b"\xff\xd8\xff\xe2\x00\x10MPF\0II*\0\xff\xff\xff\xff\xff\xd9",
        b"\xff" * 4000,
        b"%PDF-1.7\n" + b"\xff\xd8\xff\xe0",
        b"GIF89a" + bytes(800),
        b"P6 9 9 255 " + bytes(243),
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n",
        b"\0\0\2\0" + bytes(99),
        bytes(9000),
    ],
)
def test_heads_that_cannot_be(tmp_path, data):
    """Nothing, no size, sizes that contradict themselves, other kinds of files: refused."""
    with pytest.raises(UnreadablePhoto):
        load_photo(saved(tmp_path, data))


ODD_EXIF = {
    "orientation 0": {0x0112: 0},
    "orientation 65535": {0x0112: 65535},
    "a long note": {0x010E: "n" * 60_000},
    "markup": {0x010F: "<script>alert(1)</script>\x1b[2J"},
    "size that lies": {0x0100: 10**9, 0x0101: 10**9, 0xA002: 0},
    "no text": {0x9286: b"\xff" * 999, 0x9000: b"\0"},
}


@pytest.mark.parametrize("what", ODD_EXIF)
@pytest.mark.parametrize("form", ["JPEG", "PNG"])
def test_absurd_exif_is_not_heeded(tmp_path, form, what):
    """The pixels come out as they are, whatever else the camera is said to have written."""
    exif = Image.Exif()
    for tag, value in ODD_EXIF[what].items():
        exif[tag] = value
    photo = load_photo(saved(tmp_path, coded(format=form, exif=exif)))
    assert photo.size_px == (80, 48)


@pytest.mark.parametrize(
    "exif",
    [
        b"Exif\0\0",
        b"Exif\0\0II*\0\xff\xff\xff\xff",
        b"\xff" * 500,
        b"Exif\0\0" + tiff([(0x0112, 2, 0x786973)]),  # in letters
        b"Exif\0\0" + tiff([(0x0112, 5, 26)], struct.pack("<II", 6, 0)),  # six noughts of one
        b"Exif\0\0" + tiff([(0x011A, 5, 26), (0x8769, 4, 8)], bytes(8)),  # within itself
    ],
)
def test_exif_that_is_none_is_not_heeded(tmp_path, exif):
    """An EXIF block cut off or pointing nowhere leaves the photo upright."""
    assert load_photo(saved(tmp_path, coded(format="JPEG", exif=exif))).size_px == (80, 48)


@pytest.mark.parametrize("profile", [b"x", b"\0" * 128, b"\xff" * 4000, b"\0\0\x0b\xb8" * 40])
@pytest.mark.parametrize("form", ["JPEG", "PNG", "TIFF", "WEBP"])
def test_a_colour_profile_of_nonsense_is_told(tmp_path, form, profile):
    """The photo is read, and a caution says that its colours may be off."""
    photo = load_photo(saved(tmp_path, coded(format=form, icc_profile=profile)))
    assert [caution.code for caution in photo.cautions] == ["colour-profile"]


@pytest.mark.parametrize("mode", ["F", "I", "LAB", "I;16B", "CMYK", "1", "L"])
def test_tiffs_of_every_kind_of_pixel(tmp_path, mode):
    """Read as it looks or refused; a number that is no brightness is never shown as one."""
    picture = Image.new(mode, (9, 7))
    try:
        photo = load_photo(saved(tmp_path, coded(picture, format="TIFF")))
    except UnreadablePhoto:
        assert mode in {"F", "I", "LAB"}
    else:
        assert photo.pixels.shape == (7, 9, 3)


@pytest.mark.parametrize("form", ["TIFF", "WEBP", "PNG"])
def test_of_many_pictures_in_a_file_the_first_counts(tmp_path, form):
    """A hundred frames cost no more than one."""
    frames = [Image.new("RGB", (20, 10), (level, 0, 0)) for level in range(100)]
    more = {"lossless": True} if form == "WEBP" else {}
    data = coded(frames[0], format=form, save_all=True, append_images=frames[1:], **more)
    assert load_photo(saved(tmp_path, data)).pixels[5, 5].tolist() == [0, 0, 0]


@pytest.mark.parametrize("tail", [b"PK\x05\x06" + bytes(18), b"<script>", b"%PDF-1.7", bytes(64)])
def test_a_file_that_is_two_things_is_a_photo(tmp_path, tail):
    """An archive or a page behind a JPEG isn't looked at."""
    data = coded(format="JPEG")
    alone = load_photo(saved(tmp_path, data)).pixels
    assert np.array_equal(load_photo(saved(tmp_path, data + tail)).pixels, alone)


@pytest.mark.parametrize("name", ["a\x1b[2J.jpg", "a\nb.jpg", "a\u202egpj.exe", "a\udcff.jpg"])
def test_a_name_is_kept_as_it_can_be_shown(tmp_path, name):
    """What a terminal would obey, and bytes that are no UTF-8, don't get into documents."""
    photo = load_photo(saved(tmp_path, coded(format="PNG"), name))
    assert photo.name.isprintable()
    assert photo.name.startswith("a\ufffd")


def test_what_is_no_file_is_refused_at_once(tmp_path):
    """A pipe that nobody writes to, a device without end, a link in a circle, a name too long."""
    os.mkfifo(tmp_path / "pipe.jpg")
    (tmp_path / "circle.jpg").symlink_to(tmp_path / "circle.jpg")
    for name in ("pipe.jpg", "circle.jpg", "/dev/zero", "n" * 300, "."):
        with pytest.raises((UnreadablePhoto, NotFound)):
            load_photo(tmp_path / name)


def test_a_link_to_a_photo_is_read(tmp_path):
    """As any program reads it."""
    saved(tmp_path, coded(format="PNG"), "there.png")
    (tmp_path / "link.png").symlink_to(tmp_path / "there.png")
    assert load_photo(tmp_path / "link.png").name == "link.png"
