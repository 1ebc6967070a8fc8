"""The places network as PyTorch sees it: looks at the rectified sheet once and says what round
thing stands where. imaging/fastener runs what export() writes.

Needs PyTorch and numpy. Nothing in the program or its tests needs Python.
"""
import struct
import numpy as np
import torch
import torch.nn as nn
import torch.nn.functional as F

# What stands at a place: shop head, dome (universal, pulled), flush head, hole, another round thing.
CLASSES = 5
SIDE = 192           # of a training view, steps of 0.1 D
CELL = 4             # steps a cell of the answer
MOST = 64            # things a view may list: class, u, v, r in steps


def load(paths):
    """Views as written by the patch writer: per view SIDE² × (light, rg, gb) as half floats, then
    MOST × 4 float32 (class, -1 for none). Returns images (n, 3, SIDE, SIDE) half, things (n, MOST, 4)."""
    rec = SIDE * SIDE * 3 * 2 + MOST * 4 * 4
    ims, things = [], []
    for p in paths:
        a = np.fromfile(p, np.uint8)
        a = a[:len(a) // rec * rec].reshape(-1, rec)
        ims.append(torch.from_numpy(a[:, :SIDE * SIDE * 6].copy().view("<f2").reshape(-1, 3, SIDE, SIDE)))
        things.append(torch.from_numpy(a[:, SIDE * SIDE * 6:].copy().view("<f4").reshape(-1, MOST, 4)))
    return torch.cat(ims), torch.cat(things)


class Conv(nn.Module):
    """Repeats the border, so that it looks like more of the same."""

    def __init__(self, i, o, k, relu=True, norm=True):
        super().__init__()
        self.c = nn.Conv2d(i, o, k)
        self.bn = nn.BatchNorm2d(o) if norm else None
        self.pad, self.relu = k // 2, relu

    def forward(self, x):
        x = self.c(F.pad(x, (self.pad,) * 4, mode="replicate") if self.pad else x)
        if self.bn is not None:
            x = self.bn(x)
        return F.relu(x) if self.relu else x


class Places(nn.Module):
    """All convolutions are 3 by 3 (the last 1 by 1); the first sees each 2 by 2 steps as one cell."""

    def __init__(self, a=12, b=16, c=24, d=32):
        super().__init__()
        self.s1, self.s2 = Conv(12, a, 3), Conv(a, b, 3)
        self.m1, self.m2, self.m3 = Conv(b, c, 3), Conv(c, c, 3), Conv(c, c, 3)
        self.d1, self.d2, self.d3 = Conv(c, d, 3), Conv(d, d, 3), Conv(d, c, 3)
        self.u1 = Conv(2 * c, c, 3)
        self.out = Conv(c, CLASSES + 3, 1, relu=False, norm=False)

    def forward(self, x):
        s = self.s2(self.s1(F.pixel_unshuffle(x, 2)))
        m = self.m3(self.m2(self.m1(F.max_pool2d(s, 2))))
        d = self.d3(self.d2(self.d1(F.max_pool2d(m, 2))))
        return self.out(self.u1(torch.cat([m, F.interpolate(d, scale_factor=2, mode="nearest")], 1)))

    def convs(self):
        return [self.s1, self.s2, self.m1, self.m2, self.m3, self.d1, self.d2, self.d3, self.u1, self.out]
