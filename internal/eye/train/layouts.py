"""How cloth lies: loose pieces, boards, sewn blocks and tops, fans, heaps, strips."""
import colorsys

import cv2
import numpy as np

import clutter
from blocks import area, block, halves, nested, quad, quarters, rails, squares, top, which
from grounds import big_noise, quilting
from prints import blob, colour, pale
from table import LABEL, jitter, rect

KINDS = ['spread', 'board', 'stack', 'pile', 'none']
SPREAD, BOARD, STACK, PILE, NONE = range(5)


class Manner:
    """What the cloth of one scene has in common."""

    def __init__(self, r, t, shelf):
        self.r, self.t = r, t
        self.size = t.n * np.exp(r.uniform(np.log(.035), np.log(.4)))  # a piece's usual side, the same for every kind
        plain = r.random() < .28      # solids only, as many quilters use them
        self.drawn = plain and not t.pale and r.random() < .35  # even ones, without weave, relief or shadow
        self.prints = shelf.pull(int(r.choice([2, 3, 4, 6, 10, 20, 40])), int(r.choice([0, 1, 2, 3], p=[.6, .1, .15, .15])))
        if plain:
            make = shelf.even if self.drawn else shelf.near
            self.prints = [make(colour(r)) for _ in self.prints[:20]]
        if r.random() < .2:  # cloth of the ground's own colour: white on white, grey on grey
            self.prints[0] = shelf.near(t.rgb.mean((0, 1)))
        if t.pale:  # much white cloth
            for k in range(0, len(self.prints), int(r.choice([1, 2, 2, 3, 4]))):
                self.prints[k] = shelf.near(pale(r))
        self.sorted = 0 if r.random() < (.45 if plain else .15) else None  # prints in the order of the rainbow, or of light and dark: next to lay
        if self.sorted is not None:
            by = (lambda c: colorsys.rgb_to_hls(*c / 255)[0]) if r.random() < .7 else np.sum
            self.prints.sort(key=lambda tile: by(tile[-1].mean((0, 1))))
        self.scale = np.exp(r.uniform(np.log(.33), np.log(2.6)))
        flat = 0 if self.drawn else 1
        self.crease = flat * r.choice([0, .03, .08, .15])
        self.bevel = flat * r.choice([0, .1, .25, .6])
        self.fray = flat * r.choice([0, .3, .6, 1.2])
        self.square = r.random() < .6  # prints lie with the grain
        self.seam = r.uniform(.12, .6)
        self.height = r.choice([0, r.uniform(0, 1)]) if self.drawn else r.uniform(.6, 3.5)
        self.labels = r.choice([0, .03, .9], p=[.6, .22, .18])
        # sewn cloth lies in soft waves: where each point is pushed, from two sines
        self.wave = r.choice([0, r.uniform(0, .012)]) * t.n * r.normal(0, 1, (2, 2)), r.normal(0, 1, (2, 2)) * r.uniform(4, 16) / t.n, r.uniform(0, 6.3, 2)
        self.last, self.again = None, r.choice([0, .3, .65])  # of a stack: the last layer, and how often it has one more
        self.flaps = r.choice([0, .1, .5], p=[.3, .35, .35])
        self.edge = r.choice(['cut', 'pinked', 'threads', 'selvedge'], p=[.72, .08, .14, .06])

    def count(self, ns):
        """How many pieces: one of ns, where so many have room and do not look lost."""
        room = (self.t.n / self.size) ** 2
        return int(np.clip(self.r.choice(ns), .04 * room, max(1, .8 * room)))

    def print(self):
        if self.sorted is None:
            return self.prints[int(self.r.integers(len(self.prints)))]
        self.sorted += self.r.random() < .8
        return self.prints[self.sorted % len(self.prints)]

    def layer(self):
        """Print and id of the next thing in a stack: a further fold of the last one, or another print."""
        if self.last is not None and self.r.random() < self.again:
            return self.last
        tile = self.print()
        for _ in range(3):
            if self.last is not None and tile is self.last[0]:
                tile = self.print()
        self.last = tile, self.t.new_id()
        return self.last

    def lay(self, poly, tile, ident, ang=0., height=None, bevel=None, **k):
        r, t = self.r, self.t
        a = ang + (np.pi / 2 * int(r.integers(4)) if self.square else r.uniform(0, 6.3))
        p = pinked(r, poly) if self.edge == 'pinked' else jitter(r, poly, self.fray)
        t.lay(p, tile, ident, self.height if height is None else height, a, self.scale, self.bevel if bevel is None else bevel, self.crease, **k)
        if self.edge == 'selvedge' and len(poly) == 4 and r.random() < .5:
            selvedge(r, t, poly)
        elif self.edge == 'threads' and r.random() < .7:
            threads(r, t, poly, tile[-1].mean((0, 1)))

    def piece(self, p, ang=0., **k):
        """Lays a new piece, at times with a corner or an end turned over. Returns its print and id."""
        tile, i = self.print(), self.t.new_id()
        over = turned(self.r, p) if len(p) <= 5 and self.r.random() < self.flaps else None
        self.lay(p if over is None else over[0], tile, i, ang, **k)
        if over is not None:
            back = self.r.uniform(.25, .8)
            self.lay(over[1], [cv2.addWeighted(q, 1 - back, np.full_like(q, 238), back, 0) for q in tile], i, ang, height=self.r.uniform(1, 5), bevel=self.r.uniform(.2, .7))
        return tile, i

    def waved(self, p):
        """The outline p (n, 2), closer set, as it lies in waves."""
        push, freq, at = self.wave
        if not push.any():
            return p
        p = jitter(self.r, p, 1e-9, 40)
        return p + np.sin(p @ freq + at) @ push

    def sewn(self, tiles, org, ang, scrappy=None, height=None):
        """A sewn thing: base, patches, seams. org: where (0, 0) lies; tiles in its own frame."""
        r, t = self.r, self.t
        c, s = np.cos(ang), np.sin(ang)
        M = np.array([[c, s], [-s, c]])
        scrappy = r.random() < .5 if scrappy is None else scrappy
        roles = {}
        bow = r.choice([0, 0, .6, 1.2])
        put = lambda p: self.waved(p @ M + org)
        allp = np.concatenate([p for p, _ in tiles])
        lo, hi = allp.min(0), allp.max(0)
        t.shadow(put(quad(lo[0], lo[1], hi[0], hi[1])), self.height * 1.3 if height is None else height)
        ids = []
        for p, role in tiles:
            q = put(p)
            if role not in roles:
                roles[role] = self.print()
            tile = self.print() if scrappy and role < 50 else roles[role]
            q2 = jitter(r, q, bow, 30) if bow else q
            i = t.new_id()
            ids.append(i)
            a = ang + np.pi / 2 * int(r.integers(4)) + (0 if r.random() < .8 else np.pi / 4)
            t.lay(q2, tile, i, 0, a, self.scale, self.bevel, self.crease, cast=False)
        sd = self.seam
        t.strokes([put(p) for p, _ in tiles if area(p) > 60], 1, dark=sd, closed=True)
        return ids


def pinked(r, p):
    """The outline cut with pinking shears."""
    out, k = [], r.uniform(4, 9)
    for a, b in zip(p, np.roll(p, -1, 0)):
        L = np.hypot(*(b - a))
        n = 2 * max(1, int(L / k / 2))
        v = np.array([b[1] - a[1], a[0] - b[0]]) / max(1e-6, L)
        out.append(a + (b - a) * (np.arange(n) / n)[:, None] + v * (np.arange(n) % 2 * k * .5)[:, None])
    return np.concatenate(out)


def threads(r, t, p, c):
    """Threads that have come loose along an edge."""
    k = int(r.integers(len(p)))
    a, b = p[k], p[(k + 1) % len(p)]
    out = np.array([b[1] - a[1], a[0] - b[0]]) / max(1e-6, np.hypot(*(b - a)))
    lines = []
    for _ in range(int(r.integers(3, 30))):
        d = out * r.choice([-1, 1]) + r.normal(0, .7, 2)
        q = a + (b - a) * r.random() + np.cumsum(np.concatenate([[[0, 0]], d + r.normal(0, .8, (4, 2))]) * r.uniform(1, 5), 0)
        lines.append(q)
    t.strokes(lines, 1, np.clip(c * r.uniform(.7, 1.2), 0, 255), alpha=r.uniform(.4, .9))


def selvedge(r, t, p):
    """The woven edge: a pale band with marks along one side."""
    a, b, d, c = p
    f = r.uniform(.04, .12)
    q = np.array([a, b, b + (d - b) * f, a + (c - a) * f])
    t.lay(q, np.full(3, r.uniform(200, 250)), None, height=0, alpha=r.uniform(.6, 1))
    w = np.hypot(*(c - a)) * f * .25
    for k in range(int(r.integers(0, 9))):
        t.lay(clutter.turn(clutter.CIRCLE, 0, (q[0] + q[3]) / 2 + (b - a) * (.05 + .03 * k), max(1, w)), colour(r), None, height=0)


def turned(r, p):
    """A convex piece with a corner or an end folded over: what stays, and what lies turned over upon it; None where nothing would."""
    k = int(r.integers(len(p)))
    v, u, w = p[k], p[(k + 1) % len(p)] - p[k], p[k - 1] - p[k]
    f, g = r.uniform(.15, .75, 2)
    a = v + u * f
    b = v + w * g if r.random() < .65 else a + w + u * r.normal(0, .15)
    n = np.array([b[1] - a[1], a[0] - b[0]]) / max(1e-6, np.hypot(*(b - a)))
    n = n if (v - a) @ n > 0 else -n
    d = (p - a) @ n
    stay, fold = [], []
    for q, e, dq, de in zip(p, np.roll(p, -1, 0), d, np.roll(d, -1)):
        (fold if dq > 0 else stay).append(q)
        if (dq > 0) != (de > 0):
            m = q + (e - q) * dq / (dq - de)
            stay.append(m)
            fold.append(m)
    if min(len(stay), len(fold)) < 3:
        return None
    fold = np.array(fold)
    return np.array(stay), fold - 2 * ((fold - a) @ n)[:, None] * n * r.uniform(.9, 1)


def loose(m):
    """Cut pieces laid apart: rows or chance, squares, strips, triangles, odd shapes."""
    r, t = m.r, m.t
    side = m.size
    n = m.count([1, 2, 3, 5, 8, 12, 20, 35, 60])
    lap = r.choice([0, 0, 0, .15])
    rows = r.random() < .45
    wob = r.choice([0, .03, .1, 3.])
    boxes = []
    shapes = r.random(6) * [1.2, .8, .7, .4, .2, .15]
    for k in range(n):
        s = side * r.choice([1, 1, 1, .6, 1.4, .8])
        sh = int(r.choice(6, p=shapes / shapes.sum()))
        w, h = (s, s) if sh == 0 else (s * r.uniform(1.2, 6), s * r.uniform(.3, .8)) if sh == 1 else (s, s * r.uniform(.5, 1.6))
        if rows:
            c = max(1, int(np.ceil(np.sqrt(n))))
            at = t.n / 2 + (np.array([k % c, k // c]) - (c - 1) / 2) * side * 1.35
            a = r.normal(0, wob) if wob < 1 else 0.
        else:
            a = r.normal(0, wob) if wob < 1 else r.uniform(0, 6.3)
            for _ in range(30):
                at = t.n * r.uniform(.06, .94, 2)
                rad = np.hypot(w, h) / 2 * (1 - lap) * .86
                if all(np.hypot(*(at - b)) > rad + q for b, q in boxes):
                    break
            else:
                continue
            boxes.append((at, rad))
        put(m, sh, at, w, h, a)


def put(m, sh, at, w, h, a):
    r, t = m.r, m.t
    if sh <= 2:
        p = rect(at[0], at[1], w, h, a)
    elif sh == 3:  # triangle
        p = clutter.turn(np.array([[-w, -w], [w, -w], [-w, w]]) * .5, a, at)
    elif sh == 4:  # hexagon, circle, drop
        n = int(r.choice([5, 6, 8, 24]))
        th = np.arange(n) / n * 6.283
        p = clutter.turn(np.stack([np.cos(th), np.sin(th)], 1) * w * .5, a, at)
    else:  # odd cuttings, arcs, crosses
        if r.random() < .4:
            q = np.linspace(-r.uniform(.3, 1.3), r.uniform(.3, 1.3), 12)
            e = np.stack([np.sin(q), -np.cos(q)], 1)
            k = r.uniform(.4, .8)
            p = clutter.turn(np.concatenate([e, (e * k)[::-1]]) * w * .7 + [0, w * .6], a, at)
        elif r.random() < .3:
            x = r.uniform(.15, .35)
            p = clutter.turn(np.array([[-x, -.5], [x, -.5], [x, -x], [.5, -x], [.5, x], [x, x], [x, .5], [-x, .5], [-x, x], [-.5, x], [-.5, -x], [-x, -x]]) * w, a, at)
        else:
            th = np.sort(r.uniform(0, 6.283, int(r.integers(4, 8))))
            if np.diff(np.append(th, th[0] + 6.283)).max() > 2.8:
                th = np.arange(5) / 5 * 6.283
            p = clutter.turn(np.stack([np.cos(th), np.sin(th)], 1) * r.uniform(.35, .65, (len(th), 1)) * w, a, at)
    deep = int(r.choice([0, 0, 0, 1, 3, 8])) if sh < 4 else 0  # a squared-up stack of the same cloth
    if deep:
        tile, i = m.print(), t.new_id()
        for k in range(deep + 1):
            m.lay(p + r.normal(0, 2, 2), tile, i, a + r.normal(0, .02), height=2)
    else:
        m.piece(p, a)
    if deep and r.random() < .5 or r.random() < m.labels:
        k = r.random()
        if k < .6:
            clutter.paper(r, t, at, min(w, h) * r.uniform(.3, .8), LABEL, an=a + r.normal(0, .2))
        else:  # a template of the piece's own shape, pinned on
            f = r.uniform(.6, .97)
            clutter.paper(r, t, at, min(w, h), LABEL, shape=(p - p.mean(0)) * f + p.mean(0) + r.normal(0, .02, 2) * w, an=a)
    if r.random() < .08:
        m.t.stroke(p, 1, dark=.25, closed=True)


def cut(r, w):
    """The outline of a template about w wide, its middle near 0."""
    k = r.random()
    if k < .35:   # an arc or a sector
        q = np.linspace(-1, 1, 14) * r.uniform(.3, 1.1)
        e = np.stack([np.sin(q), -np.cos(q)], 1)
        return np.concatenate([e, (e * r.choice([r.uniform(.5, .85), r.uniform(.05, .3)]))[::-1]]) * w * .7 + [0, w * .55]
    if k < .5:    # a drop, a petal
        q = np.linspace(0, np.pi, 12)
        e = np.stack([np.cos(q), np.sin(q) ** r.uniform(.8, 2) * r.uniform(.2, .5)], 1) * .5
        return np.concatenate([e, -e[1:-1]]) * w
    if k < .7:
        n = int(r.choice([3, 5, 6, 8, 28]))
        q = np.arange(n) / n * 2 * np.pi
        return np.stack([np.cos(q), np.sin(q)], 1) * w * .5
    return rect(0, 0, w, w * r.uniform(.3, 1), 0)


def templates(m):
    """Paper templates pinned on cloth that is cut with more or less to spare, or not yet cut round."""
    r, t = m.r, m.t
    n = m.count([1, 3, 5, 7, 12])
    c = int(r.choice([1, 2, 3, 5]))
    shape = cut(r, m.size)
    same, wob, rough = r.random() < .6, r.choice([.05, .2, 2.]), r.random() < .6
    for k in range(n):
        p = shape if same else cut(r, m.size * r.uniform(.7, 1.4))
        at = t.n / 2 + (np.array([k % c, k // c]) - np.array([c - 1, (n - 1) // c]) / 2) * m.size * [1.3, r.uniform(.7, 1.2)]
        a = r.normal(0, wob)
        spare = p * r.uniform(1.05, 1.35, 2) if r.random() < .7 else rect(0, 0, *(np.ptp(p, 0) * r.uniform(1.05, 1.4, 2)), 0) + (p.max(0) + p.min(0)) / 2
        if rough:
            spare = jitter(r, spare, m.size * .012, m.size * .1)
        tile, i = m.print(), t.new_id()
        for _ in range(int(r.choice([1, 1, 2, 5]))):
            m.lay(clutter.turn(spare + r.normal(0, .015, 2) * m.size, a, at), tile, i, a)
        if r.random() < .9:
            clutter.paper(r, t, at, m.size, LABEL, shape=clutter.turn(p, a, at), an=a + r.normal(0, .1))
        if r.random() < .3:
            clutter.pin(r, t, at, m.size * .4)


def units(m):
    """Sewn units lying loose: pairs, four-patches, half-square triangles, small blocks."""
    r, t = m.r, m.t
    side = min(t.n * .6, m.size * r.uniform(1.5, 3.5))
    n = min(m.count([1, 2, 4, 6, 9, 16, 25]), max(1, int(.7 * (t.n / side) ** 2)))
    same = which(r) if r.random() < .75 else block
    seed = r.integers(1 << 30)
    rows = r.random() < .6
    wob = r.choice([.02, .08, .4])
    got = []
    asp = r.choice([1, 1, 1, 2, .5, 3.])
    for k in range(n):
        w, h = side * min(1, asp), side * min(1, 1 / asp)
        if rows:
            c = max(1, int(np.ceil(np.sqrt(n))))
            at = t.n / 2 + (np.array([k % c, k // c]) - (c - 1) / 2) * side * r.uniform(1.02, 1.2)
            a = r.normal(0, wob * .5)
        else:
            for _ in range(30):
                at = t.n * r.uniform(.1, .9, 2)
                if all(np.hypot(*(at - b)) > side * 1.1 for b in got):
                    break
            else:
                continue
            got.append(at)
            a = r.normal(0, wob)
        rr = np.random.default_rng(seed) if same is not block and r.random() < .85 else r
        tiles = same(rr, w, h)
        if len(tiles) > 40:
            tiles = squares(r, w, h, 2, 2)
        c, s = np.cos(a), np.sin(a)
        m.sewn(tiles, at - np.array([w / 2, h / 2]) @ np.array([[c, s], [-s, c]]), a)


def wall(r, t):
    """A design wall: white or grey flannel, often with a printed grid."""
    v = r.choice([r.uniform(215, 250), r.uniform(110, 215)], p=[.7, .3])
    n = t.n
    f = 1 + big_noise(r, n, n / 3) * r.uniform(0, .05) + big_noise(r, n, 30) * r.uniform(0, .03)
    t.lay(rect(n / 2, n / 2, 1.1 * n, 1.1 * n, 0), np.full(3, v) + r.normal(0, 4, 3), 0, height=0, shade=f[:, :].astype(np.float32))
    if r.random() < .7:
        p, a = n * r.uniform(.02, .15), r.normal(0, .02)
        c, s = np.cos(a), np.sin(a)
        k = np.arange(-.1 * n, 1.1 * n, p)
        e = np.array([-.2 * n, 1.2 * n])
        lines = [np.stack([e, np.full(2, y)], 1) for y in k] + [np.stack([np.full(2, x), e], 1) for x in k]
        t.strokes([q @ np.array([[c, s], [-s, c]]) for q in lines], int(r.integers(1, 3)), v * r.uniform(.5, .95, 3), alpha=r.uniform(.3, 1))


def board(m):
    """Squares edge to edge or with gaps, on a wall or a floor; cells missing, rows uneven."""
    r, t = m.r, m.t
    p = m.size
    fill = np.full(2, r.uniform(1, 1.3)) if r.random() < .3 else r.uniform(.45, .9, 2)
    n, k = np.clip(np.round(t.n * fill / p), 1, 16).astype(int)
    gap = p * r.choice([-.02, 0, .01, .05, .15, .3])
    wob, tilt = r.choice([0, .01, .04]), r.normal(0, .05) if r.random() < .8 else r.uniform(0, .8)
    miss = r.choice([0, 0, .05, .3])
    drop = r.choice([0, 0, 0, .5])
    m.flaps *= .3
    if r.random() < .25:
        wall(r, t)
    asp = r.choice([1, 1, 1, .6, 1.6])
    c, s = np.cos(tilt), np.sin(tilt)
    M = np.array([[c, s], [-s, c]])
    for j in range(k):
        for i in range(n):
            if r.random() < miss:
                continue
            at = (np.array([i - (n - 1) / 2 + drop * (j % 2), j - (k - 1) / 2]) * [p, p * asp]) @ M + t.n / 2
            at = at + r.normal(0, wob * p, 2)
            q = rect(at[0], at[1], p - gap, p * asp - gap, tilt + r.normal(0, wob))
            m.piece(q, tilt, height=.7 if gap <= p * .01 else None)


def quilt(m):
    """A top or a finished quilt, whole or filling the photo, laid, hung or with a corner turned."""
    r, t = m.r, m.t
    full = r.random() < .4
    w, h = t.n * (r.uniform(1.1, 1.6, 2) if full else r.uniform(.4, .9, 2))
    a = r.normal(0, .06) if r.random() < .7 else r.uniform(0, 6.3)
    c, s = np.cos(a), np.sin(a)
    tiles = top(r, w, h, m.size)
    org = t.n / 2 - np.array([w / 2, h / 2]) @ np.array([[c, s], [-s, c]])
    if not full and r.random() < .5:  # what is left of the batting or the backing looks out
        e = t.n * r.uniform(.005, .08)
        t.lay(np.array([[-e, -e], [w + e, -e], [w + e, h + e], [-e, h + e]]) @ np.array([[c, s], [-s, c]]) + org, m.print() if r.random() < .6 else np.full(3, 238.), t.new_id(), height=4, bevel=.4)
    m.sewn(tiles, org, a)
    if r.random() < .4:
        quilting(r, t)
    if r.random() < .15:  # a side turned over: the back, and its binding along the fold
        q = quad(-w * .1, h * r.uniform(.3, .9), w * 1.1, h * 1.1) + [[0, r.normal(0, .2) * h], [0, r.normal(0, .2) * h], [0, 0], [0, 0]]
        q = clutter.turn(q - [w / 2, h / 2], a + r.choice([0, np.pi]), org + np.array([w / 2, h / 2]) @ np.array([[c, s], [-s, c]]))
        back, i = m.print(), t.new_id()
        m.lay(m.waved(q), back, i, a, height=8, bevel=.8)
        t.stroke(m.waved(q[:2]), r.uniform(3, 14), m.print()[-1].mean((0, 1)))


def fan(m):
    """Folded lengths or strips overlapping: a fan, a row of shingles, a pull."""
    r, t = m.r, m.t
    n = int(r.integers(3, 14))
    w = m.size * r.uniform(.5, 1.2)
    L = max(w, t.n * r.uniform(.3, 1.))
    at = t.n * r.uniform(.2, .8, 2)
    a0, da = r.uniform(0, 6.3), r.uniform(.08, .35) * r.choice([-1, 1])
    step = w * r.uniform(.25, .95)
    kind = r.random()
    crook = r.uniform(.1, .5)
    for k in range(n):
        if kind < .5:
            a = a0 + da * k + r.normal(0, .03)
            p = rect(*(at + np.array([np.cos(a), np.sin(a)]) * L * crook), L, w, a)
        else:
            u = np.array([np.cos(a0), np.sin(a0)])
            a = a0 + np.pi / 2 + r.normal(0, .05)
            p = rect(*(at + u * step * (k - n / 2) + r.normal(0, 4, 2)), L, w, a)
        tile, i = m.print(), t.new_id()
        hgt = r.uniform(2, 8)
        # a fold: the near edge is round, its layers look out beneath
        d = r.uniform(1, 7) * (t.light if r.random() < .5 else r.normal(0, 1, 2))
        for q in range(int(r.choice([0, 1, 3, 7])), 0, -1):
            m.lay(p + r.normal(0, 2, 2) + d * q, tile, i, a, height=2)
        m.lay(p, tile, i, a, height=hgt, bevel=r.uniform(.2, 1))


def heap(m):
    """Loose and overlapping: strips, squares, crumbs."""
    r, t = m.r, m.t
    s0 = m.size
    n = min(int(r.choice([6, 12, 20, 35, 60])), 3 * m.count([60]))
    c, sp = t.n * r.uniform(.4, .6, 2), t.n * r.uniform(.1, .3)
    strips, crumpled = r.uniform(0, 1), r.random() < .25
    sewn, of = r.choice([0, 0, .3, .9]), r.integers(1 << 30)  # sewn units and strips among them, or little else
    if crumpled:
        m.crease = r.uniform(.1, .3)
    for _ in range(n):
        at = c + r.normal(0, 1, 2) * sp
        s = s0 * r.uniform(.6, 1.5)
        if r.random() < strips:
            w, h = s * r.uniform(1.5, 8), s * r.uniform(.2, .6)
        else:
            w, h = s, s * r.uniform(.6, 1.3)
        a = r.uniform(0, 6.3)
        if r.random() < sewn:
            rr = np.random.default_rng(of) if r.random() < .6 else r
            parts = rails(rr, s * r.uniform(1, 4), s) if r.random() < .5 else (halves, squares, quarters, nested)[int(rr.integers(4))](rr, s, s)
            c1, s1 = np.cos(a), np.sin(a)
            m.sewn(parts if len(parts) < 13 else squares(r, s, s, 2, 2), at - [s / 2 * c1 - s / 2 * s1, s / 2 * s1 + s / 2 * c1], a, height=r.uniform(1.5, 7))
            continue
        if w > 3 * h and r.random() < .35:  # a strip that bends
            x = np.linspace(-w / 2, w / 2, 14)
            y = np.cumsum(np.cumsum(r.normal(0, .012, 14))) * w
            y -= np.linspace(y[0], y[-1], 14)
            p = np.concatenate([np.stack([x, y - h / 2], 1), np.stack([x, y + h / 2], 1)[::-1]])
            p = clutter.turn(p, a, at)
        else:
            p = rect(at[0], at[1], w, h, a)
            if r.random() < .15:
                p = p[:3]
            elif crumpled:
                p = clutter.turn(blob(r, 0, 0, .55, 16, .15) * [w, h], a, at)
        m.piece(p, a, height=r.uniform(1.5, 7), bevel=r.uniform(0, .7))


def strips(m):
    """Strips side by side, long rows of narrow cloth, rolls cut open."""
    r, t = m.r, m.t
    w = m.size * r.uniform(.15, .6)
    n = int(np.clip(t.n * r.uniform(.4, 1.1) / w, 3, 40))
    L = t.n * r.uniform(.5, 1.4)
    a = r.uniform(0, 6.3) if r.random() < .15 else np.pi / 2 * int(r.integers(2)) + r.normal(0, .05)
    u, v = np.array([np.cos(a), np.sin(a)]), np.array([-np.sin(a), np.cos(a)])
    gap = w * r.choice([-.3, -.05, 0, .1, .5])
    wob = r.choice([0, .01, .03])
    for k in range(n):
        at = t.n / 2 + v * (k - (n - 1) / 2) * w + u * r.normal(0, .03) * L
        m.lay(rect(at[0], at[1], L * r.uniform(.9, 1.05), w - gap, a + r.normal(0, wob)), m.print(), t.new_id(), a)
