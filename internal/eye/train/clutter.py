"""What is not cloth: tools, hands, cups, papers, labels, bags. All get id 0, plain white paper WHITE."""
import colorsys

import cv2
import numpy as np

from blocks import top
from grounds import numerals
from prints import blob, colour
from table import LABEL, WHITE, rect, rounded


CIRCLE = np.array([[np.cos(a), np.sin(a)] for a in np.arange(28) / 28 * 2 * np.pi])


def turn(p, ang, at, s=1.):
    c, q = np.cos(ang), np.sin(ang)
    return np.asarray(p, float) * s @ np.array([[c, q], [-q, c]]) + at


def gloss(r, t, p, c, ident=0, h=6.):
    """A solid, smooth thing: strong rim shading and a highlight."""
    t.lay(p, c, ident, height=h, bevel=r.uniform(.3, 1.6), grain=1)
    m, s = p.mean(0), np.ptp(p, 0).min() * r.uniform(.05, .2)
    if r.random() < .7 and s > 1.5:
        q = m - t.light * s * 1.5
        t.lay(turn(CIRCLE * [1, .5], r.uniform(0, 3), q, s), np.minimum(255, np.asarray(c) + 90), None, height=0, alpha=r.uniform(.2, .8))


def capsule(a, b, w, n=7):
    a, b = np.asarray(a, float), np.asarray(b, float)
    d = (b - a) / max(1e-6, np.hypot(*(b - a)))
    th = np.arctan2(d[1], d[0])
    p = [b + w / 2 * np.array([np.cos(th + x), np.sin(th + x)]) for x in np.linspace(-np.pi / 2, np.pi / 2, n)]
    p += [a + w / 2 * np.array([np.cos(th + x), np.sin(th + x)]) for x in np.linspace(np.pi / 2, 1.5 * np.pi, n)]
    return np.array(p)


def rod(r, t, a, b, w, c, ident=0, h=None):
    """A round bar, bottle or spool lying: lit along its middle."""
    a, b = np.asarray(a, float), np.asarray(b, float)
    d = (b - a) / max(1e-6, np.hypot(*(b - a)))
    v = np.array([-d[1], d[0]]) * w / 2
    p = np.array([a - v, b - v, b + v, a + v])
    box = t.box(p)
    if box is None:
        return
    y, x = np.mgrid[box[1]:box[3], box[0]:box[2]].astype(np.float32)
    z = ((y - a[1]) * d[0] - (x - a[0]) * d[1]) / (w / 2)
    k = r.uniform(-.5, .5)
    f = 1.05 - r.uniform(.35, .7) * z * z + r.uniform(0, .6) * np.exp(-((z - k) / .18) ** 2)
    t.lay(p, c, ident, height=w * .4 if h is None else h, shade=f.astype(np.float32))


WORDS = 'red blue green gold pink plum teal rust block border binding sashing centre corner row top left right front back lining sleeve cut sew press strips squares scraps pair unit half seam inch bag band one two four dozen'.split()


def word(r):
    """What is written on labels: words of the sewing room, else of no language."""
    if r.random() < .7:
        return str(r.choice(WORDS))
    return ''.join(r.choice(list('aaeeeiioourrnntlsdcmhgbpkv')) for _ in range(int(r.integers(2, 8))))


def writing(r, t, at, s, an, c, lines=None):
    """A few lines of print or of handwriting, s wide."""
    font = int(r.choice([cv2.FONT_HERSHEY_SIMPLEX, cv2.FONT_HERSHEY_DUPLEX, cv2.FONT_HERSHEY_COMPLEX, cv2.FONT_HERSHEY_SCRIPT_SIMPLEX, cv2.FONT_HERSHEY_SCRIPT_COMPLEX]))
    n = int(r.integers(1, 4)) if lines is None else lines
    v, h = np.array([-np.sin(an), np.cos(an)]), s * r.uniform(.08, .2)
    for k in range(n):
        w = word(r).capitalize() + (' ' + str(int(r.integers(100))) if r.random() < .4 else '')
        numerals(r, t, [(w, at + v * h * 1.6 * (k - (n - 1) / 2))], c, min(h, s / len(w)), an, font)


def vivid(r):
    return np.array(colorsys.hls_to_rgb(r.random(), r.uniform(.25, .65), r.uniform(.5, 1))) * 255


def steel(r):
    return np.full(3, r.uniform(110, 225)) + r.normal(0, 5, 3)


def scissors(r, t, at, s):
    an, c, open_ = r.uniform(0, 6.3), vivid(r) if r.random() < .7 else r.uniform(15, 60) + r.normal(0, 4, 3), r.uniform(.03, .35)
    m = steel(r)
    for sg in (-1, 1):
        a = an + sg * open_
        gloss(r, t, turn([[0, -.05], [.5, -.045], [1, 0], [.5, .03], [0, .05]], a, at, s), m, h=s * .03)
        k = turn([[-.45, .13 * sg]], -0. + a, at, s)[0]
        rx, ry = s * r.uniform(.14, .2), s * r.uniform(.09, .13)
        e = np.array([[np.cos(x) * rx, np.sin(x) * ry] for x in np.arange(20) / 20 * 6.283])
        w = max(2, s * r.uniform(.035, .06))
        t.shadow(turn(e, a, k), s * .03, .3)
        t.stroke(turn(e, a, k), w, c, closed=True, ident=0)
        t.stroke(turn(e, a, k - t.light * w * .2), max(1, w * .25), np.minimum(255, c + 70), closed=True)
        t.stroke([at, turn([[-.28, .1 * sg]], a, at, s)[0]], w * 1.3, c, ident=0)
    t.lay(turn(CIRCLE, 0, at, s * .03), steel(r) * .7, 0, height=1)


def cutter(r, t, at, s):
    an, c = r.uniform(0, 6.3), vivid(r)
    u = np.array([np.cos(an), np.sin(an)])
    v = np.array([-u[1], u[0]])
    gloss(r, t, capsule(at, at + u * s + v * s * r.uniform(-.25, .25), s * r.uniform(.16, .28)), c, h=s * .08)
    if r.random() < .7:
        gloss(r, t, capsule(at + u * s * .4, at + u * s * .9, s * .1), np.full(3, r.choice([25., 240.])), h=1)
    gloss(r, t, turn(CIRCLE, 0, at, s * r.uniform(.16, .24)), steel(r) if r.random() < .6 else c * .8, h=s * .04)
    t.lay(turn(CIRCLE, 0, at, s * .06), np.full(3, 30.) if r.random() < .5 else vivid(r), 0, height=1, bevel=.5)


def ruler(r, t, at, s):
    """A clear ruler: what lies under it keeps its id, lines and numerals lie over it; or an opaque one."""
    an = r.uniform(0, 6.3)
    w = s * r.uniform(.08, .45) if r.random() < .8 else s
    tint = np.array([235, 245, 240]) if r.random() < .6 else vivid(r)
    clear = r.random() < .75
    p = rect(at[0], at[1], s, w, an)
    t.lay(p, tint if clear or r.random() < .3 else np.array([215, 190, 130.]), None if clear else 0, height=3, alpha=r.uniform(.04, .3) if clear else 1, bevel=.6, cast=not clear or r.random() < .5)
    c = np.array([[20, 20, 20], [240, 225, 60], [255, 255, 255], [200, 40, 60]][int(r.integers(4))], float)
    u, v = np.array([np.cos(an), np.sin(an)]), np.array([-np.sin(an), np.cos(an)])
    o = np.asarray(at) - u * s / 2 - v * w / 2
    k = max(8., s / r.integers(6, 26))
    al = r.uniform(.5, 1)
    n = int(s / k) + 1
    t.strokes([[o + u * i * k, o + u * i * k + v * w * (1 if clear else .4)] for i in range(n)] +
              [[o + u * i * k / 4, o + u * i * k / 4 + v * min(w, k) * .2] for i in range(4 * n)], 1, c, alpha=al)
    if clear:
        t.strokes([[o + v * j * k, o + v * j * k + u * s] for j in range(int(w / k) + 1)], 1, c, alpha=al)
    numerals(r, t, [(i, o + u * i * k + v * k * .4) for i in range(1, min(25, int(s / k)))], c, k * .35, an)
    if clear:
        if r.random() < .5:  # lines at an angle
            for th in r.choice([30, 45, 60, 120, 135, 150], 2):
                q = at + u * r.uniform(-.4, .4) * s
                e = (u * np.cos(np.radians(th)) + v * np.sin(np.radians(th))) * w / 2 / np.sin(np.radians(th))
                t.stroke([q - e, q + e], 1, c, alpha=al)
        if r.random() < .3:
            t.glare(at + u * r.uniform(-.4, .4) * s, s * r.uniform(.02, .2), w * r.uniform(.1, .4), an, r.uniform(.3, 1.2))
    t.stroke(p, 1, np.full(3, r.uniform(150, 255)), closed=True, alpha=.7)


def pin(r, t, at, s):
    an = r.uniform(0, 6.3)
    u = np.array([np.cos(an), np.sin(an)])
    e = at + u * s
    t.stroke([at + t.light * 2, e + t.light * 2], 1, dark=.4)
    t.stroke([at, e], max(1, s / 30), steel(r), ident=0 if s > 60 else None)
    gloss(r, t, turn(CIRCLE, 0, at, max(1.5, s * r.uniform(.05, .12))), vivid(r) if r.random() < .8 else np.full(3, 245.), h=3)


def clip(r, t, at, s):
    an = r.uniform(0, 6.3)
    c = vivid(r)
    gloss(r, t, rounded(at[0], at[1], s, s * .4, an, s * .08), c, h=4)
    gloss(r, t, rounded(at[0], at[1], s * .4, s * .3, an, s * .05), np.minimum(255, c * 1.2), h=1)


def pencil(r, t, at, s):
    an = r.uniform(0, 6.3)
    u = np.array([np.cos(an), np.sin(an)])
    w = s * r.uniform(.03, .07)
    c = vivid(r) if r.random() < .7 else np.full(3, r.uniform(20, 240))
    rod(r, t, at - u * s / 2, at + u * s / 2, w, c)
    if r.random() < .6:
        gloss(r, t, capsule(at + u * s * .38, at + u * s / 2, w * .9, 3), np.array([225, 190, 150.]), h=1)


def spool(r, t, at, s):
    an, c = r.uniform(0, 6.3), colour(r)
    if r.random() < .45:  # seen from above
        gloss(r, t, turn(CIRCLE, 0, at, s * .5), c, h=s * .4)
        for q in np.arange(.46, .2, -.06):
            t.stroke(turn(CIRCLE, 0, at, s * q), 1, dark=.15, closed=True)
        gloss(r, t, turn(CIRCLE, 0, at, s * .2), np.array([220, 200, 160.]) if r.random() < .5 else np.full(3, 240.), h=1)
        t.lay(turn(CIRCLE, 0, at, s * .07), np.full(3, 25.), 0, height=0)
    else:
        u = np.array([np.cos(an), np.sin(an)])
        rod(r, t, at - u * s / 2, at + u * s / 2, s * .6, c)
        v = np.array([-u[1], u[0]])
        for i in np.arange(-.48, .48, .035):
            t.stroke([at + u * s * i - v * s * .3, at + u * s * (i + .02) + v * s * .3], 1, dark=.15)
        for sg in (-1, 1):
            rod(r, t, at + u * sg * s * .49, at + u * sg * s * .61, s * .7, np.array([220, 195, 150.]) if r.random() < .5 else vivid(r), h=2)


def iron(r, t, at, s):
    an, c = r.uniform(0, 6.3), vivid(r) if r.random() < .6 else np.full(3, r.uniform(200, 250))
    p = np.array([[-.5, -.3], [.1, -.3], [.35, -.18], [.55, 0], [.35, .18], [.1, .3], [-.5, .3]])
    gloss(r, t, turn(p, an, at, s), steel(r), h=s * .05)
    gloss(r, t, turn(p * .9, an, at, s), c, h=s * .05)
    gloss(r, t, turn(capsule([-.4, 0], [.2, 0], .14), an, at, s), np.full(3, r.choice([30., 235.])) if r.random() < .6 else vivid(r), h=s * .12)
    cable(r, t, turn([[-.5, 0]], an, at, s)[0], s * 2)


def cable(r, t, at, s):
    an = r.uniform(0, 6.3)
    p = [np.asarray(at, float)]
    for _ in range(30):
        an += r.normal(0, .25)
        p.append(p[-1] + s / 30 * np.array([np.cos(an), np.sin(an)]))
    c = np.full(3, r.choice([20., 60., 230.]))
    w = r.uniform(2, 8)
    t.stroke(np.array(p) + t.light * 4, w, dark=.3)
    t.stroke(p, w, c, ident=0)


def bottle(r, t, at, s):
    """A spray bottle, a glue or a can, lying or seen from the side, its label printed."""
    an = r.uniform(0, 6.3)
    u, w = np.array([np.cos(an), np.sin(an)]), s * r.uniform(.25, .5)
    c = np.full(3, r.uniform(170, 245)) if r.random() < .5 else colour(r)
    rod(r, t, at - u * s * .5, at + u * s * .3, w, c)
    rod(r, t, at + u * s * .3, at + u * s * .45, w * r.uniform(.3, .8), c, h=3)
    rod(r, t, at + u * s * .42, at + u * s * .6, w * r.uniform(.3, .6), vivid(r) if r.random() < .5 else np.full(3, 240.), h=3)
    if r.random() < .7:
        rod(r, t, at - u * s * .35, at + u * s * .15, w * .98, np.full(3, 240.) if r.random() < .5 else colour(r), h=0)
        writing(r, t, at - u * s * .1, w * .9, an + np.pi / 2, vivid(r) * .5)


def foot(r, t, at, s):
    """A shoe, a sock or a bare foot at the rim."""
    an = r.uniform(0, 6.3)
    u = np.array([np.cos(an), np.sin(an)])
    c = np.array([225, 180, 150.]) * r.uniform(.4, 1.1) if r.random() < .4 else colour(r)
    gloss(r, t, capsule(at - u * s * 2, at, s * .6), colour(r), h=s * .2)
    gloss(r, t, turn(blob(r, .2, 0, .35, 14, .06) * [1.8, 1.], an, at, s), c, h=s * .15)
    if r.random() < .5:
        t.strokes([turn([[.1 + .08 * k, -.15], [.14 + .08 * k, .15]], an, at, s) for k in range(5)], max(1, s * .02), np.full(3, 240.))


def buttons(r, t, at, s):
    for _ in range(int(r.integers(1, 9))):
        c, d, q = vivid(r) if r.random() < .7 else colour(r), s * r.uniform(.06, .16), at + r.normal(0, .3, 2) * s
        gloss(r, t, turn(CIRCLE, 0, q, d), c, h=d * .3)
        t.stroke(turn(CIRCLE, 0, q, d * .7), 1, dark=.3, closed=True)
        for e in turn([[-.2, -.2], [.2, .2], [.2, -.2], [-.2, .2]][:int(r.choice([2, 4]))], r.uniform(0, 3), q, d):
            t.lay(turn(CIRCLE, 0, e, max(1, d * .1)), c * .2, 0, height=0)


def hand(r, t, at, s):
    tone = np.array([[236, 200, 175], [215, 165, 130], [160, 110, 80], [100, 66, 48], [245, 215, 200]][int(r.integers(5))], float) + r.normal(0, 6, 3)
    an = r.uniform(0, 6.3)
    u, v = np.array([np.cos(an), np.sin(an)]), np.array([-np.sin(an), np.cos(an)])
    e = at - u * s * r.uniform(1.5, 4)
    gloss(r, t, capsule(e, at, s * .55), tone if r.random() < .6 else colour(r), h=s * .15)
    gloss(r, t, turn(blob(r, 0, 0, .42, 12, .12), an, at, s), tone, h=s * .12)
    for k in range(4):
        b = at + v * s * (.28 - .19 * k) + u * s * .2
        spread = (.28 - .19 * k) * r.uniform(.2, .8)
        f = b + (u + v * spread) * s * r.uniform(.4, .75)
        gloss(r, t, capsule(b, f, s * r.uniform(.14, .18)), tone + r.normal(0, 4), h=s * .08)
        if r.random() < .4:
            t.lay(turn(blob(r, 0, 0, .05, 8, .1), 0, f, s), tone * [1.05, .9, .92] if r.random() < .6 else vivid(r), 0, height=0)
    b = at + v * s * .3 * r.choice([-1, 1])
    gloss(r, t, capsule(b, b + u * s * .35 + (b - at) * .7, s * .18), tone, h=s * .08)


def cup(r, t, at, s):
    c = colour(r)
    gloss(r, t, turn(CIRCLE, 0, at, s * .5), c, h=s * .3)
    t.lay(turn(CIRCLE, 0, at, s * .42), c * .6, 0, height=0, bevel=-.8)
    t.lay(turn(CIRCLE, 0, at, s * .38), np.array([70, 40, 20.]) if r.random() < .5 else colour(r), 0, height=0)
    if r.random() < .6:
        t.stroke(turn(CIRCLE * .18, 0, at + np.array([s * .58, 0])), s * .06, c, closed=True, ident=0)


def ball(r, t, at, s):
    """Round things: pumpkins, pincushions, yarn, fruit."""
    c = vivid(r)
    p = turn(blob(r, 0, 0, .5, 24, .04), 0, at, s)
    t.shadow(p, s * .25)
    b = t.box(p)
    if b is None:
        return
    yy, xx = np.mgrid[b[1]:b[3], b[0]:b[2]].astype(np.float32)
    d = np.hypot(xx - at[0] + t.light[0] * s * .15, yy - at[1] + t.light[1] * s * .15) / (s * .5)
    f = np.clip(1.25 - .75 * d ** 2, .2, 1.4)
    if r.random() < .5:
        f = f * (1 + .12 * np.cos(np.arctan2(yy - at[1], xx - at[0]) * r.integers(6, 14)))
    t.lay(p, c, 0, height=0, shade=f.astype(np.float32), cast=False, grain=r.uniform(0, 8))


def machine(r, t, at, s):
    """A sewing machine's bed or any large smooth apparatus, mostly white."""
    c = np.full(3, r.uniform(190, 250)) if r.random() < .7 else colour(r)
    an = r.choice([0, 1.57]) + r.normal(0, .2)
    gloss(r, t, rounded(at[0], at[1], s * 2, s * .8, an, s * .15), c, h=s * .15)
    if r.random() < .7:
        gloss(r, t, rounded(at[0], at[1], s * .6, s * .35, an, s * .05), steel(r), h=2)
    for _ in range(int(r.integers(0, 5))):
        q = turn([r.uniform(-.9, .9, 1)[0:1].tolist() + [r.uniform(-.3, .3)]], an, at, s)[0]
        gloss(r, t, turn(CIRCLE, 0, q, s * r.uniform(.03, .1)), vivid(r) if r.random() < .5 else np.full(3, 60.), h=2)


def phone(r, t, at, s):
    an = r.uniform(0, 6.3)
    c = np.full(3, r.uniform(10, 60)) if r.random() < .6 else vivid(r)
    gloss(r, t, rounded(at[0], at[1], s, s * .5, an, s * .07), c, h=4)
    if r.random() < .5:
        t.lay(rounded(at[0], at[1], s * .92, s * .44, an, s * .04), colour(r), 0, height=0)


def book(r, t, at, s):
    an = r.normal(0, .5)
    t.lay(rect(at[0], at[1], s, s * r.uniform(.6, 1.3), an), colour(r), 0, height=s * .06, bevel=.4, grain=2)
    u, v = np.array([np.cos(an), np.sin(an)]), np.array([-np.sin(an), np.cos(an)])
    for _ in range(int(r.integers(2, 14))):
        q = at + u * s * r.uniform(-.35, .35) + v * s * r.uniform(-.3, .3)
        if r.random() < .5:
            t.lay(rect(q[0], q[1], s * r.uniform(.05, .4), s * r.uniform(.02, .3), an), colour(r), 0, height=0, cast=False)
        else:
            numerals(r, t, [(int(r.integers(10 ** 4)), q)], colour(r), s * r.uniform(.03, .12), an)


def picture(r, t, at, s, an):
    """A printed picture of patchwork: no cloth."""
    cs = [colour(r) for _ in range(int(r.integers(2, 6)))]
    org = at - turn([[s / 2, s / 2]], an, 0)[0]
    for p, role in top(r, s, s, s * r.uniform(.08, .3)):
        t.lay(turn(p, an, org), cs[role % len(cs)], 0, height=0)


def scribble(r, t, at, w, an, c, n=None):
    """A line of handwriting or print."""
    u, v = np.array([np.cos(an), np.sin(an)]), np.array([-np.sin(an), np.cos(an)])
    x = np.arange(0, w, max(1.5, w / 40))
    h = w * r.uniform(.03, .1)
    z = r.normal(0, 1, len(x)) * h
    t.stroke(np.asarray(at) - u * w / 2 + u * x[:, None] + v * z[:, None], max(1, w / 90), c, alpha=r.uniform(.5, 1))


def paper(r, t, at, s, ident=WHITE, shape=None, an=None, h=1.):
    """A sheet, a label or a template of white paper; with writing, lines, or none. ident LABEL: on a piece."""
    an = r.uniform(0, 6.3) if an is None else an
    w = r.uniform(225, 255)
    c = np.array([w, w - r.uniform(0, 4), w - r.uniform(0, 10)])
    if r.random() < .06:  # coloured paper is no white
        c, ident = colour(r), 0
    p = rect(at[0], at[1], s, s * r.choice([.7727, .7071, .63, 1., .4]), an) if shape is None else shape
    t.lay(p, c, ident, height=h, bevel=.15, grain=1)
    ink = np.array([[30, 30, 35], [30, 40, 120], [150, 30, 30], [120, 120, 120]][int(r.integers(4))], float)
    v = np.array([-np.sin(an), np.cos(an)])
    k = r.random()
    m = p.mean(0)
    if k < .15:
        for j in range(int(r.integers(1, 8))):
            scribble(r, t, m + v * s * (-.3 + .09 * j) * .7, s * r.uniform(.2, .7), an, ink)
    elif k < .75:
        writing(r, t, m, s * r.uniform(.5, 1.1), an, ink)
        if k < .35:  # a pattern piece: its seam line
            t.stroke((p - m) * r.uniform(.75, .93) + m, 1, ink, closed=True, alpha=.7)
    elif k < .8:
        picture(r, t, m, s * .35, an)


def bag(r, t, at, s):
    """Clear plastic: glints over what lies under it; a zip, or pockets welded in."""
    an, h = r.uniform(0, 6.3), s * r.uniform(.6, 1.4)
    p = rect(at[0], at[1], s, h, an)
    t.lay(p, np.full(3, 235.), None, height=2, alpha=r.uniform(.05, .25), cast=False)
    if r.random() < .4:
        u, v = np.array([np.cos(an), np.sin(an)]) * s, np.array([-np.sin(an), np.cos(an)]) * h
        gloss(r, t, capsule(at - u * .5 - v * .46, at + u * .5 - v * .46, s * r.uniform(.02, .06)), vivid(r), h=2)
    elif r.random() < .4:
        n, u, v = int(r.integers(2, 6)), np.array([np.cos(an), np.sin(an)]) * s, np.array([-np.sin(an), np.cos(an)]) * h
        t.strokes([[at + u * (k / n - .5) - v / 2, at + u * (k / n - .5) + v / 2] for k in range(n + 1)] + [[at - u / 2 + v * (k / n - .5), at + u / 2 + v * (k / n - .5)] for k in range(n + 1)], r.uniform(1, 5), np.full(3, 250.), alpha=r.uniform(.2, .7))
    for _ in range(int(r.integers(4, 22))):
        q = at + r.uniform(-.5, .5, 2) * s * .8
        e = q + r.normal(0, .15, 2) * s
        t.stroke([q, (q + e) / 2 + r.normal(0, .03, 2) * s, e], r.uniform(1, 5), np.full(3, 255.), alpha=r.uniform(.2, .8))
    t.stroke(p, 2, np.full(3, 245.), closed=True, alpha=.5)


def tape(r, t, at, s):
    """A measuring tape, lying in a curve."""
    an = r.uniform(0, 6.3)
    p = [np.asarray(at, float)]
    for _ in range(50):
        an += r.normal(0, .12)
        p.append(p[-1] + s / 25 * np.array([np.cos(an), np.sin(an)]))
    p = np.array(p)
    w = s * r.uniform(.05, .12)
    c = np.array([240, 215, 60.]) if r.random() < .5 else np.full(3, 240.)
    t.stroke(p + t.light * 3, w, dark=.3)
    t.stroke(p, w, c, ident=0)
    d = np.gradient(p, axis=0)
    q = np.stack([-d[:, 1], d[:, 0]], 1) / np.maximum(1e-6, np.hypot(*d.T))[:, None]
    for i in range(0, 51):
        t.stroke([p[i] - q[i] * w * .45, p[i] - q[i] * w * (.1 if i % 5 else -.4)], 1, np.full(3, 20.))


def thread(r, t, at, s):
    for _ in range(int(r.integers(1, 6))):
        an = r.uniform(0, 6.3)
        p = [at + r.normal(0, s * .1, 2)]
        for _ in range(25):
            an += r.normal(0, .5)
            p.append(p[-1] + s / 30 * np.array([np.cos(an), np.sin(an)]))
        t.stroke(p, 1, colour(r), alpha=r.uniform(.4, 1))


def box(r, t, at, s):
    """A tin, tray or bin, seen from above, with its inside."""
    an, c = r.normal(0, .3), colour(r)
    w, h = s * r.uniform(.6, 1.4), s
    rad = r.choice([3, s * .1, s * .5])
    gloss(r, t, rounded(at[0], at[1], w, h, an, rad), c, h=s * .15)
    t.lay(rounded(at[0], at[1], w * .9, h * .9, an, rad * .9), c * r.uniform(.3, .8), 0, height=0, bevel=-1.)


SMALL = [pin, clip, thread, pin]
TOOLS = [scissors, cutter, ruler, pencil, spool, iron, cable, hand, cup, ball, machine, phone, book, bag, tape, box, scissors, cutter, ruler, ruler, spool, hand, bottle, foot, buttons, bag]


def scatter(r, t, n, over=True):
    """n tools anywhere; under the cloth or over it."""
    for _ in range(n):
        f = TOOLS[int(r.integers(len(TOOLS)))]
        if over and f in (machine, book, box, foot) and r.random() < .7:
            continue
        s = t.n * r.uniform(.06, .32)
        # more at the rim than in the middle
        at = t.n * (.5 + np.sign(r.uniform(-1, 1, 2)) * r.beta(1.6, 1., 2) * .5)
        f(r, t, at, s)


def small(r, t, n):
    for _ in range(n):
        f = SMALL[int(r.integers(len(SMALL)))]
        f(r, t, t.n * r.uniform(.1, .9, 2), t.n * r.uniform(.015, .06))


def white_reference(r, t):
    """A sheet or a card laid beside the cloth."""
    at = t.n * r.uniform(.12, .88, 2)
    w = r.uniform(225, 254)
    c = np.array([w, w - r.uniform(0, 3), w - r.uniform(0, 8)])
    an = r.uniform(0, 6.3)
    if r.random() < .5:
        s = t.n * r.uniform(.06, .16)
        t.lay(rounded(at[0], at[1], s, s * 53.98 / 85.6, an, s * .037), c, WHITE, height=1.5, bevel=.15)
    else:
        s = t.n * r.uniform(.15, .4)
        t.lay(rect(at[0], at[1], s, s * r.choice([.7727, .7071]), an), c, WHITE, height=1, bevel=.1)
        if r.random() < .15:
            for j in range(6):
                scribble(r, t, at + r.normal(0, s * .1, 2), s * .4, an, np.full(3, 40.))
