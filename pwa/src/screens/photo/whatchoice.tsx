// As what a photo is measured.
import { w } from "../../words";
import { Select } from "../kit/bits";
import { choices, whatWords, type What } from "./hand";
import type { InWork } from "./usework";

export function WhatChoice({ k }: { k: InWork }) {
  const of = choices(k.view!.spec!);
  return (
    <Select<What>
      label={w.result.whatIs}
      value={k.what}
      set={(what) => void k.measure({ what })}
      of={of.map((c) => ({ value: c, text: whatWords(c) }))}
    />
  );
}
