"""export.py CHECKPOINT WEIGHTS --photos FOLDER [--activations FILE] [--meta KEY=VALUE …]

Writes a trained net as the file that internal/eye embeds: batch norm folded,
int8 weights with a scale for each output channel, int16 activations with a
scale for each layer, chosen on the photos of FOLDER. With --activations it also
writes a small picture and what the integer net answers to it, for the Go test.

The checkpoint is a dict {'ema': state_dict, 'chan': '16,24,…', 'heads': net.HEADS,
'kinds': [names], 'meta': {…}}.
"""
import argparse, glob, json, os, struct
import numpy as np
import torch
import torch.nn.functional as F
from PIL import Image

TOP = 8191          # of an activation: 13 bits, so that int32 sums over 9 x 256 channels hold
HEADROOM = 2.0      # an activation may grow to this many times the largest seen in FOLDER
LOGIT = 1 / 256     # scale of an answer
INPUT = 3 / 1020    # scale of the input: 4 v - 459 for a byte v, which is 3 (v / 255 - 0.45)
BLOCKS = (2, 1), (3, 1), (4, 3), (5, 3)  # residual blocks of a level
EPS = 1e-5          # of torch's batch norm


def layers():
    """(name, prefix in the checkpoint, scale of what goes in, scale of what comes out, stride), in the
    order of the file. Levels e1…e5 have one scale each for all that is added up there."""
    out = [('e1.0', 'e1.0', 'x', 'e1.0', 1), ('e1.1', 'e1.1', 'e1.0', 'e1', 1)]
    for n, blocks in BLOCKS:
        e = f'e{n}'
        out.append((f'{e}.0', f'{e}.0', f'e{n - 1}', e, 2))
        for b in range(1, blocks + 1):
            out.append((f'{e}.{b}.a', f'{e}.{b}.a', e, f'{e}.{b}.a', 1))
            out.append((f'{e}.{b}.b', f'{e}.{b}.b', f'{e}.{b}.a', e, 1))
    below = 'e5'
    for n in (4, 3, 2, 1):
        out.append((f'l{n + 1}', f'l{n + 1}', below, f'e{n}', 1))
        out.append((f'd{n}', f'd{n}', f'e{n}', f'd{n}', 1))
        below = f'd{n}'
    return out + [('out', 'out', 'd1', 'out', 1)]


def fold(sd, p):
    """weights (out, in, k, k) and bias of a convolution with its batch norm"""
    if p + '.weight' in sd:
        return sd[p + '.weight'].double(), sd[p + '.bias'].double()
    g = sd[p + '.1.weight'].double() / torch.sqrt(sd[p + '.1.running_var'].double() + EPS)
    return sd[p + '.0.weight'].double() * g[:, None, None, None], sd[p + '.1.bias'].double() - sd[p + '.1.running_mean'].double() * g


def run(conv, dense, x, seen):
    """The net with any arithmetic: conv(name, x, residual, relu), dense(e5). seen(name, x) watches."""
    def step(name, x, res=None, relu=True):
        return seen(name, conv(name, x, res, relu))
    up = lambda t, r: F.interpolate(t, size=r.shape[2:], mode='nearest')
    e = {1: step('e1.1', step('e1.0', x))}
    for n, blocks in BLOCKS:
        t = step(f'e{n}.0', e[n - 1])
        for b in range(1, blocks + 1):
            t = step(f'e{n}.{b}.b', step(f'e{n}.{b}.a', t), t)
        e[n] = t
    d, kind = dense(e[5])
    for n in (4, 3, 2, 1):
        l = step(f'l{n + 1}', d, relu=False)
        d = step(f'd{n}', seen('sum', (e[n] + up(l, e[n])).clamp(0, conv.top), f'e{n}'))
    return step('out', d, relu=False), kind


def size(w, h, long):
    s = long / max(w, h)
    return [max(64, round(v * s / 32) * 32) for v in (w, h)]


def picture(path, long):
    im = Image.open(path).convert('RGB')
    w, h = size(*im.size, long)
    return np.asarray(im.resize((w, h), Image.LANCZOS)).copy()


def tensor(rgb, scale=1.0):
    x = torch.from_numpy(rgb.transpose(2, 0, 1).astype(np.float64))[None]
    return F.pixel_unshuffle(4 * x - 459, 2) * scale


def main():
    ap = argparse.ArgumentParser()
    ap.add_argument('checkpoint'); ap.add_argument('weights'); ap.add_argument('--photos', required=True)
    ap.add_argument('--activations'); ap.add_argument('--meta', nargs='*', default=[])
    a = ap.parse_args()
    ck = torch.load(a.checkpoint, map_location='cpu'); sd = ck['ema']
    chan = [int(v) for v in ck['chan'].split(',')]
    kinds, heads = list(ck['kinds']), list(ck['heads'])
    assert len(sd['out.weight']) == len(heads) and len(sd['kind.weight']) == len(kinds)
    L = layers(); W = {n: fold(sd, p) for n, p, *_ in L}; stride = {n: s for n, *_, s in L}
    lin = {k: (sd[k + '.weight'].float(), sd[k + '.bias'].float()) for k in ('ctx', 'kind')}

    # The net in floating point, and the largest activation at each scale.
    group = {n: o for n, _, _, o, _ in L}; top = {}
    def watch(name, x, at=None):
        g = at or group.get(name)
        top[g] = max(top.get(g, 0.), float(x.abs().max()))
        return x
    def conv(name, x, res, relu):
        w, b = W[name]
        y = F.conv2d(x, w, b, stride[name], w.shape[2] // 2)
        y = y if res is None else y + res
        return F.relu(y) if relu else y
    conv.top = float('inf')
    def dense(e5):
        g = e5.mean((2, 3))
        d = F.relu(e5 + F.linear(g, lin['ctx'][0].double(), lin['ctx'][1].double())[:, :, None, None])
        return watch('e5.0', d), F.linear(g, lin['kind'][0].double(), lin['kind'][1].double())
    files = sorted(f for f in glob.glob(os.path.join(a.photos, '*')) if f.lower().endswith(('.jpg', '.jpeg')))
    assert files, 'no photos in ' + a.photos
    with torch.no_grad():
        for f in files:
            for long in (384, 768):
                run(conv, dense, tensor(picture(f, long), INPUT), watch)
    scale = {g: HEADROOM * v / TOP for g, v in top.items()}
    scale['x'], scale['out'] = INPUT, LOGIT

    # The same net in integers: sums in float64 are exact.
    Q = {}
    for n, _, i, o, _ in L:
        w, b = W[n]; s = (w.abs().amax((1, 2, 3)) / 127).clamp_min(1e-12)
        q = torch.round(w / s[:, None, None, None])
        m = (s * scale[i] / scale[o]).float(); c = (b / scale[o]).float()
        assert float((q.abs().sum((1, 2, 3)) * TOP).max()) < 2 ** 31, n + ': the sums may overflow'
        Q[n] = q, m, c
    def iconv(name, x, res, relu):
        q, m, c = Q[name]
        y = F.conv2d(x, q, None, stride[name], q.shape[2] // 2)
        y = torch.round(y.float() * m[:, None, None] + c[:, None, None]).double()
        y = y if res is None else y + res
        return y.clamp(0 if relu else -TOP, TOP)
    iconv.top = TOP
    def idense(e5):
        g = (e5.sum((2, 3)) / (e5.shape[2] * e5.shape[3]) * scale['e5'])[0].double()
        add = torch.round((lin['ctx'][0].double() @ g + lin['ctx'][1].double()) / scale['e5'])
        return (e5 + add[None, :, None, None]).clamp(0, TOP), (lin['kind'][0].double() @ g + lin['kind'][1].double())[None]
    same = lambda name, x, at=None: x
    worst = []
    with torch.no_grad():
        for f in files:
            p = picture(f, 512); o, k = run(conv, dense, tensor(p, INPUT), same); r, l = run(iconv, idense, tensor(p), same)
            e = (torch.sigmoid(o) - torch.sigmoid(r * LOGIT)).abs(); worst.append(float(e.mean()))
    drift = float(np.mean(worst))

    head = dict(made='', commit='', seeds='', figures='', licence='MIT, as the rest of Piecebag')
    head.update(ck.get('meta', {})); head.update(dict(kv.split('=', 1) for kv in a.meta))
    head.update(channels=chan, heads=heads, kinds=kinds, layers=[dict(name=n, scale=scale[o]) for n, _, _, o, _ in L], drift='mean difference of a probability from the net in floating point: %.5f' % drift)
    text = json.dumps(head, indent=1).encode() + b'\n'
    with open(a.weights, 'wb') as f:
        f.write(b'piecebag eye 1 %d\n' % len(text)); f.write(text)
        for n, *_ in L:
            q = Q[n][0]; w, b = W[n]
            f.write(q.permute(0, 2, 3, 1).contiguous().numpy().astype(np.int8).tobytes())     # out, ky, kx, in
            f.write(Q[n][1].numpy().astype('<f4').tobytes()); f.write(Q[n][2].numpy().astype('<f4').tobytes())
        for k in ('ctx', 'kind'):
            for t in lin[k]: f.write(t.numpy().astype('<f4').tobytes())
    print('%s: %d bytes, drift %.5f' % (a.weights, os.path.getsize(a.weights), drift))

    if a.activations:       # a picture and the integer net's answers: width, height, kinds, heads; bytes; kinds; answers
        p = picture(files[0], 128)
        with torch.no_grad(): o, k = run(iconv, idense, tensor(p), same)
        o = o[0].permute(1, 2, 0).contiguous().numpy().astype('<i2')
        with open(a.activations, 'wb') as f:
            f.write(struct.pack('<4I', p.shape[1], p.shape[0], len(kinds), o.shape[2])); f.write(p.tobytes())
            f.write(k[0].numpy().astype('<f4').tobytes()); f.write(o.tobytes())


if __name__ == '__main__':
    main()
