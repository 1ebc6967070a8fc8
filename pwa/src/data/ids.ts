// Ids for what never leaves the phone (drafts, the sample's device); entries get theirs in Go.

/** A UUID version 7 (RFC 9562) from the clock and crypto.getRandomValues: crypto.randomUUID is missing outside secure contexts. */
export function uuid7(ms: number = Date.now()): string {
  const b = crypto.getRandomValues(new Uint8Array(16));
  let t = ms;
  for (let i = 5; i >= 0; i--) {
    b[i] = t % 256;
    t = Math.floor(t / 256);
  }
  b[6] = 0x70 | (b[6]! & 0x0f);
  b[8] = 0x80 | (b[8]! & 0x3f);
  const h = Array.from(b, (v) => v.toString(16).padStart(2, "0")).join("");
  return `${h.slice(0, 8)}-${h.slice(8, 12)}-${h.slice(12, 16)}-${h.slice(16, 20)}-${h.slice(20)}`;
}
