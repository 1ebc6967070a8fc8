// Small things that all screens share.
import type { ComponentChildren } from "preact";
import { useId } from "preact/hooks";
import { Crashed, Refused } from "../../bridge/client";
import { isFull } from "../../data/storage";
import { Refusal } from "../../sync/api";
import { w } from "../../words";
import { shown } from "../hooks";
import { fractions } from "../prefs";
import { upper } from "../../words/sentence";
export { sentence, upper } from "../../words/sentence";

/** A value with its U, in the chosen units. A value never stands without its U. */
export function Num({
  mm,
  u,
  d,
  unit,
}: {
  mm: number;
  u: number;
  d?: boolean | undefined;
  unit?: boolean;
}) {
  const s = shown(mm, u);
  const [value = "", rest = ""] = (s?.with_u ?? "").split(" ± ");
  const [uText = "", unitText = ""] = rest.split(" ");
  return (
    <>
      <span class="num">
        {d ? "Ø " : ""}
        {fractions.value ? s?.fraction.replace(/ in$/, "") : value}
      </span>{" "}
      <span class="u">
        {s && (
          <>
            ± {uText}
            {unit && ` ${unitText}`}
          </>
        )}
      </span>
    </>
  );
}

/** A length that is no reading: a limit, a thickness. */
export const Len = ({ mm, unit = true }: { mm: number; unit?: boolean }) => {
  const s = shown(mm);
  return <span class="nowrap">{unit ? s?.value : s?.number}</span>;
};

interface FieldProps {
  label: string;
  value: string;
  set: (v: string) => void;
  hint?: ComponentChildren;
  wrong?: string | undefined;
  unit?: string;
  type?: string;
  mode?: "decimal" | "numeric" | "text";
  area?: boolean;
  list?: string[];
  auto?: string;
}

export function Field(p: FieldProps) {
  const id = useId();
  const said = p.wrong || p.hint ? `${id}-s` : undefined;
  const common = {
    id,
    value: p.value,
    "aria-describedby": said,
    "aria-invalid": p.wrong ? ("true" as const) : undefined,
  };
  const input = p.area ? (
    <textarea {...common} onInput={(e) => p.set(e.currentTarget.value)} />
  ) : (
    <input
      {...common}
      type={(p.type ?? "text") as "text"}
      inputMode={p.mode}
      autocomplete={p.auto ?? "off"}
      list={p.list ? `${id}-l` : undefined}
      onInput={(e) => p.set(e.currentTarget.value)}
    />
  );
  return (
    <div class="field">
      <span>
        <label for={id}>{p.label}</label>
      </span>
      {p.unit ? (
        <span class="withunit">
          {input}
          <i aria-hidden="true">{p.unit}</i>
        </span>
      ) : (
        input
      )}
      {p.list && (
        <datalist id={`${id}-l`}>
          {p.list.map((o) => (
            <option value={o} />
          ))}
        </datalist>
      )}
      {said && (
        <small id={said} class={p.wrong ? "wrong" : ""}>
          {p.wrong ?? p.hint}
        </small>
      )}
    </div>
  );
}

export function Select<T extends string>(p: {
  label: string;
  value: T;
  set: (v: T) => void;
  of: { value: T; text: string }[];
  hint?: ComponentChildren;
}) {
  const id = useId();
  return (
    <div class="field">
      <span>
        <label for={id}>{p.label}</label>
      </span>
      <select id={id} value={p.value} onChange={(e) => p.set(e.currentTarget.value as T)}>
        {p.of.map((o) => (
          <option value={o.value} selected={o.value === p.value}>
            {o.text}
          </option>
        ))}
      </select>
      {p.hint && <small>{p.hint}</small>}
    </div>
  );
}

/** One of a few. */
export function Choice<T extends string>(p: {
  label: string;
  value: T | undefined;
  set: (v: T) => void;
  of: { value: T; text: ComponentChildren; note?: ComponentChildren }[];
  rows?: boolean;
  hide?: boolean;
  hint?: ComponentChildren;
}) {
  const id = useId();
  return (
    <fieldset class={`choice ${p.rows ? "rows" : ""}`}>
      <legend class={p.hide ? "unseen" : ""}>{p.label}</legend>
      <div>
        {p.of.map((o) => (
          <label key={o.value}>
            <input
              type="radio"
              name={id}
              checked={o.value === p.value}
              onChange={() => p.set(o.value)}
            />
            <span>
              {o.text}
              {o.note && <small>{o.note}</small>}
            </span>
          </label>
        ))}
      </div>
      {p.hint && <small>{p.hint}</small>}
    </fieldset>
  );
}

export function Tick(p: {
  checked: boolean;
  set: (v: boolean) => void;
  children: ComponentChildren;
}) {
  return (
    <label class="tick">
      <input type="checkbox" checked={p.checked} onChange={(e) => p.set(e.currentTarget.checked)} />
      <span>{p.children}</span>
    </label>
  );
}

/** A button that opens the phone's camera app or its gallery. */
export function FileButton(p: {
  files: (f: File[]) => void;
  accept?: string;
  camera?: boolean;
  many?: boolean;
  class?: string;
  children: ComponentChildren;
  name?: string;
}) {
  return (
    <label class={`filebtn ${p.class ?? "btn"}`}>
      {p.children}
      <input
        type="file"
        accept={p.accept ?? "image/jpeg,image/png"}
        capture={p.camera ? "environment" : undefined}
        multiple={p.many ?? false}
        aria-label={p.name}
        onChange={(e) => {
          const files = [...(e.currentTarget.files ?? [])];
          e.currentTarget.value = "";
          if (files.length > 0) p.files(files);
        }}
      />
    </label>
  );
}

/** ± in plain words, on a tap. */
export const HowSure = () => (
  <details>
    <summary>{w.howSure.ask}</summary>
    <p class="note">{w.howSure.told}</p>
  </details>
);

/** Brings what went wrong into view, once: it may stand beyond the end of the screen. */
export const intoView = (e: HTMLElement | null): void => e?.scrollIntoView({ block: "nearest" });

/** What went wrong, in the words of what refused, or of ours with what is safe. */
export function Trouble({ e, safe }: { e: unknown; safe?: string }) {
  if (!e) return null;
  const [text, todo] =
    e instanceof Refused
      ? [e.refusal.text, e.refusal.do]
      : e instanceof Crashed
        ? [w.crashed, w.crashedDo]
        : e instanceof Refusal
          ? [e.problem.title, e.problem.do ?? e.problem.detail]
          : isFull(e)
            ? [w.roomLeft.full, w.roomLeft.fullHere]
            : [w.fault, `${safe ?? w.faultSafe} ${e instanceof Error ? e.message : String(e)}`];
  return (
    <div class="said bad" role="alert" ref={intoView}>
      <p>
        <b>{upper(text)}</b>
      </p>
      {todo && <p>{upper(todo)}</p>}
      {isFull(e) && (
        <a class="link" href="/unsent">
          {w.unsentScreen.room}
        </a>
      )}
    </div>
  );
}

/** What to do first on an empty sheet. */
export function Empty({ title, children }: { title: string; children?: ComponentChildren }) {
  return (
    <div class="pad stack">
      <svg
        viewBox="0 0 358 190"
        aria-hidden="true"
        style={{ width: "100%", maxWidth: "420px", display: "block" }}
      >
        <path class="d-hidden" d="M70 60H288V180H70z" />
        <circle class="d-hidden" cx="179" cy="120" r="34" />
        <path class="d-centre" d="M20 120H338M179 40V190" />
        <path class="d-thin" d="M70 52V14M288 52V14M70 22H288" />
        <path class="d-arrow" d="M70 22l12-2.5v5zM288 22l-12-2.5v5z" />
      </svg>
      <h2 class="message">{title}</h2>
      {children}
    </div>
  );
}

export const Waiting = () => (
  <div class="pad note" role="status">
    {w.opening}
  </div>
);

/** A line of a list that leads nowhere: what it is, in small what more there is to it, its end. */
export function Line(p: {
  tag?: string | undefined;
  what: ComponentChildren;
  small?: ComponentChildren;
  children?: ComponentChildren;
}) {
  return (
    <li>
      <div class="row">
        {p.tag !== undefined && <span class="tag">{p.tag}</span>}
        <span class="what">
          {p.what}
          {p.small && <small>{p.small}</small>}
        </span>
        {p.children}
      </div>
    </li>
  );
}

/** What to do, step by step. */
export const Steps = ({ of }: { of: string[] }) => (
  <ol class="steps">
    {of.map((s, i) => (
      <Step n={i + 1} now={false} done={false}>
        {s}
      </Step>
    ))}
  </ol>
);

/** A step of a numbered list. */
export function Step({
  n,
  now,
  done,
  children,
}: {
  n: number;
  now: boolean;
  done: boolean;
  locked?: boolean;
  children: ComponentChildren;
}) {
  return (
    <li class={now ? "now" : done ? "done" : ""} aria-current={now ? "step" : undefined}>
      <span class="n" aria-hidden="true">
        {done ? "✓" : n}
      </span>
      <div class="grow">{children}</div>
    </li>
  );
}
