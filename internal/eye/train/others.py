"""Photos of anything but cloth, chosen to look like it: books, pencils, mosaics, parquet, walls, landscapes, kitchens."""
import numpy as np

import clutter
from blocks import top
from grounds import big_noise, numerals
from prints import colour
from table import rect, rounded


def books(r, t):
    """Spines side by side on shelves."""
    rows = int(r.integers(1, 4))
    H = t.n / rows
    for j in range(rows):
        x = 0.
        while x < t.n:
            w, h = t.n * r.uniform(.018, .08), H * r.uniform(.6, .92)
            at = np.array([x + w / 2, H * (j + .95) - h / 2])
            a = r.normal(0, .01)
            t.lay(rect(at[0], at[1], w, h, a), colour(r), 0, height=3, bevel=r.uniform(.2, 1), grain=r.uniform(0, 3))
            for f in r.uniform(-.45, .45, int(r.integers(0, 4))):
                t.lay(rect(at[0], at[1] + h * f, w * r.uniform(.6, 1), h * r.uniform(.01, .12), a), colour(r), 0, height=0)
            if w > t.n * .02:
                clutter.writing(r, t, at, h * r.uniform(.4, 1), np.pi / 2 + r.normal(0, .01), colour(r), 1)
            x += w
        t.lay(rect(t.n / 2, H * (j + .975), t.n * 1.1, H * .05, 0), np.array([140, 100, 65.]) * r.uniform(.4, 1.5), 0, height=8)


def pencils(r, t):
    """Pencils, crayons or tubes lying side by side."""
    a = np.pi / 2 * int(r.integers(2)) + r.normal(0, .05)
    u, v = np.array([np.cos(a), np.sin(a)]), np.array([-np.sin(a), np.cos(a)])
    w, L = t.n * r.uniform(.015, .06), t.n * r.uniform(.35, .9)
    for y in np.arange(-t.n * r.uniform(.2, .6), t.n * r.uniform(.2, .6), w * 1.06):
        c, e = clutter.vivid(r), t.n / 2 + v * y + u * r.normal(0, .01) * L
        clutter.gloss(r, t, clutter.capsule(e - u * L / 2, e + u * L * .38, w, 3), c, h=w * .3)
        t.lay(np.array([e + u * L * .38 + v * w * .45, e + u * L * .5, e + u * L * .38 - v * w * .45]), np.array([225, 190, 150.]), 0, height=2, bevel=.5)
        t.lay(np.array([e + u * L * .46 + v * w * .15, e + u * L * .5, e + u * L * .46 - v * w * .15]), c, 0, height=0)


def mosaic(r, t):
    """Glazed tiles or stones with joints, of one shape or in a pattern as of a quilt."""
    tiles = top(r, t.n * 1.2, t.n * 1.2, t.n * r.uniform(.05, .25))
    cs = [colour(r) for _ in range(int(r.integers(1, 6)))]
    t.lay(rect(t.n / 2, t.n / 2, t.n * 2, t.n * 2, 0), colour(r), 0, height=0)
    gap, shine = r.uniform(.86, .97), r.uniform(0, 70)
    for p, role in tiles:
        m = p.mean(0)
        q = (p - m) * gap + m - t.n * .1
        t.lay(q, np.clip(cs[role % len(cs)] * r.uniform(.85, 1.15), 0, 255), 0, height=0, bevel=r.uniform(.5, 1.2), grain=r.uniform(0, 6))
        if shine > 20:
            t.lay((q - q.mean(0)) * .4 + q.mean(0) - t.light * 4, np.minimum(255, cs[role % len(cs)] + shine), None, height=0, alpha=.25)


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


def walls(r, t):
    """A room: walls painted in two colours, skirting, a door or a window, framed pictures."""
    y = t.n * r.uniform(.3, .8)
    t.lay(rect(t.n / 2, y / 2, t.n, y, r.normal(0, .01)), colour(r), 0, height=0, grain=r.uniform(0, 3))
    t.lay(rect(t.n / 2, y, t.n * 1.1, t.n * r.uniform(.005, .05), 0), np.full(3, r.uniform(180, 250)), 0, height=2, bevel=.8)
    for _ in range(int(r.integers(1, 6))):
        at, w, h = np.array([t.n * r.random(), y * r.uniform(.1, .9)]), t.n * r.uniform(.08, .35), t.n * r.uniform(.08, .5)
        t.lay(rect(at[0], at[1], w, h, 0), colour(r), 0, height=r.uniform(2, 12), bevel=.8)
        t.lay(rect(at[0], at[1], w * .85, h * .85, 0), np.full(3, r.uniform(150, 250)) if r.random() < .5 else colour(r), 0, height=0, bevel=-.4)


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


def print_out(r, t):
    """Pages with pictures of patchwork, charts and numbers."""
    for _ in range(int(r.integers(1, 4))):
        s, at, a = t.n * r.uniform(.3, .8), t.n * r.uniform(.2, .8, 2), r.normal(0, .4)
        t.lay(rect(at[0], at[1], s, s * 1.3, a), np.full(3, r.uniform(220, 252)) if r.random() < .6 else colour(r), 0, height=3, bevel=.3)
        clutter.picture(r, t, at, s * r.uniform(.4, .8), a)
        numerals(r, t, [(int(r.integers(10 ** 5)), at + clutter.turn([[0, -s * .55]], a, 0)[0])], np.full(3, 30.), s * .06, a)


PHOTOS = [books, pencils, mosaic, parquet, walls, landscape, kitchen, print_out]


def paint(r, t):
    PHOTOS[int(r.integers(len(PHOTOS)))](r, t)
