"""The steps of imaging/measure by OpenCV alone; bench.py takes their times.

decode     imdecode to grey, which is all that the steps below look at
card       adaptive threshold and contours on the halved photo, rings by fitEllipse, layout
           and direction by which affine map explains most of them
pose       ring borders sub-pixel on the whole photo (warpPolar, fitEllipse), focal length and
           pose by calibrateCamera for one view
outlines   the sheet rectified (warpPerspective), places by HoughCircles at the expected
           radii, each unwrapped (warpPolar) at the photo's grain, edge, fitEllipse
edges      the sheet about the fasteners rectified at 0.1 mm, createLineSegmentDetector,
           segments joined to lines
distances  diameters, pitches, edge distances in mm of the print

Not in it: uncertainties, and telling kinds and ambiguous outlines apart by what was
learnt, as imaging/measure does. Its limits were chosen on ../photos/dev-08.jpg and are no advice
for others. Nothing of the Go code is used here."""
import time

import cv2
import numpy as np

BOX_MM = 40  # beside the card: as far as imaging/measure looks
EDGE_STEP_MM = 0.1  # the grain of its view for edges
REACH_D = 5.5  # how far it looks for edges, in nominal diameters
HEAD_D = (1.2, 1.82)  # diameters of shop heads that it looks for, in nominal diameters
HEAD_HEIGHT_D = 0.49  # usual height of a shop head, in nominal diameters
PLACES = 8  # strongest places that it looks at in any case
CANNY, VOTES = 40, 8  # HoughCircles' thresholds
ANGLES = 96

NAMES = ("decode", "card", "pose", "outlines", "edges", "distances")


def rings(half):
    """Rings on the halved photo: rows of u, v, full axes a, b (px), angle (deg), 1 with a dot."""
    dark = cv2.adaptiveThreshold(half, 255, cv2.ADAPTIVE_THRESH_MEAN_C, cv2.THRESH_BINARY_INV, 61, 15)
    contours, tree = cv2.findContours(dark, cv2.RETR_TREE, cv2.CHAIN_APPROX_NONE)
    found = []
    tree = tree[0]
    for i in np.flatnonzero(tree[:, 2] >= 0):
        outer = contours[i]
        if len(outer) < 30:
            continue
        area = cv2.contourArea(outer)
        child, hole, hole_area = tree[i, 2], -1, 0.0
        while child >= 0:
            a = cv2.contourArea(contours[child])
            if a > hole_area:
                hole, hole_area = child, a
            child = tree[child, 0]
        if hole < 0 or len(contours[hole]) < 12 or not 0.25 < hole_area / area < 0.6:
            continue
        (u, v), (a, b), angle = cv2.fitEllipse(outer)
        (hu, hv), _, _ = cv2.fitEllipse(contours[hole])
        if abs(area / (np.pi / 4 * a * b) - 1) > 0.08 or np.hypot(u - hu, v - hv) > 0.08 * b or a < 0.4 * b:
            continue
        dot, child = 0, tree[hole, 2]
        while child >= 0:
            dot = max(dot, cv2.contourArea(contours[child]))
            child = tree[child, 0]
        found.append((u, v, a, b, angle, float(dot > 0.03 * area)))
    return np.array(found)


def identify(found, layouts):
    """The layout and, for each of its targets, the ring that shows it (-1: none).

    Every ordered triple of rings is tried as the images of three targets far apart."""
    n = len(found)
    at, full = found[:, :2], found[:, 5] > 0.5
    near = 0.5 * found[:, 3].mean()  # a ring's radius: targets lie 2.8 diameters apart
    best = (0, None, None)
    for layout in layouts:
        mm = np.array([t[:2] for t in layout["targets"]], float)
        want = np.array([t[2] == "F" for t in layout["targets"]])
        m = len(mm)
        a = int(np.argmin(mm.sum(1)))
        b = int(np.argmax(mm[:, 0] - 0.5 * mm[:, 1]))
        c = int(np.argmax(mm[:, 1] - 0.5 * mm[:, 0]))
        i, j, k = (x.ravel() for x in np.meshgrid(*[np.arange(n)] * 3, indexing="ij"))
        ok = (i != j) & (j != k) & (i != k) & (full[i] == want[a]) & (full[j] == want[b]) & (full[k] == want[c])
        p, q = at[j] - at[i], at[k] - at[i]
        ok &= np.cross(p, q) > 0  # a card is seen from above
        i, p, q = i[ok], p[ok], q[ok]
        # Affine coordinates of every target in the triple's frame.
        st = np.linalg.solve(np.stack([mm[b] - mm[a], mm[c] - mm[a]], 1), (mm - mm[a]).T)
        to = at[i][:, None] + p[:, None] * st[0][None, :, None] + q[:, None] * st[1][None, :, None]
        d = np.linalg.norm(to[:, :, None] - at[None, None], axis=3)
        d[:, want[:, None] != full[None, :]] = np.inf
        hit = d.min(2) < 2.5 * near
        score = hit.sum(1)
        if not len(score) or score.max() <= best[0]:
            continue
        s = int(score.argmax())
        which = np.where(hit[s], d[s].argmin(1), -1)
        used = which >= 0
        if used.sum() < 5:
            continue
        H, _ = cv2.findHomography(mm[used], at[which[used]], cv2.RANSAC, 0.5 * near)
        if H is None:
            continue
        d = np.linalg.norm(cv2.perspectiveTransform(mm[:, None], H) - at[None], axis=2)
        d[want[:, None] != full[None, :]] = np.inf
        which = np.where(d.min(1) < 0.5 * near, d.argmin(1), -1)
        best = (int((which >= 0).sum()), layout, which)
    return best


def peaks(grad, lo, hi):
    """Sub-pixel place of the greatest |value| of each row between lo and hi, and its value."""
    g = grad[:, lo:hi]
    i = np.clip(g.argmax(1), 1, g.shape[1] - 2)
    r = np.arange(len(g))
    a, b, c = g[r, i - 1], g[r, i], g[r, i + 1]
    den = a - 2 * b + c
    den[den >= 0] = -1e-6
    return lo + i + np.clip(0.5 * (a - c) / den, -1, 1), b


THETA = np.arange(ANGLES) * (2 * np.pi / ANGLES)
COS, SIN = np.cos(THETA), np.sin(THETA)


def unwrap(patch, c, reach, blur):
    """Polar picture about (c, c): rows are directions; and its radial derivative."""
    polar = cv2.warpPolar(patch, (reach, ANGLES), (c, c), reach, cv2.INTER_LINEAR | cv2.WARP_POLAR_LINEAR)
    polar = cv2.GaussianBlur(polar.astype(np.float32), (0, 0), sigmaX=1.2, sigmaY=blur)
    return cv2.Sobel(polar, cv2.CV_32F, 1, 0, ksize=1)


def ring_centre(grey, ring):
    """Centre of a ring's outer border on the whole photo, px."""
    u, v, a, b, angle, _ = ring
    n = int(np.ceil(b))  # the window: twice the radius of the ring on the halved photo, doubled
    # Full-size ellipse with axes 2a, 2b brought to a circle of radius b about the middle.
    rad = np.deg2rad(angle)
    R = np.array([[np.cos(rad), -np.sin(rad)], [np.sin(rad), np.cos(rad)]])
    A = R @ np.diag([a / b, 1.0]) @ R.T  # patch -> photo
    c = 1.5 * n
    at = np.array([2 * u + 0.5, 2 * v + 0.5])
    M = np.hstack([A, (at - A @ [c, c])[:, None]])
    size = int(2 * c) + 1
    patch = cv2.warpAffine(grey, M, (size, size), flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP)
    r, _ = peaks(unwrap(patch, c, int(c), 1), int(0.85 * b), int(1.2 * b))
    p = np.stack([c + r * COS, c + r * SIN], 1) @ A.T + M[:, 2]
    return cv2.fitEllipse(p.astype(np.float32))[0]


class Sheet:
    """The camera over the printed card's plane; x right, y down as the card is read, mm."""

    def __init__(self, K, rvec, tvec):
        R = cv2.Rodrigues(rvec)[0]
        self.H = K @ np.column_stack([R[:, 0], R[:, 1], tvec.ravel()])
        self.eye = (-R.T @ tvec).ravel()  # z is negative: down is positive

    def to_mm(self, px):
        return cv2.perspectiveTransform(np.asarray(px, float)[:, None], np.linalg.inv(self.H))[:, 0]

    def view(self, image, scale, lo, hi, step):
        """image, which has scale of the photo's pixels, rectified from lo to hi at step mm."""
        w, h = np.ceil((hi - lo) / step).astype(int)
        shrink = np.array([[scale, 0, scale / 2 - 0.5], [0, scale, scale / 2 - 0.5], [0, 0, 1]])
        place = np.array([[step, 0, lo[0]], [0, step, lo[1]], [0, 0, 1]])
        return cv2.warpPerspective(image, shrink @ self.H @ place, (int(w), int(h)),
                                   flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP, borderMode=cv2.BORDER_REPLICATE)

    def slope(self, p):
        return (p - self.eye[:2]) / -self.eye[2]


def pose(grey, found, layout, which):
    used = np.flatnonzero(which >= 0)
    px = np.array([ring_centre(grey, found[which[t]]) for t in used], np.float32)
    mm = np.array([[*layout["targets"][t][:2], 0] for t in used], np.float32)
    h, w = grey.shape
    f = 0.6 * np.hypot(w, h)  # a usual telephone, where calibrateCamera begins
    K = np.array([[f, 0, (w - 1) / 2], [0, f, (h - 1) / 2], [0, 0, 1]])
    flags = (cv2.CALIB_USE_INTRINSIC_GUESS | cv2.CALIB_FIX_PRINCIPAL_POINT | cv2.CALIB_FIX_ASPECT_RATIO | cv2.CALIB_ZERO_TANGENT_DIST
             | cv2.CALIB_FIX_K1 | cv2.CALIB_FIX_K2 | cv2.CALIB_FIX_K3)
    rms, K, _, rvecs, tvecs = cv2.calibrateCamera([mm], [px], (w, h), K, np.zeros(5), flags=flags)
    return Sheet(K, rvecs[0], tvecs[0]), rms


def on_card(outline, p, margin):
    return cv2.pointPolygonTest(outline, (float(p[0]), float(p[1])), True) > -margin


def outline_at(grey, sheet, at, nominal):
    """The round outline about at: centre, lesser and greater diameter (mm), fraction of agreeing
    directions; None where there is none."""
    fine = 0.01 * nominal  # about the photo's grain
    reach = int(1.3 * HEAD_D[1] * nominal / 2 / fine)
    patch = sheet.view(grey, 1, at - reach * fine, at + reach * fine, fine)
    g = np.abs(unwrap(patch, reach, reach, 1.5))
    inner, outer = int(0.95 * HEAD_D[0] * nominal / 2 / fine), int(1.1 * HEAD_D[1] * nominal / 2 / fine)
    # The radius that most directions share, then each direction's own near it.
    shared = inner + int(cv2.blur(g, (9, 1)).clip(0, 8).sum(0)[inner:outer].argmax())
    r, strength = peaks(g, int(0.85 * shared), min(int(1.15 * shared), reach))
    p = np.stack([reach + r * COS, reach + r * SIN], 1).astype(np.float32)
    keep = strength > 0.3 * np.median(strength)
    for _ in range(3):
        if keep.sum() < 20:
            return None
        (cx, cy), (a, b), angle = cv2.fitEllipseAMS(p[keep])
        rad = np.deg2rad(angle)
        d = (p - (cx, cy)) @ np.array([[np.cos(rad), -np.sin(rad)], [np.sin(rad), np.cos(rad)]])
        off = (np.hypot(d[:, 0] / (a / 2), d[:, 1] / (b / 2)) - 1) * shared * fine
        keep = np.abs(off) < 0.03 * nominal
    return at + fine * (np.array([cx, cy]) - reach), min(a, b) * fine, max(a, b) * fine, keep.mean()


def outlines(grey, quarter, sheet, outline, nominal):
    """Heads: rows of x, y (mm, on the sheet), diameter (mm), fraction of agreeing directions."""
    h, w = grey.shape
    seen = sheet.to_mm([(0, 0), (w, 0), (w, h), (0, h)])
    lo = np.maximum(outline.min(0) - BOX_MM, seen.min(0))
    hi = np.minimum(outline.max(0) + BOX_MM, seen.max(0))
    step = 0.05 * nominal
    view = cv2.GaussianBlur(sheet.view(quarter, 0.25, lo, hi, step), (0, 0), 1)
    r0, r1 = (d * nominal / 2 / step for d in HEAD_D)
    circles = cv2.HoughCircles(view, cv2.HOUGH_GRADIENT, 1, minDist=r0, param1=CANNY, param2=VOTES, minRadius=int(r0), maxRadius=int(np.ceil(r1)))
    if circles is None:
        return np.zeros((0, 4))
    out, tried = [], 0
    for u, v, _ in circles[0]:
        at = lo + step * np.array([u, v])
        if on_card(outline, at, 0):
            continue
        tried += 1
        if tried > PLACES:
            break
        fit = outline_at(grey, sheet, at, nominal)
        fit = fit and outline_at(grey, sheet, fit[0], nominal)  # again from the centre that the first gave
        if not fit:
            continue
        at, a, b, agreeing = fit
        # Seen aslant, a thing with a height shows an outline longer than wide; and it is nearer.
        dia = a * (1 + HEAD_HEIGHT_D * nominal / 2 / sheet.eye[2])
        if agreeing < 0.6 or a < 0.8 * b or not 0.96 * HEAD_D[0] < dia / nominal < 1.04 * HEAD_D[1]:
            continue
        # The outline stands above the sheet by about half the head's height.
        out.append((*(at - sheet.slope(at) * HEAD_HEIGHT_D * nominal / 2), dia, agreeing))
    kept = []
    for o in sorted(out, key=lambda o: -o[3]):
        if all(np.hypot(o[0] - k[0], o[1] - k[1]) > (o[2] + k[2]) / 2 for k in kept):
            kept.append(o)  # what overlaps a clearer one is none
    return np.array(kept).reshape(-1, 4)


def edges(grey, half, sheet, outline, heads, nominal):
    """Straight edges: rows of x0, y0, x1, y1 (mm)."""
    lo, hi = heads[:, :2].min(0) - REACH_D * nominal, heads[:, :2].max(0) + REACH_D * nominal
    view = sheet.view(half, 0.5, lo, hi, EDGE_STEP_MM)
    segs = cv2.createLineSegmentDetector(cv2.LSD_REFINE_STD).detect(view)[0]
    if segs is None:
        return np.zeros((0, 4))
    segs = segs[:, 0].reshape(-1, 2, 2) * EDGE_STEP_MM + lo
    length = np.linalg.norm(segs[:, 1] - segs[:, 0], axis=1)
    segs, length = segs[length > 1], length[length > 1]
    mid = segs.mean(1)
    off = np.array([not on_card(outline, p, 0.7) for p in mid])
    segs, length, mid = segs[off], length[off], mid[off]
    dirs = (segs[:, 1] - segs[:, 0]) / length[:, None]
    lines, free = [], np.ones(len(segs), bool)
    for i in np.argsort(-length):
        if not free[i]:
            continue
        n = np.array([-dirs[i, 1], dirs[i, 0]])
        mate = free & (np.abs(dirs @ n) < 0.05) & (np.abs((mid - mid[i]) @ n) < 0.3)
        free &= ~mate
        if length[mate].sum() < 2 * nominal:
            continue
        pts = segs[mate].reshape(-1, 2)
        vx, vy, x, y = cv2.fitLine(pts.astype(np.float32), cv2.DIST_L2, 0, 0.01, 0.01).ravel()
        t = (pts - (x, y)) @ (vx, vy)
        lines.append((x + t.min() * vx, y + t.min() * vy, x + t.max() * vx, y + t.max() * vy))
    return np.array(lines).reshape(-1, 4)


def distances(heads, lines, nominal):
    """Nearest edge of each head within reach (nan: none) and all pitches, mm."""
    c = heads[:, :2]
    pitch = np.linalg.norm(c[:, None] - c[None], axis=2)
    if not len(lines):
        return np.full(len(c), np.nan), pitch
    p, v = lines[:, :2], lines[:, 2:] - lines[:, :2]
    length = np.linalg.norm(v, axis=1)
    v = v / length[:, None]
    d = c[:, None] - p[None]
    along = (d * v[None]).sum(2)
    across = np.abs(np.cross(d, v[None]))
    passes = (along > -0.5 * nominal) & (along < length + 0.5 * nominal)
    through = (passes & (across < 0.55 * heads[:, 2:3])).any(0)  # a mark, or a head's own rim
    across[~passes | through[None] | (across > REACH_D * nominal)] = np.inf
    near = across.min(1)
    return np.where(np.isfinite(near), near, np.nan), pitch


def measure(data, layouts, nominal):
    """One photo (the file's bytes): ms of each of NAMES, and what was found."""
    mark = [time.perf_counter()]
    grey = cv2.imdecode(data, cv2.IMREAD_GRAYSCALE)
    mark.append(time.perf_counter())
    half = cv2.resize(grey, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    found = rings(half)
    if len(found) < 5:
        raise LookupError("no card was found")
    seen, layout, which = identify(found, layouts)
    if seen < 5:
        raise LookupError("no card was found")
    mark.append(time.perf_counter())
    sheet, rms = pose(grey, found, layout, which)
    outline = np.array(layout["outline"], np.float32)
    mark.append(time.perf_counter())
    quarter = cv2.resize(half, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    heads = outlines(grey, quarter, sheet, outline, nominal)
    if not len(heads):
        raise LookupError("no fastener was found")
    mark.append(time.perf_counter())
    lines = edges(grey, half, sheet, outline, heads, nominal)
    mark.append(time.perf_counter())
    edge, pitch = distances(heads, lines, nominal)
    mark.append(time.perf_counter())
    return np.diff(mark) * 1000, (layout, seen, rms, heads, edge, pitch)
