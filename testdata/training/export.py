"""Writes weights as the program reads them, batch normalisation folded in."""
import struct
import numpy as np
import torch


def steps(w):
    """Weights as steps of a 127th of their output plane's greatest, a signed byte each: a quarter of the
    room of half floats once packed, and as good."""
    w = w.double().reshape(len(w), -1).numpy()
    step = np.maximum((np.abs(w).max(1) / 127).astype("<f2"), np.float16(6e-8))
    return step.tobytes(), np.clip(np.rint(w / step.astype(np.float64)[:, None]), -127, 127).astype(np.int8).tobytes()


def export(net, convs, linears, path):
    out = b"BTN3"
    for l in convs:
        w, b = l.c.weight.detach().double(), l.c.bias.detach().double()
        if l.bn is not None:
            g = l.bn.weight.detach().double() / torch.sqrt(l.bn.running_var.double() + l.bn.eps)
            w, b = w * g[:, None, None, None], (b - l.bn.running_mean.double()) * g + l.bn.bias.detach().double()
        o, i, kp, kr = w.shape
        step, q = steps(w)
        out += struct.pack("<4H", i, o, kp, kr) + step + b.numpy().astype("<f2").tobytes() + q
    for l in linears:
        o, i = l.weight.shape
        step, q = steps(l.weight.detach())
        out += struct.pack("<4H", i, o, 1, 1) + step + l.bias.detach().numpy().astype("<f2").tobytes() + q
    open(path, "wb").write(out)
