#!/usr/bin/env python3
"""Trains an outline network: train_outline.py UNTIL OUT [--bands] [--narrow] [--seed N] [--start NET.pt] [--rate R] [--hold] [--again S] PATCHES.bin ...

A quarter of every batch are places at which something else stands than is asked for: another kind, or
none of ours; of the rest a third are holes. With --hold the last file is kept out and scored, with --again the
files are read again after S seconds, as they grow while scenes are rendered. UNTIL is a number of steps or of
seconds (600s). Writes OUT.pt and OUT.weights.
"""
import argparse, math, time
import torch
from export import export, load_weights
from outline_net import BAND, PATCH, Net, augment, load, loss, planes

dev = "cuda" if torch.cuda.is_available() else "cpu"
torch.backends.cudnn.benchmark = torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True


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
        p, there = torch.cat(ps), (head[:, 2] == kind).cpu()
        e = torch.cat(err)
        q = lambda a: float(e.quantile(a)) if len(e) else float("nan")
        rows.append("kind %d: of %d %.3f told, of %d others %.3f taken; |mean error| median %.2f p95 %.2f steps" % (
            kind, int(there.sum()), float((p[there] > 0.5).float().mean()), int((~there).sum()), float((p[~there] > 0.5).float().mean()), q(.5), q(.95)))
    net.train()
    return "\n".join(rows)


def read(files, rho):
    """The patches of the files, and where those of each kind are among them."""
    head, im, lab = (x.to(dev) for x in load(files, rho, dev))
    by = [torch.where(head[:, 2] == k)[0] for k in (-1, 0, 1, 2, 3)]
    print("patches: none %d, shop %d, dome %d, flush %d, hole %d" % tuple(len(b) for b in by), flush=True)
    return head, im, lab, by


def draw(by, head, batch, rho):
    """A batch: the patches' numbers, and the kinds asked for."""
    pick = lambda ix, n: ix[torch.randint(0, len(ix), (n,), device=ix.device)]
    parts, kinds = [], []
    each = 3 * batch // 20 if rho == PATCH else batch // 5
    for k in range(4):
        if len(by[k + 1]):
            n = each * 2 if k == 3 else each
            parts.append(pick(by[k + 1], n))
            kinds.append(torch.full((n,), k, device=dev))
    if rho == PATCH:
        n = batch - sum(len(p) for p in parts)
        other = torch.cat([pick(by[0], n // 2) if len(by[0]) else pick(by[1], n // 2), pick(torch.cat(by[1:]), n - n // 2)])
        k = torch.randint(0, 4, (len(other),), device=dev)
        own = head[other, 2].long()
        kinds.append(torch.where(k == own, (k + 1 + torch.randint(0, 3, k.shape, device=dev)) % 4, k))
        parts.append(other)
    return torch.cat(parts), torch.cat(kinds)


def recorded(learn, kept):
    """The steps of learn on the tensors kept, recorded once on the GPU: it then need not be told each of them."""
    side = torch.cuda.Stream()
    side.wait_stream(torch.cuda.current_stream())
    with torch.cuda.stream(side):
        for _ in range(5):
            learn(*kept)
    torch.cuda.current_stream().wait_stream(side)
    graph = torch.cuda.CUDAGraph()
    with torch.cuda.graph(graph):
        e = learn(*kept)

    def go():
        graph.replay()
        return e

    return go


def main():
    p = argparse.ArgumentParser(description=__doc__)
    p.add_argument("until")
    p.add_argument("out")
    p.add_argument("files", nargs="+")
    p.add_argument("--bands", action="store_true")
    p.add_argument("--hold", action="store_true")
    p.add_argument("--narrow", action="store_true", help="12, 20 and 32 planes instead of 16, 28 and 44")
    p.add_argument("--seed", type=int, default=1)
    p.add_argument("--start", help="NET.pt to go on from")
    p.add_argument("--from", dest="weights", help="NET.weights to go on from")
    p.add_argument("--examples", nargs="*", default=[], help="patches of photos, of which so many are in each batch:")
    p.add_argument("--share", type=float, default=0.12)
    p.add_argument("--rate", type=float, default=4e-3)
    p.add_argument("--again", type=float, default=math.inf)
    a = p.parse_args()
    rho = BAND if a.bands else PATCH
    torch.manual_seed(a.seed)
    net = (Net(a=12, b=20, c=32) if a.narrow else Net()).to(dev, memory_format=torch.channels_last)  # normalisation is many times as fast so
    if a.start:
        net.load_state_dict(torch.load(a.start, map_location=dev))
    held = a.files[-1:] if a.hold else []
    files = a.files[:len(a.files) - len(held)]
    head, im, lab, by = read(files, rho)
    if a.weights:
        sel, kind = draw(by, head, 4096, rho)
        h, x, _ = augment(head[sel], im[sel], lab[sel], kind)
        load_weights(net, a.weights, planes(h, x, kind))
    examples = read(a.examples, rho) if a.examples else None
    batch = 512 if dev == "cuda" else 128
    rate = torch.tensor(a.rate, device=dev)
    opt = torch.optim.AdamW(net.parameters(), lr=rate, weight_decay=1e-3, **({"fused": True, "capturable": True} if dev == "cuda" else {}))
    n = int(a.share * batch) if examples else 0

    def some():
        sel, kind = draw(by, head, batch - n, rho)
        parts = [head[sel], im[sel], lab[sel]]
        if n:
            sel, other = draw(examples[3], examples[0], n, rho)
            parts = [torch.cat([b, e[sel]]) for b, e in zip(parts, examples)]
            kind = torch.cat([kind, other])
        return parts + [kind]

    def learn(h, x, l, kind):
        h, x, l = augment(h, x, l, kind)
        e = loss(net, h, x, l, kind)
        opt.zero_grad(set_to_none=True)
        e.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 5)
        opt.step()
        return e

    net.train()
    kept = some()
    go = recorded(learn, kept) if dev == "cuda" else lambda: learn(*kept)
    t0, again = time.time(), a.again
    step, done = 0, 0.0
    while done < 1:
        past = time.time() - t0
        if past > again:
            again += a.again
            del head, im, lab, by
            head, im, lab, by = read(files, rho)
        done = past / float(a.until[:-1]) if a.until.endswith("s") else step / int(a.until)
        rate.fill_(a.rate * max(1e-4, min(done / 0.08, 0.5 + 0.5 * math.cos(math.pi * min(1, max(0, done - 0.08) / 0.92)))))
        for to, fresh in zip(kept, some()):
            to.copy_(fresh)
        e = go()
        step += 1
        if step % 1000 == 1:
            print(step, round(e.item(), 3), round(time.time() - t0), flush=True)
    if held:
        print(score(net, *load(held, rho)), flush=True)
    torch.save(net.cpu().state_dict(), a.out + ".pt")
    net.eval()
    export(net, net.convs(), [net.o1, net.o2], a.out + ".weights")


main()
