"""How cloth lies: loose pieces, boards, sewn blocks and tops, fans, heaps, folded stacks."""
import numpy as np

import clutter
from grounds import quilting
from prints import colour
from table import LABEL, jitter, rect, rounded

KINDS = ['spread', 'board', 'stack', 'pile', 'none']
SPREAD, BOARD, STACK, PILE, NONE = range(5)


# ---- tilings of a w x h rectangle: lists of (polygon, role) -----------------

def quad(x0, y0, x1, y1):
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]], float)


def squares(r, w, h, n=None, m=None):
    n = n or int(r.integers(1, 7))
    m = m or max(1, int(round(n * h / w)))
    return [(quad(w * i / n, h * j / m, w * (i + 1) / n, h * (j + 1) / m), (i + j) % 2 if r.random() < .98 else 2) for j in range(m) for i in range(n)]


def tree(r, w, h, depth=None, x=0., y=0.):
    """A tree of cuts: any rectangle is cut in two until it is small or chance ends it."""
    depth = int(r.integers(2, 6)) if depth is None else depth
    if depth == 0 or min(w, h) < 14 or r.random() < .08:
        return [(quad(x, y, x + w, y + h), int(r.integers(5)))]
    k = r.uniform(.2, .8)
    if (w > h) == (r.random() < .85):
        return tree(r, w * k, h, depth - 1, x, y) + tree(r, w * (1 - k), h, depth - 1, x + w * k, y)
    return tree(r, w, h * k, depth - 1, x, y) + tree(r, w, h * (1 - k), depth - 1, x, y + h * k)


def cabin(r, w, h):
    """Logs round a centre."""
    n = int(r.integers(1, 6))
    k = .5 / (n + r.uniform(.3, 1.5))
    out, x0, y0, x1, y1 = [], 0., 0., w, h
    for i in range(n):
        dx, dy = w * k, h * k
        side = [(quad(x0, y0, x1, y0 + dy), 1), (quad(x1 - dx, y0 + dy, x1, y1), 1), (quad(x0, y1 - dy, x1 - dx, y1), 2), (quad(x0, y0 + dy, x0 + dx, y1 - dy), 2)]
        out += [(p, q + 2 * (i % 2)) for p, q in side]
        x0, y0, x1, y1 = x0 + dx, y0 + dy, x1 - dx, y1 - dy
    return out + [(quad(x0, y0, x1, y1), 0)]


def halves(r, w, h):
    """Half-square triangles on a grid, turned by a rule or by chance."""
    n = int(r.integers(1, 6))
    m = max(1, int(round(n * h / w)))
    rule = int(r.integers(4))
    out = []
    for j in range(m):
        for i in range(n):
            q = quad(w * i / n, h * j / m, w * (i + 1) / n, h * (j + 1) / m)
            if r.random() < .06 and n > 1:
                out.append((q, 1))
                continue
            k = [0, (i + j) % 2, (i % 2) ^ (j % 2), int(r.integers(2))][rule]
            a, b = ([0, 1, 2], [0, 2, 3]) if k else ([0, 1, 3], [1, 2, 3])
            out += [(q[a], 0), (q[b], 1)]
    return out


def quarters(r, w, h):
    n = int(r.integers(1, 5))
    m = max(1, int(round(n * h / w)))
    out = []
    for j in range(m):
        for i in range(n):
            q = quad(w * i / n, h * j / m, w * (i + 1) / n, h * (j + 1) / m)
            if (i + j) % 2 and r.random() < .5:
                out.append((q, 0))
                continue
            c = q.mean(0)
            out += [(np.array([q[k], q[(k + 1) % 4], c]), k % 2 + (k == 3 and r.random() < .1)) for k in range(4)]
    return out


def geese(r, w, h):
    n = int(r.integers(2, 8))
    out = []
    for i in range(n):
        y0, y1 = h * i / n, h * (i + 1) / n
        out += [(np.array([[0, y1], [w / 2, y0], [w, y1]]), 0), (np.array([[0, y0], [w / 2, y0], [0, y1]]), 1), (np.array([[w / 2, y0], [w, y0], [w, y1]]), 1)]
    return out


def nested(r, w, h):
    """Square in a square, snowball corners."""
    q = quad(0, 0, w, h)
    if r.random() < .5:
        m = (q + np.roll(q, -1, 0)) / 2
        out = [(np.array([q[k], m[k], m[k - 1]]), 1) for k in range(4)]
        if r.random() < .5:
            c = (m + np.roll(m, -1, 0)) / 2
            return out + [(np.array([m[k], c[k], c[k - 1]]), 2) for k in range(4)] + [(c, 0)]
        return out + [(m, 0)]
    k = r.uniform(.12, .4)
    e = np.roll(q, -1, 0) - q
    a, b = q + e * k, q + e * (1 - k)
    return [(np.array([q[i], a[i], b[i - 1]]), 1) for i in range(4)] + [(np.stack([a, b], 1).reshape(-1, 2), 0)]


def rails(r, w, h):
    n = int(r.integers(2, 9))
    e = np.concatenate([[0], np.cumsum(r.uniform(.4, 1, n) if r.random() < .5 else np.ones(n))])
    e = e / e[-1]
    return [(quad(w * e[i], 0, w * e[i + 1], h), int(i)) for i in range(n)]


def bricks(r, w, h):
    n, m = int(r.integers(2, 7)), int(r.integers(2, 12))
    out = []
    for j in range(m):
        e = (np.arange(n + 1) + (j % 2) * r.uniform(.3, .6)) / n
        e = np.clip(np.concatenate([[0], e]), 0, 1)
        e = np.unique(e.round(4))
        out += [(quad(w * a, h * j / m, w * b, h * (j + 1) / m), int(r.integers(6))) for a, b in zip(e, e[1:])]
    return out


def clip_box(p, w, h):
    """Sutherland and Hodgman 1974, against 0..w x 0..h."""
    for ax, lim, sg in ((0, 0., 1), (0, w, -1), (1, 0., 1), (1, h, -1)):
        out = []
        for a, b in zip(p, np.roll(p, -1, 0)):
            da, db = sg * (a[ax] - lim), sg * (b[ax] - lim)
            if da >= 0:
                out.append(a)
            if (da >= 0) != (db >= 0):
                out.append(a + (b - a) * da / (da - db))
        if len(out) < 3:
            return None
        p = np.array(out)
    return p


def area(p):
    x, y = p.T
    return abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2


def hexagons(r, w, h):
    s = max(12., w / r.uniform(3, 16))
    th = np.arange(6) * np.pi / 3
    hexa = np.stack([np.cos(th), np.sin(th)], 1) * s
    thirds = r.random() < .4  # tumbling diamonds
    out = []
    for i in range(-1, int(w / s / 1.5) + 2):
        for j in range(-1, int(h / s / 1.7) + 2):
            c = np.array([i * 1.5 * s, (j + (i % 2) / 2) * np.sqrt(3) * s])
            ps = [(hexa[[2 * k, 2 * k + 1, (2 * k + 2) % 6]], k) for k in range(3)] if thirds else [(hexa, int(r.integers(6)))]
            for p, role in ps:
                q = np.concatenate([p, [[0, 0]]]) if thirds else p
                q = clip_box(q + c, w, h)
                if q is not None and area(q) > 30:
                    out.append((q, role))
    return out


def triangles(r, w, h):
    n = int(r.integers(2, 9))
    m = max(1, int(round(n * h / w * 1.15)))
    out = []
    for j in range(m):
        y0, y1 = h * j / m, h * (j + 1) / m
        for i in range(-1, 2 * n + 1):
            a, b, c = (i - .0) / 2 * w / n, (i + 2) / 2 * w / n, (i + 1) / 2 * w / n
            p = np.array([[a, y1], [b, y1], [c, y0]]) if (i + j) % 2 else np.array([[a, y0], [b, y0], [c, y1]])
            p = clip_box(p, w, h)
            if p is not None and area(p) > 20:
                out.append((p, (i + j) % 2))
    return out


def wedges(r, w, h):
    """Dresden wedges and arcs on a ground of cloth."""
    n = int(r.integers(5, 20))
    c = np.array([w / 2, h / 2]) if r.random() < .6 else np.array([0., 0])
    R = min(w, h) * (.48 if c[0] else .92)
    r0 = R * r.uniform(.15, .75)
    a0, a1 = (0, 2 * np.pi) if c[0] else (0, np.pi / 2)
    out = [(quad(0, 0, w, h), 99)]
    for k in range(n):
        t = np.linspace(a0 + (a1 - a0) * k / n, a0 + (a1 - a0) * (k + 1) / n, 5)
        e = np.stack([np.cos(t), np.sin(t)], 1)
        out.append((np.concatenate([c + e * R, (c + e * r0)[::-1]]), int(r.integers(6))))
    t = np.linspace(a0, a1, 24)
    e = np.stack([np.cos(t), np.sin(t)], 1) * r0
    out.append((c + (e if c[0] else np.concatenate([e, [[0, 0]]])), 98))
    return out


BLOCKS = [(squares, 5), (tree, 3), (cabin, 2), (halves, 4), (quarters, 2), (geese, 1.5), (nested, 2), (rails, 2), (bricks, 1), (triangles, 1), (hexagons, 1), (wedges, .7)]
_P = np.array([w for _, w in BLOCKS], float)
_P /= _P.sum()


def block(r, w, h):
    return BLOCKS[int(r.choice(len(BLOCKS), p=_P))][0](r, w, h)


def moved(tiles, dx, dy, role=0):
    return [(p + [dx, dy], q + role) for p, q in tiles]


def top(r, w, h):
    """A quilt top: blocks in rows, sashing, borders."""
    out, x, y = [], 0., 0.
    for _ in range(int(r.choice([0, 0, 1, 1, 2]))):  # borders
        b = min(w, h) * r.uniform(.03, .12)
        if min(w, h) < 6 * b:
            break
        if r.random() < .5:
            out += [(quad(x, y, x + w, y + b), 50), (quad(x, y + h - b, x + w, y + h), 50), (quad(x, y + b, x + b, y + h - b), 50), (quad(x + w - b, y + b, x + w, y + h - b), 50)]
        else:
            out += [(quad(x + b, y, x + w - b, y + b), 51), (quad(x + b, y + h - b, x + w - b, y + h), 51), (quad(x, y + b, x + b, y + h - b), 51), (quad(x + w - b, y + b, x + w, y + h - b), 51)]
            out += [(quad(x + i * (w - b), y + j * (h - b), x + i * (w - b) + b, y + j * (h - b) + b), 52) for i in (0, 1) for j in (0, 1)]
        x, y, w, h = x + b, y + b, w - 2 * b, h - 2 * b
    n = int(r.integers(1, 6))
    m = max(1, int(round(n * h / w)))
    if r.random() < .3:
        return out + moved(block(r, w, h), x, y)
    s = min(w / n, h / m) * (r.uniform(.04, .2) if r.random() < .4 else 0)
    bw, bh = (w - s * (n + 1)) / n, (h - s * (m + 1)) / m
    kinds = [int(r.choice(len(BLOCKS), p=_P)) for _ in range(int(r.choice([1, 1, 2, 3])))]
    st = [r.integers(1 << 30) for _ in kinds]
    for j in range(m):
        for i in range(n):
            k = (i + j) % len(kinds) if r.random() < .9 else int(r.integers(len(kinds)))
            rr = np.random.default_rng(st[k]) if r.random() < .93 else r
            bx, by = x + s + i * (bw + s), y + s + j * (bh + s)
            out += moved(BLOCKS[kinds[k]][0](rr, bw, bh), bx, by, 10 * k)
            if s:
                out.append((quad(bx - s, by, bx, by + bh), 60))
                if i == n - 1:
                    out.append((quad(bx + bw, by, bx + bw + s, by + bh), 60))
        if s:
            if r.random() < .5:
                out.append((quad(x, y + s + j * (bh + s) - s, x + w, y + s + j * (bh + s)), 60))
            else:
                for i in range(n + 1):
                    out.append((quad(x + i * (bw + s), y + j * (bh + s), x + i * (bw + s) + s, y + j * (bh + s) + s), 61))
                    if i < n:
                        out.append((quad(x + s + i * (bw + s), y + j * (bh + s), x + s + i * (bw + s) + bw, y + j * (bh + s) + s), 60))
    if s:
        out.append((quad(x, y + h - s, x + w, y + h), 60))
    return out


# ---- laying ------------------------------------------------------------------

class Manner:
    """What the cloth of one scene has in common."""

    def __init__(self, r, t, shelf):
        self.r, self.t = r, t
        self.prints = shelf.pull(int(r.choice([2, 3, 4, 6, 10, 20, 40])))
        if r.random() < .22:  # cloth of the ground's own colour: white on white, grey on grey
            self.prints[0] = shelf.near(t.rgb.mean((0, 1)))
        self.scale = r.uniform(.35, 1.6)
        self.crease = r.choice([0, .02, .05, .09])
        self.bevel = r.choice([0, .15, .4, .8])
        self.fray = r.choice([0, .3, .6, 1.2])
        self.square = r.random() < .6  # prints lie with the grain
        self.seam = r.uniform(.12, .6)
        self.height = r.uniform(.6, 3.5)
        self.labels = r.choice([0, 0, 0, .02, .9], p=[.4, .2, .1, .2, .1])
        # one fabric of light ground used much: the usual background
        self.light_first = r.random() < .3

    def print(self, i=None):
        return self.prints[int(self.r.integers(len(self.prints))) if i is None else i % len(self.prints)]

    def lay(self, poly, tile, ident, ang=0., height=None, bevel=None, **k):
        r = self.r
        a = ang + (np.pi / 2 * int(r.integers(4)) if self.square else r.uniform(0, 6.3))
        self.t.lay(jitter(r, poly, self.fray), tile, ident, self.height if height is None else height, a, self.scale, self.bevel if bevel is None else bevel, self.crease, **k)

    def sewn(self, tiles, org, ang, scrappy=None, height=None):
        """A sewn thing: base, patches, seams. org: where (0, 0) lies; tiles in its own frame."""
        r, t = self.r, self.t
        c, s = np.cos(ang), np.sin(ang)
        M = np.array([[c, s], [-s, c]])
        scrappy = r.random() < .5 if scrappy is None else scrappy
        roles = {}
        bow = r.choice([0, 0, .6, 1.2])
        put = lambda p: p @ M + org
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


def loose(m, kind=None):
    """Cut pieces laid apart: rows or chance, squares, strips, triangles, odd shapes."""
    r, t = m.r, m.t
    n = int(r.choice([1, 2, 3, 5, 8, 12, 20, 35]))
    side = t.n * np.clip(r.lognormal(-1.9 - .18 * np.log(n), .35), .025, .5)
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
    tile = m.print()
    i = t.new_id()
    deep = int(r.choice([0, 0, 0, 1, 3, 8])) if sh < 4 else 0  # a squared-up stack of the same cloth
    for k in range(deep):
        m.lay(p + r.normal(0, 2, 2), tile, i, a, height=2)
    m.lay(p, tile, i, a)
    if sh <= 3 and r.random() < .05:  # a corner turned over: the back of the cloth
        v = p[0]
        u, w2 = p[1] - v, p[-1] - v
        f = r.uniform(.15, .4)
        q = np.array([v + u * f, v + (u + w2) * f * .8, v + w2 * f])
        back = m.t.cloth(tile, (0, 0, 4, 4), 0, 1, (0, 0)).mean((0, 1)) * .6 + 90
        t.lay(q, np.clip(back, 0, 250), i, height=3, bevel=.5)
    if deep and r.random() < .5 or r.random() < m.labels:
        k = r.random()
        if k < .6:
            clutter.paper(r, t, at, min(w, h) * r.uniform(.3, .8), LABEL, an=a + r.normal(0, .2))
        else:  # a template of the piece's own shape, pinned on
            f = r.uniform(.6, .97)
            clutter.paper(r, t, at, min(w, h), LABEL, shape=(p - p.mean(0)) * f + p.mean(0) + r.normal(0, .02, 2) * w, an=a)
    if r.random() < .08:
        m.t.stroke(p, 1, dark=.25, closed=True)


def units(m):
    """Sewn units lying loose: pairs, four-patches, half-square triangles, small blocks."""
    r, t = m.r, m.t
    n = int(r.choice([1, 2, 4, 6, 9, 16, 25]))
    side = t.n * np.clip(r.lognormal(-1.3 - .3 * np.log(n), .3), .05, .6)
    same = int(r.choice(len(BLOCKS), p=_P)) if r.random() < .75 else None
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
        f = BLOCKS[same][0] if same is not None else block
        rr = np.random.default_rng(seed) if same is not None and r.random() < .85 else r
        tiles = f(rr, w, h)
        if len(tiles) > 40:
            tiles = squares(r, w, h, 2, 2)
        c, s = np.cos(a), np.sin(a)
        m.sewn(tiles, at - np.array([w / 2, h / 2]) @ np.array([[c, s], [-s, c]]), a)


def board(m):
    """Squares edge to edge or with gaps, on a wall or a floor; cells missing, rows uneven."""
    r, t = m.r, m.t
    n = int(r.integers(2, 15))
    k = int(np.clip(round(n * r.uniform(.5, 1.4)), 1, 16))
    full = r.random() < .3
    p = t.n * (r.uniform(.9, 1.3) if full else r.uniform(.45, .85)) / max(n, k)
    gap = p * r.choice([-.02, 0, .01, .05, .15, .3])
    wob, tilt = r.choice([0, .01, .04]), r.normal(0, .05) if r.random() < .8 else r.uniform(0, .8)
    miss = r.choice([0, 0, .05, .3])
    drop = r.choice([0, 0, 0, .5])
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
            m.lay(q, m.print(), t.new_id(), tilt, height=.7 if gap <= p * .01 else None)


def quilt(m):
    """A top or a finished quilt, whole or filling the photo, laid, hung or with a corner turned."""
    r, t = m.r, m.t
    full = r.random() < .4
    w, h = t.n * (r.uniform(1.1, 1.6, 2) if full else r.uniform(.4, .9, 2))
    a = r.normal(0, .06) if r.random() < .7 else r.uniform(0, 6.3)
    c, s = np.cos(a), np.sin(a)
    tiles = top(r, w, h)
    org = t.n / 2 - np.array([w / 2, h / 2]) @ np.array([[c, s], [-s, c]])
    if not full and r.random() < .5:  # what is left of the batting or the backing looks out
        e = t.n * r.uniform(.005, .08)
        t.lay(np.array([[-e, -e], [w + e, -e], [w + e, h + e], [-e, h + e]]) @ np.array([[c, s], [-s, c]]) + org, m.print() if r.random() < .6 else np.full(3, 238.), t.new_id(), height=4, bevel=.4)
    m.sewn(tiles, org, a)
    if r.random() < .4:
        quilting(r, t)


def fan(m):
    """Folded lengths or strips overlapping: a fan, a row of shingles, a pull."""
    r, t = m.r, m.t
    n = int(r.integers(3, 14))
    L, w = t.n * r.uniform(.35, 1.), t.n * r.uniform(.06, .35)
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
        for q in range(int(r.choice([0, 1, 3]))):
            m.lay(p + r.normal(0, 2, 2) + t.light * (2 + q), tile, i, a, height=2)
        m.lay(p, tile, i, a, height=hgt, bevel=r.uniform(.2, 1))


def heap(m):
    """Loose and overlapping: strips, squares, crumbs."""
    r, t = m.r, m.t
    n = int(r.choice([6, 12, 20, 35, 60]))
    c, sp = t.n * r.uniform(.4, .6, 2), t.n * r.uniform(.1, .3)
    s0 = t.n * np.clip(r.lognormal(-1.7 - .12 * np.log(n), .3), .03, .4)
    strips = r.uniform(0, 1)
    for _ in range(n):
        at = c + r.normal(0, 1, 2) * sp
        s = s0 * r.uniform(.6, 1.5)
        if r.random() < strips:
            w, h = s * r.uniform(1.5, 5), s * r.uniform(.2, .6)
        else:
            w, h = s, s * r.uniform(.6, 1.3)
        a = r.uniform(0, 6.3)
        tile, i = m.print(), t.new_id()
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
        m.lay(p, tile, i, a, height=r.uniform(1.5, 7), bevel=r.uniform(0, .7))


def stack(m):
    """Folded cloth on edge or one on another: bands, round at the fold, in a basket, a box, on a shelf, hung."""
    r, t = m.r, m.t
    rows = int(r.choice([1, 1, 1, 2, 3, 5]))
    a = np.pi / 2 * int(r.integers(4)) + r.normal(0, .12)
    u, v = np.array([np.cos(a), np.sin(a)]), np.array([-np.sin(a), np.cos(a)])
    W, H = t.n * r.uniform(.5, 1.25), t.n * r.uniform(.12, .5) if rows == 1 else t.n * r.uniform(.15, .3)
    if rows == 1 and r.random() < .15:
        H = t.n * r.uniform(.6, 1.2)
    cont = r.random()
    gapv = H * r.uniform(.02, .25)
    mid = t.n / 2 + r.normal(0, .04, 2) * t.n
    n = max(2, int(W / (t.n * r.uniform(.012, .085))))
    if cont < .45:  # basket, box, shelf
        w2, h2 = W * 1.08 + 20, (H + gapv) * rows + 30
        c = colour(r)
        t.lay(rounded(mid[0], mid[1], w2, h2, a, r.choice([2, 20, h2 / 3])), c, 0, height=t.n * .02, bevel=.6, grain=r.uniform(0, 8))
        if r.random() < .6:  # wicker or wire
            p = r.uniform(6, 26)
            t.strokes([[mid + u * k - v * h2 / 2, mid + u * k + v * h2 / 2] for k in np.arange(-w2 / 2, w2 / 2, p)], max(1, p * .3), dark=r.uniform(.1, .4))
            t.strokes([[mid + v * k - u * w2 / 2, mid + v * k + u * w2 / 2] for k in np.arange(-h2 / 2, h2 / 2, p)], max(1, p * .3), c * r.uniform(.7, 1.3), alpha=.6)
        t.lay(rect(mid[0], mid[1], W * 1.02, (H + gapv) * rows, a), c * r.uniform(.15, .6), 0, height=0, bevel=-.8)
    even = r.choice([.05, .25, .6])
    ragged = r.choice([0, .02, .08, .25])
    lean = r.choice([0, 0, .05, .2])
    roundness = r.uniform(.1, .75)
    folds = r.choice([0, 0, 1, 3])
    fanout = r.choice([0, 0, .15, .4])
    bend = r.choice([0, 0, .03, .1])
    for j in range(rows):
        o = mid + v * (j - (rows - 1) / 2) * (H + gapv) - u * W / 2
        e = np.concatenate([[0], np.cumsum(np.exp(r.normal(0, even, n)))])
        e = e / e[-1] * W * r.uniform(.75, 1)
        order = range(n) if r.random() < .5 else range(n - 1, -1, -1)
        le = 0.
        for k in order:
            x0, x1 = e[k], e[k + 1]
            le = .8 * le + r.normal(0, lean) * (x1 - x0)
            h0, h1 = -H / 2 * (1 + r.normal(0, ragged)), H / 2 * (1 + r.normal(0, ragged))
            f = (k / n - .5) * fanout * H
            w = x1 - x0
            s = np.linspace(0, 1, 9)
            arc = bend * H * np.sin(s * np.pi)
            mids = x0 + w / 2 + le * (s - .5) * 2 + f * (s - .5) + arc
            ys = h0 + (h1 - h0) * s
            wid = w * r.uniform(.96, 1.1)
            L, R = np.stack([mids - wid / 2, ys], 1), np.stack([mids + wid / 2, ys], 1)
            p = np.concatenate([L, R[::-1]])
            q = jitter(r, o + p[:, :1] * u + p[:, 1:] * v, m.fray * .7)
            b = t.box(q)
            if b is None:
                continue
            # shading across the fold
            yy, xx = np.mgrid[b[1]:b[3], b[0]:b[2]].astype(np.float32)
            z = ((xx - o[0]) * u[0] + (yy - o[1]) * u[1] - x0 - w / 2) / (w / 2)
            if fanout or lean or bend:
                g = ((xx - o[0]) * v[0] + (yy - o[1]) * v[1] - h0) / max(1e-6, h1 - h0)
                z -= np.interp(g, s, mids - x0 - w / 2) / (w / 2)
            z = np.clip(z, -1, 1)
            sh = 1 - roundness * z ** 2 * .7 + .25 * roundness * z * np.sign(t.light @ u + 1e-6)
            if folds:
                sh = sh * (1 - .25 * (np.abs(np.sin(z * np.pi * (folds + .5))) < .16))
            i = t.new_id()
            t.lay(q, m.print(), i, r.uniform(.5, 4), a + (0 if r.random() < .5 else np.pi / 2), m.scale, 0, m.crease, shade=sh.astype(np.float32))
            if r.random() < .05:  # a label pinned to it
                clutter.paper(r, t, o + u * (x0 + w / 2) + v * r.uniform(h0, h1) * .8, max(10., w * r.uniform(.5, 2)), LABEL, an=a)
    if cont < .45 and r.random() < .5:  # the container's front or handle before the cloth
        s = r.choice([-1, 1])
        at = mid + v * s * (H + gapv) * rows / 2 * r.uniform(.85, 1.2)
        t.lay(rounded(at[0], at[1], W * 1.15, H * r.uniform(.1, .5), a, 8), colour(r), 0, height=6, bevel=.6, grain=5)


def shelves(m):
    """Folded stacks seen from the front: flat bands one on another, in columns; boards between."""
    r, t = m.r, m.t
    cols = int(r.integers(1, 5))
    a = r.normal(0, .05)
    u, v = np.array([np.cos(a), np.sin(a)]), np.array([-np.sin(a), np.cos(a)])
    for c in range(cols):
        w = t.n * r.uniform(.6, .95) / cols
        x = t.n * ((c + .5) / cols) + r.normal(0, 4)
        n = int(r.integers(3, 22))
        hh = t.n * r.uniform(.012, .06)
        y = t.n * r.uniform(.65, .98)
        for k in range(n):
            h = hh * np.exp(r.normal(0, .3))
            y -= h
            if y < -h:
                break
            ww = w * r.uniform(.85, 1)
            mid = t.n / 2 + u * (x - t.n / 2 + r.normal(0, 3)) + v * (y + h / 2 - t.n / 2)
            p = rounded(mid[0], mid[1], ww, h * 1.12, a, h * r.uniform(.1, .55))
            b = t.box(p)
            if b is None:
                continue
            yy, xx = np.mgrid[b[1]:b[3], b[0]:b[2]].astype(np.float32)
            z = np.clip(((xx - mid[0]) * v[0] + (yy - mid[1]) * v[1]) / (h / 2), -1, 1)
            sh = 1.05 - .5 * z ** 2 - .15 * z
            if r.random() < .6:
                sh = sh * (1 - .3 * (np.abs(z) < .12))
            t.lay(p, m.print(), t.new_id(), 2, a, m.scale, 0, m.crease, shade=sh.astype(np.float32))


def strips(m):
    """Strips side by side, long rows of narrow cloth, rolls cut open."""
    r, t = m.r, m.t
    n = int(r.integers(3, 26))
    L = t.n * r.uniform(.5, 1.4)
    w = t.n * r.uniform(.4, 1.1) / n
    a = r.uniform(0, 6.3) if r.random() < .4 else np.pi / 2 * int(r.integers(2)) + r.normal(0, .05)
    u, v = np.array([np.cos(a), np.sin(a)]), np.array([-np.sin(a), np.cos(a)])
    gap = w * r.choice([-.3, -.05, 0, .1, .5])
    wob = r.choice([0, .01, .03])
    for k in range(n):
        at = t.n / 2 + v * (k - (n - 1) / 2) * w + u * r.normal(0, .03) * L
        m.lay(rect(at[0], at[1], L * r.uniform(.9, 1.05), w - gap, a + r.normal(0, wob)), m.print(), t.new_id(), a)


SCENES = [(loose, SPREAD, 4.), (units, None, 2.5), (board, BOARD, 3.), (quilt, BOARD, 3.), (fan, None, 1.2), (heap, PILE, 2.6), (stack, STACK, 3.), (shelves, STACK, .8), (strips, None, 1.), (None, NONE, .8)]
