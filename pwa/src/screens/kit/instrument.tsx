// Which instrument: its number, and until when its calibration holds.
import { useEffect, useState } from "preact/hooks";
import type { Identity } from "../../bridge/types";
import { book } from "../../data/book";
import { w } from "../../words";
import { Field, sentence } from "./bits";

export type Known = { name: string } & Identity;

/** What this project was measured with before. */
export function useInstruments(project: string | undefined): Known[] {
  const [known, set] = useState<Known[]>([]);
  useEffect(() => {
    if (project) void book.call("instruments", { id: project }).then(set, () => undefined);
  }, [project]);
  return known;
}

export const identityOf = ({ number, calibrated, due }: Identity): Identity => ({
  ...(number?.trim() && { number: number.trim() }),
  ...(calibrated && { calibrated }),
  ...(due && { due }),
});

export const isGiven = (i: Identity): boolean => Object.keys(identityOf(i)).length > 0;

export function InstrumentFields({
  project,
  value,
  set,
}: {
  project: string;
  value: Identity;
  set: (i: Identity) => void;
}) {
  const i = w.instrument;
  const [odd, setOdd] = useState<string[]>([]);
  useEffect(() => {
    const { calibrated, due } = value;
    let gone = false;
    const dated = { ...(calibrated && { calibrated }), ...(due && { due }) };
    void book.call("dates", { project, clock_ms: Date.now(), ...dated }).then(
      (x) => {
        if (!gone) setOdd(calibrated || due ? x : []);
      },
      () => undefined,
    );
    return () => {
      gone = true;
    };
  }, [project, value.calibrated, value.due]);
  return (
    <>
      <Field
        label={i.number}
        hint={i.numberHint}
        value={value.number ?? ""}
        set={(number) => set({ ...value, number })}
      />
      <Field
        label={i.calibrated}
        type="date"
        value={value.calibrated ?? ""}
        set={(calibrated) => set({ ...value, calibrated })}
      />
      <Field
        label={i.due}
        type="date"
        value={value.due ?? ""}
        set={(due) => set({ ...value, due })}
      />
      <div role="status">
        {odd.map((o) => (
          <p class="caution" key={o}>
            {sentence(o)}
          </p>
        ))}
      </div>
    </>
  );
}
