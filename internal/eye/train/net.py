"""The net: a small U-Net on 2 x 2 space-to-depth, plain 3 x 3 convolutions.

It answers at half the picture's size: cloth, white paper, for each offset
whether the pixel and the one at the offset lie on one piece, and what a white
sheet lying there would look like; and once a picture the kind of photo. The Go engine of internal/eye runs this family of nets from
the file that export.py writes.
"""
import torch
import torch.nn as nn
import torch.nn.functional as F

# (dy, dx) on the half-size grid
OFFSETS = [(0, 1), (1, 0)] + [o for d, s in ((4, 3), (12, 9), (32, 23), (64, 45), (100, 70)) for o in ((0, d), (d, 0), (s, s), (s, -s))]
HEADS = ([dict(name='cloth'), dict(name='card')] + [dict(name='affinity', dy=y, dx=x) for y, x in OFFSETS]
         + [dict(name='white') for _ in 'rgb'] + [dict(name='white error')])
WHITE_AT = 2 + len(OFFSETS)  # the first of the white heads
KINDS = ['spread', 'board', 'stack', 'pile', 'none']
CHANNELS = (16, 24, 40, 80, 128, 176)


def cbr(i, o, k=3, s=1, act=True):
    m = [nn.Conv2d(i, o, k, s, k // 2, bias=False), nn.BatchNorm2d(o)]
    if act:
        m.append(nn.ReLU(inplace=True))
    return nn.Sequential(*m)


class Res(nn.Module):
    def __init__(self, c):
        super().__init__()
        self.a, self.b = cbr(c, c), cbr(c, c, act=False)
        nn.init.zeros_(self.b[1].weight)  # nothing at first: a block may be put into a trained net

    def forward(self, x):
        return F.relu(x + self.b(self.a(x)))


class Net(nn.Module):
    def __init__(self, c=CHANNELS, nout=len(HEADS), nkind=len(KINDS)):
        super().__init__()
        c0, c1, c2, c3, c4, c5 = c
        self.e1 = nn.Sequential(cbr(12, c0), cbr(c0, c1))            # 1/2
        self.e2 = nn.Sequential(cbr(c1, c2, s=2), Res(c2))           # 1/4
        self.e3 = nn.Sequential(cbr(c2, c3, s=2), Res(c3))           # 1/8
        self.e4 = nn.Sequential(cbr(c3, c4, s=2), Res(c4), Res(c4), Res(c4))  # 1/16
        self.e5 = nn.Sequential(cbr(c4, c5, s=2), Res(c5), Res(c5), Res(c5))  # 1/32
        self.ctx = nn.Linear(c5, c5)
        self.kind = nn.Linear(c5, nkind)
        self.l5, self.l4, self.l3, self.l2 = (cbr(a, b, 1, act=False) for a, b in ((c5, c4), (c4, c3), (c3, c2), (c2, c1)))
        self.d4, self.d3, self.d2, self.d1 = cbr(c4, c4), cbr(c3, c3), cbr(c2, c2), cbr(c1, c1)
        self.out = nn.Conv2d(c1, nout, 1)

    def forward(self, x):
        """x: (B, 3, H, W) sRGB 0..1, H and W multiples of 32. Logits (B, nout, H/2, W/2) and (B, nkind)."""
        x = F.pixel_unshuffle(x - .45, 2) * 3
        e1 = self.e1(x)
        e2 = self.e2(e1)
        e3 = self.e3(e2)
        e4 = self.e4(e3)
        e5 = self.e5(e4)
        g = e5.mean((2, 3))
        e5 = F.relu(e5 + self.ctx(g)[:, :, None, None])
        d = self.d4(F.relu(e4 + F.interpolate(self.l5(e5), scale_factor=2., mode='nearest')))
        d = self.d3(F.relu(e3 + F.interpolate(self.l4(d), scale_factor=2., mode='nearest')))
        d = self.d2(F.relu(e2 + F.interpolate(self.l3(d), scale_factor=2., mode='nearest')))
        d = self.d1(F.relu(e1 + F.interpolate(self.l2(d), scale_factor=2., mode='nearest')))
        return self.out(d), self.kind(g)


def white(out):
    """sRGB-encoded white (B, 3, h, w) and the mean size of its error (B, 1, h, w) from the net's answers."""
    return .7 + out[:, WHITE_AT:WHITE_AT + 3] / 4, torch.exp(out[:, WHITE_AT + 3:WHITE_AT + 4].clamp(-6, 1))


def macs(net, h, w):
    """Multiply-adds of the convolutions on a picture of h x w."""
    n = [0]
    hooks = [m.register_forward_hook(lambda m, i, o: n.__setitem__(0, n[0] + o.shape[2] * o.shape[3] * m.weight.numel())) for m in net.modules() if isinstance(m, nn.Conv2d)]
    net.eval()
    with torch.no_grad():
        net(torch.zeros(1, 3, h, w, device=next(net.parameters()).device))
    for k in hooks:
        k.remove()
    return n[0]


if __name__ == '__main__':
    for c in (CHANNELS, (16, 24, 32, 64, 96, 128), (24, 32, 48, 96, 128, 160), (20, 28, 44, 80, 128, 176)):
        n = Net(c)
        print(c, macs(n, 768, 1024) / 1e9, sum(p.numel() for p in n.parameters()) / 1e6)
