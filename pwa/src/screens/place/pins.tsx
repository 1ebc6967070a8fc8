// Go and no-go pins of a hole's band: what they say is taken as readings.
import { useState } from "preact/hooks";
import { Refused } from "../../bridge/client";
import type { LocationView, Reading } from "../../bridge/types";
import { book } from "../../data/book";
import { w } from "../../words";
import { nowAt } from "../finding";
import { useLive } from "../hooks";
import { Choice, Field, Trouble } from "../kit/bits";
import { specFor } from "../photo/hand";
import { units } from "../prefs";

export function Pins({
  v,
  taken,
  take,
}: {
  v: LocationView;
  taken: Reading[];
  take: (r: Reading[]) => void;
}) {
  const l = w.gauge;
  const now = nowAt(v)?.spec,
    meant = specFor(v.spec!, v.location.stage === "pilot hole" ? "pilot" : "hole"),
    spec = now?.kind === "hole" && !now.mark ? now : meant;
  const limits = useLive("limits", spec).value?.limits ?? [];
  const of = (k: "min_mm" | "max_mm", q: string): number =>
    limits.find((x) => x.quantity === q && x[k])?.[k] ?? 0;
  const k = units.value === "in" ? 25.4 : 1,
    text = (mm: number): string => (mm ? (mm / k).toFixed(k === 1 ? 3 : 4) : "");
  const [size, setSize] = useState<{ go?: string; no?: string }>({}),
    // Neither is chosen before it was tried: one tap would make a hole within.
    [go, setGo] = useState<"yes" | "no">(),
    [no, setNo] = useState<"yes" | "no">(),
    [e, setE] = useState<unknown>();
  const goText = size.go ?? text(of("min_mm", "hole_d_min")),
    noText = size.no ?? text(of("max_mm", "hole_d_max"));
  const says = (["yes", "no"] as const).map((value) => ({ value, text: l.pinSays[value] }));
  const mm = (typed: string, usual: number): number =>
    typed === text(usual) ? usual : Number(typed.replace(",", ".")) * k;
  const read = async (): Promise<void> => {
    if (!go || !no) return setE(new Refused({ code: "bad-pins", ...l.pinsNeed }));
    try {
      take(
        await book.call("pins", {
          go_mm: mm(goText, of("min_mm", "hole_d_min")),
          no_go_mm: mm(noText, of("max_mm", "hole_d_max")),
          go_enters: go === "yes",
          no_go_enters: no === "yes",
        }),
      );
      setE(undefined);
    } catch (x) {
      setE(x);
    }
  };
  return (
    <details open={taken.length > 0}>
      <summary>{l.pins}</summary>
      <div class="stack">
        <div class="two">
          <Field
            label={l.pin.go}
            unit={units.value}
            mode="decimal"
            value={goText}
            set={(x) => setSize({ ...size, go: x })}
          />
          <Field
            label={l.pin.no}
            unit={units.value}
            mode="decimal"
            value={noText}
            set={(x) => setSize({ ...size, no: x })}
          />
        </div>
        <Choice label={l.pin.go} value={go} set={setGo} of={says} />
        <Choice label={l.pin.no} value={no} set={setNo} of={says} />
        <Trouble e={e} />
        <button type="button" class="btn" onClick={() => void read()}>
          {l.pinsTake}
        </button>
        {taken[0] && <p class="note">{taken[0].method}</p>}
      </div>
    </details>
  );
}
