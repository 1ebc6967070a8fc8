"""The outline network as PyTorch sees it; the program runs what export() writes.

Needs PyTorch and numpy. Nothing in the program or its tests needs Python.
"""
import math
import numpy as np
import torch
import torch.nn as nn
import torch.nn.functional as F

PHI = 64                   # directions of a patch; the network sees pairs of them
PATCH, BAND = 64, 48       # steps outward of an unwrapped neighbourhood, and across a band
HEAD = 12                  # seed, thing, what stands there, D, usual radius, step, slope x, slope y, px/mm, x, y, weight
NONE = -1                  # what stands there: none of ours; else 0 shop head, 1 dome, 2 flush head, 3 hole


def load(paths, rho, dev="cpu"):
    """Patches as the writer makes them: HEAD float32; labels (silhouette, flat: column or -1) as float32;
    pictures (log light, two colour ratios) as half floats."""
    labels, pics = 2 * PHI, 3 * PHI * rho
    rec = 4 * (HEAD + labels) + 2 * pics
    heads, labs, ims = [], [], []
    for path in paths:
        a = np.fromfile(path, np.uint8)
        a = a[:len(a) // rec * rec].reshape(-1, rec)
        if not len(a):
            continue
        f = torch.from_numpy(a[:, :4 * (HEAD + labels)].copy().view("<f4"))
        heads.append(f[:, :HEAD].clone())
        lab = f[:, HEAD:].reshape(-1, 2, PHI)
        x = torch.from_numpy(a[:, 4 * (HEAD + labels):].copy().view("<f2")).to(dev).float().reshape(-1, 3, PHI, rho)
        x = torch.cat([x[:, :1].clamp(-6, 4) / 2, (x[:, 1:] * 6).clamp(-2, 2)], 1)
        ims.append(((x[:, :, 0::2] + x[:, :, 1::2]) / 2).half().to(dev))
        unknown = (lab[:, :, 0::2] < 0) | (lab[:, :, 1::2] < 0)
        labs.append(torch.where(unknown, -torch.ones(()), (lab[:, :, 0::2] + lab[:, :, 1::2]) / 2))
    return torch.cat(heads), torch.cat(ims), torch.cat(labs)


def wrap(x, phi, rho, flat=False):
    """Pads round the circle in phi, with the border's value in rho; flat: in phi too."""
    if flat:
        return F.pad(x, (rho, rho, phi, phi), mode="replicate")
    if phi:
        x = torch.cat([x[:, :, -phi:], x, x[:, :, :phi]], 2)
    if rho:  # by hand: padding's own gradient is slow
        x = torch.cat([x[..., :1].expand(*x.shape[:3], rho), x, x[..., -1:].expand(*x.shape[:3], rho)], 3)
    return x


class Conv(nn.Module):
    def __init__(self, i, o, k, relu=True, norm=True):
        super().__init__()
        self.flat = False
        self.c, self.bn = nn.Conv2d(i, o, k), nn.BatchNorm2d(o) if norm else None
        self.pad, self.relu = (k[0] // 2, k[1] // 2), relu

    def forward(self, x):
        x = self.c(wrap(x, *self.pad, self.flat))
        if self.bn is not None:
            x = self.bn(x)
        return F.relu(x) if self.relu else x


class Net(nn.Module):
    def __init__(self, cin=12, a=16, b=28, c=44, flat=False):
        super().__init__()
        self.e0, self.e0b = Conv(cin, a, (3, 5)), Conv(a, a, (3, 3))
        self.e1, self.e1b = Conv(a, b, (3, 3)), Conv(b, b, (3, 3))
        self.e2, self.e2b, self.e2c = Conv(b, c, (3, 3)), Conv(c, c, (3, 3)), Conv(c, c, (3, 3))
        self.u1, self.u0 = Conv(b + c, b, (3, 3)), Conv(a + b, a + 2, (3, 3))
        self.out = Conv(a + 2, 2, (1, 3), relu=False, norm=False)
        self.o1, self.o2 = nn.Linear(2 * c, 24), nn.Linear(24, 1)
        for l in self.convs():
            l.flat = flat

    def forward(self, x):
        x0 = self.e0b(self.e0(x))
        x1 = self.e1b(self.e1(F.max_pool2d(x0, 2)))
        x2 = self.e2c(self.e2b(self.e2(F.max_pool2d(x1, 2))))
        there = self.o2(F.relu(self.o1(torch.cat([x2.mean((2, 3)), x2.amax(3).mean(2)], 1))))[:, 0]
        y1 = self.u1(torch.cat([x1, F.interpolate(x2, scale_factor=2, mode="nearest")], 1))
        y0 = self.u0(torch.cat([x0, F.interpolate(y1, scale_factor=2, mode="nearest")], 1))
        return self.out(y0), there

    def convs(self):
        return [self.e0, self.e0b, self.e1, self.e1b, self.e2, self.e2b, self.e2c, self.u1, self.u0, self.out]


def planes(head, im, kind):
    """The network's input: picture, distance, view slope outward, across and whole, px a step, kind asked for."""
    n, rho, dev = im.shape[0], im.shape[3], im.device
    phi = ((torch.arange(PHI // 2, device=dev) * 2 + 0.5) * 2 * math.pi / PHI)[None]
    dx, dy = head[:, 6:7], head[:, 7:8]
    out, across = dx * torch.cos(phi) + dy * torch.sin(phi), -dx * torch.sin(phi) + dy * torch.cos(phi)
    row = lambda v: v[:, None, :, None].expand(n, 1, PHI // 2, rho)
    one = lambda v: v[:, None, None, None].expand(n, 1, PHI // 2, rho)
    kinds = [one((kind == k).float()) for k in range(4)]
    dist = torch.linspace(-1, 1, rho, device=dev)[None, None, None].expand(n, 1, PHI // 2, rho)
    return torch.cat([im, dist, row(5 * out), row(5 * across), one(5 * torch.hypot(dx, dy)[:, 0]),
                      one(torch.log2(head[:, 5] * head[:, 8]))] + kinds, 1)


def rings(head, im, lab, kind):
    """Paints what the renderer seldom shows: in neighbourhoods a bright or dark broken edge round a
    hole, and on a dome's rim or a driven head's side a mirror image of the sheet."""
    n, _, p, rho = im.shape
    dev = im.device
    k = torch.arange(rho, device=dev)[None, None].float()
    at, step = lab[:, 0][:, :, None], head[:, 5][:, None, None]
    u = lambda: torch.rand(n, 1, 1, device=dev)
    there = (head[:, 2] == kind)[:, None, None]
    if rho == PATCH:
        hole = there & (kind == 3)[:, None, None] & (u() < 0.5)
        w = (0.02 + 0.13 * u()) / step
        m = ((k >= at) & (k < at + w) & hole).float()
        light = torch.randn(n, 1, 1, device=dev) * 0.5 + 0.35
        im[:, 0] += m * light * (1 + 0.5 * torch.randn(n, p, rho, device=dev))
        im[:, 1:] *= 1 - 0.8 * m[:, None]
    head_ = there & (kind < 2)[:, None, None] & (u() < (0.3 if rho == PATCH else 0.2))
    w = (u() * torch.where(kind == 1, 0.10, 0.13)[:, None, None] * head[:, 4][:, None, None] / step).clamp(min=1e-3)
    m = ((k < at) & (k > at - w) & head_).float() * ((k - (at - w)) / w).clamp(0, 1) * u() * 0.85
    flat = torch.randn(n, 1, 1, device=dev) * 0.25
    im[:, 0] = torch.where(u() < 0.5, im[:, 0] * (1 - m) + m * flat, im[:, 0])
    im[:, 1:] *= 1 - m[:, None]


def soften(im, w, linear):
    """Blurs outward, in linear light as optics do, or in im's own terms, half of log2."""
    mean = lambda x: F.avg_pool2d(F.pad(x, (w // 2, w // 2, 0, 0), mode="replicate"), (1, w), stride=1)
    if not linear:
        return mean(im)
    return torch.cat([torch.log2(mean(torch.exp2(2 * im[:, :1]))) / 2, mean(im[:, 1:])], 1)


def augment(head, im, lab, kind):
    """Turns, mirrors, and changes light, colour, sharpness and noise; all of a batch at once."""
    n, _, p, rho = im.shape
    dev = im.device
    head, im, lab = head.clone(), im.float(), lab.clone()
    s = torch.randint(0, p, (n,), device=dev)
    ix = (torch.arange(p, device=dev)[None] + s[:, None]) % p
    im = torch.gather(im, 2, ix[:, None, :, None].expand(n, 3, p, rho))
    lab = torch.gather(lab, 2, ix[:, None].expand(n, 2, p))
    a = -s.float() * 2 * math.pi / p
    dx, dy = head[:, 6].clone(), head[:, 7].clone()
    head[:, 6], head[:, 7] = dx * torch.cos(a) - dy * torch.sin(a), dx * torch.sin(a) + dy * torch.cos(a)
    m = torch.rand(n, device=dev) < 0.5
    im = torch.where(m[:, None, None, None], torch.flip(im, (2,)), im)
    lab = torch.where(m[:, None, None], torch.flip(lab, (2,)), lab)
    head[:, 7] = torch.where(m, -head[:, 7], head[:, 7])
    rings(head, im, lab, kind)
    r = lambda: torch.rand(n, 1, 1, device=dev)
    g = lambda: torch.randn(n, 1, 1, device=dev)
    far = rho == PATCH
    im[:, 0] *= torch.exp(g() * (0.25 if far else 0.15))
    # Light from one side, and a hard shadow's edge somewhere.
    phi = torch.arange(p, device=dev)[None, :, None].float() * 2 * math.pi / p
    x = torch.cos(phi - r() * 2 * math.pi) * torch.linspace(0.35, 1, rho, device=dev)[None, None]
    im[:, 0] += x * g() * 0.15
    im[:, 0] -= torch.sigmoid((x - (r() * 1.6 - 0.8)) * torch.exp(1 + 4 * r())) * (r() < 0.2) * r() * 1.2
    th = r() * 2 * math.pi * (r() < 0.6)
    sc = torch.exp(g() * 0.3) * (r() > 0.15)
    rr, b = im[:, 1].clone(), im[:, 2].clone()
    im[:, 1], im[:, 2] = (rr * torch.cos(th) - b * torch.sin(th)) * sc, (rr * torch.sin(th) + b * torch.cos(th)) * sc
    for w in (3,) if far else (3, 5):
        k = torch.rand(n, 1, 1, 1, device=dev) < (0.35 if far else 0.25)
        im = torch.where(k, soften(im, w, not far), im)
    return head, im + torch.randn_like(im) * torch.rand(n, 1, 1, 1, device=dev) * 0.06, lab


def loss(net, head, im, lab, kind):
    """Cross-entropy of the contour's place in each direction, and for neighbourhoods of whether
    a fastener of the kind asked for stands there."""
    there = (head[:, 2] == kind).float()
    maps, logit = net(planes(head, im, kind).contiguous(memory_format=torch.channels_last))
    rho, band = im.shape[3], im.shape[3] == BAND
    total = 0 if band else F.binary_cross_entropy_with_logits(logit, there)
    for ch, w in ((0, 1.0 if band else 0.5), (1, 0.3)):
        l = lab[:, ch]
        known = (l > 0) & (l < rho - 1) & (there[:, None] > 0)
        k = torch.floor(l).clamp(0, rho - 2)
        f = (l - k).clamp(0, 1)
        want = torch.zeros(l.shape + (rho,), device=im.device)
        want.scatter_(2, k.long()[..., None], (1 - f)[..., None])
        want.scatter_add_(2, k.long()[..., None] + 1, f[..., None])
        ce = -(want * F.log_softmax(maps[:, ch], 2)).sum(2)
        total = total + w * (ce * known).sum() / known.sum().clamp(min=1)
    return total
