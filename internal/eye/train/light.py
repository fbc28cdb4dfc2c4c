"""What a room's light does over the whole table: lamps, windows, hard sun, shadows of what stands outside the photo."""
import cv2
import numpy as np

from table import rect

COARSE = 4  # canvas pixels a pixel of the field of light


def smooth(r, n, cells):
    return cv2.resize(r.standard_normal((cells, cells)).astype(np.float32), (n, n), interpolation=cv2.INTER_CUBIC)


def lamp(r, n):
    """A lamp near by: a round fall of light in its own colour."""
    y, x = np.mgrid[0:n, 0:n].astype(np.float32) / n
    at, s = r.uniform(-.3, 1.3, 2), r.uniform(.25, 1.)
    f = np.exp(-((x - at[0]) ** 2 + (y - at[1]) ** 2) / (2 * s * s))
    return r.uniform(.3, 1.2) * f[..., None] * np.exp(r.normal(0, .12, 3) + np.array([.1, 0, -.15]))


def window(r, n):
    """Where hard sun falls through panes, blinds or leaves: share of sun, 0..1."""
    m = np.zeros((n, n), np.uint8)
    an, k = r.uniform(0, 6.3), r.random()
    if k < .4:    # panes
        w, h = n * r.uniform(.1, .6, 2)
        c, s = np.cos(an), np.sin(an)
        lean = r.normal(0, .4)
        at = n * r.uniform(.1, .9, 2)
        for i in range(int(r.integers(1, 4))):
            for j in range(int(r.integers(1, 4))):
                q = rect(i * w * 1.12, j * h * 1.12, w, h, 0)
                q[:, 0] += lean * q[:, 1]
                cv2.fillPoly(m, [np.round((q @ np.array([[c, s], [-s, c]]) + at) * 16).astype(np.int32)], 255, cv2.LINE_AA, 4)
    elif k < .6:  # blinds
        y, x = np.mgrid[0:n, 0:n].astype(np.float32)
        p = n * r.uniform(.03, .2)
        m[((x * np.cos(an) + y * np.sin(an)) % p) < p * r.uniform(.3, .7)] = 255
    elif k < .8:  # the edge of a wall
        y, x = np.mgrid[0:n, 0:n].astype(np.float32) / n
        m[x * np.cos(an) + y * np.sin(an) > r.uniform(-.5, .9)] = 255
    else:         # leaves
        m[smooth(r, n, int(r.integers(6, 26))) > r.uniform(-.6, .6)] = 255
    return cv2.GaussianBlur(m, (0, 0), np.exp(r.uniform(-1, 2))).astype(np.float32)[..., None] / 255


def shine(r, t, M, w, h):
    """Multiplies the light of the room and the lens of a photo w x h, seen by M, into the picture and the field of white."""
    n = -(-t.n // COARSE)
    f = np.full((n, n, 3), r.uniform(.7, 1.), np.float32)
    if r.random() < .4:
        f *= np.exp(r.uniform(.03, .25) * smooth(r, n, 3))[..., None]
    for _ in range(int(r.choice([0, 1, 2], p=[.6, .25, .15]))):
        f += lamp(r, n)
    if r.random() < .11:
        f *= 1 + window(r, n) * (np.exp(r.normal(0, .06, 3)) * r.uniform(1.2, 2.2) - 1)
    if r.random() < .75:  # exposed so that the light parts of the picture come out light
        lit = cv2.resize(t.rgb[::COARSE, ::COARSE].max(2), (n, n)) * f[..., 1]
        f *= np.clip(r.uniform(.85, 1.25 if t.pale else 1.1) * 255 / np.percentile(lit[::4, ::4], 97), .5, 1.7)
    else:
        f *= r.uniform(.6, 1.25) / np.percentile(f[::8, ::8], 90)
    f = f * np.exp(r.normal(0, .03, 3))
    if r.random() < .25:  # the lens is darker to the rim
        p = np.stack(np.meshgrid(np.arange(n), np.arange(n)), -1) * float(COARSE)
        d = cv2.perspectiveTransform(p, M) / [w / 2, h / 2] - 1
        f *= 1 - r.uniform(.05, .4) * np.minimum(1.2, (d ** 2).sum(-1, keepdims=True) / 2) ** r.uniform(.8, 2)
    f = f.astype(np.float32)
    t.rgb *= cv2.resize(f, (t.n, t.n))
    t.white *= cv2.resize(f, t.white.shape[:2], interpolation=cv2.INTER_AREA)


def tone(r):
    """A phone's tone curve or a filter: a function of values 0..1 and, where overexposed, above."""
    g, k = np.exp(r.normal(0, .15)) * np.exp(r.normal(0, .03, 3)), r.uniform(-.25, .5)
    low = r.uniform(0, .12, 3) if r.random() < .2 else 0

    def curve(x):
        y = np.minimum(x, 1)
        return low + (1 - low) * (x ** g + k * (y * y * (3 - 2 * y) - y))
    return curve
