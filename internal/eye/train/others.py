"""Photos of anything but cloth: parquet, landscapes, kitchens.

Books in rows, glazed mosaics and painted walls were here too. In a photo of 1,024
pixels they cannot be told from solid cloth in folds and quilts, which is what the
photos of a quilter show: the eye lost half of the solids to them.
"""
import numpy as np

import clutter
from grounds import big_noise
from prints import colour
from table import rect, rounded


def parquet(r, t):
    """Short boards in herringbone or in squares, each of its own shade."""
    w = t.n * r.uniform(.03, .1)
    k = int(r.integers(3, 7))
    c, turn = np.array([160, 110, 65.]) * r.uniform(.4, 1.4), r.normal(0, .3)
    bond = r.random() < .5
    for j in range(-2, int(t.n / w) + 3):
        for i in range(-2, int(t.n / w / k) + 3):
            if bond:
                x, y, along = (i + (j % 2) / 2) * w * k, j * w, 0
            else:
                x, y, along = i * w * k + w * k / 2, (j + .5) * w, 0
                if (i + j // k) % 2:
                    x, y, along = i * w * k + (j % k + .5) * w, (j // k + .5) * w * k, np.pi / 2
            q = clutter.turn([[x - t.n / 2, y - t.n / 2]], turn, np.full(2, t.n / 2))[0]
            t.lay(rect(q[0], q[1], w * k, w, turn + along), c * r.uniform(.75, 1.2), 0, height=0, bevel=.3, grain=r.uniform(2, 8))


def landscape(r, t):
    """Sky, hills, fields or the sea: bands of colour with a texture of their own."""
    y = t.n * r.uniform(.1, .4)
    sky = np.array([120, 170, 225.]) * r.uniform(.6, 1.1) + 40 * np.linspace(0, 1, t.n)[:, None, None]
    t.lay(rect(t.n / 2, t.n / 2, t.n * 2, t.n * 2, 0), np.broadcast_to(sky, t.rgb.shape).astype(np.float32), 0, height=0)
    for _ in range(int(r.integers(1, 7))):
        x = np.linspace(0, t.n, 40)
        e = y + np.cumsum(r.normal(0, 1, 40)) * t.n * r.uniform(.001, .02)
        p = np.concatenate([np.stack([x, e], 1), [[t.n, t.n], [0, t.n]]])
        c = np.array([[70, 110, 50], [150, 140, 90], [60, 90, 120], [200, 180, 140], [50, 70, 45]][int(r.integers(5))]) * r.uniform(.6, 1.4)
        f = 1 + big_noise(r, t.n, r.uniform(8, 200), r.uniform(.3, 2)) * r.uniform(.02, .25)
        t.lay(p, c, 0, height=0, shade=cut(f, t.box(p)), cast=False)
        y += t.n * r.uniform(.04, .3)


def cut(f, b):
    return f[b[1]:b[3], b[0]:b[2]] if b is not None else None


def kitchen(r, t):
    """Plates, bowls, fruit and knives laid out."""
    for _ in range(int(r.integers(3, 14))):
        s, at = t.n * r.uniform(.08, .35), t.n * r.uniform(.05, .95, 2)
        k = r.random()
        if k < .4:
            c = np.full(3, r.uniform(190, 250)) if r.random() < .6 else colour(r)
            clutter.gloss(r, t, clutter.turn(clutter.CIRCLE, 0, at, s / 2), c, h=s * .05)
            t.lay(clutter.turn(clutter.CIRCLE, 0, at, s * .36), c * r.uniform(.85, 1), 0, height=0, bevel=-.6)
        elif k < .7:
            clutter.ball(r, t, at, s * .5)
        elif k < .85:
            u = np.array([np.cos(s), np.sin(s)]) * s * .6
            clutter.gloss(r, t, clutter.capsule(at - u, at + u, s * .07), clutter.steel(r), h=4)
        else:
            clutter.gloss(r, t, rounded(at[0], at[1], s, s * .6, r.uniform(0, 6.3), s * .08), np.array([190, 150, 100.]) * r.uniform(.6, 1.2), h=6)


PHOTOS = [parquet, landscape, kitchen]


def paint(r, t):
    PHOTOS[int(r.integers(len(PHOTOS)))](r, t)
