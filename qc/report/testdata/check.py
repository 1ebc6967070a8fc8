"""Checks a bundle by FORMAT.txt alone: the numbers of the checks are that text's.

usage: check.py OUT.zip    prints one fault a line; the status is 1 where there is one.
It shares nothing with the program that writes bundles.
"""
import base64, binascii, hashlib, io, json, re, struct, sys, zipfile

faults = []
raw = open(sys.argv[1], "rb").read()


def sha(b):
    return hashlib.sha256(b).hexdigest()


def container(files):
    """The zip file as it must be, by "The zip file"."""
    body, listing = b"", b""
    for name, data in files.items():
        n = name.encode()
        head = struct.pack("<HHHHHIIIHH", 0, 0, 0, 0, 0x21, binascii.crc32(data), len(data), len(data), len(n), 0)
        listing += b"PK\x01\x02\0\0" + head + struct.pack("<HHHII", 0, 0, 0, 0, len(body)) + n
        body += b"PK\x03\x04" + head + n + data
    return body + listing + struct.pack("<4sHHHHIIH", b"PK\x05\x06", 0, 0, len(files), len(files), len(listing), len(body), 0)


def canonical(v):
    """RFC 8785, for the numbers that stand in entries."""
    if isinstance(v, dict):
        keys = sorted(v, key=lambda k: k.encode("utf-16-be"))
        return "{" + ",".join(canonical(k) + ":" + canonical(v[k]) for k in keys) + "}"
    if isinstance(v, list):
        return "[" + ",".join(map(canonical, v)) + "]"
    if isinstance(v, bool) or v is None or isinstance(v, (str, int)):
        return json.dumps(v, ensure_ascii=False)
    if v == int(v) and abs(v) < 1e21:
        return str(int(v))
    digits, _, power = repr(v).partition("e")
    if power and -6 <= int(power) < 0:  # 0.000001, but 1e-7
        sign, digits = ("-", digits[1:]) if digits[0] == "-" else ("", digits)
        return sign + "0." + "0" * (-int(power) - 1) + digits.replace(".", "")
    return digits + ("e" + ("+" if int(power) > 0 else "") + str(int(power)) if power else "")


z = zipfile.ZipFile(io.BytesIO(raw))
files = {i.filename: z.read(i) for i in z.infolist()}
if container(files) != raw:
    faults.append("the container is not as its files make it")

# Files, in this order; check 1.
fixed = ["FORMAT.txt", "report.pdf", "readings.csv", "record.json", "record.schema.json", "entries.jsonl"]
photos = sorted(n for n in files if re.fullmatch(r"photos/[0-9a-f]{64}\.(jpg|png)", n))
if list(files) != fixed + photos + ["manifest.json", "SHA256SUMS"]:
    faults.append("these are not the files of a bundle in their order: " + " ".join(files))
manifest = json.loads(files["manifest.json"])
sums = {line[66:]: line[:64] for line in files["SHA256SUMS"].decode().splitlines()}
listed = {f["name"]: f["sha256"] for f in manifest["files"]}
for name, data in files.items():
    if name != "SHA256SUMS" and sums.get(name) != sha(data) or name in fixed + photos and listed.get(name) != sha(data):
        faults.append(name + " does not fit the lists")
for name in set(sums) | set(listed):
    if name not in files:
        faults.append(name + " was left out")
for p in manifest["photos"]:
    if p["name"][:-4] != "photos/" + p["original_sha256"] or p["sha256"] != listed.get(p["name"]):
        faults.append(p["name"] + " does not fit the list of photos")

# Check 2.
lines = files["entries.jsonl"].split(b"\n")
if lines.pop() != b"":
    faults.append("the last entry has no line feed")
entries = [(json.loads(line), sha(line)) for line in lines]
for (e, _), line in zip(entries, lines):
    if canonical(e).encode() != line:
        faults.append("entry %s is not in its canonical form" % e["id"])
hashes = {e["sha256"]: e["id"] for e in manifest["entries"]}
for e, h in entries:
    if h not in hashes:
        faults.append("entry %s was %s" % (e["id"], "changed" if e["id"] in hashes.values() else "added"))
for h, id in hashes.items():
    if h not in {h for _, h in entries}:
        faults.append("entry %s was left out or changed" % id)
if [(e["id"], h) for e, h in entries] != sorted((e["id"], h) for e, h in entries):
    faults.append("entries were reordered")

# Check 3.
known = {(f["device"], f["seq"]) for f in manifest.get("faults", [])}
chains = {}
for e, h in entries:
    chains.setdefault(e["device"], {}).setdefault(e["seq"], []).append((e, h))
for device, chain in chains.items():
    for seq, here in chain.items():
        before = [h for _, h in chain.get(seq - 1, [])]
        whole = len(here) == 1 and (seq == 1 and "prev" not in here[0][0] or here[0][0].get("prev") in before)
        if not whole and (device, seq) not in known:
            faults.append("the chain of %s is broken at %d" % (device, seq))

# Check 4.
record = sha(b"".join(bytes.fromhex(h) for _, h in entries))
number = "%d \u00b7 %s" % (len(entries), " ".join(record[i:i + 4] for i in (0, 4, 8)))
for name in ("manifest.json", "record.json"):
    r = json.loads(files[name])["record"]
    if (r["sha256"], r["number"]) != (record, number):
        faults.append(name + " names another record")

# Check 5.
for e, _ in entries:
    if e["kind"] != "sign-off":
        continue
    covered = set(e["data"]["covers"])
    of = [(x["id"], h) for x, h in entries if e["part"] in (x.get("part"), x["id"]) and x["kind"] not in ("sign-off", "decision")]
    if covered - {id for id, _ in of} or sha(b"".join(bytes.fromhex(h) for id, h in of if id in covered)) != e["data"]["digest"]:
        faults.append("sign-off %s does not fit the entries" % e["id"])

def unbase64(s):
    return base64.urlsafe_b64decode(s + "=" * (-len(s) % 4))


P = 2 ** 256 - 2 ** 224 + 2 ** 192 + 2 ** 96 - 1  # the curve P-256 (SEC 2, 2.4.2), a = -3
B = 0x5AC635D8AA3A93E7B3EBBD55769886BC651D06B0CC53B0F63BCE3C3E27D2604B
N = 0xFFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551
G = (0x6B17D1F2E12C4247F8BCE6E563A440F277037D812DEB33A0F4A13945D898C296,
     0x4FE342E2FE1A7F9B8EE7EB4A7C0F9E162BCE33576B315ECECBB6406837BF51F5)


def plus(p, q):
    if p is None or q is None:
        return p or q
    if p[0] == q[0] and (p[1] + q[1]) % P == 0:
        return None
    m = (3 * p[0] * p[0] - 3) * pow(2 * p[1], -1, P) if p == q else (q[1] - p[1]) * pow(q[0] - p[0], -1, P)
    x = (m * m - p[0] - q[0]) % P
    return x, (m * (p[0] - x) - p[1]) % P


def times(k, p):
    out = None
    while k:
        if k & 1:
            out = plus(out, p)
        p, k = plus(p, p), k >> 1
    return out


def fits(key, sig, data):
    """ECDSA (SEC 1, 4.1.4)."""
    if len(key) != 65 or key[0] != 4 or len(sig) != 64:
        return False
    q = int.from_bytes(key[1:33], "big"), int.from_bytes(key[33:], "big")
    r, s = int.from_bytes(sig[:32], "big"), int.from_bytes(sig[32:], "big")
    if (q[1] ** 2 - q[0] ** 3 + 3 * q[0] - B) % P or not (0 < r < N and 0 < s < N):
        return False
    e, w = int.from_bytes(hashlib.sha256(data).digest(), "big"), pow(s, -1, N)
    at = plus(times(e * w % N, G), times(r * w % N, q))
    return at is not None and at[0] % N == r


keys = {}
for e, _ in sorted(entries, key=lambda x: x[0]["seq"]):
    if e["kind"] == "device" and "sig" in e and e["data"].get("key"):
        keys.setdefault(e["device"], (e["seq"], e["data"]["key"]))
for e, _ in entries:
    seq, key = keys.get(e["device"], (0, ""))
    if key and (e["seq"] >= seq or "sig" in e):
        plain = {k: v for k, v in e.items() if k != "sig"}
        if "sig" not in e or not fits(unbase64(key), unbase64(e["sig"]), canonical(plain).encode()):
            faults.append("the signature of entry %s does not hold" % e["id"])
    if e["kind"] == "member" and e["data"].get("key") and keys.get(e["data"]["device"], (0, e["data"]["key"]))[1] != e["data"]["key"]:
        faults.append("entry %s vouches for another key" % e["id"])

# Check 6.
scope, named = manifest["scope"], set()
for e, _ in entries:
    part = e.get("part") or (e["id"] if e["kind"] == "part" else None)
    if e.get("project") == scope["project"] and (not part or not scope.get("parts") or part in scope["parts"]):
        d = e["data"]
        named |= {
            "shot": lambda: {d["photo"]}, "layout": lambda: {d.get("photo")}, "coupon": lambda: {d.get("photo")},
            "preparation": lambda: {x.get("photo") for x in d.get("items", [])},
            "note": lambda: set(d.get("photos", [])), "gauge": lambda: set(d.get("photos", [])),
            "study": lambda: set(d.get("photos", [])),
            "finding": lambda: {r.get("photo") for r in d.get("readings", [])},
            "decision": lambda: {d.get("on_paper", {}).get("photo")}, "sign-off": lambda: {d.get("on_paper", {}).get("photo")},
        }.get(e["kind"], set)()
named.discard(None)
here = {n[7:71] for n in photos}
for h in sorted(named - here - {m["original_sha256"] for m in manifest.get("photos_missing", [])}):
    faults.append("photo %s was left out" % h)
for h in sorted(here - named):
    faults.append("photo %s was added" % h)

shots = {e["id"]: e["data"]["photo"] for e, _ in entries if e["kind"] == "shot"}
for e, _ in entries:
    views = e["data"].get("views") if e["kind"] == "finding" else None
    if views and (e["data"].get("shot") not in [v["shot"] for v in views] or any(v["shot"] not in shots for v in views)
                  or any(r.get("views", 0) > len(views) for r in e["data"].get("readings", []))):
        faults.append("finding %s does not stand on its photos" % e["id"])

for e, _ in entries:
    for original, copied in e["data"].get("copies", {}).items():
        for name in photos:
            if name[7:71] == original and sha(files[name]) != copied:
                faults.append("%s is another picture than entry %s names" % (name, e["id"]))

# Check 7: single values against the entries.
by = {e["id"]: e for e, _ in entries}
for part in json.loads(files["record.json"])["parts"]:
    for location in part["locations"]:
        for attempt in location["attempts"]:
            for f in attempt["findings"]:
                if f.get("readings", []) != by[f["entry"]]["data"].get("readings", []):
                    faults.append("record.json has other readings than entry " + f["entry"])

print("\n".join(faults) if faults else "whole, " + number)
sys.exit(1 if faults else 0)
