"""Makes the HEIC files beside it: python3 make.py

Needs Pillow 9.4, NumPy, OpenCV and heif-enc of libheif 1.15 (Debian 12:
python3-pil, python3-numpy, python3-opencv, libheif-examples). heif-enc makes the coded pictures; it writes no grids, turns
or depth pictures, so those files are put together here from what it made, box by
box as ISO/IEC 23008-12:2017 says.
"""
import os
import struct
import subprocess
import tempfile

import cv2
import numpy
from PIL import Image

HERE = os.path.dirname(os.path.abspath(__file__))
SIDE = 64  # of a patch, pixels; the smallest tile that MIAF allows


def box(kind, *parts):
    body = b"".join(parts)
    return struct.pack(">I4s", 8 + len(body), kind) + body


def full(kind, version, flags, *parts):
    return box(kind, struct.pack(">I", version << 24 | flags), *parts)


def boxes(data):
    at = 0
    while at < len(data):
        n, kind = struct.unpack(">I4s", data[at:at + 8])
        yield kind, data[at:at + n], data[at + 8:at + n]
        at += n


def encode(img, *options, icc=None):
    """The bytes of a file that heif-enc makes of a picture."""
    with tempfile.TemporaryDirectory() as d:
        a, b = os.path.join(d, "a.png"), os.path.join(d, "b.heic")
        if isinstance(img, numpy.ndarray):  # of 16 bits, which Pillow writes of grey alone
            cv2.imwrite(a, img[..., ::-1] if img.ndim == 3 else img)
        else:
            img.save(a, icc_profile=icc)
        subprocess.run(["heif-enc", "-q", "90", *options, a, "-o", b], check=True, stdout=subprocess.DEVNULL)
        with open(b, "rb") as f:
            return f.read()


def coded(data):
    """The decoder configuration and the coded picture of heif-enc's first item."""
    top = {kind: body for kind, _, body in boxes(data)}
    meta = {kind: body for kind, _, body in boxes(top[b"meta"][4:])}
    props = {kind: body for kind, _, body in boxes(meta[b"iprp"])}
    hvcc = next(whole for kind, whole, _ in boxes(props[b"ipco"]) if kind == b"hvcC")
    iloc = meta[b"iloc"]  # version 0; offset, length and base of 4 bytes
    base, = struct.unpack(">I", iloc[12:16])
    offset, length = struct.unpack(">II", iloc[18:26])
    return hvcc, data[base + offset:base + offset + length]


def ispe(w, h):
    return full(b"ispe", 0, 0, struct.pack(">II", w, h))


def nclx(primaries, transfer, matrices, full_range):
    return box(b"colr", b"nclx", struct.pack(">HHHB", primaries, transfer, matrices, full_range << 7))


class File:
    """A file put together item by item."""

    def __init__(self):
        self.items, self.props, self.refs = [], [], []

    def prop(self, b):
        if b not in self.props:
            self.props.append(b)
        return self.props.index(b) + 1

    def add(self, kind, data, *props, hidden=False):
        self.items.append((kind, data, [self.prop(p) for p in props], hidden))
        return len(self.items)

    def refer(self, kind, frm, *to):
        self.refs.append(box(kind, struct.pack(f">HH{len(to)}H", frm, len(to), *to)))

    def write(self, name, primary, brand=b"heic"):
        ftyp = box(b"ftyp", brand, bytes(4), b"mif1", b"heic")
        infe = b"".join(full(b"infe", 2, int(hidden), struct.pack(">HH", i, 0), kind, b"\0", b"application/rdf+xml\0" if kind == b"mime" else b"")
                        for i, (kind, _, _, hidden) in enumerate(self.items, 1))
        used = sum(1 for _, _, props, _ in self.items if props)
        # All properties are marked essential but the size.
        ipma = b"".join(struct.pack(">HB", i, len(props)) + bytes(p | (0 if self.props[p - 1][4:8] == b"ispe" else 128) for p in props)
                        for i, (_, _, props, _) in enumerate(self.items, 1) if props)

        def meta(start):
            at, iloc = start, b""
            for i, (_, data, _, _) in enumerate(self.items, 1):
                iloc += struct.pack(">HHHII", i, 0, 1, at, len(data))
                at += len(data)
            return full(
                b"meta", 0, 0,
                full(b"hdlr", 0, 0, bytes(4), b"pict", bytes(13)),
                full(b"pitm", 0, 0, struct.pack(">H", primary)),
                full(b"iloc", 0, 0, b"\x44\0", struct.pack(">H", len(self.items)), iloc),
                full(b"iinf", 0, 0, struct.pack(">H", len(self.items)), infe),
                box(b"iprp", box(b"ipco", *self.props), full(b"ipma", 0, 0, struct.pack(">I", used), ipma)),
                *([full(b"iref", 0, 0, *self.refs)] if self.refs else []))

        start = len(ftyp) + len(meta(0)) + 8
        with open(os.path.join(HERE, name), "wb") as f:
            f.write(ftyp + meta(start) + box(b"mdat", *(data for _, data, _, _ in self.items)))


def display_p3():
    """An ICC profile: the colourants and the curve of displayP3ICC in profile_test.go."""
    def fixed(*values):
        return b"".join(struct.pack(">i", round(v * 65536)) for v in values)

    name = "Display P3".encode("utf-16-be")
    curve = b"para" + bytes(4) + b"\0\3\0\0" + fixed(2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)
    tags = [(b"desc", b"mluc" + bytes(4) + struct.pack(">II4sII", 1, 12, b"enUS", len(name), 28) + name)]
    for c, xyz in zip(b"rgb", ((0.51512, 0.24120, -0.00105), (0.29198, 0.69225, 0.04189), (0.15710, 0.06657, 0.78407))):
        tags += [(bytes([c]) + b"XYZ", b"XYZ " + bytes(4) + fixed(*xyz)), (bytes([c]) + b"TRC", curve)]
    tags.append((b"wtpt", b"XYZ " + bytes(4) + fixed(0.9642, 1, 0.8249)))
    head = bytearray(128)
    head[8:40] = b"\x04\x30\0\0mntrRGB XYZ " + bytes(12) + b"acsp"
    head[68:80] = fixed(0.9642, 1, 0.8249)
    table, data = struct.pack(">I", len(tags)), b""
    for tag, body in tags:
        body += bytes(-len(body) % 4)
        table += struct.pack(">4sII", tag, 132 + 12 * len(tags) + len(data), len(body))
        data += body
    head[0:4] = struct.pack(">I", 128 + len(table) + len(data))
    return bytes(head) + table + data


def put(name, data):
    with open(os.path.join(HERE, name), "wb") as f:
        f.write(data)


patches = Image.open(os.path.join(HERE, "..", "photo", "patches.png")).convert("RGB")
large = patches.resize((3 * SIDE, 2 * SIDE), Image.NEAREST)
white = Image.new("RGB", (SIDE, SIDE), "white")

# As heif-enc writes them.
put("plain.heic", encode(large))
put("thumbnail.heic", encode(large, "-t", "32"))
put("colour-444.heic", encode(large, "-p", "chroma=444"))
put("grey.heic", encode(large.convert("L")))
put("deep.heic", encode(numpy.asarray(large).astype("uint16") * 257, "-b", "10"))
put("deep-grey.heic", encode(numpy.asarray(large.convert("L")).astype("uint16") * 257, "-b", "10"))
clear = large.convert("RGBA")
clear.putalpha(Image.linear_gradient("L").resize(large.size))
put("alpha.heic", encode(clear))
p3 = display_p3()
put("p3-icc.heic", encode(large, icc=p3))
put("odd.heic", encode(large.crop((0, 0, 3 * SIDE - 5, 2 * SIDE - 3))))

# Every turn: one coded picture, turned by irot (quarter turns against the clock)
# and then mirrored by imir (0: top and bottom change places).
hvcc, bits = coded(encode(large))
for mirrored in (0, 1):
    for quarters in range(4):
        f = File()
        props = [hvcc, ispe(*large.size)]
        if quarters:
            props.append(box(b"irot", bytes([quarters])))
        if mirrored:
            props.append(box(b"imir", b"\0"))
        f.write(f"turn-{quarters}{'m' * mirrored}.heic", f.add(b"hvc1", bits, *props))

f = File()
clap = box(b"clap", struct.pack(">8i", 2 * SIDE, 1, SIDE, 1, SIDE // 2, 1, SIDE // 2, 1))
f.write("crop.heic", f.add(b"hvc1", bits, hvcc, ispe(*large.size), clap))
f = File()
f.write("brand.heic", f.add(b"hvc1", bits, hvcc, ispe(*large.size)), brand=b"mif1")

# Colours by their codes (ITU-T H.273): P3, and BT.709 of 16 to 235. heif-enc codes
# for BT.601 of the full range, so it is given what it makes those very codes of.
f = File()
f.write("p3-nclx.heic", f.add(b"hvc1", bits, hvcc, ispe(*large.size), nclx(12, 13, 6, True)))
r, g, b = numpy.moveaxis(numpy.asarray(large).astype(float), 2, 0)
y = 0.2126 * r + 0.7152 * g + 0.0722 * b
cb, cr = (b - y) / 1.8556 * 224 / 255, (r - y) / 1.5748 * 224 / 255
y = 16 + y * 219 / 255
r, b = y + 1.402 * cr, y + 1.772 * cb
g = (y - 0.299 * r - 0.114 * b) / 0.587
other = numpy.stack([r, g, b], 2)
assert other.min() >= 0 and other.max() <= 255
hvcc, bits = coded(encode(Image.fromarray(other.round().astype("uint8")), "-p", "chroma=444"))
f = File()
f.write("studio-709.heic", f.add(b"hvc1", bits, hvcc, ispe(*large.size), nclx(1, 13, 1, False)))
hvcc, bits = coded(encode(large.convert("L")))
f = File()
f.write("grey-nclx.heic", f.add(b"hvc1", bits, hvcc, ispe(*large.size), nclx(1, 13, 6, True)))

# As phones write: tiles in a grid that the picture does not fill, a turn, a
# profile, a thumbnail, a depth picture and EXIF data, whose turn must not count.
f = File()
w, h = 3 * SIDE - 12, 2 * SIDE - 8
tiles = []
for y in range(2):
    for x in range(3):
        hvcc, bits = coded(encode(large.crop((x * SIDE, y * SIDE, (x + 1) * SIDE, (y + 1) * SIDE))))
        tiles.append(f.add(b"hvc1", bits, hvcc, ispe(SIDE, SIDE), hidden=True))
colr = box(b"colr", b"prof", p3)
turn = box(b"irot", b"\3")
grid = f.add(b"grid", struct.pack(">BBBBHH", 0, 0, 1, 2, w, h), ispe(w, h), colr, turn)
f.refer(b"dimg", grid, *tiles)
hvcc, bits = coded(encode(white))
f.refer(b"thmb", f.add(b"hvc1", bits, hvcc, ispe(SIDE, SIDE), turn, hidden=True), grid)
depth = full(b"auxC", 0, 0, b"urn:mpeg:hevc:2015:auxid:2\0")
f.refer(b"auxl", f.add(b"hvc1", bits, hvcc, ispe(SIDE, SIDE), depth, hidden=True), grid)
exif = bytes(4) + b"MM\0*\0\0\0\x08\0\2\x01\x12\0\3\0\0\0\1\0\6\0\0\x87\x69\0\4\0\0\0\1\0\0\0\x26\0\0\0\0" \
    b"\0\1\xa4\x05\0\3\0\0\0\1\0\x1c\0\0\0\0\0\0"
f.refer(b"cdsc", f.add(b"Exif", exif, hidden=True), grid)
f.write("phone.heic", grid)

# With all that phones and programs put beside a picture, the word SECRET in each.
secret = b"SECRET 57.15N 2.09W"
hvcc, bits = coded(encode(large))
f = File()
told = f.add(b"hvc1", bits, hvcc, ispe(*large.size), box(b"irot", b"\1"),
             full(b"udes", 0, 0, b"en\0", secret + b"\0", b"\0", b"\0"))
space = b"\0\1\xa0\x01\0\3\0\0\0\1\0\1\0\0\0\0\0\0"
f.refer(b"cdsc", f.add(b"Exif", exif[:42] + space + secret, hidden=True), told)
f.refer(b"cdsc", f.add(b"mime", b"<x:xmpmeta>" + secret, hidden=True), told)
f.write("told.heic", told)
with open(os.path.join(HERE, "told.heic"), "ab") as out:
    out.write(box(b"uuid", bytes(16), secret) + struct.pack(">I4sQ", 1, b"mpvd", 16 + len(secret)) + secret + secret[:7])

# A photo to look at: the demo's table, lying on its side until it is turned.
table = Image.open(os.path.join(HERE, "..", "..", "samples", "table.jpg"))
table = table.resize((768, 1024), Image.LANCZOS).transpose(Image.ROTATE_90)
hvcc, bits = coded(encode(table, "-q", "50"))
f = File()
f.write("table.heic", f.add(b"hvc1", bits, hvcc, ispe(*table.size), nclx(1, 13, 6, True), box(b"irot", b"\3")))
