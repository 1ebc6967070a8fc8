"""The border network as PyTorch sees it: looks at the rectified sheet once and says where the top
sheet ends. imaging/sheetedge/border runs what export() writes; it is built as the places network is.

Needs PyTorch and numpy. Nothing in the program or its tests needs Python.
"""
import numpy as np
import torch
from places_net import CELL, SIDE, Conv, Places

ANSWERS = 6          # border, on the sheet, cos and sin of twice the normal's angle, offset u and v in cells
CELLS = SIDE // CELL


def load(paths):
    """Views as written by the writer: per view SIDE² × (light, rg, gb), then CELLS² × ANSWERS (of the first
    two -1: not asked), half floats. Returns images (n, 3, SIDE, SIDE) and answers (n, ANSWERS, CELLS, CELLS)."""
    a, b = 3 * SIDE * SIDE, ANSWERS * CELLS * CELLS
    ims, says = [], []
    for p in paths:
        x = np.fromfile(p, "<f2")
        x = torch.from_numpy(x[:len(x) // (a + b) * (a + b)].reshape(-1, a + b))
        ims.append(x[:, :a].reshape(-1, 3, SIDE, SIDE))
        says.append(x[:, a:].reshape(-1, ANSWERS, CELLS, CELLS))
    return torch.cat(ims), torch.cat(says)


class Border(Places):
    def __init__(self, a=12, b=16, c=24, d=32):
        super().__init__(a, b, c, d)
        self.out = Conv(c, ANSWERS, 1, relu=False, norm=False)
