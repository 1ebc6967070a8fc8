#!/usr/bin/env python3
"""What OpenCV makes of three views of a calibration board and of flats that stand over it.

A board of 8 x 6 points, 12 mm apart, at z = 0, and six flats, circles parallel to it at known
heights, are projected into three cameras of one phone (nearly from above, and tilted by 20 and 24
degrees to two sides) with 0.1 px of noise. calibrateCamera finds the cameras from the board's points,
solvePnP each camera alone with the lens that was found; the flats' points are triangulated from each
pair of views (undistortPoints, triangulatePoints), and their mean gives a flat's middle and height.

The heights are those of stacks of gauge blocks (nominal lengths of ISO 3650 sets: 1.005, 1.01, 1.02,
1.1, 1.5 and 2 mm, wrung together or alone), so that a difference of two heights is known by
addition.

Independent of the Go code: nothing of it is used here. Run in this folder with Debian's
python3-opencv; writes views.json."""
import json

import cv2
import numpy as np

rng = np.random.default_rng(20260729)
W, H, F, K1, NOISE = 4032, 3024, 2938.0, 0.012, 0.1
K = np.array([[F, 0, (W - 1) / 2 + 11], [0, F, (H - 1) / 2 - 8], [0, 0, 1]])
DIST = np.array([K1, 0, 0, 0, 0])


def look_at(point, distance, tilt_deg, azimuth_deg, roll_deg):
    t, a, r = np.radians([tilt_deg, azimuth_deg, roll_deg])
    eye = np.array([point[0], point[1], 0]) + distance * np.array([np.sin(t) * np.cos(a), np.sin(t) * np.sin(a), np.cos(t)])
    z = np.array([point[0], point[1], 0]) - eye
    z /= np.linalg.norm(z)
    x0 = np.cross([0, 1, 0], z)
    x0 /= np.linalg.norm(x0)
    y0 = np.cross(z, x0)
    x = np.cos(r) * x0 + np.sin(r) * y0
    R = np.array([x, np.cross(z, x), z])
    return R, -R @ eye


def see(R, t, p):
    q, _ = cv2.projectPoints(np.asarray(p, float), cv2.Rodrigues(R)[0], t, K, DIST)
    return q[:, 0] + NOISE * rng.standard_normal((len(p), 2))


poses = [look_at((38, 30), 145, 5, 40, 7), look_at((42, 27), 150, 20, 170, 95), look_at((37, 33), 140, 24, -70, -12)]
board = np.array([[12.0 * i, 12.0 * j, 0] for j in range(6) for i in range(8)])
board_px = [see(R, t, board) for R, t in poses]
blocks = [[1.005], [1.1], [1.02, 1.1], [1.5], [1.01, 1.5], [2.0]]
centres = [(18, 18), (30, 42), (42, 18), (54, 42), (66, 18), (42, 42)]
RIM = 2.3
angle = np.arange(24) * np.pi / 12
flats_px = []
for (x, y), stack in zip(centres, blocks):
    ring = np.stack([x + RIM * np.cos(angle), y + RIM * np.sin(angle), np.full(24, sum(stack))], 1)
    flats_px.append([see(R, t, ring) for R, t in poses])

rms, k, dist, rv, tv = cv2.calibrateCamera([board.astype(np.float32)] * 3, [p.astype(np.float32)[:, None] for p in board_px], (W, H), K.copy(), np.zeros(5),
    flags=cv2.CALIB_USE_INTRINSIC_GUESS | cv2.CALIB_FIX_ASPECT_RATIO | cv2.CALIB_ZERO_TANGENT_DIST | cv2.CALIB_FIX_K2 | cv2.CALIB_FIX_K3)
cameras = []
for p, r, t in zip(board_px, rv, tv):
    _, r2, t2 = cv2.solvePnP(board, p, k, dist, flags=cv2.SOLVEPNP_ITERATIVE)
    R2 = cv2.Rodrigues(r2)[0]
    cameras.append({"r": cv2.Rodrigues(r)[0].tolist(), "t": t[:, 0].tolist(),
        "solvepnp_centre_mm": (-R2.T @ t2)[:, 0].tolist(), "centre_mm": (-cv2.Rodrigues(r)[0].T @ t)[:, 0].tolist()})

flats = []
for at, stack, px in zip(centres, blocks, flats_px):
    und = [cv2.undistortPoints(p[:, None], k, dist)[:, 0] for p in px]
    P = [np.hstack([np.array(c["r"]), np.array(c["t"])[:, None]]) for c in cameras]
    found = []
    for a, b in ((0, 1), (0, 2), (1, 2)):
        X = cv2.triangulatePoints(P[a], P[b], und[a].T, und[b].T)
        found.append((X[:3] / X[3]).T)
    m = np.mean(found, axis=(0, 1))
    flats.append({"blocks_mm": stack, "centre_mm": list(at), "rim_radius_mm": RIM,
        "rim_px": [p.round(4).tolist() for p in px], "triangulated_mm": m.tolist()})

json.dump({"opencv": cv2.__version__, "how": __doc__, "calibrate_rms_px": rms, "focal_px": k[0, 0], "cx_px": k[0, 2], "cy_px": k[1, 2], "k1": dist.ravel()[0],
    "noise_px": NOISE, "cameras": cameras, "board_mm": board.tolist(), "board_px": [p.round(4).tolist() for p in board_px], "flats": flats}, open("views.json", "w"), indent=None)
for f in flats:
    print(f["blocks_mm"], f["triangulated_mm"], sum(f["blocks_mm"]))
print(rms, k[0, 0], dist.ravel()[0])
