"""Checks the field of white of the flat scenes: check_white.py COUNT.

Paints each scene again with every thing and the ground covered by flat sheets of
reflectance 1, so that the picture shows the light alone, and compares it with the field.
"""
import sys

import cv2
import numpy as np

import compose
from prints import Shelf
from table import Table


class Sheets(Table):
    def settle(self):
        self.rgb[:] = 255

    def blend(self, b, a, c):
        super().blend(b, a, (255, 255, 255))

    def strokes(self, lines, width, colour=None, *a, **k):
        if colour is not None:  # else a crease or a seam, which is no light
            super().strokes(lines, width, (255, 255, 255), *a, **k)


shelf = Shelf(np.random.default_rng(1), 20)
off = []
for seed in range(int(sys.argv[1])):
    rgb, _, _, white = compose.scene(seed, shelf, table=Sheets)
    seen = cv2.resize(rgb, white.shape[:2], interpolation=cv2.INTER_AREA) / 255.
    off.append(seen - np.minimum(1, white))
off = np.abs(off)
print('off in the mean %.4f, 90 %% below %.4f, 99 %% below %.4f, most %.3f' % (off.mean(), *np.percentile(off, [90, 99]), off.max()))
if np.percentile(off, 90) > .02:
    sys.exit('the field of white is not what the picture shows')
