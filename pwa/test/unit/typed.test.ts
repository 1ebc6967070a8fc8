// What is typed at the bench is asked about or told that it can't be read: nothing of it is passed over.
import assert from "node:assert/strict";
import { test } from "node:test";
import type { Spec } from "../../src/bridge/types";
import {
  layInput,
  lengthTexts,
  noLayer,
  noLayout,
  unreadable,
  type LayTyped,
} from "../../src/screens/bench/layinput";
import { degrees, whole } from "../../src/screens/bench/numbers";
import { inputOf, none } from "../../src/screens/bench/shapeinput";
import { decimal, notDecimal } from "../../src/screens/kit/decimal";
import { freshRow, unreadable as unreadLimits } from "../../src/screens/parts/ownlimits";

const spec = { kind: "pulled-head", nominal_mm: 3.175 } as Spec;
/** Reads lengths as the Go side does, plain numbers alone. */
const read = (d: LayTyped) =>
  Object.fromEntries(
    Object.entries(lengthTexts(d)).map(([k, s]) => [
      k,
      s === "" ? {} : Number.isNaN(Number(s)) ? { wrong: "no length" } : { mm: Number(s) },
    ]),
  );
const ask = (c: Partial<LayTyped>) => {
  const d = { ...noLayout, width: "25", length: "80", sheet: "1.6", stand: "25", ...c };
  return {
    input: layInput(d, read(d), { spec, name: "leg", tools: [] }),
    unread: unreadable(d, read(d)),
  };
};

test("angles, counts and sheets of a layout are read or told of", () => {
  assert.equal(ask({}).input?.legs[0]!.bend!.angle_deg, 90);
  assert.equal(ask({ bent: "60,5°" }).input?.legs[0]!.bend!.angle_deg, 60.5);
  for (const bent of ["wide", "", "0", "-4", "1e9"])
    assert.deepEqual(ask({ bent }), { input: undefined, unread: true }, `bent through "${bent}"`);
  assert.equal(ask({ count: "7" }).input?.legs[0]!.count, 7);
  for (const count of ["abc", "-3", "2.7", "1e9"])
    assert.deepEqual(ask({ count }), { input: undefined, unread: true }, `${count} rivets`);
  // The Go side says that a sheet needs a name; passed over, its edge would not count.
  const nameless = ask({ layers: [{ ...noLayer, to: "22" }] }).input?.legs[0]!.layers;
  assert.deepEqual(nameless, [{ name: "", to_mm: 22 }]);
  assert.deepEqual(ask({ layers: [noLayer] }).input?.legs[0]!.layers, []);
});

test("what another shape's fields hold is neither asked about nor in the way", () => {
  const hidden = { radius: "abc", layers: [{ ...noLayer, name: "skin", to: "x" }] };
  assert.equal(ask(hidden).unread, true);
  assert.equal(ask({ ...hidden, layers: [], shape: "strip" }).unread, false);
  const corner = ask({ ...hidden, shape: "corner", width2: "25", length2: "70", count: "abc" });
  assert.equal(corner.unread, false);
  assert.deepEqual(corner.input?.legs[0]!.layers, []);
});

test("what is typed of a formed angle is read or keeps it from being saved", () => {
  const d = {
    ...none,
    name: "bracket",
    kind: "formed angle" as const,
    values: ["89.6", "", "", ""],
  };
  assert.equal(inputOf(d)?.tweaks, undefined);
  assert.equal(inputOf({ ...d, tweaks: "3", wobble: "0,4" })?.tweaks, 3);
  assert.equal(inputOf({ ...d, wobble: "-1" })?.wobble_mm, -1); // which the Go side refuses
  for (const c of [{ tweaks: "abc" }, { tweaks: "-3" }, { tweaks: "2.7" }, { wobble: "abc" }])
    assert.equal(inputOf({ ...d, ...c }), undefined, JSON.stringify(c));
});

test("numbers as they are typed", () => {
  assert.deepEqual(["4.25", "4,25", " 7 ", ".5"].map(decimal), [4.25, 4.25, 7, 0.5]);
  for (const s of ["0", "-4", "1e9", "wide", "1/8 in", "0x10", "3.0.0"])
    assert.ok(Number.isNaN(decimal(s)) && notDecimal(s), s);
  assert.equal(notDecimal(""), undefined);
  assert.deepEqual([whole(""), whole(" 12 ")], [0, 12]);
  assert.equal(degrees("45°"), 45);
  assert.equal(unreadLimits([{ ...freshRow, least: "6.35", greatest: "" }]), false);
  assert.equal(unreadLimits([{ ...freshRow, least: "6.35", greatest: "1/2" }]), true);
});
