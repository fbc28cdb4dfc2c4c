"""Cloth on cloth: folded stacks in baskets and on shelves, bundles with their sides, piles of cut and sewn things, rolls."""
import cv2
import numpy as np

import clutter
from blocks import rails, squares
from prints import colour
from table import LABEL, jitter, rect, rounded


def axes(b, at, a):
    """Coordinates of box b along and across the direction a, from at."""
    x = np.arange(b[0], b[2], dtype=np.float32)[None] - np.float32(at[0])
    y = np.arange(b[1], b[3], dtype=np.float32)[:, None] - np.float32(at[1])
    c, s = np.float32(np.cos(a)), np.float32(np.sin(a))
    return x * c + y * s, y * c - x * s


def wall(r, t, p, c, a):
    """A container's wall: smooth, of wicker, of wire or of slats."""
    b = t.box(p)
    if b is None:
        return
    k, shade = r.random(), None
    if k < .45:  # wicker: canes over and under in turn
        x, y = axes(b, p.mean(0), a)
        w, h = r.uniform(10, 40), r.uniform(4, 14)
        over = (np.floor(x / w) + np.floor(y / h)) % 2
        shade = .4 + .7 * np.where(over, np.abs(np.sin(x / w * np.pi)), .45) * np.abs(np.sin(y / h * np.pi)) ** .5
        c = np.array([190, 150, 95.]) * r.uniform(.5, 1.25) if r.random() < .6 else c
    elif k < .6:  # slats or corrugations
        x, y = axes(b, p.mean(0), a)
        h = r.uniform(8, 60)
        shade = np.where(y % h < h * r.uniform(.04, .3), r.uniform(.3, .8), 1) * np.ones_like(x)
    t.lay(p, c, 0, height=t.n * .02, bevel=.6, grain=r.uniform(0, 8), shade=None if shade is None else shade.astype(np.float32))


def label(r, t, at, s, a):
    """A paper label pinned to cloth."""
    clutter.paper(r, t, at, s, LABEL, an=a + r.normal(0, .1))
    if r.random() < .5:
        clutter.pin(r, t, at, s * r.uniform(.5, 1.2))


def sides(m, p, d, layers, h=0.):
    """What a thing p thick by the vector d shows below its top: layers (print, id), the lowest first."""
    r, t = m.r, m.t
    n = len(layers)
    t.shadow(np.concatenate([p + d, p]), np.hypot(*d) * .5)
    for k, (tile, i) in enumerate(layers):
        q = p + d * (n - k) / n + r.normal(0, h, 2)
        t.lay(q, tile, i, 0, r.uniform(0, 6.3), m.scale)
        t.strokes([q], 1, dark=r.uniform(.2, .7), closed=True)
        side = [np.array([q[j], q[j - 1]]) for j in range(len(q))]
        mid = q.mean(0)
        t.strokes([e for e in side if (e.mean(0) - mid) @ d > 0], max(1, np.hypot(*d) / n * .6), dark=r.uniform(.1, .45))


def bundles(m):
    """Folded cloth lying one on another, seen from the side a little: the top one whole, the others by their edges."""
    r, t = m.r, m.t
    w, h = m.size * r.uniform(.7, 1.6), m.size * r.uniform(.5, 1.1)
    n = m.count([1, 2, 4, 6, 9])
    deep = int(r.choice([1, 3, 6, 10, 16]))
    d = np.array([r.normal(0, .3), 1.]) * r.choice([-1, 1], p=[.15, .85])
    c = max(1, int(np.ceil(np.sqrt(n))))
    wob = r.choice([.03, .15, 1.])
    if r.random() < .5:  # each of one cloth
        m.again = 1.
    for k in range(n):
        at = t.n / 2 + (np.array([k % c, k // c]) - (c - 1) / 2) * [w * 1.2, h * 1.4 + deep * m.size * .05] + r.normal(0, .04, 2) * m.size
        a = r.normal(0, wob)
        m.last = None
        layers = [m.layer() for _ in range(max(1, int(deep * r.uniform(.6, 1.3))))]
        p = rounded(at[0], at[1], w * r.uniform(.9, 1.05), h * r.uniform(.9, 1.05), a, min(w, h) * r.uniform(.01, .12), 3)
        sides(m, p, d * m.size * r.uniform(.03, .07) * len(layers), layers, m.size * r.choice([.005, .02]))
        tile, i = layers[-1]
        m.lay(p, tile, i, a, height=0, bevel=.6)
        if r.random() < .5:  # the fold of the top one
            t.strokes([np.array([p[0], p[-1]]) * .97 + at * .03], 1, dark=r.uniform(.1, .4))
        if r.random() < m.labels + .1:
            label(r, t, at, min(w, h) * r.uniform(.3, .7), a)
        elif r.random() < .15:  # tied with a ribbon
            e = rect(at[0], at[1], w * 1.02, h * r.uniform(.04, .12), a + np.pi / 2 * int(r.integers(2)))
            t.lay(e, colour(r), 0, height=1, bevel=.4)


def piles(m):
    """Many little piles: of squares of one cloth, of sewn units, of pairs of strips, pinned."""
    r, t = m.r, m.t
    s = min(m.size, t.n * .25)
    n = m.count([2, 4, 8, 14, 24])
    c = max(1, int(np.ceil(np.sqrt(n * r.uniform(.7, 1.8)))))
    what, skew, deep = r.random(), r.choice([.06, .3, 1.5]), int(r.integers(2, 7))
    pinned, turned = r.random() < .4, r.uniform(0, 6.3) if r.random() < .3 else 0
    long = r.uniform(1.6, 4)
    st = r.integers(1 << 30)
    for k in range(n):
        at = t.n / 2 + (np.array([k % c, k // c]) - np.array([c - 1, (n - 1) // c]) / 2) * s * [1.4, 1.5 if what < .7 else long * .75 + .3] + r.normal(0, .06, 2) * s
        if what < .4:
            tile, i = m.print(), t.new_id()
            for _ in range(deep):
                a = turned + r.normal(0, skew)
                m.lay(rect(*(at + r.normal(0, .04, 2) * s), s, s, a), tile, i, a, height=r.uniform(1, 3))
        elif what < .7:
            f = rails if r.random() < .8 else squares
            for _ in range(min(4, deep)):
                tiles = f(np.random.default_rng(st), s, s)
                a = turned + r.normal(0, skew)
                m.sewn(tiles, at + clutter.turn([[-s / 2, -s / 2]], a, r.normal(0, .05, 2) * s)[0], a, height=2)
        else:  # strips sewn in pairs, end to end, on one another
            one, two = (m.print(), t.new_id()), (m.prints[0], t.new_id())
            x = np.linspace(-.5, .5, 7)
            a = turned + np.pi / 2 + r.normal(0, .05)
            for _ in range(deep):
                y = r.normal(0, .04) * np.cos(x * np.pi * r.uniform(.5, 2)) + r.normal(0, .06) * x
                line = np.stack([x * long * r.uniform(.95, 1), y * long], 1)
                for (tile, i), part in ((one, slice(0, 5)), (two, slice(4, 7))):
                    q = line[part]
                    p = np.concatenate([q - [0, .28], (q + [0, .28])[::-1]]) * s * .8
                    m.lay(clutter.turn(p, a + r.normal(0, .02), at + r.normal(0, .03, 2) * s), tile, i, a, height=r.uniform(.7, 2))
        if pinned:
            clutter.pin(r, t, at, s * r.uniform(.15, .5))
        if r.random() < m.labels * .6:
            label(r, t, at, s * r.uniform(.3, .6), r.uniform(0, 6.3))


def rolls(m):
    """Rolled lengths side by side or standing: round in shade, the end a spiral."""
    r, t = m.r, m.t
    w = m.size * r.uniform(.25, .7)
    n = int(np.clip(t.n * r.uniform(.3, 1.) / w, 2, 24))
    L = w * r.uniform(2, 7)
    a = np.pi / 2 + r.normal(0, .1) if r.random() < .6 else r.uniform(0, 6.3)
    u, v = np.array([np.cos(a), np.sin(a)]), np.array([-np.sin(a), np.cos(a)])
    for k in range(n):
        at = t.n / 2 + v * (k - (n - 1) / 2) * w * r.uniform(.95, 1.05) + u * r.normal(0, .05) * L
        p = rounded(at[0], at[1], L, w, a, w * .1, 3)
        b = t.box(p)
        if b is None:
            continue
        _, y = axes(b, at, a)
        i, tile = t.new_id(), m.print()
        t.lay(p, tile, i, w * .15, a, m.scale, 0, m.crease, shade=(1.1 - .75 * (y / w * 2) ** 2 + .2 * y / w).astype(np.float32))
        if r.random() < .6:
            e = at + u * L / 2
            t.lay(clutter.turn(clutter.CIRCLE * [r.uniform(.15, .5), .5], a, e, w), tile, i, 0, a, m.scale, .5)
            for f in np.arange(.85, .1, -.2):
                t.stroke(clutter.turn(clutter.CIRCLE * [.3 * f, .5 * f], a, e, w), 1, dark=.4, closed=True)


def stack(m):
    """Folded cloth on edge or one on another: bands, round at the fold, in a basket, a box, on a shelf, hung."""
    r, t = m.r, m.t
    rows = int(r.choice([1, 1, 1, 2, 3, 5]))
    a = np.pi / 2 * int(r.integers(4)) + r.normal(0, .1) if r.random() < .6 else r.uniform(0, 6.3)
    u, v = np.array([np.cos(a), np.sin(a)]), np.array([-np.sin(a), np.cos(a)])
    W, H = t.n * r.uniform(.5, 1.25), t.n * r.uniform(.12, .5) if rows == 1 else t.n * r.uniform(.15, .3)
    if rows == 1 and r.random() < .15:
        H = t.n * r.uniform(.6, 1.2)
    cont = r.random()
    gapv = H * r.uniform(.02, .25)
    mid = t.n / 2 + r.normal(0, .04, 2) * t.n
    n = int(np.clip(W / (m.size * r.uniform(.12, .4)), 2, 50))
    if cont < .45:  # basket, box, shelf
        w2, h2 = W * 1.08 + 20, (H + gapv) * rows + 30
        c = colour(r)
        wall(r, t, rounded(mid[0], mid[1], w2, h2, a, r.choice([2, 20, h2 / 3])), c, a)
        t.lay(rect(mid[0], mid[1], W * 1.02, (H + gapv) * rows, a), c * r.uniform(.15, .6), 0, height=0, bevel=-.8)
    even = r.choice([.05, .25, .6])
    ragged = r.choice([0, .02, .08, .25])
    lean = r.choice([0, 0, .05, .2])
    roundness = r.uniform(.1, .75)
    folds = int(r.choice([1, 1, 2, 3, 5, 8]))  # of one cloth in a bundle
    mixed, grooves, backs = r.random() < .5, r.uniform(.1, .7), r.choice([0, 0, .3])
    faces, dim = r.choice([0, r.uniform(.05, .5)]), r.uniform(.5, .95)  # how deep the ends of bundles are seen
    fanout = r.choice([0, 0, .15, .4])
    bend = r.choice([0, 0, .03, .1])
    labels = r.choice([0, 0, .05, .4])
    for j in range(rows):
        o = mid + v * (j - (rows - 1) / 2) * (H + gapv) - u * W / 2
        e = np.concatenate([[0], np.cumsum(np.exp(r.normal(0, even, n)))])
        e = e / e[-1] * W * r.uniform(.75, 1)
        order = range(n) if r.random() < .5 else range(n - 1, -1, -1)
        le, m.last = 0., None
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
            wid = w * r.uniform(1.04 if bend else .96, 1.12)
            L, R = np.stack([mids - wid / 2, ys], 1), np.stack([mids + wid / 2, ys], 1)
            k = int(r.integers(1, folds + 1)) if mixed else folds
            cuts = np.repeat(np.linspace(-.5, .5, k + 1), 2)[1:-1] * wid  # its folds end unevenly
            ends = [np.stack([mids[e] + cuts, ys[e] + np.repeat(r.normal(0, .015, k) * H, 2)], 1) for e in (0, -1)]
            p = np.concatenate([L[1:-1], ends[1], R[-2:0:-1], ends[0][::-1]])
            q = jitter(r, o + p[:, :1] * u + p[:, 1:] * v, m.fray * .7)
            b = t.box(q)
            if b is None:
                continue
            # shading across the fold
            z, g = axes(b, o, a)
            z = z - np.float32(x0 + w / 2)
            if fanout or lean or bend:
                g = (g - np.float32(h0)) * np.float32(1 / max(1e-6, h1 - h0))
                z -= np.float32(2 * le + f) * (g - np.float32(.5)) + np.float32(bend * H) * np.sin(g * np.float32(np.pi))
            z = np.clip(z * np.float32(2 / w), -1, 1)
            sh = 1 - np.float32(roundness * .7) * z * z + np.float32(.25 * roundness * np.sign(t.light @ u + 1e-6)) * z
            if k > 1:
                x = (z + 1) * np.float32(k / 2)
                g = np.minimum(np.floor(x), k - 1)
                sh = sh * (1 - np.float32(grooves) * np.clip(np.abs(x - g - np.float32(.5)) * 5 - np.float32(1.5), 0, 1))
                if backs:  # of some the paler back is seen
                    sh = sh * (1 + np.float32(backs) * (g % 2))
            tile, i = m.layer()
            if faces:
                near, d = ends[-1], np.array([[0, H * faces]])
                face = o + np.concatenate([near, near[::-1] + d]) @ np.array([u, v])
                t.lay(jitter(r, face, m.fray), [cv2.convertScaleAbs(e, alpha=dim) for e in tile], i, r.uniform(.5, 4), a, m.scale, 0, m.crease)
                t.strokes([o + np.stack([c, c + d[0]]) @ np.array([u, v]) for c in near[::2]], 1, dark=grooves)
            t.lay(q, tile, i, r.uniform(.5, 4), a + (0 if r.random() < .5 else np.pi / 2), m.scale, 0, m.crease, shade=sh.astype(np.float32))
            if r.random() < labels:
                label(r, t, o + u * (x0 + w / 2) + v * r.uniform(h0, h1) * .8, max(10., w * r.uniform(.5, 2)), a)
    if cont < .45 and r.random() < .5:  # the container's front before the cloth
        s = r.choice([-1, 1])
        at = mid + v * s * (H + gapv) * rows / 2 * r.uniform(.85, 1.2)
        wall(r, t, rounded(at[0], at[1], W * 1.15, H * r.uniform(.1, .5), a, 8), c, a)


def shelves(m):
    """Folded stacks seen from the front: flat bands one on another, in columns; boards between."""
    r, t = m.r, m.t
    cols = int(r.integers(1, 5))
    a = r.normal(0, .05)
    u, v = np.array([np.cos(a), np.sin(a)]), np.array([-np.sin(a), np.cos(a)])
    for c in range(cols):
        w = t.n * r.uniform(.6, .95) / cols
        x = t.n * ((c + .5) / cols) + r.normal(0, 4)
        n = int(r.integers(3, 30))
        hh = np.clip(m.size * r.uniform(.12, .4), t.n * .01, t.n * .12)
        y = t.n * r.uniform(.65, .98)
        m.last = None
        for _ in range(n):
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
            z = np.clip(axes(b, mid, a)[1] * np.float32(2 / h), -1, 1)
            sh = 1.05 - .5 * z ** 2 - .15 * z
            if r.random() < .6:
                sh = sh * (1 - .3 * (np.abs(z) < .12))
            tile, i = m.layer()
            t.lay(p, tile, i, 2, a, m.scale, 0, m.crease, shade=sh.astype(np.float32))
