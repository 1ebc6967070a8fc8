// Shapes that mean: verdicts, stages, the few icons. An icon never stands without its word, but
// for back, arrows and the shutter.
import type { ComponentChildren } from "preact";
import type { Stage, Whole } from "../../bridge/types";
import { w } from "../../words";

export const verdictShape: Record<Whole, string> = {
  within: "within",
  unread: "unread",
  "too close": "close",
  out: "out",
};
export const isVerdict = (shape: string): boolean => Object.values(verdictShape).includes(shape);
const stageShape: Record<Stage, string> = {
  marked: "marked",
  "pilot hole": "pilot",
  "final hole": "hole",
  "set rivet": "set",
  "drilled out": "drilled",
};

export const Shape = ({ s }: { s: string }) => <i class={`shape s-${s}`} aria-hidden="true" />;

/** A verdict; with n, how many things were not read, it is how a location stands. */
export function V({
  v,
  n,
  stage,
}: {
  v: Whole | "" | undefined;
  n?: number | undefined;
  stage?: Stage | undefined;
}) {
  if (v)
    return (
      <span class={`v ${verdictShape[v]}`}>
        <Shape s={verdictShape[v]} />
        <span>{n === undefined ? w.verdict[v] : together(w.headline(v, n))}</span>
      </span>
    );
  if (stage)
    return (
      <span class="v stage">
        <Shape s={stageShape[stage]} />
        {w.stage[stage]}
      </span>
    );
  return <span class="v stage">{w.notJudged}</span>;
}

/** "within, 1 not read" breaks after its comma alone. */
function together(s: string): ComponentChildren {
  const [first, ...rest] = s.split(" ");
  return rest.length < 2 ? (
    s
  ) : (
    <>
      {first} <span class="nowrap">{rest.join(" ")}</span>
    </>
  );
}

/** What a cell, a pin, a row shows: the verdict first, else the stage. */
export const shapeOf = (v: Whole | "" | undefined, stage: Stage): string =>
  v ? verdictShape[v] : stageShape[stage];

/** The same in words. */
export const standsAs = (v: Whole | "" | undefined, n: number | undefined, stage: Stage): string =>
  v ? w.headline(v, n ?? 0) : w.stage[stage];

const drawings: Record<string, ComponentChildren> = {
  back: (
    <>
      <path d="M8 13h16" />
      <path class="f" d="M2 13 13 8.5v9z" />
    </>
  ),
  next: (
    <>
      <path d="M2 13h16" />
      <path class="f" d="M24 13 13 8.5v9z" />
    </>
  ),
  up: (
    <>
      <path d="M13 8v16" />
      <path class="f" d="M13 2 8.5 13h9z" />
    </>
  ),
  down: (
    <>
      <path d="M13 2v16" />
      <path class="f" d="M13 24 8.5 13h9z" />
    </>
  ),
  snap: (
    <>
      <path d="M2 8V2h6M18 2h6v6M24 18v6h-6M8 24H2v-6" />
      <circle cx="13" cy="13" r="5" />
      <path d="M13 5.5v3M13 17.5v3M5.5 13h3M17.5 13h3" />
    </>
  ),
  save: (
    <>
      <path d="M13 3v10M3 15v8h20v-8" />
      <path class="f" d="m7.5 11 5.5 8 5.5-8z" />
    </>
  ),
  pen: <path d="m3 23 2-7L18 3l5 5L10 21zM15 6l5 5" />,
  eye: (
    <>
      <path d="M2 13c5-8 17-8 22 0-5 8-17 8-22 0z" />
      <circle cx="13" cy="13" r="3.5" />
    </>
  ),
  parts: <path d="M2 3h22v20H2zM2 9h22M10 9v14" />,
  work: <path d="M2 4h4v4H2zM2 11h4v4H2zM2 18h4v4H2zM10 6h14M10 13h14M10 20h14" />,
  lamp: <path d="M9 2h8v5l-2 3v13h-4V10L9 7zM9 7h8M13 13v3" />,
  photos: <path d="M6 2h18v17H6zM2 7v17h18M9 16l5-6 4 4 2-2 4 4" />,
  sign: <path d="M2 19c4 0 5-14 8-14s-3 14 0 14 4-7 6-7-1 6 1 6 3-2 5-2M2 24h22" />,
};
export const Icon = ({ i }: { i: keyof typeof drawings | string }) => (
  <svg class="icon" viewBox="0 0 26 26" aria-hidden="true">
    {drawings[i]}
  </svg>
);
