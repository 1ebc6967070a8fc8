// What bridge/types says of what Go sends, as shapes: a member that Go writes and TypeScript does not
// know, or the other way round, is a failure.
import assert from "node:assert/strict";

/** "?" may be missing, "!" may be null. */
export type Shape = string | [Shape] | Members;
interface Members {
  [k: string]: Shape;
}

export const point: Shape = "point";
const contribution: Shape = {
  label: "string",
  u_mm: "number",
  "dof?": "number",
  "source?": "string",
};
export const reading: Members = {
  quantity: "string",
  value_mm: "number",
  U_mm: "number",
  "contributions?": [contribution],
  how: "string",
  "warnings?": ["string"],
  method: "string",
  "photo?": "string",
  "less_mm?": "number",
  "of?": {
    "nearest?": "boolean",
    "reading?": "number",
    "location?": "string",
    "name?": "string",
  },
  "from_shank?": "boolean",
  "layer?": "string",
  "grown?": { study: "string", factor: "number", U_mm: "number" },
};
const published: Members = {
  quantity: "string",
  name: "string",
  "min_mm?": "number",
  "max_mm?": "number",
  set: "string",
  source: "string",
  basis: "string",
  "note?": "string",
  "layer?": "string",
};
export const limit: Members = { ...published, "laxer?": "boolean", "published?": published };
export const check: Members = {
  reading,
  limit,
  verdict: "string",
  U_mm: "number",
  "added?": [contribution],
  p_conform: "number",
  "notes?": ["string"],
};
const shown: Members = { quantity: "string", value_mm: "number", U_mm: "number" };
export const summary: Members = {
  verdict: "string",
  whole: "string",
  headline: "string",
  checks: [check],
  governing: "number",
  rows: [["number"]],
  missing: [{ what: "string", do: "string", limits: [limit], from: ["string"] }],
  "shown!": shown,
  said: [{ "settle?": "string", from: "string", "published?": "string" }],
};
export const spec: Members = {
  kind: "string",
  nominal_mm: "number",
  "rivet?": "string",
  "flush?": "boolean",
  "pilot?": "boolean",
  "head?": "string",
  "limit_set?": "string",
  "own_limits?": "object",
};
export const result: Members = {
  verdict: "string",
  "checks!": [check],
  "unread?": [limit],
  "notes?": ["string"],
};
/** Of state.location, without what the record's own tests hold. */
export const view: Members = {
  project: "object",
  part: "object",
  location: "object",
  "spec!": spec,
  "origin?": "string",
  looks: [
    {
      entries: ["string"],
      attempt: "number",
      spec,
      ...summary,
      readings: [{ ...reading, look: "string", "number?": "number", "by?": "string" }],
      "notes?": ["string"],
    },
  ],
  now: "number",
  hole: [reading],
  next: ["string"],
  own: "object",
  entries: ["object"],
};
export const place: Members = {
  location: "object",
  "spec!": spec,
  "now!": { headline: "string", "shown!": shown, "check!": check, not_read: ["string"] },
  urgency: "number",
  "look_for?": "string",
};
export const judged: Members = {
  result,
  answers_verdict: "string",
  suggest: "string",
  "unlooked!": ["object"],
  planned: [reading],
  ...summary,
};
export const hand: Members = {
  "finding?": "string",
  spec,
  result,
  then: summary,
  notes: ["string"],
};

export function hold(v: unknown, s: Shape, at: string): void {
  if (s === "point") {
    assert.ok(
      Array.isArray(v) && v.length === 2 && v.every((x) => typeof x === "number"),
      `${at} is a point`,
    );
  } else if (typeof s === "string") {
    assert.equal(typeof v, s, at);
  } else if (Array.isArray(s)) {
    assert.ok(Array.isArray(v), `${at} is a list`);
    v.forEach((x, i) => hold(x, s[0], `${at}[${i}]`));
  } else {
    const o = v as Record<string, unknown>;
    for (const k of Object.keys(o)) {
      const m = s[k] ?? s[k + "?"] ?? s[k + "!"];
      assert.ok(m !== undefined, `${at}.${k} is not in bridge/types`);
      if (o[k] !== null || !(k + "!" in s)) hold(o[k], m, `${at}.${k}`);
    }
    for (const k of Object.keys(s))
      assert.ok(k.endsWith("?") || k.replace("!", "") in o, `${at}.${k} is missing`);
  }
}
