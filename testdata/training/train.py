#!/usr/bin/env python3
"""Trains an outline network: train.py STEPS OUT [--bands] [--start NET.pt] PATCHES.bin[:FRACTION] ...

Each file's patches fill their fraction (default 1) of every batch of 64, two thirds of them
fasteners. Writes OUT.pt (to start from again) and OUT.weights (for imaging/fastener/contour).
"""
import sys
import torch
from outline_net import BAND, PATCH, Net, augment, export, load, loss


def main():
    args = sys.argv[1:]
    steps, out, args = int(args[0]), args[1], args[2:]
    torch.manual_seed(1)
    net, rate0 = Net(), 3e-3
    rho = PATCH
    if args[0] == "--bands":
        rho, args = BAND, args[1:]
    if args[0] == "--start":
        net.load_state_dict(torch.load(args[1]))
        rate0 = 1.5e-3 if rho == BAND else rate0
        args = args[2:]
    sets = []
    for a in args:
        path, _, fraction = a.partition(":")
        sets.append((float(fraction or 1), load(path, rho)))
    total = sum(s for s, _ in sets)
    opt = torch.optim.AdamW(net.parameters(), lr=rate0, weight_decay=1e-3)
    rate = torch.optim.lr_scheduler.OneCycleLR(opt, rate0, steps, pct_start=0.12)
    net.train()
    for step in range(steps):
        parts = []
        for fraction, (head, im, lab) in sets:
            n = round(64 * fraction / total)
            there, not_there = torch.where(head[:, 1] >= 0)[0], torch.where(head[:, 1] < 0)[0]
            k = 0 if len(there) == 0 else n if len(not_there) == 0 else round(n * 2 / 3)
            for ix, m in ((there, k), (not_there, n - k)):
                if m:
                    sel = ix[torch.randint(0, len(ix), (m,))]
                    parts.append((head[sel], im[sel], lab[sel]))
        l = loss(net, *augment(*(torch.cat(p) for p in zip(*parts))))
        opt.zero_grad()
        l.backward()
        opt.step()
        rate.step()
        if step % 100 == 0:
            print(step, round(l.item(), 3), flush=True)
    net.eval()
    torch.save(net.state_dict(), out + ".pt")
    export(net, out + ".weights")


main()
