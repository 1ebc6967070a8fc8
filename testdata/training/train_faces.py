#!/usr/bin/env python3
"""Trains the network that looks along edges: train_faces.py UNTIL OUT [--planes A B C] [--seed N] [--start NET.pt] [--rate R] [--hold] [--again S] STRIPS.bin ...

With --hold the last file is kept out and scored, with --again the files are read again after S seconds, as
they grow while scenes are rendered. UNTIL is a number of steps or of seconds (600s). Writes OUT.pt and
OUT.weights.
"""
import argparse, math, os, time
import numpy as np
import torch
import torch.nn.functional as F
from export import export
from outline_net import BAND, Net, soften

ROWS, HEAD, SETTINGS = 32, 12, 8
dev = "cuda" if torch.cuda.is_available() else "cpu"


def load(paths):
    """Strips as the writer makes them: HEAD float32, SETTINGS of each row, the edge's column in each row
    (-1: unknown); pictures (log light, two colour ratios) as half floats."""
    floats, pics = HEAD + SETTINGS * ROWS + ROWS, 3 * ROWS * BAND
    rec = 4 * floats + 2 * pics
    heads, sets, labs, ims = [], [], [], []
    for path in paths:
        a = np.fromfile(path, np.uint8)
        a = a[:len(a) // rec * rec].reshape(-1, rec)
        if not len(a):
            continue
        f = torch.from_numpy(a[:, :4 * floats].copy().view("<f4"))
        heads.append(f[:, :HEAD].clone())
        sets.append(f[:, HEAD:HEAD + SETTINGS * ROWS].reshape(-1, ROWS, SETTINGS).clone())
        labs.append(f[:, -ROWS:].clone())
        x = torch.from_numpy(a[:, 4 * floats:].copy().view("<f2")).to(dev).float().reshape(-1, 3, ROWS, BAND)
        ims.append(torch.cat([(x[:, :1] / 2).clamp(-3, 2), (x[:, 1:] * 6).clamp(-2, 2)], 1).half())
    return torch.cat(heads).to(dev), torch.cat(sets).to(dev), torch.cat(labs).to(dev), torch.cat(ims)


def planes(sets, im):
    """The network's input: picture, distance across, and each row's settings."""
    n = len(im)
    dist = torch.linspace(-1, 1, BAND, device=im.device)[None, None, None].expand(n, 1, ROWS, BAND)
    return torch.cat([im, dist, sets.permute(0, 2, 1)[..., None].expand(n, SETTINGS, ROWS, BAND)], 1)


def augment(sets, lab, im):
    """Mirrors along the edge, and changes light, colour, sharpness and noise; all of a batch at once."""
    n = len(im)
    sets, lab, im = sets.clone(), lab.clone(), im.float()
    m = torch.rand(n, device=dev) < 0.5
    sets = torch.where(m[:, None, None], torch.flip(sets, (1,)), sets)
    lab = torch.where(m[:, None], torch.flip(lab, (1,)), lab)
    im = torch.where(m[:, None, None, None], torch.flip(im, (2,)), im)
    sets[:, :, 1] = torch.where(m[:, None], -sets[:, :, 1], sets[:, :, 1])
    r = lambda: torch.rand(n, 1, 1, device=dev)
    g = lambda: torch.randn(n, 1, 1, device=dev)
    im[:, 0] *= torch.exp(g() * 0.15)
    # Light that changes across and along, and a hard shadow's edge somewhere.
    x = torch.linspace(-1, 1, BAND, device=dev)[None, None]
    y = torch.linspace(-1, 1, ROWS, device=dev)[None, :, None]
    im[:, 0] += x * g() * 0.06 + y * g() * 0.10
    th = r() * 2 * math.pi
    im[:, 0] -= torch.sigmoid((x * torch.cos(th) + y * torch.sin(th) - (r() * 2 - 1)) * torch.exp(2 + 3 * r())) * (r() < 0.12) * r() * 0.8
    th = r() * 2 * math.pi * (r() < 0.5)
    sc = torch.exp(g() * 0.3) * (r() > 0.15)
    a, b = im[:, 1].clone(), im[:, 2].clone()
    im[:, 1], im[:, 2] = (a * torch.cos(th) - b * torch.sin(th)) * sc, (a * torch.sin(th) + b * torch.cos(th)) * sc
    for w in (3, 5):
        k = torch.rand(n, 1, 1, 1, device=dev) < 0.2
        im = torch.where(k, soften(im, w, True), im)
    seen = (sets[:, :, 4] == 0)[:, None, :, None]
    im = torch.where(seen, im + torch.randn_like(im) * torch.rand(n, 1, 1, 1, device=dev) * 0.05, torch.zeros_like(im))
    return sets, lab, im


def loss(net, head, sets, lab, im):
    """Cross-entropy of the edge's column in each row, and of whether there is an edge at all."""
    maps, logit = net(planes(sets, im))
    total = 0.3 * F.binary_cross_entropy_with_logits(logit, head[:, 1])
    known = (lab > 0) & (lab < BAND - 1)
    k = torch.floor(lab).clamp(0, BAND - 2)
    f = (lab - k).clamp(0, 1)
    want = torch.zeros(lab.shape + (BAND,), device=dev)
    want.scatter_(2, k.long()[..., None], (1 - f)[..., None])
    want.scatter_add_(2, k.long()[..., None] + 1, f[..., None])
    ce = -(want * F.log_softmax(maps[:, 0], 2)).sum(2)
    return total + (ce * known).sum() / known.sum().clamp(min=1)


@torch.no_grad()
def score(net, head, sets, lab, im):
    """How many edges and other lines are told so, and how far the median of the rows' places lies off, in
    hundredths of a millimetre."""
    net.eval()
    ps, err, off = [], [], []
    for i in range(0, len(head), 512):
        maps, logit = net(planes(sets[i:i + 512], im[i:i + 512].float()))
        ps.append(logit)
        p = F.softmax(maps[:, 0], 2)
        top = p.argmax(2)
        cols = torch.arange(BAND, device=dev).float()
        near = (cols[None, None] - top[..., None].float()).abs() <= 5
        q = p * near
        at = (q * cols).sum(2) / q.sum(2)
        l = lab[i:i + 512]
        e = torch.where((l > 0) & (l < BAND - 1), (at - l) * 3.2, torch.full_like(l, float("nan")))
        err.append(e.nanmedian(1).values)
    ps, err, there = torch.cat(ps), torch.cat(err), head[:, 1] == 1
    e = err[there & ~err.isnan()].abs()
    px = head[there & ~err.isnan(), 2]
    sure = ps[there & ~err.isnan()] > 2
    q = lambda v, a: float(v.quantile(a)) if len(v) else float("nan")
    net.train()
    return "edges %d: %.3f told, others %d: %.3f taken; off median %.1f p90 %.1f p95 %.1f; near median %.1f p95 %.1f; sure %.2f, p95 %.1f (0.01 mm)" % (
        int(there.sum()), float((ps[there] > 0).float().mean()), int((~there).sum()), float((ps[~there] > 0).float().mean()),
        q(e, .5), q(e, .9), q(e, .95), q(e[px > 12], .5), q(e[px > 12], .95), float(sure.float().mean()), q(e[sure], .95))


def main():
    p = argparse.ArgumentParser(description=__doc__)
    p.add_argument("until")
    p.add_argument("out")
    p.add_argument("files", nargs="+")
    p.add_argument("--planes", type=int, nargs=3, default=(10, 16, 24))
    p.add_argument("--hold", action="store_true")
    p.add_argument("--seed", type=int, default=1)
    p.add_argument("--start")
    p.add_argument("--rate", type=float, default=4e-3)
    p.add_argument("--again", type=float, default=math.inf)
    a = p.parse_args()
    torch.manual_seed(a.seed)
    net = Net(a=a.planes[0], b=a.planes[1], c=a.planes[2], flat=True).to(dev)
    if a.start:
        net.load_state_dict(torch.load(a.start, map_location=dev))
    held = a.files[-1:] if a.hold else []
    files = [f for f in a.files[:len(a.files) - len(held)] if os.path.getsize(f)]
    data = load(files)
    batch = 512 if dev == "cuda" else 32
    opt = torch.optim.AdamW(net.parameters(), lr=a.rate, weight_decay=1e-3, **({"fused": True} if dev == "cuda" else {}))
    net.train()
    t0, again = time.time(), a.again
    step, done = 0, 0.0
    while done < 1:
        past = time.time() - t0
        if past > again:
            again += a.again
            del data
            data = load(files)
        done = past / float(a.until[:-1]) if a.until.endswith("s") else step / int(a.until)
        for group in opt.param_groups:
            group["lr"] = a.rate * max(1e-4, min(done / 0.08, 0.5 + 0.5 * math.cos(math.pi * min(1, max(0, done - 0.08) / 0.92))))
        sel = torch.randint(0, len(data[0]), (batch,), device=dev)
        e = loss(net, data[0][sel], *augment(*(x[sel] for x in data[1:])))
        opt.zero_grad()
        e.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 5)
        opt.step()
        step += 1
        if step % 1000 == 1:
            print(step, len(data[0]), round(e.item(), 3), round(time.time() - t0), flush=True)
    if held:
        print(a.out, score(net, *load(held)), flush=True)
    torch.save(net.cpu().state_dict(), a.out + ".pt")
    net.eval()
    export(net, net.convs(), [net.o1, net.o2], a.out + ".weights")


main()
