"""Scenes of cloth, made flat and then seen by a camera: pictures with exact truth, without end.

    compose.py --look out.png --seed 1 --count 24     a sheet to look at
    compose.py --out DIR --first 0 --step 1           raw scenes for train.py
    compose.py --truth DIR --seed 1 --count 24        photos with truth beside them, to measure

After the dead-leaves model (Lee, Mumford and Huang 2001): textured shapes laid
one over another; here in the ways a sewing table shows them.
"""
import argparse
import json
import os
import struct
import sys
import time

import cv2
import numpy as np

import clutter
import grounds
import layouts
import light
import others
import stacks
from layouts import BOARD, KINDS, NONE, PILE, SPREAD, STACK
from prints import Shelf
from table import CELL, LABEL, Table, WHITE

# the ways cloth lies, the kind of photo that makes (None: in doubt), and how often each is drawn
WAYS = [(layouts.loose, SPREAD, 4.), (layouts.units, SPREAD, 2.5), (stacks.piles, SPREAD, 1.8), (layouts.templates, SPREAD, .8), (stacks.bundles, None, 1.3), (layouts.fan, None, 1.2),
        (layouts.strips, None, .8), (stacks.rolls, None, .3), (layouts.board, BOARD, 2.6), (layouts.quilt, BOARD, 3.), (layouts.heap, PILE, 3.),
        (stacks.stack, STACK, 3.2), (stacks.shelves, STACK, .9), (None, NONE, 1.8)]
ODDS = np.array([w for _, _, w in WAYS]) / sum(w for _, _, w in WAYS)
SIDE = 1180  # canvas, pixels
G = 16       # the field of white is G x G


def camera(r, t, w, h):
    """The canvas as a photo of w x h pixels: turn, tilt up to 50 degrees, framing, light, lens blur by depth, tone.

    Returns rgb, ids and the white (G, G, 3) in the middle of equal cells of the photo.
    """
    n = t.n
    tilt = np.radians(r.choice([r.uniform(0, 6), r.uniform(0, 25), r.uniform(15, 50)], p=[.45, .35, .2]))
    az, roll = r.uniform(0, 2 * np.pi) if r.random() < .3 else np.pi / 2 + r.normal(0, .2), r.normal(0, .06)
    f = r.uniform(1.2, 2.6)                     # focal length over canvas side
    # keep the whole photo on the canvas: the smallest zoom at which its corners fall inside
    def H(zoom):
        Rz = lambda a: np.array([[np.cos(a), -np.sin(a), 0], [np.sin(a), np.cos(a), 0], [0, 0, 1]])
        Rx = np.array([[1, 0, 0], [0, np.cos(tilt), -np.sin(tilt)], [0, np.sin(tilt), np.cos(tilt)]])
        R = Rz(roll) @ Rx @ Rz(np.pi / 2 - az)
        P = np.column_stack([R[:, 0], R[:, 1], np.array([0, 0, f])])      # plane z = 0, camera at distance f
        K = np.array([[zoom * w, 0, w / 2], [0, zoom * w, h / 2], [0, 0, 1.]])
        N = np.array([[1 / n, 0, -.5], [0, 1 / n, -.5], [0, 0, 1.]])
        return K @ P @ N
    corners = np.array([[0, 0, 1], [w, 0, 1], [w, h, 1], [0, h, 1.]]).T
    zoom = 1.
    for _ in range(60):
        q = np.linalg.inv(H(zoom)) @ corners
        ok = (q[2] > 1e-6).all()
        q = (q[:2] / q[2]).T
        if ok and q.min() >= 0 and q.max() <= n:
            break
        zoom *= 1.06
    zoom *= r.uniform(1, 1.15)
    M = H(zoom)
    light.shine(r, t, M, w, h)
    rgb = cv2.warpPerspective(np.clip(t.rgb, 0, 255).astype(np.uint8), M, (w, h), flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT)
    ids = cv2.warpPerspective(t.ids, M, (w, h), flags=cv2.INTER_NEAREST, borderMode=cv2.BORDER_CONSTANT, borderValue=0)
    at = (np.stack(np.meshgrid(np.arange(G), np.arange(G)), -1) + .5) / G * [w, h] - .5
    at = (cv2.perspectiveTransform(at, np.linalg.inv(M)) + .5) / CELL - .5
    white = cv2.GaussianBlur(t.white, (0, 0), .35 * np.hypot(*(at[G // 2, G // 2 + 1] - at[G // 2, G // 2])))  # what a cell sees
    white = cv2.remap(white, at.astype(np.float32), None, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    if tilt > .3 and r.random() < .5 or r.random() < .05:                 # depth of field
        y = np.linspace(-1, 1, h)[:, None] * np.sin(az) + np.linspace(-1, 1, w)[None] * np.cos(az)
        d = np.clip(np.abs(y - r.uniform(-.6, .6)) - r.uniform(.1, .6), 0, 1)[..., None].astype(np.float32)
        b = cv2.GaussianBlur(rgb, (0, 0), r.uniform(1., 3.))
        k = np.minimum(1, d * 2)
        rgb = (rgb * (1 - k) + b * k).astype(np.uint8)
    if r.random() < .4:
        curve = light.tone(r)
        rgb = cv2.LUT(rgb, (np.clip(curve(np.linspace(0, 1, 256)[:, None] * np.ones(3)), 0, 1) * 255).round().astype(np.uint8)[None])
        white = curve(white)
    return rgb, ids, white


def scene(seed, shelf, table=Table):
    """One scene. Returns rgb uint8 (h, w, 3), ids uint16 (h, w), kind 0..4 or 255 where it is in doubt, white (G, G, 3)."""
    r = np.random.default_rng([seed, 4])
    t = table(r, SIDE)
    t.pale = r.random() < .3                                              # much white cloth, often on white or grey, in soft light
    if t.pale and r.random() < .6:
        t.hard, t.dark = t.hard * .4, t.dark * .6
    grounds.lay_ground(r, t, shelf)
    f, kind, _ = WAYS[int(r.choice(len(WAYS), p=ODDS))]
    if r.random() < .4:
        clutter.scatter(r, t, int(r.integers(1, 6)), over=False)
    if r.random() < .24:
        clutter.white_reference(r, t)
    if f is not None:
        m = layouts.Manner(r, t, shelf)
        f(m)
        if f in (layouts.loose, layouts.units) and r.random() < .2:       # two ways in one photo
            layouts.Manner.__init__(m, r, t, shelf)
            (layouts.loose, layouts.units, layouts.heap, layouts.fan, stacks.piles)[int(r.integers(5))](m)
            kind = None
        if r.random() < .12:
            clutter.small(r, t, int(r.integers(1, 12)))
    else:
        if r.random() < .55:
            others.paint(r, t)
        clutter.scatter(r, t, int(r.integers(0, 9)))
        for _ in range(int(r.integers(0, 3))):
            clutter.paper(r, t, t.n * r.uniform(.1, .9, 2), t.n * r.uniform(.05, .4))
    if r.random() < .38:
        clutter.scatter(r, t, int(r.choice([1, 1, 2, 3])))
    if r.random() < .06:
        clutter.white_reference(r, t)
    # shadows of things outside the photo
    if r.random() < .2:
        q = np.cumsum(r.normal(0, 1, (6, 2)), 0) * t.n * .2 + t.n * r.uniform(0, 1, 2)
        t.shadow(q, t.n * r.uniform(.02, .3), r.uniform(.1, .5))
    long = int(r.choice([640, 800, 960, 1024, 1152]))
    asp = r.choice([.75, .75, .75, .5625, 1., .667])
    w, h = (long, int(long * asp)) if r.random() < .6 else (int(long * asp), long)
    rgb, ids, white = camera(r, t, w, h)
    if r.random() < .25:                                                  # a photo that was small once
        s = r.uniform(.35, .8)
        q = cv2.resize(rgb, None, fx=s, fy=s, interpolation=cv2.INTER_AREA)
        rgb = cv2.resize(q, (w, h), interpolation=cv2.INTER_CUBIC)
    if r.random() < .1:                                                   # shake
        n = int(r.integers(3, 9))
        K = np.zeros((n, n), np.float32)
        cv2.line(K, (0, int(r.integers(n))), (n - 1, int(r.integers(n))), 1)
        rgb = cv2.filter2D(rgb, -1, K / K.sum())
    if r.random() < .7:
        rgb = cv2.imdecode(cv2.imencode('.jpg', rgb, [cv2.IMWRITE_JPEG_QUALITY, int(r.integers(35, 96))])[1], cv2.IMREAD_COLOR)
    # pieces in view numbered from 1
    seen = np.flatnonzero(np.bincount(ids.ravel()))
    seen = seen[(seen > 0) & (seen != WHITE)]
    pieces = np.unique(seen & (LABEL - 1))
    lut = np.zeros(1 << 16, np.uint16)
    lut[WHITE] = WHITE
    lut[seen] = np.searchsorted(pieces, seen & (LABEL - 1)) + 1 | seen & LABEL
    if not len(pieces):
        kind = NONE
    return rgb, lut[ids], 255 if kind is None else kind, white


def write(path, rgb, ids, kind, white):
    h, w = ids.shape
    with open(path + '.tmp', 'wb') as f:
        f.write(struct.pack('<5I', w, h, kind, 16, G))
        f.write(rgb.tobytes())
        f.write(ids.tobytes())
        f.write(white.astype('<f2').tobytes())
    os.rename(path + '.tmp', path)


def write_truth(folder, name, rgb, ids, kind):
    """A picture with its truth in the form that `cmd/truth` reads: outlines alone are true."""
    white = (ids == WHITE) | (ids >= LABEL)
    m = np.where(ids == WHITE, 0, ids & (LABEL - 1)).astype(np.uint16)
    area = np.bincount(m.ravel())
    h, w = m.shape
    pieces = []
    for i in range(1, len(area)):
        if not area[i]:
            continue
        c = rgb[(m == i) & ~white] if ((m == i) & ~white).any() else rgb[m == i]
        pieces.append(dict(id=i, print_id='', size_measurable=False, ignore=bool(area[i] < 400), albedo_mean_lab=[0, 0, 0], albedo_mean_hex='#%02x%02x%02x' % tuple(int(v) for v in c.mean(0)), dominant=[]))
    cv2.imwrite(os.path.join(folder, name + '.jpg'), rgb[:, :, ::-1], [cv2.IMWRITE_JPEG_QUALITY, 92])
    cv2.imwrite(os.path.join(folder, name + '_mask.png'), m)
    with open(os.path.join(folder, name + '.json'), 'w') as f:
        json.dump(dict(id=name, image=name + '.jpg', mask=name + '_mask.png', type=KINDS[kind] if kind < 4 else 'spread', level=2, width=w, height=h, has_reference=False, scale=dict(px_per_inch_center=0), pieces=pieces), f)


def tint(ids):
    z = np.random.default_rng(3).integers(60, 255, (65536, 3), dtype=np.uint8)
    z[0] = 0
    z[WHITE] = 255
    return z[ids]


if __name__ == '__main__':
    ap = argparse.ArgumentParser()
    ap.add_argument('--out')
    ap.add_argument('--look')
    ap.add_argument('--truth')
    ap.add_argument('--seed', type=int, default=1)
    ap.add_argument('--first', type=int, default=0)
    ap.add_argument('--step', type=int, default=1)
    ap.add_argument('--count', type=int, default=24)
    ap.add_argument('--swatches')
    ap.add_argument('--most', type=int, default=600, help='wait while the folder holds more scenes than this')
    a = ap.parse_args()
    cv2.setNumThreads(1)
    shelf = Shelf(np.random.default_rng([a.seed, a.first, 9]), 160 if a.out else 60, a.swatches)
    if a.look:
        cells = []
        for i in range(a.count):
            rgb, ids, kind, _ = scene(a.seed + i, shelf)
            s = 300 / max(ids.shape)
            both = np.concatenate([cv2.resize(rgb, None, fx=s, fy=s, interpolation=cv2.INTER_AREA), cv2.resize(tint(ids), None, fx=s, fy=s, interpolation=cv2.INTER_NEAREST)], 1)
            cell = np.full((300, 600, 3), 90, np.uint8)
            cell[:both.shape[0], :both.shape[1]] = both[:300, :600]
            cells.append(cell)
        rows = [np.concatenate(cells[i:i + 4], 1) for i in range(0, len(cells) - 3, 4)]
        cv2.imwrite(a.look, np.concatenate(rows, 0)[:, :, ::-1])
        sys.exit()
    if a.truth:
        os.makedirs(a.truth, exist_ok=True)
        for i in range(a.count):
            rgb, ids, kind, _ = scene(a.seed + i, shelf)
            write_truth(a.truth, 'flat-%06d' % (a.seed + i), rgb, ids, kind)
        sys.exit()
    i, bad = a.first, 0
    while True:
        try:
            write(os.path.join(a.out, '%010d.raw' % i), *scene(a.seed * 10_000_000 + i, shelf))
        except Exception as e:  # one bad draw must not end the stream, but a fault must not thin it out unseen
            print('scene', i, repr(e), file=sys.stderr)
            bad += 1
            if bad > 3 + (i - a.first) / a.step / 50:
                raise
        shelf.renew(2)
        i += a.step
        while len(os.listdir(a.out)) > a.most:
            time.sleep(.3)
