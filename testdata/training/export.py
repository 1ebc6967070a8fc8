"""Writes weights as the program reads them, batch normalisation folded in."""
import struct
import numpy as np
import torch


def halves(w, zero=5):
    """Half floats whose last bits are zero, rounded to even: a weight needs no more, and half of what
    can't be packed is saved."""
    u = w.numpy().astype("<f2").view("<u2").astype(np.uint32)
    m = np.uint32((1 << zero) - 1)
    return ((u + (m >> 1) + (u >> zero & 1)) & ~m).astype("<u2").tobytes()


def export(net, convs, linears, path):
    out = b""
    for l in convs:
        w, b = l.c.weight.detach().double(), l.c.bias.detach().double()
        if l.bn is not None:
            g = l.bn.weight.detach().double() / torch.sqrt(l.bn.running_var.double() + l.bn.eps)
            w, b = w * g[:, None, None, None], (b - l.bn.running_mean.double()) * g + l.bn.bias.detach().double()
        o, i, kp, kr = w.shape
        out += struct.pack("<4H", i, o, kp, kr) + halves(w) + b.numpy().astype("<f2").tobytes()
    for l in linears:
        o, i = l.weight.shape
        out += struct.pack("<4H", i, o, 1, 1) + halves(l.weight.detach()) + l.bias.detach().numpy().astype("<f2").tobytes()
    # The upper bytes first, which pack better by themselves.
    open(path, "wb").write(b"BTN2" + out[1::2] + out[0::2])
