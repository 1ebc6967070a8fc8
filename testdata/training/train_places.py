#!/usr/bin/env python3
"""Trains the places network: train_places.py UNTIL OUT [--start NET.pt] [--rate R] [--hold N] VIEWS.bin ...

The last N views of each file (default none) are kept out and scored at the end. UNTIL is a
number of steps or of seconds (600s). Writes OUT.pt (to
start from again) and OUT.weights (for the program).
"""
import math, sys, time
import torch
import torch.nn.functional as F
from places_net import CELL, CLASSES, MOST, SIDE, Places, load
from export import export
from repaint import dev, repaint


def augment(im, things):
    """Turns, mirrors, light, colour, sharpness, noise, glare, on the GPU."""
    n = im.shape[0]
    im, t = im.float(), things.clone()
    t[..., 1:3] += 0.5  # edges of cells
    k = torch.randint(0, 4, (1,)).item()
    im = torch.rot90(im, k, (2, 3))
    for _ in range(k):
        t = torch.stack([t[..., 0], t[..., 2], SIDE - t[..., 1], t[..., 3]], -1)
    if torch.rand(1) < 0.5:
        im = torch.flip(im, (3,))
        t[..., 1] = SIDE - t[..., 1]
    t[..., 1:3] -= 0.5
    return repaint(im), t


def targets(t):
    """Heat (n, CLASSES, cells, cells) in 0..1, and for the cells of the centres: index, offset, log radius."""
    n, g = t.shape[0], SIDE // CELL
    cells = torch.arange(g, device=dev).float() * CELL + (CELL - 1) / 2
    heat = torch.zeros(n, CLASSES, g, g, device=dev)
    valid = t[..., 0] >= 0
    u, v, r = t[..., 1], t[..., 2], t[..., 3].clamp(min=1)
    d2 = (cells[None, None, None, :] - u[..., None, None]) ** 2 + (cells[None, None, :, None] - v[..., None, None]) ** 2
    s = (0.35 * r).clamp(min=1.6)
    blob = torch.exp(-d2 / (2 * s[..., None, None] ** 2))
    # The cell that holds the centre is full.
    iu = ((u - (CELL - 1) / 2) / CELL).round().long()
    iv = ((v - (CELL - 1) / 2) / CELL).round().long()
    inside = valid & (iu >= 0) & (iu < g) & (iv >= 0) & (iv < g)
    for k in range(CLASSES):
        m = (inside & (t[..., 0] == k)).float()
        heat[:, k] = (blob * m[..., None, None]).amax(1)
    b, j = torch.where(inside)
    heat[b, t[b, j, 0].long(), iv[b, j], iu[b, j]] = 1
    return heat, (b, t[b, j, 0].long(), iv[b, j], iu[b, j], (u[b, j] - cells[iu[b, j]]) / CELL, (v[b, j] - cells[iv[b, j]]) / CELL, torch.log(r[b, j] / 10))


def loss(net, im, t):
    heat, (b, k, iv, iu, du, dv, lr) = targets(t)
    out = net(im)
    logit = out[:, :CLASSES]
    p = torch.sigmoid(logit).clamp(1e-4, 1 - 1e-4)
    pos = heat.eq(1).float()
    hard = -((1 - p) ** 2 * torch.log(p) * pos)
    easy = -((1 - heat) ** 4 * p ** 2 * torch.log(1 - p) * (1 - pos))
    n = pos.sum().clamp(min=1)
    at = out[b, CLASSES:, iv, iu]
    geo = F.smooth_l1_loss(at[:, 0], du, beta=0.1) + F.smooth_l1_loss(at[:, 1], dv, beta=0.1) + 2 * F.smooth_l1_loss(at[:, 2], lr, beta=0.05)
    return (hard.sum() + easy.sum()) / n + geo


@torch.no_grad()
def score(net, im, things):
    """Of each class: share found among the likeliest places (p of any fastener class > 0.1), and how
    often its own class is the likeliest."""
    net.eval()
    seen, right, total, extra = torch.zeros(CLASSES), torch.zeros(CLASSES), torch.zeros(CLASSES), 0
    for i in range(0, len(im), 64):
        x, t = im[i:i + 64].to(dev).float(), things[i:i + 64].to(dev)
        p = torch.sigmoid(net(x)[:, :CLASSES])
        any_ = p.amax(1)
        top = (any_ == F.max_pool2d(any_[:, None], 3, 1, 1)[:, 0]) & (any_ > 0.1)
        for b in range(len(x)):
            iv, iu = torch.where(top[b])
            pts = torch.stack([iu, iv], 1).float() * CELL + (CELL - 1) / 2
            used = torch.zeros(len(pts), dtype=torch.bool, device=dev)
            for k, u, v, r in t[b][t[b][:, 0] >= 0].tolist():
                if not (0 <= u < SIDE and 0 <= v < SIDE):
                    continue
                total[int(k)] += 1
                if len(pts) == 0:
                    continue
                d = (pts - torch.tensor([u, v], device=dev)).norm(dim=1)
                j = d.argmin()
                if d[j] < max(0.5 * r, 3):
                    seen[int(k)] += 1
                    used[j] = True
                    right[int(k)] += int(p[b, :, iv[j], iu[j]].argmax() == int(k))
            extra += int((~used).sum())
    net.train()
    return "found %s of %s, named right %s; %.1f more a view" % ((seen / total.clamp(min=1)).numpy().round(3), total.int().tolist(), (right / seen.clamp(min=1)).numpy().round(3), extra / max(1, len(im)))


def main():
    args = sys.argv[1:]
    until, out, args = args[0], args[1], args[2:]
    torch.manual_seed(1)
    net, rate0, hold = Places().to(dev), 4e-3, 0
    while args[0].startswith("--"):
        if args[0] == "--start":
            net.load_state_dict(torch.load(args[1], map_location=dev))
        elif args[0] == "--rate":
            rate0 = float(args[1])
        elif args[0] == "--hold":
            hold = int(args[1])
        args = args[2:]
    im, things = load(args)
    if hold:
        him, hthings = im[-hold:], things[-hold:]
        im, things = im[:-hold], things[:-hold]
    if dev == "cuda":
        im, things = im.to(dev), things.to(dev)
    batch = 64 if dev == "cuda" else 8
    opt = torch.optim.AdamW(net.parameters(), lr=rate0, weight_decay=1e-3)
    t0 = time.time()
    step, done = 0, 0.0
    while done < 1:
        done = (time.time() - t0) / float(until[:-1]) if until.endswith("s") else step / int(until)
        for group in opt.param_groups:
            group["lr"] = rate0 * max(1e-4, min(done / 0.08, 0.5 + 0.5 * math.cos(math.pi * min(1, max(0, done - 0.08) / 0.92))))
        sel = torch.randint(0, len(im), (batch,), device=im.device)
        l = loss(net, *augment(im[sel].to(dev), things[sel].to(dev)))
        opt.zero_grad()
        l.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 5)
        opt.step()
        step += 1
        if step % 1000 == 1:
            print(step, round(l.item(), 3), round(time.time() - t0), flush=True)
    if hold:
        print(score(net, him, hthings))
    torch.save(net.cpu().state_dict(), out + ".pt")
    net.eval()
    export(net, net.convs(), [], out + ".weights")


main()
