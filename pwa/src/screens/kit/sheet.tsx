// The sheet that every screen is drawn on: title block, content, thumb strip.
import type { ComponentChildren } from "preact";
import { useEffect } from "preact/hooks";
import { back as goBack } from "../../router";
import { clockAhead } from "../../sync/api";
import { unsent } from "../../sync/sync";
import { w } from "../../words";
import { useFit } from "./fit";
import { Icon } from "./shapes";
import { Say, say, unsay } from "./say";

export interface Cell {
  label: string;
  value: ComponentChildren;
  to?: string;
  act?: () => void;
}

/** A clock farther off than this gives dates that nobody can put in order, min. */
const FAR_MIN = 5;

/** By how much this device's clock is wrong, or the laptop's; undefined: as clocks are. */
export function clockOff(): string | undefined {
  const min = Math.round(Math.abs(clockAhead.value) / 60_000);
  return min > FAR_MIN ? w.clockOff(min) : undefined;
}

interface Props {
  title: string;
  facts?: ComponentChildren;
  /** Where back leads if the app was opened here; none: a first screen. */
  back?: string | undefined;
  cell?: Cell | undefined;
  /** More cells on a laptop. */
  more?: Cell[];
  /** What goes on now, with its fraction of the whole. */
  doing?: { what: string; fraction: number } | undefined;
  strip?: ComponentChildren;
  /** split: picture left, list right on a laptop; column: text in the middle; still: content does not scroll as a whole. */
  as?: "split" | "column" | "still" | "split still" | "split still tabbed" | "";
  children: ComponentChildren;
}

export function Sheet(p: Props) {
  useEffect(() => {
    document.title = `${p.title} · Bucktail`;
  }, [p.title]);
  // A wrong clock is named in the unsent cell's place, which leads to what is to be done.
  const off = clockOff();
  const c: Cell | undefined = p.cell ?? {
    label: off ? w.clock : w.unsent,
    value: off ?? unsent.value.entries + unsent.value.photos,
    to: "/unsent",
  };
  return (
    <div class="sheet">
      <header class="tb">
        {p.back !== undefined && (
          <button class="back" type="button" aria-label={w.back} onClick={() => goBack(p.back)}>
            <Icon i="back" />
          </button>
        )}
        <div class="name">
          <Title text={p.title} />
          {typeof p.facts === "string" && p.facts ? (
            <Facts text={p.facts} />
          ) : (
            p.facts && <p class="facts">{p.facts}</p>
          )}
        </div>
        {p.more?.map((m) => (
          <div class="more cell">
            <CellText c={m} />
          </div>
        ))}
        {c && <TitleCell c={c} />}
      </header>
      <div class="doing" role="status">
        {p.doing && (
          <p>
            <i style={{ width: `${Math.round(100 * p.doing.fraction)}%` }} />
            {p.doing.what}
          </p>
        )}
      </div>
      <main class={`main ${p.as ?? ""}`} tabIndex={-1}>
        {p.children}
      </main>
      <nav class="strip" aria-label={w.actions}>
        <Say />
        {p.strip}
      </nav>
      <Zones />
    </div>
  );
}

function Title({ text }: { text: string }) {
  const ref = useFit<HTMLHeadingElement>(text);
  return <h1 ref={ref} aria-label={text} title={text} />;
}

function Facts({ text }: { text: string }) {
  const ref = useFit<HTMLParagraphElement>(text);
  return <p class="facts" ref={ref} title={text} />;
}

const CellText = ({ c }: { c: Cell }) => (
  <>
    <small>{c.label}</small>
    <b>{c.value}</b>
  </>
);

function TitleCell({ c }: { c: Cell }) {
  if (c.to)
    return (
      <a class="cell" href={c.to}>
        <CellText c={c} />
      </a>
    );
  if (c.act)
    return (
      <button class="cell" type="button" onClick={c.act}>
        <CellText c={c} />
      </button>
    );
  return (
    <div class="cell">
      <CellText c={c} />
    </div>
  );
}

/** The frame's zone marks, as on paper; on a laptop alone. */
function Zones() {
  const across = [1, 2, 3, 4, 5, 6],
    down = ["A", "B", "C", "D"];
  return (
    <svg class="zones" aria-hidden="true">
      {across.map((n, i) => (
        <>
          <text x={`${((i + 0.5) * 100) / 6}%`} y="14">
            {n}
          </text>
          <text x={`${((i + 0.5) * 100) / 6}%`} y="100%" dy="-7">
            {n}
          </text>
        </>
      ))}
      {down.map((n, i) => (
        <>
          <text x="10" y={`${(i + 0.5) * 25}%`}>
            {n}
          </text>
          <text x="100%" dx="-10" y={`${(i + 0.5) * 25}%`}>
            {n}
          </text>
        </>
      ))}
    </svg>
  );
}

/** An action of the strip. One that can't work now stays, hatched, and says why when pressed. */
export function Act(p: {
  to?: string;
  act?: () => void;
  go?: boolean;
  here?: boolean;
  icon?: string | undefined;
  why?: string | undefined;
  /** The second press of a double one is not meant. */ single?: boolean;
  children: ComponentChildren;
}) {
  const why = p.why;
  useEffect(() => (why ? () => unsay(why) : undefined), [why]); // what was missing is there, or the screen is another
  const inner = (
    <>
      {p.icon && <Icon i={p.icon} />}
      <span>{p.children}</span>
    </>
  );
  const cls = `${p.go ? "go" : ""} ${p.here ? "here" : ""}`;
  if (p.to && !p.why)
    return (
      <a class={cls} href={p.to} aria-current={p.here ? "page" : undefined}>
        {inner}
      </a>
    );
  return (
    <button
      type="button"
      class={cls}
      aria-disabled={p.why ? "true" : undefined}
      onClick={(e) => (p.single && e.detail > 1 ? undefined : p.why ? say(p.why) : p.act?.())}
    >
      {inner}
    </button>
  );
}
