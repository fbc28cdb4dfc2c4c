"""Makes inks.icc and patches.jpg beside it: python3 make.py

Needs Pillow 9.4 with Little CMS 2.14 and NumPy (Debian 12: python3-pil,
python3-numpy). The profile is our own: four inks of this project's choosing on a
cream paper, mixed by Demichel's shares and Neugebauer's sum (published 1924 and
1937; from memory) with a dot gain. It is a table of 16 bits as ICC.1:2001, 6.5.9
has it. Prints the rows of TestInksAgainstLittleCMS.
"""
import io
import itertools
import os
import struct

import numpy
from PIL import Image, ImageCms

HERE = os.path.dirname(os.path.abspath(__file__))
STEPS = 7  # of the table, each ink
D50 = (0.9642, 1.0, 0.8249)
# What each ink lets through of long, middle and short waves.
INKS = ((0.08, 0.35, 0.62), (0.55, 0.06, 0.20), (0.90, 0.72, 0.07), (0.03, 0.03, 0.03))
PAPER = (0.97, 0.95, 0.88)
# sRGB to XYZ under D50 (Bradford), from memory.
TO_XYZ = numpy.array([[0.4360, 0.3851, 0.1431], [0.2225, 0.7169, 0.0606], [0.0139, 0.0971, 0.7141]])


def lab(inks):
    """Relative colorimetric: the paper is white."""
    gained = [v + 0.25 * v * (1 - v) for v in inks]
    light = numpy.zeros(3)
    for on in itertools.product((0, 1), repeat=4):
        share = numpy.prod([g if o else 1 - g for g, o in zip(gained, on)])
        one = numpy.array(PAPER)
        for o, ink in zip(on, INKS):
            one = one * (numpy.array(ink) if o else 1)
        light += share * one
    xyz = TO_XYZ @ light / (TO_XYZ @ numpy.array(PAPER)) # of the paper, whose white is D50
    f = [v ** (1 / 3) if v > 216 / 24389 else (24389 / 27 * v + 16) / 116 for v in xyz]
    return 116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])


def profile():
    table = b""
    for at in itertools.product(range(STEPS), repeat=4):
        l, a, b = lab([v / (STEPS - 1) for v in at])
        table += struct.pack(">HHH", round(l * 652.8), round((a + 128) * 256), round((b + 128) * 256))
    straight = struct.pack(">HH", 0, 65535)
    one = struct.pack(">9i", *(65536 if i % 4 == 0 else 0 for i in range(9)))
    a2b = b"mft2" + bytes(4) + struct.pack(">BBBB", 4, 3, STEPS, 0) + one + struct.pack(">HH", 2, 2) \
        + 4 * straight + table + 3 * straight
    name = b"Four inks of a test\0"
    desc = b"desc" + bytes(4) + struct.pack(">I", len(name)) + name + bytes(78)
    white = b"XYZ " + bytes(4) + struct.pack(">3i", *(round(v * 65536) for v in D50))
    tags = [(b"desc", desc), (b"cprt", b"text" + bytes(4) + b"MIT\0"), (b"wtpt", white), (b"A2B0", a2b)]
    head = bytearray(128)
    head[8:40] = b"\x02\x40\0\0prtrCMYKLab " + bytes(12) + b"acsp"
    head[68:80] = struct.pack(">3i", *(round(v * 65536) for v in D50))
    index, data = struct.pack(">I", len(tags)), b""
    for tag, body in tags:
        body += bytes(-len(body) % 4)
        index += struct.pack(">4sII", tag, 132 + 12 * len(tags) + len(data), len(body))
        data += body
    head[0:4] = struct.pack(">I", 128 + len(index) + len(data))
    return bytes(head) + index + data


made = profile()
with open(os.path.join(HERE, "inks.icc"), "wb") as f:
    f.write(made)
ours, srgb = ImageCms.ImageCmsProfile(io.BytesIO(made)), ImageCms.createProfile("sRGB")
to = ImageCms.buildTransform(ours, srgb, "CMYK", "RGB", renderingIntent=1, flags=0x0100)  # as exactly as it can

PATCHES = [(0, 200, 180, 20), (180, 20, 200, 30), (230, 190, 30, 40), (20, 40, 200, 10), (90, 80, 80, 60), (5, 4, 6, 0)]
for p in PATCHES + [(0, 0, 0, 0), (255, 0, 0, 0), (0, 255, 0, 0), (0, 0, 255, 0), (0, 0, 0, 255), (255, 255, 255, 255),
                    (40, 90, 17, 128), (128, 128, 128, 0), (66, 7, 241, 33), (201, 150, 99, 201)]:
    m = Image.new("CMYK", (1, 1), p)
    print("{[4]byte{%d, %d, %d, %d}, color.NRGBA{%d, %d, %d, 255}}," % (*p, *ImageCms.applyTransform(m, to).getpixel((0, 0))))

m = Image.new("CMYK", (48, 32))
for i, p in enumerate(PATCHES):
    m.paste(p, (16 * (i % 3), 16 * (i // 3), 16 * (i % 3) + 16, 16 * (i // 3) + 16))
m.save(os.path.join(HERE, "patches.jpg"), quality=98, subsampling=0, icc_profile=made)
