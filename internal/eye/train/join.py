"""join.py NOTE OUT.json PAIRS.csv… : fits the probability that two fragments are of one piece

Reads what `go run ./cmd/truth joins FOLDER…` wrote and writes internal/find/join.json, with
NOTE on what it was fitted on: a logistic regression on the signs, centred and scaled, with
a layer of HIDDEN units beside it. Fewer units, or none, join less well on photos held out.
With --check each photo is first held out once by fifths, and it prints how well it does.
"""
import os
os.environ['OMP_NUM_THREADS'] = '1'  # so small a net is slower on many threads
import csv, datetime, json, sys
import numpy as np
import torch

HIDDEN, STEPS, BATCH, REACH = 16, 1200, 1024, 6
CHECK = '--check' in sys.argv
NOTE, OUT, *FILES = [a for a in sys.argv[1:] if a != '--check']
ROWS = [r for f in FILES for r in csv.reader(open(f))]
HEAD = ROWS[0]
ROWS = [r for r in ROWS if r != HEAD]
V = np.array([r[1:] for r in ROWS], np.float32)
y, weight, X = V[:, 0], V[:, 1], V[:, 2:]
photos, photo = np.unique([r[0] for r in ROWS], return_inverse=True)
# A photo with thousands of pairs must not drown the others.
weight = weight / np.sqrt(np.bincount(photo))[photo].astype(np.float32)
weight /= weight.mean()
mean, sd = X.mean(0), X.std(0) + 1e-6
Z = np.clip((X - mean) / sd, -REACH, REACH)  # signs have long tails, and much of what is of one piece lies there


class Net(torch.nn.Module):
    def __init__(self):
        super().__init__()
        self.line, self.hidden, self.out = torch.nn.Linear(Z.shape[1], 1), torch.nn.Linear(Z.shape[1], HIDDEN), torch.nn.Linear(HIDDEN, 1, bias=False)
        torch.nn.init.zeros_(self.line.weight)
        self.line.bias.data.fill_(-3)  # few pairs are of one piece
        self.out.weight.data *= .3

    def forward(self, z): return (self.line(z) + self.out(torch.relu(self.hidden(z))))[:, 0]


def fit(rows):
    torch.manual_seed(1)
    net = Net()
    z, t, w = (torch.tensor(a[rows]) for a in (Z, y, weight))
    adam = torch.optim.AdamW(net.parameters(), weight_decay=1)
    rate = torch.optim.lr_scheduler.OneCycleLR(adam, 1e-2, total_steps=STEPS)
    for _ in range(STEPS):
        k = torch.randint(0, len(t), (BATCH,))
        loss = (torch.nn.functional.binary_cross_entropy_with_logits(net(z[k]), t[k], reduction='none') * w[k]).mean()
        adam.zero_grad(); loss.backward(); adam.step(); rate.step()
    return net


held = 'not measured'
if CHECK:
    fold, p = np.random.default_rng(1).permutation(len(photos))[photo] % 5, np.zeros(len(y))
    for k in range(5):
        net = fit(fold != k)
        with torch.no_grad(): p[fold == k] = torch.sigmoid(net(torch.tensor(Z[fold == k]))).numpy()
    held = 'Brier %.4f' % np.average((p - y) ** 2, weights=weight)
    print('held out: %d pairs of %d photos, of one piece %.3f, %s' % (len(y), len(photos), y.mean(), held))
    for lo in np.arange(0, 1, .1):
        m = (p >= lo) & (p < lo + .1 + (lo > .85))
        if m.any(): print('  %.1f to %.1f: said %.3f, of one piece %.3f of %d' % (lo, lo + .1, np.average(p[m], weights=weight[m]), np.average(y[m], weights=weight[m]), m.sum()))
net = fit(np.ones(len(y), bool))
short = lambda v: [float('%.5g' % x) for x in v]
row = lambda layer: [short([b] + list(w)) for b, w in zip(layer.bias.tolist(), layer.weight.tolist())]
json.dump(dict(made=str(datetime.date.today()), fitted_on='%d pairs of %d photos: %s' % (len(y), len(photos), NOTE), held_out=held, licence='MIT, as the rest of Piecebag',
               signs=HEAD[3:], mean=short(mean), sd=short(sd), reach=REACH, log_odds=row(net.line)[0], hidden=row(net.hidden), out=short(net.out.weight[0].tolist())), open(OUT, 'w'), indent=None)
