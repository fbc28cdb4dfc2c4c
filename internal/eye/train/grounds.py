"""What lies under the cloth: tables, floors, felts, walls, cloth as ground, and cutting mats."""
import colorsys

import cv2
import numpy as np

from prints import colour
from table import rect, rounded


def big_noise(r, side, cells, stretch=1.):
    z = r.standard_normal((max(2, int(cells)), max(2, int(cells * stretch)))).astype(np.float32)
    return cv2.resize(z, (side, side), interpolation=cv2.INTER_CUBIC)


def dull(r):
    """A colour as tables, walls and floors have: mostly white, grey, beige or brown."""
    if r.random() < .4:
        return colour(r)
    return np.array(colorsys.hls_to_rgb(r.uniform(.05, .14), r.uniform(.2, .95), r.choice([r.uniform(0, .08), r.uniform(.1, .4)]))) * 255


def plain(r, t):
    c = dull(r)
    t.rgb[:] = c
    t.rgb += (big_noise(r, t.n, 5) * r.uniform(0, 8) + t.grain * r.uniform(0, 5))[..., None]


def wood(r, t):
    h, l, s = r.uniform(.03, .12), r.uniform(.15, .85), r.uniform(.1, .65)
    c = np.array(colorsys.hls_to_rgb(h, l, s)) * 255
    n = t.n
    g = big_noise(r, n, 3, r.uniform(20, 80)) * .6 + big_noise(r, n, 8, r.uniform(12, 40)) * .4
    g = np.sin(g * r.uniform(1, 5) + big_noise(r, n, 4) * 2) * .5 + g * .5
    t.rgb[:] = c
    t.rgb *= (1 + g * r.uniform(.02, .22))[..., None]
    if r.random() < .75:  # planks, or the laths of bamboo
        p = r.choice([r.uniform(8, 30), r.uniform(40, 260)], p=[.3, .7])
        x = r.uniform(0, p)
        gap = r.uniform(.3, .97)
        while x < n:
            x2 = min(n, int(x + p))
            t.rgb[:, int(x):x2] *= 1 + r.normal(0, .07)
            t.rgb[:, int(x):int(x) + (1 if p < 40 else int(r.integers(1, 4)))] *= gap
            y = r.uniform(0, 600)
            while y < n:
                t.rgb[int(y):int(y) + 2, int(x):x2] *= r.uniform(.4, .9)
                y += r.uniform(200, 900)
            x += p
    if r.random() < .5:
        t.rgb = np.ascontiguousarray(t.rgb.transpose(1, 0, 2))


def felt(r, t):
    v = r.uniform(40, 235)
    c = np.full(3, v) + r.normal(0, 6, 3) if r.random() < .75 else dull(r)
    t.rgb[:] = c
    n = t.n
    f = sum(big_noise(r, n, n / k) * r.uniform(0, .16) for k in r.choice([2, 3, 5, 8, 12, 24], 3)) + big_noise(r, n, 40) * r.uniform(0, .05)
    if r.random() < .5:  # dark and light flecks and fibres
        f = f + np.where(np.abs(big_noise(r, n, n / r.uniform(2, 6), r.uniform(.3, 1))) > r.uniform(1, 2), r.uniform(-.35, .2), 0)
    t.rgb *= np.clip(1 + f, .2, 1.8)[..., None]


def carpet(r, t):
    t.rgb[:] = dull(r)
    n = t.n
    f = big_noise(r, n, n // 4) * r.uniform(.08, .25) + big_noise(r, n, n // 16) * r.uniform(.02, .12)
    t.rgb *= (1 + f)[..., None]
    if r.random() < .4:
        p = int(r.integers(6, 40))
        t.rgb[:, np.arange(n) % p < p // 3] *= r.uniform(.8, .97)


def tiles(r, t):
    plain(r, t)
    p, g = r.uniform(60, 380), int(r.integers(2, 8))
    c = colour(r)
    x0, y0 = r.uniform(0, p, 2)
    for i in range(int(t.n / p) + 2):
        for j in range(int(t.n / p) + 2):
            a, b = int(x0 + (i - 1) * p), int(y0 + (j - 1) * p)
            t.rgb[max(0, b):max(0, int(b + p)), max(0, a):max(0, int(a + p))] *= 1 + r.normal(0, .04)
    k = np.arange(t.n)
    t.rgb[:, (k - x0) % p < g] = c
    t.rgb[(k - y0) % p < g] = c


def stone(r, t):
    t.rgb[:] = dull(r)
    n = t.n
    v = np.abs(big_noise(r, n, 6) + .5 * big_noise(r, n, 14) + .25 * big_noise(r, n, 40))
    t.rgb *= (1 + r.uniform(.05, .35) * (np.clip(v * r.uniform(.8, 3), 0, 1) - .5))[..., None]
    if r.random() < .4:
        t.rgb += ((t.grain > r.uniform(1, 2.2)) * r.uniform(-60, 60))[..., None]


def cloth(r, t, shelf):
    """Bedspread, tablecloth, batting: cloth, but as ground."""
    b = (0, 0, t.n, t.n)
    tile = shelf.pull(1)[0]
    t.rgb[:] = t.cloth(tile, b, r.uniform(0, 6.3), r.uniform(.7, 4.5), r.random(2))
    f = cv2.resize(r.standard_normal((9, 9)).astype(np.float32), (t.n, t.n), interpolation=cv2.INTER_CUBIC)
    t.rgb *= (1 + r.uniform(0, .12) * f)[..., None]
    if r.random() < .3:  # quilted through, in a grid or in waves
        quilting(r, t)


def quilting(r, t, strength=None):
    p = r.uniform(14, 120)
    an = r.uniform(0, 3.2)
    s = r.uniform(.03, .25) if strength is None else strength
    for _ in range(int(r.integers(1, 3))):
        d = np.array([np.cos(an), np.sin(an)])
        q = np.array([-d[1], d[0]])
        amp, wl = r.choice([0, r.uniform(3, 20)]), r.uniform(60, 300)
        u = np.arange(-t.n, t.n, 8.)
        lines = np.array([t.n / 2 + d * u[:, None] + q * (o + amp * np.sin(u / wl * 6.28))[:, None] for o in np.arange(-t.n, t.n, p)])
        t.strokes(lines, 1, dark=s)
        t.strokes(lines + t.light * 4, 3, dark=s * .35)   # padded cloth: shade before the seam, light behind it
        t.strokes(lines - t.light * 4, 3, dark=-s * .3)
        an += np.pi / 2


def white_table(r, t):
    v = r.uniform(185, 250)
    t.rgb[:] = np.array([v, v + r.normal(0, 3), v + r.normal(0, 6)])
    t.rgb *= (1 + big_noise(r, t.n, 3) * r.uniform(0, .05))[..., None]
    t.rgb += t.grain[..., None] * r.uniform(0, 3)


def numerals(r, t, pts, c, h, ang, font=cv2.FONT_HERSHEY_SIMPLEX):
    """Numbers or words written at points, of a height in pixels, turned by ang."""
    for k, p in pts:
        s = str(k)
        (w, hh), _ = cv2.getTextSize(s, font, h / 22, max(1, int(h / 10)))
        m = np.zeros((hh + 8, w + 8), np.uint8)
        cv2.putText(m, s, (4, hh + 4), font, h / 22, 255, max(1, int(h / 10)), cv2.LINE_AA)
        paste(t, m, p, ang, c)


def paste(t, m, p, ang, c):
    """Blends colour c by mask m, its middle at p, turned by ang."""
    h, w = m.shape
    R = int(np.hypot(h, w)) + 4
    x0, y0 = int(p[0] - R / 2), int(p[1] - R / 2)
    if x0 < 0 or y0 < 0 or x0 + R > t.n or y0 + R > t.n:
        return
    cs, sn = np.cos(ang), np.sin(ang)
    M = np.array([[cs, -sn, R / 2 - cs * w / 2 + sn * h / 2], [sn, cs, R / 2 - sn * w / 2 - cs * h / 2]])
    k = cv2.warpAffine(m, M, (R, R))
    t.blend((x0, y0, x0 + R, y0 + R), k.astype(np.float32) / 255, c)


def mat(r, t, poly_wh=None):
    """A cutting mat: colour, inch lines with halves and quarters or centimetres, numerals, nested blocks, angles."""
    n = t.n
    full = r.random() < .5
    w, h = (n * 1.5, n * 1.5) if full else (n * r.uniform(.5, 1.2), n * r.uniform(.4, 1.))
    ang = r.normal(0, .15) if r.random() < .7 else r.uniform(0, 6.3)
    cx, cy = (n / 2, n / 2) if full else n * r.uniform(.3, .7, 2)
    base = np.array([[40, 110, 80], [30, 90, 70], [60, 60, 62], [95, 98, 100], [150, 152, 155], [205, 206, 205], [35, 60, 110], [200, 120, 150],
                     [120, 80, 140], [25, 25, 28], [70, 140, 140], [230, 225, 215]][int(r.integers(12))], float) + r.normal(0, 12, 3)
    if r.random() < .15:
        base = colour(r)
    base = np.clip(base, 5, 250)
    lum = base.mean()
    line = np.array([[255, 255, 255], [240, 220, 90], [20, 25, 30], [210, 230, 220]][int(r.choice([0, 1, 2, 3], p=[.4, .25, .2, .15]))], float)
    if abs(line.mean() - lum) < 60:
        line = np.full(3, 20. if lum > 128 else 240.)
    t.lay(rounded(cx, cy, w, h, ang, 14), base, 0 if full or r.random() < 1 else None, height=r.uniform(1, 5), grain=r.uniform(0, 5))
    u, v = np.array([np.cos(ang), np.sin(ang)]), np.array([-np.sin(ang), np.cos(ang)])
    o = np.array([cx, cy]) - u * w / 2 - v * h / 2
    m = r.uniform(8, 40)
    p = r.uniform(22, 110)  # an inch or a centimetre, pixels
    W, H = w - 2 * m, h - 2 * m
    o = o + (u + v) * m
    al = r.uniform(.25, 1)
    fine = int(r.choice([0, 1, 2, 4]))
    lw = int(r.choice([1, 1, 1, 2]))

    def grid(step, a, width=1):
        t.strokes([[o + u * k * step, o + u * k * step + v * H] for k in range(int(W / step) + 1)] +
                  [[o + v * k * step, o + v * k * step + u * W] for k in range(int(H / step) + 1)], width, line, alpha=a)
    if r.random() < .92:
        grid(p, al, lw)
    if fine > 1 and p > 40:
        grid(p / fine, al * r.uniform(.15, .6))
    if r.random() < .3:
        grid(p * 5, 1, lw + 1)
    for _ in range(int(r.choice([0, 1, 2], p=[.5, .35, .15]))):  # squares in squares, filled in turn
        k = int(r.integers(2, 9))
        c0 = o + u * p * int(r.integers(1, max(2, W / p))) + v * p * int(r.integers(1, max(2, H / p)))
        band, two = p * r.choice([.5, 1, 1, 2]), base if r.random() < .7 else (base + line) / 2
        fill = line if r.random() < .7 else np.clip(base + r.choice([-50, 50]), 0, 255)
        for e in range(k, 0, -1):
            t.lay(rect(c0[0], c0[1], band * e * 2, band * e * 2, ang), fill if e % 2 else two, None, height=0, alpha=r.uniform(.85, 1), grain=2)
            if r.random() < .4:
                numerals(r, t, [(e, c0 + (u * s1 + v * s2) * band * (e - .5)) for s1, s2 in ((1, 0), (-1, 0), (0, 1), (0, -1))], two if e % 2 else fill, band * .4, ang)
        if r.random() < .7:
            grid(p, al * .6, 1)
        if r.random() < .4:
            grid(p / 2, al * .3, 1)
    if r.random() < .3:  # marks at the crossings
        e = p * r.uniform(.04, .15)
        at = [o + u * p * (i + .5) + v * p * (j + .5) for i in range(int(W / p)) for j in range(int(H / p))]
        t.strokes([[q - u * e, q + u * e] for q in at] + [[q - v * e, q + v * e] for q in at], lw, line, alpha=al)
    if r.random() < .5:  # fine marks along the rim
        e = p * r.uniform(.1, .3)
        t.strokes([[o + u * k * p / 8, o + u * k * p / 8 - v * e * (1 if k % 4 else 2)] for k in range(int(W / p * 8))] +
                  [[o + v * k * p / 8, o + v * k * p / 8 - u * e * (1 if k % 4 else 2)] for k in range(int(H / p * 8))], 1, line, alpha=al)
    if r.random() < .35:  # corner blocks or solid squares at crossings
        for _ in range(int(r.integers(2, 9))):
            c0 = o + u * p * int(r.integers(0, max(1, W / p))) + v * p * int(r.integers(0, max(1, H / p)))
            q = p * r.choice([.2, .5, 1, 2])
            t.lay(rect(c0[0], c0[1], q, q, ang), line, None, height=0)
    if r.random() < .45:
        for th in r.choice([30, 45, 60, 75, 120, 135], int(r.integers(1, 4))):
            d = u * np.cos(np.radians(th)) + v * np.sin(np.radians(th))
            s = o + u * r.uniform(0, W)
            t.stroke([s, s + d * max(W, H)], lw, line, alpha=al)
    if r.random() < .75:
        nh = p * r.uniform(.2, .5)
        a2 = ang + np.pi * int(r.integers(2))
        numerals(r, t, [(k, o + u * k * p - v * nh * .8) for k in range(1, min(40, int(W / p)))], line, nh, a2)
        numerals(r, t, [(k, o + v * k * p - u * nh * .8) for k in range(1, min(40, int(H / p)))], line, nh, a2 + r.choice([0, np.pi / 2]))
        if r.random() < .4:
            numerals(r, t, [(k, o + u * k * p + v * (H - nh * .8)) for k in range(1, min(40, int(W / p)))], line, nh, a2)
    if r.random() < .15:
        for q in range(int(r.integers(1, 4))):
            t.stroke(o + u * W / 2 + v * H + (np.array([[np.cos(a), -np.sin(a)] for a in np.linspace(0, np.pi, 40)]) @ np.array([u, v])) * p * (q + 2), lw, line, alpha=al)
    if r.random() < .2:
        t.glare(n * r.uniform(.1, .9, 2), n * r.uniform(.02, .12), n * r.uniform(.01, .1), r.uniform(0, 3), r.uniform(.2, 1))
    if r.random() < .3:  # solid border band
        t.stroke([o, o + u * W, o + u * W + v * H, o + v * H], r.uniform(3, 12), line, closed=True)


def lay_ground(r, t, shelf):
    k = r.random()
    if t.pale and r.random() < .4:  # grey felt, a white table
        k = .3 + .26 * k
    if k < .3:
        wood(r, t)
    elif k < .45:
        felt(r, t)
    elif k < .56:
        white_table(r, t)
    elif k < .66:
        plain(r, t)
    elif k < .74:
        carpet(r, t)
    elif k < .8:
        tiles(r, t)
    elif k < .88:
        stone(r, t)
    else:
        cloth(r, t, shelf)
    t.settle()
    if r.random() < .06:
        t.glare(t.n * r.uniform(.1, .9, 2), t.n * r.uniform(.03, .2), t.n * r.uniform(.02, .1), r.uniform(0, 3), r.uniform(.2, .9))
    if r.random() < .38:
        mat(r, t)
    elif r.random() < .35:  # felt, board, towel or table edge on the ground
        w, h = t.n * r.uniform(.4, 1.1, 2)
        p = rounded(*(t.n * r.uniform(.2, .8, 2)), w, h, r.normal(0, .3), r.choice([0, 20, 80]))
        hgt = r.uniform(1, 12)
        if r.random() < .5:
            s = type(t)(r, t.n)
            (felt, felt, white_table, wood, plain, carpet)[int(r.integers(6))](r, s)
            t.lay(p, s.rgb, None, height=hgt)
        else:
            t.lay(p, dull(r), None, height=hgt, grain=r.uniform(0, 6))
