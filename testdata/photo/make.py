"""Makes the pictures beside it: python3 make.py

Needs Pillow 9.4 with libjpeg-turbo 2.1 and libwebp 1.2, and NumPy (Debian 12:
python3-pil, python3-numpy).
"""
import os

import numpy
from PIL import Image

HERE = os.path.dirname(os.path.abspath(__file__))
PATCHES = ((200, 30, 40), (40, 160, 60), (30, 60, 170), (230, 200, 50), (128, 128, 128), (250, 250, 250))
SIDE = 16  # of a patch, pixels; three a row


def patches(mode, colours):
    out = Image.new(mode, (3 * SIDE, 2 * SIDE))
    for i, c in enumerate(colours):
        out.paste(c, (i % 3 * SIDE, i // 3 * SIDE, (i % 3 + 1) * SIDE, (i // 3 + 1) * SIDE))
    return out


def save(name, picture, **how):
    picture.save(os.path.join(HERE, name), **how)


rgb = patches("RGB", PATCHES)
clear = patches("RGBA", [c + (a,) for c, a in zip(PATCHES, (255, 255, 255, 255, 128, 0))])
save("patches.png", rgb, optimize=True)
save("baseline-420.jpg", rgb, quality=95, subsampling=2)
save("baseline-422.jpg", rgb, quality=95, subsampling=1)
save("baseline-444.jpg", rgb, quality=95, subsampling=0)
save("progressive.jpg", rgb, quality=95, subsampling=2, progressive=True)
save("grey.jpg", rgb.convert("L"), quality=95)
save("cmyk.jpg", rgb.convert("CMYK"), quality=95)
save("lossy.webp", rgb, quality=95)
save("lossless.webp", rgb, lossless=True)
save("alpha.png", clear, optimize=True)
save("alpha.webp", clear, quality=95)

noise = Image.fromarray(numpy.random.default_rng(1).integers(0, 256, (64, 64, 3), dtype=numpy.uint8))
save("noise.png", noise)
save("noise.jpg", noise, quality=80)
save("noise.webp", noise, quality=80)
