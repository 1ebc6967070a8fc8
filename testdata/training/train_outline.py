#!/usr/bin/env python3
"""Trains an outline network: train_outline.py UNTIL OUT [--bands] [--seed N] [--start NET.pt] [--rate R] [--hold N] PATCHES.bin ...

A third of every batch are places at which something else stands than is asked for: another kind, or
none of ours. The last N patches are kept out and scored. UNTIL is a number of steps or of seconds
(600s). Writes OUT.pt and OUT.weights.
"""
import math, sys, time
import torch
from export import export
from outline_net import BAND, PATCH, Net, augment, load, loss, planes

dev = "cuda" if torch.cuda.is_available() else "cpu"


@torch.no_grad()
def score(net, head, im, lab):
    """How often a kind that stands there is told so (p > 0.5) and one that doesn't is not; how far the
    mean of the likeliest columns lies off the silhouette, in steps."""
    net.eval()
    rows = []
    for kind in range(4):
        k = torch.full((len(head),), kind)
        ps, err = [], []
        for i in range(0, len(head), 512):
            h, x, l, kk = head[i:i + 512].to(dev), im[i:i + 512].to(dev).float(), lab[i:i + 512].to(dev), k[i:i + 512].to(dev)
            maps, logit = net(planes(h, x, kk))
            ps.append(torch.sigmoid(logit).cpu())
            at = maps[:, 0].argmax(2).float()
            known = (l[:, 0] > 0) & (h[:, 2] == kind)[:, None]
            e = torch.where(known, at - l[:, 0], torch.zeros_like(at))
            good = known.sum(1) > 20
            err.append((e.sum(1) / known.sum(1).clamp(min=1))[good].abs().cpu())
        p, there = torch.cat(ps), head[:, 2] == kind
        e = torch.cat(err)
        q = lambda a: float(e.quantile(a)) if len(e) else float("nan")
        rows.append("kind %d: of %d %.3f told, of %d others %.3f taken; |mean error| median %.2f p95 %.2f steps" % (
            kind, int(there.sum()), float((p[there] > 0.5).float().mean()), int((~there).sum()), float((p[~there] > 0.5).float().mean()), q(.5), q(.95)))
    net.train()
    return "\n".join(rows)


def main():
    args = sys.argv[1:]
    until, out, args = args[0], args[1], args[2:]
    rho, seed, hold, start, rate0 = PATCH, 1, 0, None, 4e-3
    while args[0].startswith("--"):
        if args[0] == "--bands":
            rho, args = BAND, args[1:]
        elif args[0] == "--seed":
            seed, args = int(args[1]), args[2:]
        elif args[0] == "--hold":
            hold, args = int(args[1]), args[2:]
        elif args[0] == "--start":
            start, args = args[1], args[2:]
        elif args[0] == "--rate":
            rate0, args = float(args[1]), args[2:]
    torch.manual_seed(seed)
    net = Net().to(dev)
    if start:
        net.load_state_dict(torch.load(start, map_location=dev))
    head, im, lab = load(args, rho, dev)
    keep = None
    if hold:
        keep = head[-hold:], im[-hold:], lab[-hold:]
        head, im, lab = head[:-hold], im[:-hold], lab[:-hold]
    by = [torch.where(head[:, 2] == k)[0] for k in (-1, 0, 1, 2, 3)]
    print("patches: none %d, shop %d, dome %d, flush %d, hole %d" % tuple(len(b) for b in by), flush=True)
    if dev == "cuda":
        head, im, lab, by = head.to(dev), im.to(dev), lab.to(dev), [b.to(dev) for b in by]
    batch = 256 if dev == "cuda" else 32
    opt = torch.optim.AdamW(net.parameters(), lr=rate0, weight_decay=1e-3)
    net.train()
    t0 = time.time()
    pick = lambda ix, n: ix[torch.randint(0, len(ix), (n,), device=ix.device)]
    step, done = 0, 0.0
    while done < 1:
        done = (time.time() - t0) / float(until[:-1]) if until.endswith("s") else step / int(until)
        for group in opt.param_groups:
            group["lr"] = rate0 * max(1e-4, min(done / 0.08, 0.5 + 0.5 * math.cos(math.pi * min(1, max(0, done - 0.08) / 0.92))))
        parts, kinds = [], []
        each = batch // 6 if rho == PATCH else batch // 4
        for k in range(4):
            if len(by[k + 1]):
                parts.append(pick(by[k + 1], each))
                kinds.append(torch.full((each,), k, device=dev))
        if rho == PATCH:
            n = batch - each * len(parts)
            other = torch.cat([pick(by[0], n // 2) if len(by[0]) else pick(by[1], n // 2), pick(torch.cat(by[1:]), n - n // 2)])
            k = torch.randint(0, 4, (len(other),), device=dev)
            own = head[other, 2].to(dev).long()
            kinds.append(torch.where(k == own, (k + 1 + torch.randint(0, 3, k.shape, device=dev)) % 4, k))
            parts.append(other)
        sel, kind = torch.cat(parts), torch.cat(kinds)
        h, x, l = augment(head[sel].to(dev), im[sel].to(dev), lab[sel].to(dev), kind)
        e = loss(net, h, x, l, kind)
        opt.zero_grad()
        e.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 5)
        opt.step()
        step += 1
        if step % 1000 == 1:
            print(step, round(e.item(), 3), round(time.time() - t0), flush=True)
    if keep:
        print(score(net, *keep), flush=True)
    torch.save(net.cpu().state_dict(), out + ".pt")
    net.eval()
    export(net, net.convs(), [net.o1, net.o2], out + ".weights")


main()
