"""Tilings of a rectangle w x h, as blocks and quilt tops are sewn: lists of (polygon, role).

Patches of one role are of one print, unless the block is scrappy.
"""
import numpy as np


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


def curves(r, w, h):
    """Quarter rounds set into squares, or petals, turned by a rule or by chance."""
    n = int(r.integers(1, 6))
    m = max(1, int(round(n * h / w)))
    k, rule, petal = r.uniform(.45, .95), int(r.integers(3)), r.random() < .35
    q = np.linspace(0, np.pi / 2, 9)
    e = np.stack([np.cos(q), np.sin(q)], 1)
    out = []
    for j in range(m):
        for i in range(n):
            turns = ((i + j) % 2, (i % 2) * 2 + j % 2, int(r.integers(4)))[rule]
            c = (i + j) % 2 if rule else 0
            one = [(quad(0, 0, 1, 1), 1 - c), (np.concatenate([e, 1 - e]) if petal else np.concatenate([[[0, 0]], e * k]), c)]
            for p, role in one:
                for _ in range(turns):
                    p = np.stack([1 - p[:, 1], p[:, 0]], 1)
                out.append(((p + [i, j]) * [w / n, h / m], role))
    return out


def waves(r, w, h):
    """Strips with curved seams, cut freely."""
    n = int(r.integers(2, 9))
    x = np.linspace(0, 1, 12)
    e = [np.zeros(12)] + [k / n + r.uniform(0, .3) / n * np.sin(x * r.uniform(2, 9) + r.uniform(0, 6)) for k in range(1, n)] + [np.ones(12)]
    return [(np.concatenate([np.stack([x * w, a * h], 1), np.stack([x * w, b * h], 1)[::-1]]), int(r.integers(5))) for a, b in zip(e, e[1:])]


BLOCKS = [(curves, 1.5), (waves, .6), (squares, 5), (tree, 3), (cabin, 2), (halves, 4), (quarters, 2), (geese, 1.5), (nested, 2), (rails, 2), (bricks, 1), (triangles, 1), (hexagons, 1), (wedges, .7)]
_P = np.array([w for _, w in BLOCKS], float)
_P /= _P.sum()


def which(r):
    """A kind of block, by how often it is seen."""
    return BLOCKS[int(r.choice(len(BLOCKS), p=_P))][0]


def block(r, w, h):
    return which(r)(r, w, h)


def moved(tiles, dx, dy, role=0):
    return [(p + [dx, dy], q + role) for p, q in tiles]


def top(r, w, h, size):
    """A quilt top: blocks in rows, sashing, borders; patches of about `size`."""
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
    n = int(np.clip(round(w / size / r.uniform(1.5, 4)), 1, 7))
    m = max(1, int(round(n * h / w)))
    if r.random() < .3:
        return out + moved(block(r, w, h), x, y)
    s = min(w / n, h / m) * (r.uniform(.04, .2) if r.random() < .4 else 0)
    bw, bh = (w - s * (n + 1)) / n, (h - s * (m + 1)) / m
    kinds = [which(r) for _ in range(int(r.choice([1, 1, 2, 3])))]
    st = [r.integers(1 << 30) for _ in kinds]
    for j in range(m):
        for i in range(n):
            k = (i + j) % len(kinds) if r.random() < .9 else int(r.integers(len(kinds)))
            rr = np.random.default_rng(st[k]) if r.random() < .93 else r
            bx, by = x + s + i * (bw + s), y + s + j * (bh + s)
            out += moved(kinds[k](rr, bw, bh), bx, by, 10 * k)
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
