// What is meant to stand there: kind, size, and what follows from them. Sizes are read by the Go side.
import { useEffect, useState } from "preact/hooks";
import type { Kind, Spec } from "../../bridge/types";
import { book } from "../../data/book";
import { w } from "../../words";
import { asTyped, sizeName } from "../finding";
import { handbook, shown } from "../hooks";
import { Choice, Field, Select, sentence, Tick } from "../kit/bits";
import { memory, remember } from "../prefs";
import { Refused } from "../../bridge/client";

export interface SpecDraft {
  kind: Kind;
  size: string;
  head: string;
  flush: boolean;
  rivet: "solid" | "pulled";
}
export const emptySpec: SpecDraft = {
  kind: "shop-head",
  size: "",
  head: "dome",
  flush: false,
  rivet: "solid",
};

/** The form of a spec, its size as it was typed at the first of these places that has it. */
export function draftOf(s: Spec | null | undefined, ...places: string[]): SpecDraft {
  if (!s) return emptySpec;
  const h = handbook(),
    size = sized("", s);
  return {
    kind: s.kind,
    size:
      places
        .map((p) => memory.value?.sizes?.[p])
        .find((t) => t?.startsWith(size))
        ?.slice(size.length) ??
      sizeName(s.nominal_mm, h?.solid, h?.pulled) ??
      asTyped(s.nominal_mm),
    head: s.head ?? "dome",
    flush: s.flush ?? false,
    rivet: s.rivet ?? (s.kind === "pulled-head" ? "pulled" : "solid"),
  };
}

const sized = (typed: string, s: Spec): string => `${s.nominal_mm.toFixed(4)} ${typed.trim()}`;

/** What is remembered of a size that was typed at a place, so that it comes back there as it was. */
export const sizesWith = (place: string, d: SpecDraft, s: Spec): Record<string, string> => ({
  ...memory.value?.sizes,
  [place]: sized(d.size, s),
});

/** What the Go side reads a size from: the drill of a hole names a rivet, if it is known which. */
const sizeIn = (d: SpecDraft) => ({
  text: d.size.trim(),
  kind: d.kind,
  ...(d.kind === "hole" && { rivet: d.rivet }),
});

/** The spec of a draft for a place; rejects with Refused when the size can't be read. */
export async function specOf(d: SpecDraft, limits?: string, place?: string): Promise<Spec> {
  if (!d.size.trim()) throw new Refused({ code: "no-size", text: w.part.needSize, do: "" });
  const size = await book.call("size", sizeIn(d));
  const s: Spec = {
    kind: d.kind,
    nominal_mm: size.nominal_mm,
    ...(d.kind === "pulled-head" && { head: d.head, rivet: "pulled" as const }),
    ...(d.kind === "hole" && { rivet: d.rivet }),
    ...(d.flush && d.kind !== "flush-head" && d.kind !== "pulled-head" && { flush: true }),
    ...(limits && { limit_set: limits }),
  };
  if (place) void remember({ sizes: sizesWith(place, d, s) });
  return s;
}

export function SpecForm({ value: d, set }: { value: SpecDraft; set: (d: SpecDraft) => void }) {
  const h = handbook();
  const [said, setSaid] = useState<{ mm?: number; wrong?: string }>({});
  useEffect(() => {
    let gone = false;
    if (!d.size.trim()) return setSaid({});
    book.call("size", sizeIn(d)).then(
      (s) => {
        if (!gone) setSaid({ mm: s.nominal_mm });
      },
      (e: unknown) => {
        if (!gone)
          setSaid({
            wrong:
              e instanceof Refused
                ? `${sentence(e.refusal.text)} ${sentence(e.refusal.do)}`
                : w.part.needSize,
          });
      },
    );
    return () => {
      gone = true;
    };
  }, [d.size, d.kind, d.rivet]);
  const pulled = d.kind === "pulled-head" || (d.kind === "hole" && d.rivet === "pulled");
  const sizes = pulled
    ? [...new Set((h?.pulled ?? []).map((p) => p.size))]
    : (h?.solid ?? []).map((s) => s.fraction);
  return (
    <>
      <Select<Kind>
        label={w.part.kind}
        value={d.kind}
        set={(kind) => set({ ...d, kind })}
        of={(h?.kinds ?? [d.kind]).map((k) => ({ value: k, text: w.kind[k] }))}
      />
      {d.kind === "hole" && (
        <Choice
          label={w.part.rivet}
          value={d.rivet}
          set={(rivet) => set({ ...d, rivet })}
          of={[
            { value: "solid", text: w.part.solid },
            { value: "pulled", text: w.part.pulled },
          ]}
        />
      )}
      <Field
        label={w.part.size}
        value={d.size}
        set={(size) => set({ ...d, size })}
        list={sizes}
        wrong={said.wrong}
        hint={said.mm ? `D ${shown(said.mm).value}` : w.part.sizeHint}
      />
      {d.kind === "pulled-head" && (
        <Choice
          label={w.part.head}
          value={d.head}
          set={(head) => set({ ...d, head })}
          of={[...new Set((h?.pulled ?? []).map((p) => p.head))].map((x) => ({
            value: x,
            text: x,
          }))}
        />
      )}
      {(d.kind === "shop-head" || d.kind === "hole") && (
        <Tick checked={d.flush} set={(flush) => set({ ...d, flush })}>
          {w.part.flush}
        </Tick>
      )}
    </>
  );
}
