"""calibrate.py NOTE OUT.json SIGNS.csv… : fits trust, the probability that an outline reaches IoU 0.75

Reads what `go run ./cmd/truth signs FOLDER…` wrote, fits a logistic regression on
the signs, each photo held out once by fifths, prints
how well it does on those held out, and writes internal/find/trust.json, with NOTE on what it
was fitted on.
"""
import csv, datetime, json, sys
import numpy as np

NOTE, OUT, *FILES = sys.argv[1:]
ROWS = [r for f in FILES for r in csv.DictReader(open(f)) if float(r['overlap']) >= 0]
NAMES = [n for n in ROWS[0] if n not in ('photo', 'kind', 'overlap')]
X = np.array([[float(r[n]) for n in NAMES] for r in ROWS]); y = np.array([float(r['overlap']) >= .75 for r in ROWS], float)
photo = np.array([r['photo'] for r in ROWS]); fold = {p: i % 5 for i, p in enumerate(np.random.default_rng(1).permutation(np.unique(photo)))}
fold = np.array([fold[p] for p in photo])
# A photo with hundreds of outlines must not drown the others.
weight = np.array([1 / np.sqrt((photo == p).sum()) for p in photo]); weight /= weight.mean()
mean, sd = X.mean(0), X.std(0) + 1e-9


def terms(X):
    z = np.clip((X - mean) / sd, -3, 3)
    return np.column_stack([np.ones(len(z)), z])


def fit(T, y, w, ridge=3.0):
    b = np.zeros(T.shape[1]); R = ridge * np.eye(len(b)); R[0, 0] = 0
    for _ in range(40):        # Newton's method
        p = 1 / (1 + np.exp(-T @ b)); h = w * p * (1 - p) + 1e-9
        b += np.linalg.solve(T.T @ (h[:, None] * T) + R, T.T @ (w * (y - p)) - R @ b)
    return b


T = terms(X); p = np.zeros(len(y))
for k in range(5):
    p[fold == k] = 1 / (1 + np.exp(-T[fold == k] @ fit(T[fold != k], y[fold != k], weight[fold != k])))
print('held out: %d outlines, right %.3f, Brier %.4f; at trust .9 and more: %d, right %.3f, of all right ones %.3f' % (
    len(y), y.mean(), ((p - y) ** 2).mean(), (p >= .9).sum(), y[p >= .9].mean(), y[p >= .9].sum() / y.sum()))
for lo in np.arange(0, 1, .1):
    m = (p >= lo) & (p < lo + .1 + (lo > .85))
    if m.any(): print('  %.1f to %.1f: said %.3f, right %.3f of %d' % (lo, lo + .1, p[m].mean(), y[m].mean(), m.sum()))
b = fit(T, y, weight); short = lambda v: [float('%.5g' % x) for x in v]
for t in (0, .1, .15, .2, .25, .3, .4, .5):      # for a least trust: how many right and wrong outlines go
    print('  said from %.2f: %d right, %d wrong' % (t, y[p >= t].sum(), (1 - y)[p >= t].sum()))
json.dump(dict(made=str(datetime.date.today()), fitted_on='%d outlines of %d photos: %s' % (len(y), len(set(photo)), NOTE), held_out='Brier %.4f' % ((p - y) ** 2).mean(), licence='MIT, as the rest of Piecebag',
               signs=NAMES, mean=short(mean), sd=short(sd), log_odds=short(b), reach=3), open(OUT, 'w'), indent=1)
