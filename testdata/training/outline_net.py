"""The outline network as PyTorch sees it; imaging/fastener/convnet/net.go runs what export() writes.

Needs PyTorch and numpy (Debian: python3-torch). Nothing in the program or its tests needs Python.
"""
import math, struct
import numpy as np
import torch
import torch.nn as nn
import torch.nn.functional as F

PHI = 64                   # directions of a patch; the network sees pairs of them
PATCH, BAND = 64, 48       # steps outward of an unwrapped neighbourhood, and across a band
HEAD = 11                  # seed, fastener, kind group, D, usual radius, step, slope x, slope y, px/mm, x, y


def load(path, rho):
    """Patches as written by TestWritePatches (rho = PATCH) or TestWriteBands (rho = BAND):
    header, labels (silhouette, flat), pictures."""
    record = HEAD + 2 * PHI + 3 * PHI * rho
    a = np.fromfile(path, "<f4")
    a = a[:len(a) // record * record].reshape(-1, record)
    head = torch.tensor(a[:, :HEAD])
    lab = a[:, HEAD:HEAD + 2 * PHI].reshape(-1, 2, PHI)
    x = a[:, HEAD + 2 * PHI:].reshape(-1, 3, PHI, rho)
    im = np.stack([np.clip(x[:, 0], -6, 4) / 2, np.clip(x[:, 1] * 6, -2, 2), np.clip(x[:, 2] * 6, -2, 2)], 1)
    im = (im[:, :, 0::2] + im[:, :, 1::2]) / 2
    unknown = (lab[:, :, 0::2] < 0) | (lab[:, :, 1::2] < 0)
    lab = np.where(unknown, -1, (lab[:, :, 0::2] + lab[:, :, 1::2]) / 2)
    return head, torch.tensor(im.astype(np.float32)), torch.tensor(lab.astype(np.float32))


def wrap(x, phi, rho):
    """Pads round the circle in phi, with the border's value in rho."""
    if phi:
        x = torch.cat([x[:, :, -phi:], x, x[:, :, :phi]], 2)
    return F.pad(x, (rho, rho, 0, 0), mode="replicate") if rho else x


class Conv(nn.Module):
    def __init__(self, i, o, k, relu=True, norm=True):
        super().__init__()
        self.c, self.bn = nn.Conv2d(i, o, k), nn.BatchNorm2d(o) if norm else None
        self.pad, self.relu = (k[0] // 2, k[1] // 2), relu

    def forward(self, x):
        x = self.c(wrap(x, *self.pad))
        if self.bn is not None:
            x = self.bn(x)
        return F.relu(x) if self.relu else x


class Net(nn.Module):
    def __init__(self, cin=12, a=10, b=16, c=24):
        super().__init__()
        self.e0, self.e0b = Conv(cin, a, (3, 5)), Conv(a, a, (3, 3))
        self.e1, self.e1b = Conv(a, b, (3, 3)), Conv(b, b, (3, 3))
        self.e2, self.e2b, self.e2c = Conv(b, c, (3, 3)), Conv(c, c, (3, 3)), Conv(c, c, (3, 3))
        self.u1, self.u0 = Conv(b + c, b, (3, 3)), Conv(a + b, a + 2, (3, 3))
        self.out = Conv(a + 2, 2, (1, 3), relu=False, norm=False)
        self.o1, self.o2 = nn.Linear(2 * c, 24), nn.Linear(24, 1)

    def forward(self, x):
        x0 = self.e0b(self.e0(x))
        x1 = self.e1b(self.e1(F.max_pool2d(x0, 2)))
        x2 = self.e2c(self.e2b(self.e2(F.max_pool2d(x1, 2))))
        there = self.o2(F.relu(self.o1(torch.cat([x2.mean((2, 3)), x2.amax(3).mean(2)], 1))))[:, 0]
        y1 = self.u1(torch.cat([x1, F.interpolate(x2, scale_factor=2, mode="nearest")], 1))
        y0 = self.u0(torch.cat([x0, F.interpolate(y1, scale_factor=2, mode="nearest")], 1))
        return self.out(y0), there


def planes(head, im):
    """The network's input: picture, distance, view slope outward, across and whole, px a step, kind."""
    n, rho = im.shape[0], im.shape[3]
    phi = ((torch.arange(PHI // 2) * 2 + 0.5) * 2 * math.pi / PHI)[None]
    dx, dy = head[:, 6:7], head[:, 7:8]
    out, across = dx * torch.cos(phi) + dy * torch.sin(phi), -dx * torch.sin(phi) + dy * torch.cos(phi)
    row = lambda v: v[:, None, :, None].expand(n, 1, PHI // 2, rho)
    one = lambda v: v[:, None, None, None].expand(n, 1, PHI // 2, rho)
    kinds = [one((head[:, 2] == k).float()) for k in range(4)]
    dist = torch.linspace(-1, 1, rho)[None, None, None].expand(n, 1, PHI // 2, rho)
    return torch.cat([im, dist, row(5 * out), row(5 * across), one(5 * torch.hypot(dx, dy)[:, 0]),
                      one(torch.log2(head[:, 5] * head[:, 8]))] + kinds, 1)


def rings(head, im, lab):
    """Paints, in place, what the renderer seldom shows: a bright or dark broken edge round a
    hole, and on a dome's rim or a driven head's side a mirror image of the sheet."""
    k = torch.arange(im.shape[3])[None].float()
    for i in range(im.shape[0]):
        if head[i, 1] < 0:
            continue
        at, kind, u, step = lab[i, 0][:, None], int(head[i, 2]), float(torch.rand(1)), float(head[i, 5])
        if kind == 3 and u < 0.55:
            w = (0.02 + 0.13 * float(torch.rand(1))) / step
            m = ((k >= at) & (k < at + w)).float()
            light = float(torch.randn(1)) * 0.5 + 0.35
            im[i, 0] += m * light * (1 + 0.5 * torch.randn(im.shape[2], im.shape[3]))
            im[i, 1:] *= 1 - 0.8 * m
        elif kind in (0, 1) and u < 0.35:
            w = float(torch.rand(1)) * (0.10 if kind == 1 else 0.13) * float(head[i, 4]) / step
            ramp = ((k - (at - w)) / max(w, 1e-3)).clamp(0, 1)
            m = ((k < at) & (k > at - w)).float() * ramp * float(torch.rand(1)) * 0.85
            if float(torch.rand(1)) < 0.5:
                im[i, 0] = im[i, 0] * (1 - m) + m * float(torch.randn(1)) * 0.25
            im[i, 1:] *= 1 - m


def augment(head, im, lab):
    """Turns, mirrors, and changes light, colour, sharpness and noise."""
    head, im, lab = head.clone(), im.clone(), lab.clone()
    n, _, p, _ = im.shape
    for i in range(n):
        s = int(torch.randint(0, p, (1,)))
        im[i], lab[i] = torch.roll(im[i], -s, 1), torch.roll(lab[i], -s, 1)
        a, (dx, dy) = -s * 2 * math.pi / p, (float(head[i, 6]), float(head[i, 7]))
        head[i, 6], head[i, 7] = dx * math.cos(a) - dy * math.sin(a), dx * math.sin(a) + dy * math.cos(a)
        if torch.rand(1) < 0.5:
            im[i], lab[i] = torch.flip(im[i], [1]), torch.flip(lab[i], [1])
            head[i, 7] = -head[i, 7]
    rings(head, im, lab)
    im[:, 0] *= torch.exp(torch.randn(n, 1, 1) * 0.25)
    th = torch.rand(n, 1, 1) * 2 * math.pi * (torch.rand(n, 1, 1) < 0.6)
    sc = torch.exp(torch.randn(n, 1, 1) * 0.3) * (torch.rand(n, 1, 1) > 0.15)
    r, b = im[:, 1].clone(), im[:, 2].clone()
    im[:, 1], im[:, 2] = (r * torch.cos(th) - b * torch.sin(th)) * sc, (r * torch.sin(th) + b * torch.cos(th)) * sc
    for w in (3,) if im.shape[3] == PATCH else (3, 5):
        soft = F.avg_pool2d(F.pad(im, (w // 2, w // 2, 0, 0), mode="replicate"), (1, w), stride=1)
        m = (torch.rand(n, 1, 1, 1) < (0.35 if im.shape[3] == PATCH else 0.25)).float()
        im = im * (1 - m) + soft * m
    return head, im + torch.randn_like(im) * torch.rand(n, 1, 1, 1) * 0.05, lab


def loss(net, head, im, lab):
    """Cross-entropy of the contour's place in each direction, and for neighbourhoods of whether
    a fastener stands there; the band of a contour is only looked at where one does."""
    there = (head[:, 1] >= 0).float()
    maps, logit = net(planes(head, im))
    rho, band = im.shape[3], im.shape[3] == BAND
    total = 0 if band else F.binary_cross_entropy_with_logits(logit, there)
    for ch, w in ((0, 1.0 if band else 0.5), (1, 0.3)):
        l = lab[:, ch]
        known = (l > 0) & (l < rho - 1) & (there[:, None] > 0)
        k = torch.floor(l).clamp(0, rho - 2)
        f, want = (l - k).clamp(0, 1), torch.zeros(l.shape + (rho,))
        want.scatter_(2, k.long()[..., None], (1 - f)[..., None])
        want.scatter_add_(2, k.long()[..., None] + 1, f[..., None])
        ce = -(want * F.log_softmax(maps[:, ch], 2)).sum(2)
        total = total + w * (ce * known).sum() / known.sum().clamp(min=1)
    return total


def halves(w):
    """Half floats whose last two bits are zero, rounded to even: a weight needs no more, and a
    quarter of what can't be packed is saved."""
    u = w.numpy().astype("<f2").view("<u2").astype(np.uint32)
    return ((u + 1 + (u >> 2 & 1)) & ~np.uint32(3)).astype("<u2").tobytes()


def export(net, path):
    """Writes what imaging/fastener/convnet/net.go reads, batch normalisation folded in."""
    out = b""
    for name in ("e0", "e0b", "e1", "e1b", "e2", "e2b", "e2c", "u1", "u0", "out"):
        l = getattr(net, name)
        w, b = l.c.weight.detach().double(), l.c.bias.detach().double()
        if l.bn is not None:
            g = l.bn.weight.detach().double() / torch.sqrt(l.bn.running_var.double() + l.bn.eps)
            w, b = w * g[:, None, None, None], (b - l.bn.running_mean.double()) * g + l.bn.bias.detach().double()
        o, i, kp, kr = w.shape
        out += struct.pack("<4H", i, o, kp, kr) + halves(w) + b.numpy().astype("<f2").tobytes()
    for name in ("o1", "o2"):
        l = getattr(net, name)
        o, i = l.weight.shape
        out += struct.pack("<4H", i, o, 1, 1) + halves(l.weight.detach()) + l.bias.detach().numpy().astype("<f2").tobytes()
    # The upper bytes first, which pack better by themselves.
    open(path, "wb").write(b"BTN2" + out[1::2] + out[0::2])
