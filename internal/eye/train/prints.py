"""Cloth as flat textures: uint8 RGB tiles of T x T pixels that wrap.

A print is drawn from one of a dozen families (solids, dots, stripes, checks,
florals, lattices, batiks, novelty motifs, text rows ...) in colours drawn as
shelves of quilting cotton hold them: many whites, creams, greys and darks,
the rest over the whole hue circle. Real swatches (130 CC0 photographs) are
mixed in where a folder of them is given, recoloured and scaled.
"""
import colorsys
import glob
import os

import cv2
import numpy as np

T = 256  # side of a tile, pixels


def colour(r, like=None):
    """One cloth colour, RGB 0..255 floats. like: a colour to stay near in hue."""
    if like is not None and r.random() < .6:
        h, l, s = colorsys.rgb_to_hls(*(np.clip(like, 0, 255) / 255))
        h = (h + r.normal(0, .05)) % 1
        l = np.clip(l + r.normal(0, .22), .05, .96)
        s = np.clip(s + r.normal(0, .15), 0, 1)
        return np.array(colorsys.hls_to_rgb(h, l, s)) * 255
    t = r.random()
    if t < .16:  # white and cream
        w = r.uniform(215, 252)
        return np.clip(np.array([w, w - r.uniform(-2, 12), w - r.uniform(-6, 34)]), 0, 255)
    if t < .26:  # greys
        return np.clip(r.uniform(30, 225) + r.normal(0, 5, 3), 0, 255)
    if t < .34:  # black, navy, other darks
        return np.clip(r.uniform(12, 60) + r.normal(0, 10, 3), 0, 255)
    if t < .42:  # tans and browns
        h, l, s = r.uniform(.04, .13), r.uniform(.2, .8), r.uniform(.15, .6)
    else:
        h, l, s = r.random(), np.clip(r.normal(.5, .2), .12, .92), r.beta(1.7, 2.)
    return np.array(colorsys.hls_to_rgb(h, l, s)) * 255


def pale(r):
    """White, cream or pale grey, at times over what the camera holds: RGB 0..270."""
    w = r.choice([r.uniform(228, 262), r.uniform(190, 235)], p=[.75, .25])
    return w - np.array([0, r.uniform(-1, 5), r.uniform(-4, 22)]) * r.choice([0, 1])


def noise(r, cells, n=T):
    """Smooth noise that wraps, about -1..1, `cells` cells across."""
    z = r.standard_normal((cells, cells)).astype(np.float32)
    z = np.pad(z, 2, mode='wrap')
    k = n / cells
    z = cv2.resize(z, None, fx=k, fy=k, interpolation=cv2.INTER_CUBIC)
    o = int(2 * k)
    return z[o:o + n, o:o + n]


def blank(c):
    t = np.empty((T, T, 3), np.float32)
    t[:] = c
    return t


def wrap_draw(t, draw):
    """Calls draw(img, dx, dy) nine times, so that what leaves one side enters the other."""
    for dx in (-T, 0, T):
        for dy in (-T, 0, T):
            draw(t, dx, dy)


def solid(r):
    c = colour(r)
    t = blank(c)
    if r.random() < .5:
        t += noise(r, int(r.choice([4, 8, 16, 64])))[..., None] * r.uniform(1, 9)
    return t


def tonal(r):
    """Tone on tone: one hue, low contrast."""
    c = colour(r)
    n = noise(r, int(r.choice([6, 10, 16, 24])))
    if r.random() < .5:
        n = np.sign(n) * np.minimum(np.abs(n) * 4, 1)
    return blank(c) + n[..., None] * r.uniform(5, 26)


def batik(r):
    a, b, c = colour(r), None, None
    b, c = colour(r, a), colour(r, a)
    m = np.clip(noise(r, int(r.choice([3, 5, 8]))) * .6 + noise(r, 16) * .3 + .5, 0, 1)[..., None]
    k = (noise(r, int(r.choice([6, 10]))) > .9)[..., None]
    t = a * m + b * (1 - m)
    return np.where(k, c, t).astype(np.float32)


def dots(r):
    a = colour(r)
    t = blank(a)
    n = int(r.choice([3, 4, 6, 8, 12, 16]))
    p = T / n
    rad = p * r.uniform(.08, .42)
    cs = [colour(r) for _ in range(int(r.integers(1, 4)))]
    off = r.random() < .6
    jit = r.choice([0, 0, .25]) * p
    ring = r.random() < .15
    for i in range(n):
        for j in range(n):
            x = (i + (.5 if off and j % 2 else 0)) * p + r.uniform(-jit, jit)
            y = j * p + r.uniform(-jit, jit)
            c = cs[int(r.integers(len(cs)))]
            wrap_draw(t, lambda im, dx, dy: cv2.circle(im, (int((x + dx) * 16), int((y + dy) * 16)), int(rad * 16), c.tolist(),
                                                       max(1, int(rad / 3)) if ring else -1, cv2.LINE_AA, 4))
    return t


def lines(r, n, cs, soft=False):
    """A row of T weights: stripes of random widths and colours, n a repeat."""
    w = r.uniform(.15, 1, n) if r.random() < .6 else np.ones(n)
    e = np.concatenate([[0], np.cumsum(w / w.sum())]) * T
    row = np.empty((T, 3), np.float32)
    for i in range(n):
        row[int(round(e[i])):int(round(e[i + 1]))] = cs[i % len(cs)]
    return row


def stripes(r):
    n = int(r.choice([2, 4, 6, 8, 12, 16, 24, 32]))
    a = colour(r)
    cs = [a] + [colour(r, a if r.random() < .5 else None) for _ in range(int(r.integers(1, 5)))]
    row = lines(r, n, cs)
    t = np.broadcast_to(row[None], (T, T, 3)).copy()
    if r.random() < .25:  # wavy
        sh = (np.sin(np.arange(T) / T * 2 * np.pi * r.integers(1, 6)) * r.uniform(2, 12)).astype(int)
        for y in range(T):
            t[y] = np.roll(t[y], sh[y], 0)
    return t


def checks(r):
    """Gingham and plaid: two rows of stripes woven into one another."""
    n = int(r.choice([2, 4, 8, 8, 16, 24, 32]))
    a = colour(r)
    b = np.array([245., 243, 238]) if r.random() < .6 else colour(r)
    if r.random() < .5:
        cs = [a, b]
        row = np.repeat(np.array([cs[i % 2] for i in range(n)], np.float32), T // n, 0)
        row = np.resize(row, (T, 3))
    else:
        row = lines(r, n, [a, b, colour(r, a), b])
    return (row[None] * .5 + row[:, None] * .5).astype(np.float32)


def lattice(r):
    a, b = colour(r), colour(r)
    t = blank(a)
    n = int(r.choice([3, 4, 6, 8, 10]))
    p = T / n
    th = max(1, int(p * r.uniform(.04, .2)))
    kind = int(r.integers(4))
    for i in range(-1, n + 1):
        for j in range(-1, n + 1):
            x, y = i * p, j * p
            if kind == 0:
                cv2.line(t, (int(x), int(y)), (int(x + p), int(y + p)), b.tolist(), th, cv2.LINE_AA)
                cv2.line(t, (int(x + p), int(y)), (int(x), int(y + p)), b.tolist(), th, cv2.LINE_AA)
            elif kind == 1:  # overlapping circles
                cv2.circle(t, (int(x), int(y)), int(p * .5), b.tolist(), th, cv2.LINE_AA)
            elif kind == 2:  # chevrons
                cv2.polylines(t, [np.array([[x, y], [x + p / 2, y + p / 2], [x + p, y]]).astype(np.int32)], False, b.tolist(), th, cv2.LINE_AA)
            else:
                q = p * .3
                cv2.rectangle(t, (int(x + p / 2 - q), int(y + p / 2 - q)), (int(x + p / 2 + q), int(y + p / 2 + q)), b.tolist(), th if r.random() < .99 else -1)
    return t


def blob(r, x, y, rad, n=9, rough=.35):
    an = np.arange(n) / n * 2 * np.pi + r.uniform(0, 6.3)
    q = rad * (1 + rough * r.uniform(-1, 1, n))
    return np.stack([x + q * np.cos(an), y + q * np.sin(an)], 1)


def flower(r, t, x, y, rad, cs):
    n = int(r.integers(4, 9))
    a0 = r.uniform(0, 6.3)
    for k in range(n):
        an = a0 + k * 2 * np.pi / n
        cx, cy = x + .6 * rad * np.cos(an), y + .6 * rad * np.sin(an)
        wrap_draw(t, lambda im, dx, dy: cv2.ellipse(im, (int(cx + dx), int(cy + dy)), (max(1, int(rad * .45)), max(1, int(rad * .28))),
                                                    np.degrees(an), 0, 360, cs[0].tolist(), -1, cv2.LINE_AA))
    wrap_draw(t, lambda im, dx, dy: cv2.circle(im, (int(x + dx), int(y + dy)), max(1, int(rad * .25)), cs[1].tolist(), -1, cv2.LINE_AA))


def floral(r):
    a = colour(r)
    t = blank(a)
    if r.random() < .4:
        t += noise(r, 6)[..., None] * r.uniform(2, 14)
    big = r.choice([10, 16, 26, 44, 70])
    n = int(np.clip((T / big) ** 2 * r.uniform(.15, .5), 3, 90))
    cs = [colour(r) for _ in range(4)]
    for _ in range(n):
        x, y = r.uniform(0, T, 2)
        k = r.random()
        if k < .4:  # leaf
            an, l = r.uniform(0, 180), big * r.uniform(.4, .9)
            c = cs[3]
            wrap_draw(t, lambda im, dx, dy: cv2.ellipse(im, (int(x + dx), int(y + dy)), (max(1, int(l)), max(1, int(l * .35))), an, 0, 360, c.tolist(), -1, cv2.LINE_AA))
        else:
            i = int(r.integers(3))
            flower(r, t, x, y, big * r.uniform(.5, 1.1), [cs[i], cs[(i + 1) % 4]])
    return t


def motif(r):
    """Novelty prints: shapes of many sides, some with eyes and legs to trip the reader."""
    a = colour(r)
    t = blank(a)
    s = r.choice([14, 24, 36, 60])
    n = int(np.clip((T / s) ** 2 * r.uniform(.12, .3), 2, 60))
    cs = [colour(r) for _ in range(int(r.integers(1, 4)))]
    for _ in range(n):
        x, y = r.uniform(0, T, 2)
        c = cs[int(r.integers(len(cs)))]
        p = blob(r, x, y, s * r.uniform(.3, .6), int(r.integers(3, 12)), r.uniform(.05, .5))
        legs = [(p[i], p[i] + r.uniform(-.5, .5, 2) * s) for i in range(int(r.integers(0, 4)))] if len(p) > 4 else []

        def d(im, dx, dy):
            cv2.fillPoly(im, [np.round((p + [dx, dy]) * 16).astype(np.int32)], c.tolist(), cv2.LINE_AA, 4)
            for u, v in legs:
                cv2.line(im, tuple((u + [dx, dy]).astype(int).tolist()), tuple((v + [dx, dy]).astype(int).tolist()), c.tolist(), max(1, int(s / 12)), cv2.LINE_AA)
        wrap_draw(t, d)
    return t


def scatter(r):
    """Small geometric bits: dashes, crosses, triangles, stars."""
    a = colour(r)
    t = blank(a)
    n = int(r.choice([20, 60, 150, 350]))
    s = T / np.sqrt(n) * r.uniform(.15, .4)
    cs = [colour(r) for _ in range(int(r.integers(1, 4)))]
    kind = int(r.integers(4))
    for _ in range(n):
        x, y = r.uniform(0, T, 2)
        an = r.uniform(0, 6.3)
        c = cs[int(r.integers(len(cs)))].tolist()
        u = np.array([np.cos(an), np.sin(an)]) * s
        w = max(1, int(s / 4))

        def d(im, dx, dy):
            q = np.array([x + dx, y + dy])
            if kind == 0 or kind == 1:
                cv2.line(im, tuple((q - u).astype(int).tolist()), tuple((q + u).astype(int).tolist()), c, w, cv2.LINE_AA)
            if kind == 1:
                v = np.array([-u[1], u[0]])
                cv2.line(im, tuple((q - v).astype(int).tolist()), tuple((q + v).astype(int).tolist()), c, w, cv2.LINE_AA)
            if kind >= 2:
                k = 3 if kind == 2 else 10
                th = an + np.arange(k) / k * 2 * np.pi
                rr = s * (np.where(np.arange(k) % 2, .45, 1) if kind == 3 else 1)
                cv2.fillPoly(im, [np.stack([q[0] + rr * np.cos(th), q[1] + rr * np.sin(th)], 1).astype(np.int32)], c, cv2.LINE_AA)
        wrap_draw(t, d)
    return t


def words(r):
    """Rows of small dark marks, as printed text has."""
    a = np.array([240., 236, 225]) if r.random() < .7 else colour(r)
    c = colour(r) * .5
    t = blank(a)
    h = int(r.choice([8, 16, 32]))
    for y in range(0, T, h):
        x = 0
        while x < T:
            w = int(r.uniform(.3, 2) * h)
            cv2.rectangle(t, (x, y + h // 4), (min(T - 2, x + w), y + h // 4 + max(1, h // 3)), (c if r.random() < .8 else a).tolist(), -1)
            x += w + max(1, h // 3)
    return t


def mixed(r):
    """Two prints in one, region by region, as large novelty prints and borders are."""
    a, b = ((dots, floral, motif, scatter, tonal, stripes)[int(r.integers(6))](r) for _ in range(2))
    m = np.clip(noise(r, int(r.choice([2, 3]))) * r.choice([2, 8]) + .3, 0, 1)[..., None]
    if r.random() < .6:  # on one ground
        b = b + (a[0, 0] - b[0, 0]) * (np.abs(b - b[0, 0]).max(2, keepdims=True) < 2)
    return a * (1 - m) + b * m


FAMILIES = [(mixed, 1), (solid, 7), (tonal, 4), (batik, 2), (dots, 3), (stripes, 3), (checks, 2), (lattice, 2), (floral, 4), (motif, 2), (scatter, 2), (words, .5)]
_P = np.array([w for _, w in FAMILIES], float)
_P /= _P.sum()


class Shelf:
    """A pool of prints; renew() replaces one by a new one, so that it never runs dry of variety."""

    def __init__(self, r, n=160, swatches=None, real=.25):
        self.r = r
        files = sorted(glob.glob(os.path.join(swatches, '*.jpg'))) if swatches else []
        self.real = [cv2.imread(f)[:, :, ::-1] for f in files]
        self.share = real if self.real else 0
        self.tiles = [self.make() for _ in range(n)]

    def make(self):
        r = self.r
        if r.random() < self.share:
            t = self.swatch()
        else:
            t = FAMILIES[int(r.choice(len(FAMILIES), p=_P))][0](r)
        return self.finish(t)

    def finish(self, t):
        if self.r.random() < .75:
            t = t + (noise(self.r, 128) * self.r.uniform(0, self.r.choice([3, 3, 9])))[..., None]
        t = np.clip(t, 0, 255).astype(np.uint8)
        mips = [t]
        while mips[-1].shape[0] > 32:
            mips.append(cv2.resize(mips[-1], None, fx=.5, fy=.5, interpolation=cv2.INTER_AREA))
        return mips

    def swatch(self):
        r = self.r
        s = self.real[int(r.integers(len(self.real)))]
        n = int(r.choice([128, 128, 96, 64]))
        y, x = int(r.integers(0, s.shape[0] - n)), int(r.integers(0, s.shape[1] - n))
        q = s[y:y + n, x:x + n]
        q = np.concatenate([q, q[:, ::-1]], 1)
        q = np.concatenate([q, q[::-1]], 0)
        q = cv2.resize(np.ascontiguousarray(q), (T, T), interpolation=cv2.INTER_AREA).astype(np.float32)
        if r.random() < .6:  # another colourway
            hls = cv2.cvtColor(q / 255, cv2.COLOR_RGB2HLS)
            hls[..., 0] = (hls[..., 0] + r.uniform(0, 360)) % 360
            hls[..., 2] *= r.uniform(.4, 1.3)
            q = cv2.cvtColor(np.clip(hls, 0, [360, 1, 1]).astype(np.float32), cv2.COLOR_HLS2RGB) * 255
        if r.random() < .5:
            q = 255 * np.clip(q / 255, 0, 1) ** r.uniform(.5, 1.9)
        return q

    def even(self, c):
        """A solid with no weave to be seen."""
        return [np.clip(blank(c), 0, 255).astype(np.uint8)]

    def near(self, c):
        """A quiet print close to colour c."""
        t = blank(c * self.r.uniform(.88, 1.12) + self.r.normal(0, 3, 3))
        return self.finish(t + noise(self.r, 12)[..., None] * self.r.choice([0, self.r.uniform(0, 8)]))

    def renew(self, k=2):
        for _ in range(k):
            self.tiles[int(self.r.integers(len(self.tiles)))] = self.make()

    def pull(self, n, hues=0):
        """n prints' tiles, all different where the shelf holds enough; those nearest to one of so many colours, if any."""
        k = self.r.permutation(len(self.tiles))
        if hues:
            c = np.array([self.tiles[i][-1].mean((0, 1)) for i in k])
            to = np.array([colour(self.r) for _ in range(hues)])
            k = k[np.argsort(np.linalg.norm(c[:, None] - to, axis=2).min(1))]
        return [self.tiles[i] for i in k[:n]]
