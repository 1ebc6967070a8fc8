#!/usr/bin/env python3
"""Times of the steps in steps.py on one photo.

    bench.py [--repeats N] [--threads N] [--truth TRUTH.json] PHOTO.jpg

Prints one JSON object: medians and least in ms over the repeats within one process, after one
that does not count, and how far what was found lies from the truth. decode_colour, which is
not part of the whole, is decoding to colour instead of grey. Status 1 where the card or half
of the heads are not found. Needs Debian's python3-opencv. BenchmarkOpenCV8MP in
imaging/measure runs it on the photo that BenchmarkMeasure8MP measures."""
import argparse
import json
import os
import sys
import time

sys.dont_write_bytecode = True  # nothing is left beside the script

import cv2
import numpy as np

import steps

HERE = os.path.dirname(os.path.abspath(__file__))


def against_truth(truth, result):
    layout, seen, rms, heads, edge, pitch = result
    card = truth["card"]
    a = np.deg2rad(card["angle_deg"])
    to_card = np.array([[np.cos(a), np.sin(a)], [np.sin(a), -np.cos(a)]]) / np.array(card["print_scale"])[:, None]
    rows = []
    for f in truth["fasteners"]:
        if f["type"] == "hole":
            continue  # asked for are heads
        at = to_card @ (np.array(f["head_centre_mm"]) - card["origin_on_sheet_mm"])
        off = np.linalg.norm(heads[:, :2] - at, axis=1)
        i = int(off.argmin())
        rows.append({"id": f["id"], "centre_off_mm": round(float(off[i]), 3), "found": bool(off[i] < 0.5),
                     "diameter_off_mm": round(float(heads[i, 2] - f["head_d_mean_mm"]), 3),
                     "edge_off_mm": None if np.isnan(edge[i]) else round(float(edge[i] - min(e["mm"] for e in f["edge_distances"])), 3)})
    return {"layout": layout["name"], "right_layout": layout["name"] == card["layout"], "rings": seen, "ring_rms_px": round(rms, 3),
            "heads": len(heads), "heads_found": sum(r["found"] for r in rows), "heads_there": len(rows), "each": rows}


def main():
    ap = argparse.ArgumentParser()
    ap.add_argument("photo")
    ap.add_argument("--truth", default=os.path.join(HERE, "../photos/dev-08.json"))
    ap.add_argument("--repeats", type=int, default=15)
    ap.add_argument("--threads", type=int, default=1)
    arg = ap.parse_args()
    cv2.setNumThreads(arg.threads)
    layouts = json.load(open(os.path.join(HERE, "../../imaging/card/layouts.json")))["layouts"]
    truth = json.load(open(arg.truth))
    nominal = truth["fasteners"][0]["nominal_d_mm"]
    data = np.fromfile(arg.photo, np.uint8)
    _, result = steps.measure(data, layouts, nominal)
    runs = []
    for _ in range(arg.repeats):
        took, result = steps.measure(data, layouts, nominal)
        start = time.perf_counter()
        cv2.imdecode(data, cv2.IMREAD_COLOR)
        runs.append([*took, took[1:].sum(), took.sum(), (time.perf_counter() - start) * 1000])
    check = against_truth(truth, result)
    ms, least = ({n: round(float(x), 2) for n, x in zip(steps.NAMES + ("rest", "whole", "decode_colour"), f(runs, 0))} for f in (np.median, np.min))
    print(json.dumps({"opencv": cv2.__version__, "threads": arg.threads, "repeats": arg.repeats, "ms": ms, "least_ms": least, "check": check}))
    if not check["right_layout"] or 2 * check["heads_found"] < check["heads_there"]:
        sys.exit("bench.py: the card or half of the heads were not found: no fair comparison")


if __name__ == "__main__":
    main()
