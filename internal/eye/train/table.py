"""The table: painter's layers on one canvas, with identity, shadow and shading.

rgb is float32 0..255 display-referred, ids uint16: 0 no cloth, 1.. a piece,
WHITE plain white paper or card; a label on a piece keeps the piece's id, with the
bit LABEL set. What is painted later lies on top.

white, CELL times smaller, is what a matt sheet of reflectance 1 would show instead,
1 where rgb has 255: the light alone. Shadows and lights go into both; what is laid
takes the shadows below it away; the relief of cloth is no light.
"""
import cv2
import numpy as np

WHITE = 65534
LABEL = 1 << 14
CELL = 10  # canvas pixels a cell of white


def jitter(r, poly, amount, step=14):
    """The outline with its edges gone over at `step` pixels, each point off by about `amount`."""
    if amount <= 0:
        return poly
    out = []
    for a, b in zip(poly, np.roll(poly, -1, 0)):
        n = max(1, int(np.hypot(*(b - a)) / step))
        out.append(a + (b - a) * (np.arange(n) / n)[:, None])
    p = np.concatenate(out)
    k = np.array([.25, .5, .25])
    d = r.normal(0, amount, p.shape)
    for _ in range(2):
        d = k[0] * np.roll(d, 1, 0) + k[1] * d + k[2] * np.roll(d, -1, 0)
    return p + d * 1.6


def relief(r, side, light):
    """How soft folds and sharp creases shade cloth, about -1..1: heights lit from one side."""
    n = side // 2
    z = 0
    for cells in (5, 9, 17):
        q = cv2.resize(r.standard_normal((cells, cells)).astype(np.float32), (n, n), interpolation=cv2.INTER_CUBIC)
        z = z + (np.abs(q) if r.random() < .5 else q) * (n / cells)
    f = cv2.Sobel(z, cv2.CV_32F, 1, 0, scale=light[0] / 8) + cv2.Sobel(z, cv2.CV_32F, 0, 1, scale=light[1] / 8)
    return cv2.resize(cv2.GaussianBlur(f / (f.std() + 1e-6), (0, 0), 2), (side, side))


class Table:
    def __init__(self, r, side):
        self.r, self.n = r, side
        self.rgb = np.full((side, side, 3), 128, np.float32)
        self.ids = np.zeros((side, side), np.uint16)
        self.white = np.ones((-(-side // CELL),) * 2 + (3,), np.float32)
        self.next = 1
        an = r.uniform(0, 2 * np.pi)
        self.light = np.array([np.cos(an), np.sin(an)])  # the way shadows fall
        self.hard = r.uniform(.25, 1.)                   # 1: sharp dark shadows
        self.dark = r.uniform(.1, .65)
        self.ragged = r.choice([0, r.uniform(.5, 1.4)])  # how far the edges of cloth blur and fray, pixels
        self.contact = r.choice([0, r.uniform(.1, .45)])  # how dark it is right at the foot of what lies there
        self.gloss = r.choice([0, r.uniform(.05, .45)], p=[.85, .15])  # of satin and polished cotton
        z = r.standard_normal((side // 2, side // 2)).astype(np.float32)
        self.grain = cv2.resize(z, (side, side))
        self.wrinkle = relief(r, side, self.light)

    def new_id(self):
        self.next += 1
        return self.next - 1

    def box(self, poly, pad=2):
        x0, y0 = np.floor(poly.min(0)).astype(int) - pad
        x1, y1 = np.ceil(poly.max(0)).astype(int) + pad + 1
        x0, y0, x1, y1 = max(0, x0), max(0, y0), min(self.n, x1), min(self.n, y1)
        return (x0, y0, x1, y1) if x1 - x0 > 1 and y1 - y0 > 1 else None

    @staticmethod
    def mask(poly, b):
        m = np.zeros((int(b[3] - b[1]), int(b[2] - b[0])), np.uint8)
        cv2.fillPoly(m, [np.round((poly - [b[0], b[1]]) * 16 - 8).astype(np.int32)], 255, cv2.LINE_AA, 4)
        return m

    def blend(self, b, a, c):
        """Paints c, a colour or a picture, over box b by the share a (h, w)."""
        d = self.rgb[b[1]:b[3], b[0]:b[2]]
        if np.ndim(c) < 3:
            c = solid(c, b)
        cv2.blendLinear(c, d, a, 1 - a, dst=d)

    def darken(self, b, a):
        d = self.rgb[b[1]:b[3], b[0]:b[2]]
        cv2.multiply(d, cv2.merge([1 - a] * 3), dst=d)

    def settle(self):
        """To be called when the bare ground is painted."""
        np.clip(self.rgb, 0, 255, out=self.rgb)

    def sheet(self, poly, soft=0.):
        """The cells of white that poly covers: a view of them, and by what share (h, w, 1)."""
        k = int(3 * soft / CELL) + 1
        x0, y0 = np.maximum(0, np.floor(poly.min(0) / CELL).astype(int) - k)
        x1, y1 = np.maximum(0, np.ceil(poly.max(0) / CELL).astype(int) + k)
        w = self.white[y0:y1, x0:x1]
        if not w.size:
            return w, 0
        m = self.mask(poly / CELL, (x0, y0, x0 + w.shape[1], y0 + w.shape[0]))
        if soft > .4 * CELL:
            m = cv2.GaussianBlur(m, (0, 0), soft / CELL)
        return w, m.astype(np.float32)[..., None] / 255

    def shadow(self, poly, height, strength=None):
        """Darkens what lies below by the shadow of poly at a height in pixels."""
        off = self.light * height
        soft = max(.6, height * (1.1 - self.hard) + .4)
        p = poly + off
        b = self.box(p, int(3 * soft) + 2)
        if b is None:
            return
        k = int(min(8, max(1, soft // 2)))
        if k > 1:  # a soft shadow needs no fine mask
            m = self.mask(p / k, (b[0] / k, b[1] / k, b[0] / k + (b[2] - b[0] + k - 1) // k, b[1] / k + (b[3] - b[1] + k - 1) // k))
            m = cv2.resize(cv2.GaussianBlur(m, (0, 0), soft / k), (b[2] - b[0], b[3] - b[1]), interpolation=cv2.INTER_LINEAR)
        else:
            m = cv2.GaussianBlur(self.mask(p, b), (0, 0), soft)
        s = self.dark if strength is None else strength
        self.darken(b, m.astype(np.float32) * np.float32(s / 255))
        w, share = self.sheet(p, soft)
        w *= 1 - s * share

    def cloth(self, tile, b, ang, scale, phase):
        """The print over box b: turned by ang, `scale` canvas pixels a tile pixel."""
        lvl = 0
        while scale < .7 and lvl + 1 < len(tile):
            lvl += 1
            scale *= 2
        t = tile[lvl]
        c, s = np.cos(ang) / scale, np.sin(ang) / scale
        n = t.shape[0]
        A = np.array([[c, s], [-s, c]])
        w, h = b[2] - b[0], b[3] - b[1]
        q = np.array([[0, 0], [w, 0], [w, h], [0, h]]) @ A.T
        lo = np.floor(q.min(0))
        k = np.ceil((q.max(0) - lo) / n + 1).astype(int)  # repeated over what is needed: much faster than a border that wraps
        M = np.column_stack([A, phase * (n - 1) - lo])
        return cv2.warpAffine(cv2.repeat(t, k[1], k[0]), M, (w, h), flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP, borderMode=cv2.BORDER_REPLICATE).astype(np.float32)

    def lay(self, poly, fill, ident, height=1.5, ang=0., scale=1., bevel=0., crease=.0, alpha=1., shade=None, cast=True, grain=0.):
        """Lays one shape. fill: mips of a print, a canvas, or a colour (3). ident: id it gets, None leaves ids be.

        bevel: strength of the lit and shaded rim; crease: of wrinkles; shade: extra factor (h, w) over the box.
        """
        r = self.r
        if cast and height > 0:
            self.shadow(poly, height)
            if self.contact and ident:
                self.strokes([poly], 2, dark=self.contact, closed=True)
        b = self.box(poly)
        if b is None:
            return
        m = self.mask(poly, b)
        if ident and ident < LABEL and self.ragged and height > 0:  # cut threads end unevenly
            g = cv2.GaussianBlur(m, (0, 0), self.ragged).astype(np.float32)
            m = np.clip(g + g * (255 - g) * self.grain[b[1]:b[3], b[0]:b[2]] * np.float32(.0022), 0, 255).astype(np.uint8)
        if isinstance(fill, list):
            c = self.cloth(fill, b, ang, scale, r.random(2))
        elif np.ndim(fill) == 3:
            c = fill[b[1]:b[3], b[0]:b[2]].copy()
        else:
            c = solid(fill, b)
        f = None
        if bevel:
            s = r.uniform(1.2, 3.)
            g = cv2.GaussianBlur(m, (0, 0), s).astype(np.float32) / 255
            gx, gy = cv2.Sobel(g, cv2.CV_32F, 1, 0), cv2.Sobel(g, cv2.CV_32F, 0, 1)
            f = 1 + bevel * s * .35 * (gx * self.light[0] + gy * self.light[1]) - abs(bevel) * .25 * (1 - g)
        if crease:
            oy, ox = r.integers(0, self.n - (b[3] - b[1]) + 1), r.integers(0, self.n - (b[2] - b[0]) + 1)
            w = crease * self.wrinkle[oy:oy + b[3] - b[1], ox:ox + b[2] - b[0]]
            if self.gloss:
                w = w + self.gloss * np.square(np.maximum(0, self.wrinkle[oy:oy + b[3] - b[1], ox:ox + b[2] - b[0]] - .4))
            f = 1 + w if f is None else f * (1 + w)
        if shade is not None:
            f = shade if f is None else f * shade
        if f is not None:
            c = cv2.multiply(c, cv2.merge([np.clip(f, .15, 1.8).astype(np.float32)] * 3))
        if grain:
            c = cv2.add(c, cv2.merge([np.float32(grain) * self.grain[b[1]:b[3], b[0]:b[2]]] * 3))
        self.blend(b, m.astype(np.float32) * np.float32(alpha / 255), c)
        w, share = self.sheet(poly)
        w += alpha * share * (1 - w)
        if ident == LABEL:
            q = self.ids[b[1]:b[3], b[0]:b[2]]
            on = (m > 127) & (q > 0) & (q < LABEL)
            q[m > 127] = np.where(on, q | LABEL, WHITE)[m > 127]
        elif ident is not None:
            self.ids[b[1]:b[3], b[0]:b[2]][m > 127] = ident

    def glare(self, at, w, h, ang, a):
        """A lamp mirrored in something smooth: no light on what lies there."""
        R = int(2.5 * max(w, h)) + 1
        b = self.box(np.array([at - R, at + R]), 0)
        if b is None:
            return
        y, x = np.mgrid[b[1]:b[3], b[0]:b[2]].astype(np.float32)
        c, s = np.cos(ang), np.sin(ang)
        u, v = ((x - at[0]) * c + (y - at[1]) * s) / w, ((y - at[1]) * c - (x - at[0]) * s) / h
        self.blend(b, np.clip(a * np.exp(-.5 * (u * u + v * v)), 0, 1).astype(np.float32), (255, 253, 248))

    def stroke(self, pts, width, colour=None, dark=0., closed=False, ident=None, alpha=1.):
        """A line over all: a colour, or a darkening by the share `dark`."""
        self.strokes([pts], width, colour, dark, closed, ident, alpha)

    def strokes(self, lines, width, colour=None, dark=0., closed=False, ident=None, alpha=1.):
        """Many lines at once."""
        if not len(lines):
            return
        b = self.box(np.concatenate(lines), int(width) + 2)
        if b is None:
            return
        m = np.zeros((b[3] - b[1], b[2] - b[0]), np.uint8)
        fix = lambda p: np.round((np.asarray(p, float) - [b[0], b[1]]) * 16).astype(np.int32)
        same = len({len(p) for p in lines}) == 1
        cv2.polylines(m, list(fix(lines)) if same else [fix(p) for p in lines], closed, 255, max(1, int(round(width))), cv2.LINE_AA, 4)
        at = cv2.findNonZero(m)
        if at is None:
            return
        x, y = at.reshape(-1, 2).T  # (n, 1, 2) or (n, 2), by the version
        a = m[y, x, None] * np.float32((dark if colour is None else alpha) / 255)
        d = self.rgb[b[1]:b[3], b[0]:b[2]]
        d[y, x] += a * ((0 if colour is None else np.float32(colour)) - d[y, x])
        if ident is not None:
            self.ids[b[1]:b[3], b[0]:b[2]][m > 127] = ident


def solid(c, b):
    """Colour c over a box."""
    h, w = b[3] - b[1], b[2] - b[0]
    q = np.empty((h, w * 3), np.float32)
    q[:] = np.tile(np.asarray(c, np.float32), w)  # row by row: many times as fast as pixel by pixel
    return q.reshape(h, w, 3)


def rect(cx, cy, w, h, ang):
    c, s = np.cos(ang), np.sin(ang)
    q = np.array([[-w, -h], [w, -h], [w, h], [-w, h]]) / 2
    return q @ np.array([[c, s], [-s, c]]) + [cx, cy]


def rounded(cx, cy, w, h, ang, rad, n=6):
    rad = min(rad, w / 2, h / 2)
    p = []
    for k, (sx, sy) in enumerate([(1, 1), (-1, 1), (-1, -1), (1, -1)]):
        for t in np.linspace(0, np.pi / 2, n):
            th = k * np.pi / 2 + t
            p.append([sx * (w / 2 - rad) + rad * np.cos(th), sy * (h / 2 - rad) + rad * np.sin(th)])
    p = np.array(p)
    c, s = np.cos(ang), np.sin(ang)
    return p @ np.array([[c, s], [-s, c]]) + [cx, cy]
