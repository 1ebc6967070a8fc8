"""Writes weights as the program reads them, batch normalisation folded in, and reads them back."""
import struct
import numpy as np
import torch


def steps(w, most):
    """Weights as steps of a fraction, most, of their output plane's greatest, a signed byte each: a quarter
    of the room of half floats once packed, and as good; by a 63rd, an eighth less."""
    w = w.double().reshape(len(w), -1).numpy()
    step = np.maximum((np.abs(w).max(1) / most).astype("<f2"), np.float16(6e-8))
    return step.tobytes(), np.clip(np.rint(w / step.astype(np.float64)[:, None]), -most, most).astype(np.int8).tobytes()


def export(net, convs, linears, path, most=127):
    out = b"BTN3"
    for l in convs:
        w, b = l.c.weight.detach().double(), l.c.bias.detach().double()
        if l.bn is not None:
            g = l.bn.weight.detach().double() / torch.sqrt(l.bn.running_var.double() + l.bn.eps)
            w, b = w * g[:, None, None, None], (b - l.bn.running_mean.double()) * g + l.bn.bias.detach().double()
        o, i, kp, kr = w.shape
        step, q = steps(w, most)
        out += struct.pack("<4H", i, o, kp, kr) + step + b.numpy().astype("<f2").tobytes() + q
    for l in linears:
        o, i = l.weight.shape
        step, q = steps(l.weight.detach(), most)
        out += struct.pack("<4H", i, o, 1, 1) + step + l.bias.detach().numpy().astype("<f2").tobytes() + q
    open(path, "wb").write(out)


def load_weights(net, path, batch):
    """Goes on from weights that export wrote: batch is what the network sees, from which each normalisation
    takes the mean and scatter that leave its plane as it was."""
    b = open(path, "rb").read()[4:]
    for l in [x.c for x in net.convs()] + [net.o1, net.o2]:
        i, o, kp, kr = struct.unpack("<4H", b[:8])
        step, bias = np.frombuffer(b, "<f2", o, 8), np.frombuffer(b, "<f2", o, 8 + 2 * o)
        q = np.frombuffer(b, np.int8, o * i * kp * kr, 8 + 4 * o).reshape(o, -1)
        b = b[8 + 4 * o + q.size:]
        l.weight.data.copy_(torch.from_numpy(q * step.astype(np.float32)[:, None]).reshape(l.weight.shape))
        l.bias.data.copy_(torch.from_numpy(bias.astype(np.float32)))

    def settle(bn, x, y):
        with torch.no_grad():
            bn.running_mean.copy_(x[0].mean((0, 2, 3)))
            bn.running_var.copy_(x[0].var((0, 2, 3)))
            bn.weight.copy_(torch.sqrt(bn.running_var + bn.eps))
            bn.bias.copy_(bn.running_mean)
        return x[0]

    hooks = [l.bn.register_forward_hook(settle) for l in net.convs() if l.bn is not None]
    net.eval()
    with torch.no_grad():
        net(batch)
    for h in hooks:
        h.remove()
    net.train()
