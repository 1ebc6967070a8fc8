#!/usr/bin/env python3
"""What OpenCV sees of the rings in ../photos: for each target the ellipse of the ring's outer
border (contour at the half level of linear light, fitEllipse and moments), and the homography
from the printed millimetres to those centres (findHomography, least squares).

Independent of the Go code: nothing of it is used here. The target's place is only used to
pick the contour. Run in this folder with Debian's python3-opencv; writes rings.json."""
import json
import os

import cv2
import numpy as np

LAYOUTS = json.load(open("../../imaging/card/layouts.json"))["layouts"]
out = {"opencv": cv2.__version__, "how": __doc__, "photos": {}}
for name in ("dev-03", "dev-08", "dev-13", "dev-16"):
    truth = json.load(open(f"../photos/{name}.json"))
    # imread turns the picture upright by its EXIF orientation.
    grey = cv2.imread(f"../photos/{name}.jpg", cv2.IMREAD_GRAYSCALE)
    assert grey.shape == (truth["height"], truth["width"])
    layout = next(l for l in LAYOUTS if l["name"] == truth["card"]["layout"])
    # sRGB to linear light (IEC 61966-2-1): a blurred border lies at the half level of light.
    lin = (np.arange(256) / 255.0)
    lin = np.where(lin <= 0.04045, lin / 12.92, ((lin + 0.055) / 1.055) ** 2.4)
    linear = (lin[grey] * 65535).astype(np.uint16)
    centres, axes = [], []
    p = np.array(truth["card"]["targets_px"])[:, :2]
    pitch = np.linalg.norm(p[1] - p[0]) / np.linalg.norm(np.subtract(layout["targets"][1][:2], layout["targets"][0][:2]))
    for (u, v) in p:
        r = int(3.6 * pitch)
        x0, y0 = int(round(u)) - r, int(round(v)) - r
        win = linear[y0:y0 + 2 * r + 1, x0:x0 + 2 * r + 1].astype(np.float32)
        lo, hi = np.percentile(win, 3), np.percentile(win, 90)
        level = (lo + hi) / 2
        k = 8  # contours have whole pixels; enlarge for sub-pixel ones
        big = cv2.resize(win, None, fx=k, fy=k, interpolation=cv2.INTER_LINEAR)
        dark = (big < level).astype(np.uint8)
        contours, _ = cv2.findContours(dark, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
        best = min((c for c in contours if len(c) > 100),
                   key=lambda c: abs(cv2.minEnclosingCircle(c)[1] - 2.5 * pitch * k))
        (cx, cy), _, _ = cv2.fitEllipse(best)
        # Axes by the contour's moments: a filled ellipse of half axis a has the second moment
        # a^2 / 4.
        m = cv2.moments(best)
        mu = np.array([[m["mu20"], m["mu11"]], [m["mu11"], m["mu02"]]]) / m["m00"]
        w, h = 4 * np.sqrt(np.linalg.eigvalsh(mu))
        centres.append([x0 + (cx + 0.5) / k - 0.5, y0 + (cy + 0.5) / k - 0.5])
        axes.append(sorted([w / k, h / k]))
    mm = np.array([t[:2] for t in layout["targets"]], dtype=np.float64)
    H, _ = cv2.findHomography(mm, np.array(centres), 0)
    back = cv2.perspectiveTransform(mm[:, None], H)[:, 0]
    out["photos"][name] = {
        "layout": layout["name"],
        "ring_centres_px": np.round(centres, 4).tolist(),
        "ring_axes_px": np.round(axes, 3).tolist(),
        "homography_mm_to_px": H.tolist(),
        "residual_px_rms": float(np.sqrt(np.mean(np.sum((back - centres) ** 2, axis=1)))),
    }
    print(name, out["photos"][name]["residual_px_rms"])
json.dump(out, open("rings.json", "w"), indent=1)
