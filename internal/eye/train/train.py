"""Trains the eye while the scene makers write.

    torchrun --nproc_per_node N train.py --scenes DIR[,DIR] --share .65,.35 --seconds 480 --out OUT

DIR holds raw scenes (five uint32: w, h, kind, bits of an id 8 or 16, g; then rgb,
then ids, then g x g x 3 float16), which are read once and removed. Each GPU keeps its
own pool. Ids: 0 no cloth, 65534 (254 in 8 bits) plain white paper, else a piece; bit
14 (of 16): white paper lies on it. The last part, where g is not 0, is what a matt
white sheet would look like in g x g places of the picture, sRGB-encoded, 1 the
brightest that the picture can show.
"""
import argparse
import math
import os
import random
import threading
import time

import numpy as np

# each process calls its own GPU the first, so that what one has compiled serves all
LOCAL, LOCALS = int(os.environ.get('LOCAL_RANK', 0)), int(os.environ.get('LOCAL_WORLD_SIZE', 1))
if LOCALS > 1:
    os.environ['CUDA_VISIBLE_DEVICES'] = ','.join(str((LOCAL + i) % LOCALS) for i in range(LOCALS))

import torch
import torch.distributed as dist
import torch.nn.functional as F

from net import CHANNELS, HEADS, KINDS, Net, OFFSETS, WHITE_AT, macs, white

ap = argparse.ArgumentParser()
ap.add_argument('--scenes', required=True, help='folders, one a maker')
ap.add_argument('--share', default='1', help="each maker's share of the pictures")
ap.add_argument('--seconds', type=float, default=400)
ap.add_argument('--out', required=True)
ap.add_argument('--resume')
ap.add_argument('--batch', type=int, default=32)
ap.add_argument('--crop', type=int, default=768)
ap.add_argument('--lr', type=float, default=2e-3)
ap.add_argument('--warm', type=int, default=300)
ap.add_argument('--cool', type=float, default=.4, help='last share of the time, over which the rate falls')
ap.add_argument('--first', type=int, default=200, help='scenes a maker before the first step')
ap.add_argument('--pool', type=int, default=5000, help='scenes kept a maker')
ap.add_argument('--steps', type=int, default=10 ** 9)
ap.add_argument('--compile', action='store_true')
ap.add_argument('--meta', default='')
a = ap.parse_args()

T0 = time.time()
RANK, WORLD = int(os.environ.get('RANK', 0)), int(os.environ.get('WORLD_SIZE', 1))
CUDA = torch.cuda.is_available()
dev = torch.device('cuda', 0) if CUDA else torch.device('cpu')
if CUDA:
    torch.cuda.set_device(dev)
    torch.backends.cudnn.benchmark = True
    torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True
if WORLD > 1:
    dist.init_process_group('nccl' if CUDA else 'gloo')
torch.manual_seed(1000 + RANK)
random.seed(2000 + RANK)
say = (lambda *x: print('%4.0fs' % (time.time() - T0), *x, flush=True)) if RANK == 0 else (lambda *x: None)

P = 1152                # side of a pool slot, pixels
WHITE, OUTSIDE = -2, -1  # ids in the pool, int16
LABEL = 1 << 14          # white paper on a piece
ODDS = torch.ones(256)    # of a scene, by its kind: stacks and piles are the harder ones
ODDS[KINDS.index('stack')] = ODDS[KINDS.index('pile')] = 1.6
GRID = 16                # places, in each direction, where white is known


class Pool:
    """Scenes of one maker in GPU memory, filled from a folder by a thread of its own."""

    def __init__(self, folder, n):
        self.folder, self.n, self.have, self.seen = folder, n, 0, 0
        self.rgb = torch.zeros(n, 3, P, P, dtype=torch.uint8, device=dev)
        self.ids = torch.full((n, P, P), OUTSIDE, dtype=torch.int16, device=dev)
        self.size = torch.zeros(n, 2)
        self.kind = torch.zeros(n, dtype=torch.long)
        self.white = torch.full((n, 3, GRID, GRID), math.nan, device=dev)
        self.held = []   # kept back, to watch
        self.stop = False
        threading.Thread(target=self.fill, daemon=True).start()

    def fill(self):
        stream = torch.cuda.Stream() if CUDA else None
        while not self.stop:
            fs = sorted(f for f in os.listdir(self.folder) if f.endswith('.raw') and int(f[:-4]) % WORLD == RANK)
            for f in fs:
                p = os.path.join(self.folder, f)
                b = np.fromfile(p, np.uint8)
                os.remove(p)
                w, h, kind, bits, g = (int(v) for v in b[:20].view(np.uint32))
                if max(w, h) > P or g not in (0, GRID):
                    continue
                ends = np.cumsum([20, 3 * w * h, bits // 8 * w * h])
                rgb = b[ends[0]:ends[1]].reshape(h, w, 3)
                m = b[ends[1]:ends[2]].view(np.uint16 if bits == 16 else np.uint8).astype(np.int32)
                wh = b[ends[2]:].view(np.float16).astype(np.float32).reshape(g, g, 3).transpose(2, 0, 1).copy() if g else np.full((3, GRID, GRID), np.nan, np.float32)
                m[m == (65534 if bits == 16 else 254)] = WHITE
                m = m.reshape(h, w).astype(np.int16)
                self.seen += 1
                if self.seen % 40 == 7 and len(self.held) < 24:
                    self.held.append((rgb.copy(), m, kind, wh))
                    continue
                i = self.have if self.have < self.n else random.randrange(self.n)
                x, y = torch.from_numpy(rgb.transpose(2, 0, 1).copy()), torch.from_numpy(m)
                with torch.cuda.stream(stream) if CUDA else open(os.devnull):
                    self.ids[i] = OUTSIDE
                    self.rgb[i, :, :h, :w] = x.to(dev)
                    self.ids[i, :h, :w] = y.to(dev)
                    self.white[i] = torch.from_numpy(wh).to(dev)
                    if CUDA:
                        stream.synchronize()
                self.size[i, 0], self.size[i, 1], self.kind[i] = w, h, kind
                self.have = max(self.have, i + 1)
            time.sleep(.05)


def view(size, S, plain):
    """Affine of a view of S x S on scenes of sizes (B, 2): grid_sample's theta, in slot coordinates."""
    B = len(size)
    W, H = size[:, 0], size[:, 1]
    L = torch.maximum(W, H)
    U = lambda lo, hi: lo + (hi - lo) * torch.rand(B)
    if plain:
        sc, ang, fl = S / L, torch.zeros(B), torch.ones(B)
    else:
        sc = torch.where(torch.rand(B) < .75, U(.76, 1.34), U(.5, 1.9)) * 1024 / L
        fl = torch.where(torch.rand(B) < .5, 1., -1.)
        ang = math.pi / 2 * torch.randint(0, 4, (B,)) + torch.where(torch.rand(B) < .5, U(-.12, .12), U(-.785, .785))
    c, s = torch.cos(ang), torch.sin(ang)
    ex, ey = c.abs() * W + s.abs() * H, s.abs() * W + c.abs() * H
    tri = lambda: (1.2 * (torch.rand(B) + torch.rand(B) - 1)).clamp(-1, 1)
    tx = 0 * c if plain else tri() * (((ex * sc - S) / 2).clamp_min(0) + 20)
    ty = 0 * c if plain else tri() * (((ey * sc - S) / 2).clamp_min(0) + 20)
    # source pixel, from the scene's middle = R (out + t) / sc; then to the slot's -1..1
    ox, oy = (c * tx + s * ty) / sc * fl, (-s * tx + c * ty) / sc
    k = S / P
    th = torch.stack([torch.stack([c * fl / sc * k, s * fl / sc * k, (2 * ox + W - P) / P], 1),
                      torch.stack([-s / sc * k, c / sc * k, (2 * oy + H - P) / P], 1)], 1)
    return th.to(dev), sc


def draw(pool, idx, S, plain=False):
    """Views of scenes: x (B, 3, S, S) 0..1, ids (B, S, S) and at half size, white at half size."""
    th, sc = view(pool.size[idx], S, plain)
    j = idx.to(dev)
    x = pool.rgb[j].float() / 255
    soft = (1 / sc - 1).clamp(0, 1).to(dev).view(-1, 1, 1, 1)   # soften before shrinking
    x = x + soft * (F.avg_pool2d(F.pad(x, (1, 1, 1, 1), mode='replicate'), 3, 1) - x)
    g = F.affine_grid(th, (len(j), 1, S, S), align_corners=False)
    x = F.grid_sample(x, g, mode='bilinear', padding_mode='border', align_corners=False)
    m = (pool.ids[j].float() - OUTSIDE)[:, None]
    pick = lambda n: (F.grid_sample(m, F.affine_grid(th, (len(j), 1, n, n), align_corners=False), mode='nearest', padding_mode='zeros', align_corners=False)[:, 0] + OUTSIDE).round().long()
    full, half = pick(S), pick(S // 2)
    x = torch.where((full == OUTSIDE)[:, None], x.new_full((), .45), x)
    k = (P / pool.size[idx]).to(dev)                            # from the slot's coordinates to the scene's
    tw = th * k[:, :, None]
    tw[:, :, 2] += k - 1
    wh = F.grid_sample(pool.white[j], F.affine_grid(tw, (len(j), 1, S // 2, S // 2), align_corners=False), mode='bilinear', padding_mode='border', align_corners=False)
    return x, full, half, wh, pool.kind[idx].to(dev)


def field(B, n, S, c=1):
    return F.interpolate(torch.randn(B, c, n, n, device=dev), size=(S, S), mode='bicubic', align_corners=False)


def gate(B, p):
    return (torch.rand(B, 1, 1, 1, device=dev) < p).float()


def R(B, lo, hi):
    return lo + (hi - lo) * torch.rand(B, 1, 1, 1, device=dev)


def blur(x, sig):
    """Gaussian of one sigma a picture, radius 3."""
    B, C, H, W = x.shape
    d = torch.arange(-3, 4, device=dev).float()
    k = torch.exp(-d[None] ** 2 / (2 * sig.view(B, 1) ** 2 + 1e-6))
    k = (k / k.sum(1, keepdim=True)).repeat_interleave(C, 0)
    y = x.reshape(1, B * C, H, W)
    y = F.conv2d(F.pad(y, (3, 3, 0, 0), mode='replicate'), k.view(B * C, 1, 1, 7), groups=B * C)
    return F.conv2d(F.pad(y, (0, 0, 3, 3), mode='replicate'), k.view(B * C, 1, 7, 1), groups=B * C).reshape(B, C, H, W)


def augment(x, m, wh):
    """Cloth recoloured, light, shadows, tone, optics, noise: what cameras and rooms do.
    White at half size, wh, goes through the same light and tone."""
    B, _, S, _ = x.shape
    out = (m == OUTSIDE)[:, None]
    lin = x.clamp(0, 1) ** 2.2
    lut = torch.ones(B, 256, 3, device=dev)
    on = (torch.rand(B, 256, 1, device=dev) < .25) & (torch.rand(B, 1, 1, device=dev) < .35)
    on[:, 0] = torch.rand(B, 1, device=dev) < .35
    lut = torch.where(on, torch.exp(.5 * torch.randn(B, 256, 1, device=dev) + .3 * torch.randn(B, 256, 3, device=dev)).clamp(.25, 3), lut)
    lut[:, 255] = 1                                                 # white paper stays white
    q = torch.where((m == WHITE) | (m >= LABEL), 255, torch.where(m > 0, (m - 1) % 254 + 1, 0))
    lin = lin * torch.gather(lut, 1, q.view(B, -1, 1).expand(-1, -1, 3)).view(B, S, S, 3).permute(0, 3, 1, 2)
    th, sa = torch.randn(B, device=dev) * 1.2 * (torch.rand(B, device=dev) < .4), torch.exp(.3 * torch.randn(B, device=dev) - .1)
    ux = torch.tensor([[0, -1, 1], [1, 0, -1], [-1, 1, 0]], device=dev).float() / math.sqrt(3)
    uu, I = torch.full((3, 3), 1 / 3., device=dev), torch.eye(3, device=dev)
    M = uu + sa[:, None, None] * (torch.cos(th)[:, None, None] * (I - uu) + torch.sin(th)[:, None, None] * ux)
    lin = torch.einsum('bij,bjhw->bihw', M, lin).clamp_min(0)
    wh = torch.einsum('bij,bjhw->bihw', M, wh.clamp_min(0) ** 2.2).clamp_min(0)
    # light: smooth fields, two lights of two colours, soft and hard shadows
    f = torch.exp(gate(B, .5) * (.3 * field(B, 3, S)))
    f = f * torch.exp(gate(B, .25) * .25 * field(B, 3, S) * torch.tensor([1., 0, -1], device=dev).view(1, 3, 1, 1))
    sh = torch.sigmoid((field(B, random.choice([4, 6, 9]), S) - R(B, .3, 1.2)) * torch.exp(R(B, 1, 4)))
    f = f * (1 - gate(B, .3) * R(B, .25, .8) * sh)
    l = torch.linspace(-1, 1, S, device=dev)
    an = R(B, 0, 6.283)
    half = torch.sigmoid((l.view(1, 1, 1, S) * torch.cos(an) + l.view(1, 1, S, 1) * torch.sin(an) - R(B, -.6, .9)) * torch.exp(R(B, 2, 6)))
    f = f * (1 - gate(B, .15) * R(B, .3, .8) * half)
    f = f * torch.exp(.3 * torch.randn(B, 1, 1, 1, device=dev) + .14 * torch.randn(B, 3, 1, 1, device=dev))
    gamma = 1 / 2.2 * torch.exp(.18 * torch.randn(B, 1, 1, 1, device=dev))
    curve = gate(B, .4) * R(B, -.3, .6)

    def tone(v):
        v = (v.clamp(1e-5, 1.2) ** gamma).clamp(0, 1)
        return v + curve * (v * v * (3 - 2 * v) - v)
    x, wh = tone(lin * f), tone(wh * F.avg_pool2d(f.expand(B, 3, S, S), 2))
    # optics: blur, then sharpening
    x = blur(x, gate(B, .45) * R(B, .2, 1.6))
    x = x + gate(B, .35) * R(B, 0, 1.) * (x - blur(x, torch.full((B,), 1.1, device=dev)))
    # noise: fine, and coarse as small sensors' smoothing leaves it
    x = x + gate(B, .5) * R(B, 0, .04) * torch.randn_like(x)
    cz = F.interpolate(torch.randn(B, 3, S // 2, S // 2, device=dev), scale_factor=2., mode='bilinear', align_corners=False)
    x = x + gate(B, .3) * R(B, 0, .035) * cz
    if random.random() < .3:                                        # colour at half size, as JPEG keeps it
        y = x.mean(1, keepdim=True)
        x = y + F.interpolate(F.avg_pool2d(x - y, 2), scale_factor=2., mode='bilinear', align_corners=False)
    x = (x.clamp(0, 1) * 255).round() / 255
    return torch.where(out, x.new_full((), .45), x), wh


def targets(m):
    """m (B, h, w) ids at half size: targets and weights (B, 2 + offsets, h, w).

    Pulls of small pieces weigh more, by the root of their area: on stacks and piles a
    fold or a corner that shows is few cells, and is what goes wrong.
    """
    B, h, w = m.shape
    ok, cloth, paper = m != OUTSIDE, m > 0, (m == WHITE) | (m >= LABEL)
    m = torch.where(m >= LABEL, m - LABEL, m)
    id = m.clamp(0, 4095).view(B, -1)
    area = torch.zeros(B, 4096, device=m.device).scatter_add_(1, id, torch.ones_like(id, dtype=torch.float))
    scale = (.02 * h * w / area.clamp_min(1)).sqrt().clamp(.4, 3)
    scale = torch.where(cloth, torch.gather(scale, 1, id).view(B, h, w), scale.new_zeros(()))
    T, Wt = [cloth, paper], [ok.float(), ok.float()]
    for dy, dx in OFFSETS:
        o, os = torch.full_like(m, OUTSIDE), torch.zeros_like(scale)
        for v, u in ((m, o), (scale, os)):
            if dx >= 0:
                u[:, :h - dy, :w - dx] = v[:, dy:, dx:]
            else:
                u[:, :h - dy, -dx:] = v[:, dy:, :w + dx]
        T.append(cloth & (o == m))
        Wt.append(torch.maximum(scale, os) * (ok & (o != OUTSIDE)))
    return torch.stack(T, 1).float(), torch.stack(Wt, 1)


# share of the rarer answer in the balanced term, and each channel's weight
SHARE = torch.tensor([.5, .3] + [.3] * 2 + [.4] * 4 + [.5] * 16, device=dev)
WEIGHT = torch.tensor([3., .7] + [2.] * 2 + [1.5] * 4 + [1.] * 4 + [.7] * 4 + [.5] * 8, device=dev)


def white_loss(out, half, wh):
    """The error of the white, and how well the net knows it: Laplace's."""
    p, b = white(out.float())
    ok = ((half != OUTSIDE)[:, None] & (wh == wh)).float()
    e = (p - torch.nan_to_num(wh)).abs()
    return ((e / b + torch.log(b)) * ok).sum() / (ok.sum() + 1), (e * ok).sum() / (ok.sum() + 1)


def loss_of(out, T, Wt):
    out = out[:, :WHITE_AT].float()
    # what the net has wrong weighs more, alike on both sides of one half
    miss = (torch.sigmoid(out.detach()) - T).abs()
    miss[:, :2] = .5
    Wt = Wt * (.4 + 1.2 * miss)
    b = F.binary_cross_entropy_with_logits(out, T, reduction='none') * Wt
    d = (0, 2, 3)
    pos, neg = (T * Wt).sum(d), ((1 - T) * Wt).sum(d)
    rare = neg < pos
    plain = b.sum(d) / (pos + neg + 1)
    lp, ln = (b * T).sum(d) / (pos + 50), (b * (1 - T)).sum(d) / (neg + 50)
    bal = torch.where(rare, SHARE * ln + (1 - SHARE) * lp, SHARE * lp + (1 - SHARE) * ln)
    p = torch.sigmoid(out)
    q, u = torch.where(rare[:, None, None], 1 - p, p), torch.where(rare[:, None, None], 1 - T, T)
    dice = 1 - (2 * (q * u * Wt).sum(d) + 100) / ((q * Wt).sum(d) + (u * Wt).sum(d) + 100)
    return ((plain + .5 * bal + .3 * dice) * WEIGHT).sum() / WEIGHT.sum(), plain.detach()


net = Net().to(dev)
if a.resume:
    ck = torch.load(a.resume, map_location='cpu')
    sd = {k: v.float() if v.is_floating_point() else v for k, v in ck['ema'].items()}
    for k in ('out.weight', 'out.bias'):                        # heads that the checkpoint had not
        sd[k] = torch.cat([sd[k], torch.zeros_like(net.state_dict()[k][len(sd[k]):], device='cpu')])
    say('new', net.load_state_dict(sd, strict=False))
say('parameters', sum(p.numel() for p in net.parameters()), 'GMAC at 1024 x 768', round(macs(net, 768, 1024) / 1e9, 2))
net.train()
if CUDA:
    net = net.to(memory_format=torch.channels_last)
if WORLD > 1:
    for p in list(net.parameters()) + list(net.buffers()):
        dist.broadcast(p.data, 0)
ema = {k: v.detach().clone().float() if v.is_floating_point() else v.clone() for k, v in net.state_dict().items()}
opt = torch.optim.AdamW(net.parameters(), lr=a.lr, weight_decay=1e-2, **(dict(fused=True) if CUDA else {}))
fwd, lossf, tgt = (torch.compile(net), torch.compile(loss_of), torch.compile(targets)) if a.compile else (net, loss_of, targets)


def save(name='ck.pt'):
    if RANK == 0:
        torch.save(dict(ema={k: v.half() if v.is_floating_point() else v for k, v in ema.items()}, step=step, chan=','.join(map(str, CHANNELS)), heads=HEADS, kinds=KINDS, meta=dict(note=a.meta, seconds=time.time() - T0, scenes=[p.seen * WORLD for p in pools], batch=a.batch * WORLD, crop=a.crop)), os.path.join(a.out, name))


def watch():
    """Loss on scenes kept back, a maker."""
    n2 = Net().to(dev)
    n2.load_state_dict(ema)
    n2.eval()
    for p, d in zip(pools, dirs):
        r, kk = [], []
        for rgb, m, kind, wh in p.held[:24]:
            h, w = m.shape
            s = 768 / max(h, w)
            hh, ww = max(32, round(h * s / 32) * 32), max(32, round(w * s / 32) * 32)
            x = F.interpolate(torch.from_numpy(rgb.transpose(2, 0, 1).copy()).to(dev)[None].float() / 255, size=(hh, ww), mode='area')
            m2 = F.interpolate(torch.from_numpy(m).to(dev)[None, None].float(), size=(hh // 2, ww // 2), mode='nearest')[:, 0].long()
            with torch.no_grad():
                o, k = n2(x)
                t, wt = targets(m2)
                l, pl = loss_of(o, t, wt)
                wl = white_loss(o, m2, F.interpolate(torch.from_numpy(wh).to(dev)[None], size=m2.shape[1:], mode='bilinear'))
            if kind < len(KINDS):
                kk.append(float(k.argmax(1).item() == kind))
            r.append(torch.cat([l.view(1), pl[[0, 1, 2, 4, 8, 12, 16]], wl[0].view(1), wl[1].view(1)]))
        if r:
            say('   held', os.path.basename(d), len(r), 'loss cloth paper a1 a4 a12 a32 a64 white nll, error', [round(v, 4) for v in torch.stack(r).mean(0).tolist()], 'kind', round(float(np.mean(kk)), 2))


dirs = a.scenes.split(',')
share = np.array([float(v) for v in a.share.split(',')])
share /= share.sum()
pools = [Pool(d, a.pool) for d in dirs]
if a.compile:                       # while the first scenes are made
    kept = {k: v.clone() for k, v in net.state_dict().items()}
    x, m = torch.zeros(a.batch, 3, a.crop, a.crop, device=dev).contiguous(memory_format=torch.channels_last), torch.zeros(a.batch, a.crop // 2, a.crop // 2, dtype=torch.long, device=dev)
    with torch.autocast(dev.type, dtype=torch.bfloat16, enabled=CUDA):
        o, kd = fwd(x)
    (lossf(o, *tgt(m))[0] + white_loss(o, m, x[:, :, ::2, ::2])[0] + kd.float().mean()).backward()
    opt.zero_grad(set_to_none=True)
    net.load_state_dict(kept)
    say('compiled')
while any(p.have < a.first // WORLD for p in pools):
    time.sleep(.2)
    if time.time() - T0 > 150:
        raise SystemExit('no scenes in %s: see the .err files' % a.scenes)
say('first scenes', [p.have for p in pools])
t1, step, stop = time.time(), 0, torch.zeros(1, device=dev)
while True:
    fr = (time.time() - T0) / a.seconds
    stop[0] = float(fr >= 1 or step >= a.steps)
    if WORLD > 1:
        dist.broadcast(stop, 0)
    if stop.item():
        break
    lr = a.lr * min(1, (step + 1) / a.warm) * (1 if fr < 1 - a.cool else max(.01, (1 - fr) / a.cool))
    for g in opt.param_groups:
        g['lr'] = lr
    with torch.no_grad():
        k = np.round(share * a.batch).astype(int)
        k[0] += a.batch - k.sum()
        parts = [draw(p, torch.multinomial(ODDS[p.kind[:p.have]], int(n), replacement=True), a.crop) for p, n in zip(pools, k) if n]
        x, m, half, wh, kind = (torch.cat(v) for v in zip(*parts))
        x, wh = augment(x, m, wh)
        T, Wt = tgt(half)
    if CUDA:
        x = x.contiguous(memory_format=torch.channels_last)
    with torch.autocast(dev.type, dtype=torch.bfloat16, enabled=CUDA):
        o, kd = fwd(x)
    loss, pl = lossf(o, T, Wt)
    kind = torch.where(kind < len(KINDS), kind, -100)
    total = loss + .05 * white_loss(o, half, wh)[0]
    if (kind >= 0).any():
        total = total + .05 * F.cross_entropy(kd.float(), kind, ignore_index=-100)
    opt.zero_grad(set_to_none=True)
    total.backward()
    if WORLD > 1:
        ps = [p for p in net.parameters() if p.grad is not None]
        flat = torch.cat([p.grad.flatten() for p in ps])
        dist.all_reduce(flat)
        flat /= WORLD
        i = 0
        for p in ps:
            p.grad.copy_(flat[i:i + p.numel()].view_as(p))
            i += p.numel()
    torch.nn.utils.clip_grad_norm_(net.parameters(), 2.)
    opt.step()
    step += 1
    dec = min(.999, (1 + step) / (10 + step))
    with torch.no_grad():
        sd = net.state_dict()
        fl = [n for n in ema if ema[n].is_floating_point()]
        torch._foreach_mul_([ema[n] for n in fl], dec)
        torch._foreach_add_([ema[n] for n in fl], [sd[n].float() for n in fl], alpha=1 - dec)
    if step in (1, 5, 20, 100) or step % 500 == 0:
        say('step', step, 'pool', [(p.have, p.seen) for p in pools], 'lr %.1e loss %.4f' % (lr, loss.item()), [round(v, 3) for v in pl[[0, 1, 2, 4, 8, 12]].tolist()])
    if step % 3000 == 0 and RANK == 0:
        watch()
        save()
for p in pools:
    p.stop = True
if RANK == 0:
    watch()
    save()
say('done', step, 'steps', [p.seen * WORLD for p in pools], 'scenes')
os._exit(0)
