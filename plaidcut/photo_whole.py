"""Whether a picture file holds all the pixels that its header promises.

Decoders forgive: where data run out before the last row they fill up with grey
or black and say nothing. A cloth would then be measured on half a photo. Here
the data are counted before any pixel is used.
"""

from __future__ import annotations

import re
import struct
import zlib
from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.TiffImagePlugin import TiffImageFile

EMPTY_TAIL_BYTES: Final = 4096
"""A compressed picture that ends in so many zeros was not copied or downloaded to its end."""

MOST_EXTRA_BYTES: Final = 64
"""Bytes too many in a JPEG's data that cameras leave there without harm."""

MOST_SCANS: Final = 200
"""Passes over the picture that a JPEG may make: progressive encoders make about ten, and
thousands of empty ones would be decoded for hours (chosen here)."""

INFLATE_BYTES: Final = 1 << 20
"""Bytes that a PNG is inflated by at a time: they are counted, not kept."""

_MARKER: Final = re.compile(rb"\xff[\xc0-\xcf\xd8-\xfe]")
"""Marker of a JPEG that has a length, or ends it (ITU-T T.81, table B.1)."""

_SCAN, _END = 0xDA, 0xD9

PNG_CHANNELS: Final = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}
"""Channels of PNG's colour types (ISO/IEC 15948)."""

ADAM7: Final = ((0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2),
                (0, 1, 1, 2))  # fmt: skip
"""First column and row, and steps across and down, of an interlaced PNG's passes."""


def what_is_missing(data: bytes, image: Image) -> str | None:
    """Say what a picture file lacks, or None for a whole one.

    Parameters
    ----------
    data
        The file's bytes.
    image
        The picture as Pillow opened it, its pixels not decoded.
    """
    from PIL.TiffImagePlugin import TiffImageFile

    if isinstance(image, TiffImageFile):
        return None if _tiff_rows_are_there(image) else "some of its rows are not there"
    if not any(data[-EMPTY_TAIL_BYTES:]):
        return "its end is empty"
    if image.format in ("JPEG", "MPO"):
        return _jpeg_damage(data)
    if image.format == "PNG" and not _png_rows_are_there(data):
        return "some of its rows are not there"
    return None


def whole_jpeg(data: bytes, image: Image) -> NDArray[np.uint8] | None:
    """Pixels of an ordinary JPEG as stored, (height, width, 3), decoded once.

    Parameters
    ----------
    data
        The file's bytes.
    image
        The picture as Pillow opened it, its pixels not decoded.

    Returns
    -------
    array or None
        sRGB as Pillow would decode it; None for other files, and for one that libjpeg warns of,
        of which `what_is_missing` tells more.
    """
    import simplejpeg

    ordinary = image.format in ("JPEG", "MPO") and image.mode == "RGB"
    if not ordinary or not any(data[-EMPTY_TAIL_BYTES:]) or _scans(data) > MOST_SCANS:
        return None
    try:
        height, width, *_ = simplejpeg.decode_jpeg_header(data)
        if (width, height) != image.size:
            return None
        return np.asarray(simplejpeg.decode_jpeg(data, "RGB"))
    except ValueError:
        return None


def _jpeg_damage(data: bytes) -> str | None:
    """What libjpeg warns of when it reads all data of a JPEG, at an eighth of its size."""
    import simplejpeg

    if _scans(data) > MOST_SCANS:
        return f"it passes over the picture more than {MOST_SCANS} times"
    try:
        simplejpeg.decode_jpeg(data, "gray", fastdct=True, min_height=1, min_width=1, min_factor=1)
    except ValueError as error:
        said = str(error)
        extra = re.search(r"(\d+) extraneous bytes", said)
        if extra and int(extra[1]) > MOST_EXTRA_BYTES:
            return said
        if re.search(r"premature end|bad Huffman", said, re.IGNORECASE):
            return said
    return None


def _scans(data: bytes) -> int:
    """How many passes over the picture a JPEG makes, no further counted than to too many."""
    at, scans = 2, 0
    while scans <= MOST_SCANS and (found := _MARKER.search(data, at)):
        marker = data[found.start() + 1]
        if marker == _END:
            break
        scans += marker == _SCAN
        at = found.end() + int.from_bytes(data[found.end() : found.end() + 2])
    return scans


def _png_rows_are_there(data: bytes) -> bool:
    """Whether a PNG's data inflate to as many bytes as its header wants."""
    width, height, bits, kind, interlaced = struct.unpack(">IIBB2xB", data[16:29])
    passes = ADAM7 if interlaced else ((0, 0, 1, 1),)
    bits_per_pixel = bits * PNG_CHANNELS[kind]
    missing = 0
    for x, y, across, down in passes:
        columns, rows = -((x - width) // across), -((y - height) // down)
        if columns > 0 and rows > 0:
            missing += rows * (1 + (columns * bits_per_pixel + 7) // 8)
    inflater = zlib.decompressobj()
    try:
        for chunk in _png_data(data):
            missing -= len(inflater.decompress(chunk, INFLATE_BYTES))
            while inflater.unconsumed_tail and missing > 0:
                missing -= len(inflater.decompress(inflater.unconsumed_tail, INFLATE_BYTES))
            if missing <= 0:  # whatever comes after the last row, a bomb even, isn't unpacked
                return True
    except zlib.error:
        return False
    return False


def _png_data(data: bytes) -> Iterator[bytes]:
    """A PNG's compressed pixels, chunk by chunk."""
    at = 8
    while at + 12 <= len(data):
        length, kind = struct.unpack(">I4s", data[at : at + 8])
        if kind == b"IDAT":
            yield data[at + 8 : at + 8 + length]
        at += 12 + length


def _tiff_rows_are_there(image: TiffImageFile) -> bool:
    """Whether a TIFF without compression names as many bytes as its size wants.

    With compression libtiff itself complains.
    """
    from PIL import TiffImagePlugin as Tiff

    tags = image.tag_v2
    if tags.get(Tiff.COMPRESSION, 1) != 1:
        return True
    width, height = image.size
    bits = sum(tags.get(Tiff.BITSPERSAMPLE, (1,)))
    counts = tags.get(Tiff.STRIPBYTECOUNTS) or tags.get(Tiff.TILEBYTECOUNTS) or (0,)
    return sum(counts) >= height * ((width * bits + 7) // 8)
