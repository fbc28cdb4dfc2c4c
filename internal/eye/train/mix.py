"""mix.py SHARE OLDER NEWER OUT: the weighted mean of two checkpoints of one line of training, the newer's share given.

The mean carries over to other pictures better than either (Wortsman et al. 2022, Model soups).
Answers that the older has not yet are the newer's; blocks that it has not add nothing there.
"""
import sys

import torch

share, older, newer, out = float(sys.argv[1]), *sys.argv[2:]
old, ck = torch.load(older, map_location='cpu')['ema'], torch.load(newer, map_location='cpu')
for k, new in ck['ema'].items():
    if new.is_floating_point():
        was = new.float().clone()
        if k in old:
            was[:len(old[k])] = old[k].float()
        elif k.endswith(('.b.1.weight', '.b.1.bias')):
            was.zero_()
        ck['ema'][k] = (was + share * (new.float() - was)).half()
torch.save(ck, out)
