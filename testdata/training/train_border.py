#!/usr/bin/env python3
"""Trains the border network: train_border.py SECONDS OUT [--start NET.pt] [--rate R] [--wide] [--hold KEPT.bin] DIR ...

Views are read anew from DIR/*.bin as they grow; those of KEPT.bin are kept out and scored at the end. Writes
OUT.pt (to start from again) and OUT.weights (for the program).
"""
import glob, math, sys, time
import torch
import torch.nn.functional as F
from border_net import ANSWERS, Border, load
from export import export
from repaint import dev, repaint


def augment(im, say):
    """Turns and mirrors of both, light and colour of the picture, on the GPU."""
    im, say = im.float(), say.float()
    k = torch.randint(0, 4, (1,)).item()
    im, say = torch.rot90(im, k, (2, 3)), torch.rot90(say, k, (2, 3)).clone()
    for _ in range(k):  # rot90 takes (u, v) to (v, -u): twice the angle turns by half a circle
        say[:, 2:4] = -say[:, 2:4]
        say[:, 4:6] = torch.stack([say[:, 5], -say[:, 4]], 1)
    if torch.rand(1) < 0.5:
        im, say = torch.flip(im, (3,)), torch.flip(say, (3,)).clone()
        say[:, 3:5] = -say[:, 3:5]
    return repaint(im), say


def loss(net, im, say):
    out = net(im)
    asked, pos = (say[:, 0] >= 0).float(), (say[:, 0] > 0.5).float()
    p = torch.sigmoid(out[:, 0])
    bce = F.binary_cross_entropy_with_logits(out[:, 0], pos, reduction="none")
    wrong = torch.where(pos > 0.5, 1 - p, p)
    focal = (bce * (0.15 + wrong)) * asked * (1 + 3 * pos)
    inside = F.binary_cross_entropy_with_logits(out[:, 1], say[:, 1].clamp(min=0), reduction="none") * (say[:, 1] >= 0)
    near = pos[:, None]
    geo = (F.smooth_l1_loss(out[:, 2:4], say[:, 2:4], beta=0.2, reduction="none") * near).sum() + 2 * (F.smooth_l1_loss(out[:, 4:6], say[:, 4:6], beta=0.1, reduction="none") * near).sum()
    n = len(im) * 48
    return focal.sum() / n + 0.1 * inside.sum() / n + 0.3 * geo / n


@torch.no_grad()
def score(net, im, say):
    """At some thresholds: of the border's cells the share found, and of the cells found the share beside it."""
    net.eval()
    logit = torch.cat([net(im[i:i + 64].to(dev).float()) for i in range(0, len(im), 64)])
    net.train()
    say = say.to(dev).float()
    pos, neg, text = say[:, 0] > 0.5, say[:, 0] == 0, []
    for b in (-2, -1, 0, 1, 2, 3):
        hit = logit[:, 0] > b
        text.append("logit > %g: %.3f of the border, %.3f of them none" % (b, (hit & pos).sum() / pos.sum(), (hit & neg).sum() / (hit & (pos | neg)).sum().clamp(min=1)))
    off = (logit[:, 4:6] - say[:, 4:6]).norm(dim=1)[pos].median()
    turn = 0.5 * torch.rad2deg(torch.acos(F.cosine_similarity(logit[:, 2:4], say[:, 2:4], dim=1).clamp(-1, 1)))[pos].median()
    m = say[:, 1] >= 0
    right = ((logit[:, 1] > 0) == (say[:, 1] > 0.5))[m].float().mean()
    return "\n".join(text) + "\noff by %.2f cells, turned by %.1f deg (median), on the sheet or not: %.3f right, %d views" % (off, turn, right, len(im))


def main():
    args = sys.argv[1:]
    seconds, out, args = float(args[0]), args[1], args[2:]
    torch.manual_seed(1)
    wide, rate0, kept, start = False, 4e-3, None, None
    while args[0].startswith("--"):
        if args[0] == "--wide":
            wide, args = True, args[1:]
            continue
        if args[0] == "--start":
            start = args[1]
        elif args[0] == "--rate":
            rate0 = float(args[1])
        elif args[0] == "--hold":
            kept = args[1]
        args = args[2:]
    net = (Border(16, 24, 40, 56) if wide else Border()).to(dev)
    if start:
        net.load_state_dict(torch.load(start, map_location=dev))

    def views():
        im, say = load(sorted(p for d in args for p in glob.glob(d + "/*.bin") if p != kept))
        print(len(im), "views", flush=True)
        return im.to(dev), say.to(dev)

    im, say = views()
    batch = 64 if dev == "cuda" else 4
    opt = torch.optim.AdamW(net.parameters(), lr=rate0, weight_decay=1e-3)
    t0 = read = time.time()
    step, done = 0, 0.0
    while done < 1:
        done = (time.time() - t0) / seconds
        if time.time() - read > 60:
            im, say = views()
            read = time.time()
        for group in opt.param_groups:
            group["lr"] = rate0 * max(1e-4, min(done / 0.06, 0.5 + 0.5 * math.cos(math.pi * min(1, max(0, done - 0.06) / 0.94))))
        sel = torch.randint(0, len(im), (batch,), device=im.device)
        l = loss(net, *augment(im[sel], say[sel]))
        opt.zero_grad()
        l.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 5)
        opt.step()
        step += 1
        if step % 500 == 1:
            print(step, round(l.item(), 3), round(time.time() - t0), flush=True)
    if kept:
        print(score(net, *load([kept])), flush=True)
    torch.save(net.cpu().state_dict(), out + ".pt")
    net.eval()
    export(net, net.convs(), [], out + ".weights", 63)


main()
