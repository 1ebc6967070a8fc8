#!/usr/bin/python3
"""Writes opencv-luma.json: what OpenCV (Debian python3-opencv, libjpeg-turbo and
libpng under it) sees in the pictures of testdata, as an outside check of our decoding
and turning. For each picture its upright size and the mean grey level of each cell of
a 4 x 4 grid, row by row. OpenCV reads JPEG luma as it is stored and applies the EXIF
orientation of JPEG files. Not run by the tests."""
import glob
import json
import os

import cv2

here = os.path.dirname(os.path.abspath(__file__))
out = {"opencv": cv2.__version__, "pictures": {}}
names = ["exif/corners_%d.jpg" % n for n in range(1, 9)] + ["exif/corners_1.png"]
names += ["nasty/" + os.path.basename(p) for p in sorted(glob.glob(here + "/../nasty/*.[jp][pn]g"))]
names += ["variants/" + os.path.basename(p) for p in sorted(glob.glob(here + "/../variants/*.jpeg"))]
# No check: OpenCV reads what is damaged or rare more freely than we do, lays nothing
# behind transparent pixels, and has its own way with CMYK.
skip = ("alpha", "basn6a16", "tbbn2c16", "cmyk", "app14", "imagemagick", "xmp_tags", "testimgari", "monkey12",
        "truncated", "cut_half", "header_only", "bad_exif", "broken", "huge", "/pngsuite_x")
for name in names:
    if any(s in name for s in skip):
        continue
    img = cv2.imread(here + "/../" + name, cv2.IMREAD_GRAYSCALE)
    if img is None or min(img.shape) < 8:
        continue
    h, w = img.shape
    cells = [float(img[h * j // 4:h * (j + 1) // 4, w * i // 4:w * (i + 1) // 4].mean()) for j in range(4) for i in range(4)]
    out["pictures"][name] = {"width": w, "height": h, "mean_luma": [round(c, 3) for c in cells]}
with open(here + "/opencv-luma.json", "w") as f:
    json.dump(out, f, indent=1)
    f.write("\n")
print(len(out["pictures"]))
