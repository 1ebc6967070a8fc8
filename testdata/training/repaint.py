"""What both networks that look at the whole sheet are trained against: light, colour, sharpness, noise."""
import math
import torch
import torch.nn.functional as F

dev = "cuda" if torch.cuda.is_available() else "cpu"


def field(n, side, k, scale):
    """Smooth random pictures (n, 1, side, side), k cells across."""
    return F.interpolate(torch.randn(n, 1, k, k, device=dev) * scale, (side, side), mode="bicubic", align_corners=False)


def repaint(im):
    """Light, colour, sharpness, noise, glare of pictures (n, 3, side, side), on the GPU."""
    n, side = im.shape[0], im.shape[-1]
    # Light: shading, contrast, shadow lines and glare.
    l = im[:, :1]
    l = l * (1 + 0.25 * torch.randn(n, 1, 1, 1, device=dev)).clamp(0.4, 1.8) + 0.3 * torch.randn(n, 1, 1, 1, device=dev) + field(n, side, 4, 0.35) + field(n, side, 12, 0.12)
    th = torch.rand(n, 1, 1, 1, device=dev) * 2 * math.pi
    yy, xx = torch.meshgrid(torch.linspace(-1, 1, side, device=dev), torch.linspace(-1, 1, side, device=dev), indexing="ij")
    edge = torch.sigmoid((xx * torch.cos(th) + yy * torch.sin(th) - torch.rand(n, 1, 1, 1, device=dev) * 1.4 + 0.7) * torch.exp(torch.rand(n, 1, 1, 1, device=dev) * 4 + 1))
    l = l - edge * (torch.rand(n, 1, 1, 1, device=dev) < 0.3) * torch.rand(n, 1, 1, 1, device=dev) * 2.0
    glare = torch.relu(field(n, side, 7, 1.0) - 1.2) * (torch.rand(n, 1, 1, 1, device=dev) < 0.3) * 2
    l = torch.minimum(l + glare, l.amax((2, 3), keepdim=True) + 0.6)
    c = im[:, 1:] * torch.exp(torch.randn(n, 1, 1, 1, device=dev) * 0.3) * (torch.rand(n, 1, 1, 1, device=dev) > 0.12)
    a = torch.rand(n, 1, 1, 1, device=dev) * 2 * math.pi * (torch.rand(n, 1, 1, 1, device=dev) < 0.5)
    c = torch.cat([c[:, :1] * torch.cos(a) - c[:, 1:] * torch.sin(a), c[:, :1] * torch.sin(a) + c[:, 1:] * torch.cos(a)], 1)
    c = c + field(n, side, 5, 0.06) * torch.randn(n, 2, 1, 1, device=dev)
    im = torch.cat([l, c], 1)
    for w in (3, 5):
        m = (torch.rand(n, 1, 1, 1, device=dev) < 0.2).float()
        soft = F.avg_pool2d(F.pad(im, (w // 2,) * 4, mode="replicate"), w, stride=1)
        im = im * (1 - m) + soft * m
    im = im + torch.randn_like(im) * torch.rand(n, 1, 1, 1, device=dev) * torch.tensor([0.10, 0.04, 0.04], device=dev)[None, :, None, None]
    return im
