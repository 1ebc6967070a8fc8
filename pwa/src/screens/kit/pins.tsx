// A part's layout picture with its locations as numbered balloons: verdict first, else stage.
import { useRef, useState } from "preact/hooks";
import type { Behind, LayInput, LayoutData, Location, Pin, Stage, Whole } from "../../bridge/types";
import { w as words } from "../../words";
import { useLive, usePicture, useSize } from "../hooks";
import { PhotoBehind } from "./behind";
import { shapeOf, standsAs } from "./shapes";

export const pinNumber = (tag: string): string => /(\d+)\D*$/.exec(tag)?.[1] ?? tag.slice(0, 3);

/** One balloon, drawn round (0, 0). */
export function Balloon({ shape, text }: { shape: string; text: string }) {
  const white = "var(--sheet)",
    ink = "var(--ink)";
  switch (shape) {
    case "within":
      return (
        <>
          <path d="M-19.5-11v22M19.5-11v22" stroke="var(--within)" stroke-width="3" />
          <circle r="14.5" fill="var(--within)" />
          <text fill={white}>{text}</text>
        </>
      );
    case "unread":
      return (
        <>
          <path d="M-19.5-11v22M19.5-11v6M19.5 5v6" stroke="var(--within)" stroke-width="3" />
          <circle r="13.2" class="bg" stroke="var(--within)" stroke-width="2.6" />
          <text fill={ink}>{text}</text>
        </>
      );
    case "close":
      return (
        <>
          <path d="M0-23V23" stroke="var(--close)" stroke-width="3" />
          <circle r="14.5" class="bg" />
          <path d="M0-14.5a14.5 14.5 0 0 0 0 29z" fill="var(--close-fill)" />
          <circle r="14.5" fill="none" stroke="var(--close)" stroke-width="2.5" />
          <circle r="9.5" class="bg" />
          <text fill={ink}>{text}</text>
        </>
      );
    case "out":
      return (
        <>
          <path d="M-22-14v28" stroke="var(--out)" stroke-width="3" />
          <path d="M-14-14 14 14M14-14-14 14" stroke="var(--out)" stroke-width="9" />
          <rect x="-11.5" y="-11.5" width="23" height="23" fill="var(--out)" />
          <text fill={white}>{text}</text>
        </>
      );
    case "drilled":
      return (
        <>
          <circle r="15" class="bg" stroke={ink} stroke-width="2" />
          <path d="M-11 7-1-12M-6 12 7-12M1 13 12-6" stroke={ink} stroke-width="1.6" />
          <circle r="9.5" class="bg" />
          <text fill={ink}>{text}</text>
        </>
      );
    case "set":
      return (
        <>
          <circle r="15" fill={ink} />
          <text fill={white}>{text}</text>
        </>
      );
    case "marked":
      return (
        <>
          <path d="M-20 0h40M0-20v40" stroke="var(--ink-2)" stroke-width="1.5" />
          <circle r="11.5" class="bg" />
          <text fill={ink}>{text}</text>
        </>
      );
    default:
      return (
        <>
          <path d="M-20 0h40M0-20v40" stroke={ink} stroke-width="1.5" />
          <circle
            r={shape === "pilot" ? 11 : 13}
            class="bg"
            stroke={ink}
            stroke-width={shape === "pilot" ? 1.5 : 2.2}
          />
          <text fill={ink}>{text}</text>
        </>
      );
  }
}

export interface PinLike {
  id: string;
  tag: string;
  pin?: Pin | undefined;
  whole?: Whole | undefined;
  notRead?: number | undefined;
  stage: Stage;
  chosen?: boolean;
  fresh?: boolean;
}

interface Props {
  layout: LayoutData | undefined;
  behind?: Behind | null | undefined;
  pins: PinLike[];
  label: string;
  /** One was pressed; with several near each other, all of them. */
  open?: (ids: string[]) => void;
  /** A place was pressed, fractions of the picture. */
  place?: (p: Pin) => void;
  /** Long press. */
  hold?: (id: string) => void;
  most?: number;
}

/** Pins nearer to each other than this can't be told apart by a finger, px. */
const TOUCH = 30;

/** Height over width of a layout without a picture. */
const PLAIN = 0.6;

export function LayoutPicture(p: Props) {
  const [ref, { w: width }] = useSize<HTMLDivElement>();
  const url = usePicture(p.layout?.photo, "preview");
  const l = p.layout;
  const ratio =
    l?.photo && l.width_px && l.height_px
      ? l.height_px / l.width_px
      : l?.width_mm && l.height_mm
        ? l.height_mm / l.width_mm
        : PLAIN;
  const frame = 26;
  const room = Math.max(width, 60) - 2 * frame;
  const w0 = Math.max(40, p.most ? Math.min(room, (p.most - 2 * frame) / ratio) : room);
  const [zoom, setZoom] = useState(1);
  const W = w0 * zoom,
    H = W * ratio,
    across = Math.max(width, 60, zoom > 1 ? W + 2 * frame : 0),
    left = (across - W) / 2;
  const at = (pin: Pin): [number, number] => [left + pin.x * W, frame + pin.y * H];
  const pins = p.pins.filter((x) => x.pin);
  const press = useRef<ReturnType<typeof setTimeout> | undefined>(undefined);
  const held = useRef(false);
  const near = (id: string): string[] => {
    const me = pins.find((x) => x.id === id)!,
      [x, y] = at(me.pin!);
    const close = pins.filter((o) => {
      const [a, b] = at(o.pin!);
      return Math.hypot(a - x, b - y) < TOUCH;
    });
    return close.length > 1 ? [id, ...close.filter((c) => c.id !== id).map((c) => c.id)] : [id];
  };
  const crowded = pins.some((a, i) =>
    pins.some(
      (b, j) =>
        j < i && Math.hypot(a.pin!.x - b.pin!.x, (a.pin!.y - b.pin!.y) * ratio) * w0 < TOUCH,
    ),
  );
  const dense = pins.length > 1 && W / Math.sqrt(pins.length) < 44;
  const k = dense ? 0.72 : 1;
  return (
    <div class="layout" ref={ref as never}>
      <div
        class={`layoutview ${zoom > 1 ? "zoomed" : ""}`}
        tabIndex={zoom > 1 ? 0 : undefined}
        role={zoom > 1 ? "region" : undefined}
        aria-label={zoom > 1 ? words.part.zoomed(zoom) : undefined}
      >
        {p.behind && <PhotoBehind b={p.behind} x={left} y={frame} w={W} h={H} />}
        <svg
          width={across}
          height={H + 2 * frame}
          viewBox={`0 0 ${across} ${H + 2 * frame}`}
          role="group"
          aria-label={p.label}
          onClick={(e) => {
            if (!p.place) return;
            const r = e.currentTarget.getBoundingClientRect();
            const x = (e.clientX - r.left - left) / W,
              y = (e.clientY - r.top - frame) / H;
            if (x >= -0.03 && x <= 1.03 && y >= -0.03 && y <= 1.03)
              p.place({ x: Math.min(1, Math.max(0, x)), y: Math.min(1, Math.max(0, y)) });
          }}
        >
          {l?.photo && url ? (
            <image href={url} x={left} y={frame} width={W} height={H} preserveAspectRatio="none" />
          ) : (
            <>
              <Grid l={l} x={left} y={frame} w={W} h={H} />
              {l?.plan && <PlanLines plan={l.plan} x={left} y={frame} w={W} />}
            </>
          )}
          {l?.width_mm && !l.photo ? <Measure x={left} w={W} text={`${l.width_mm}`} /> : null}
          {pins.map((x) => {
            const [cx, cy] = at(x.pin!);
            const word = standsAs(x.whole, x.notRead, x.stage);
            const act = (): void => {
              if (held.current) held.current = false;
              else p.open?.(near(x.id));
            };
            return (
              <g
                class={`pin ${x.chosen ? "chosen" : ""}`}
                transform={`translate(${cx} ${cy}) scale(${k})`}
                key={x.id}
                {...(p.open && {
                  role: "button",
                  tabIndex: 0,
                  "aria-label": `${pinNumber(x.tag) === x.tag ? "" : `${pinNumber(x.tag)}, `}${x.tag}, ${word}`,
                  "aria-pressed": x.chosen === undefined ? undefined : x.chosen,
                })}
                onClick={(e) => {
                  if (p.open) {
                    e.stopPropagation();
                    act();
                  }
                }}
                onKeyDown={(e) => {
                  if (p.open && (e.key === "Enter" || e.key === " ")) {
                    e.preventDefault();
                    p.open([x.id]);
                  }
                }}
                onPointerDown={() => {
                  if (p.hold)
                    press.current = setTimeout(() => {
                      held.current = true;
                      p.hold?.(x.id);
                    }, 500);
                }}
                onPointerUp={() => clearTimeout(press.current)}
                onPointerLeave={() => clearTimeout(press.current)}
              >
                <circle class="hit" r={24 / k} />
                {(l?.photo || p.behind) && <circle r="19" fill="var(--sheet)" opacity=".82" />}
                <Balloon shape={shapeOf(x.whole, x.stage)} text={pinNumber(x.tag)} />
              </g>
            );
          })}
        </svg>
      </div>
      {(crowded || zoom > 1) && (
        <div class="zoomcells" role="group" aria-label={words.part.zoom}>
          {[1, 2, 4].map((z) => (
            <button type="button" class="btn" aria-pressed={z === zoom} onClick={() => setZoom(z)}>
              {z === 1 ? words.result.fit : `${z} ×`}
            </button>
          ))}
        </div>
      )}
    </div>
  );
}

function Grid({
  l,
  x,
  y,
  w: W,
  h: H,
}: {
  l: LayoutData | undefined;
  x: number;
  y: number;
  w: number;
  h: number;
}) {
  const lines = [];
  const step = l?.step_mm && l.width_mm ? (l.step_mm / l.width_mm) * W : 0;
  if (step > 5) {
    for (let i = step; i < W - 1; i += step) lines.push(`M${x + i} ${y}v${H}`);
    for (let i = step; i < H - 1; i += step) lines.push(`M${x} ${y + i}h${W}`);
  }
  return (
    <>
      <path class="grid" d={lines.join("")} />
      {!l?.plan && <rect class="frame" x={x} y={y} width={W} height={H} />}
    </>
  );
}

/** Outline, bends and what lies behind, of a layout that was laid out. */
function PlanLines({ plan, x, y, w: W }: { plan: LayInput; x: number; y: number; w: number }) {
  const s = useLive("layout", plan).value?.sketch;
  if (!s) return null;
  const k = W / (s.max[0] - s.min[0]);
  return (
    <>
      {(s.lines ?? [])
        .filter((l) => l.role === "outline" || l.role === "bend" || l.role === "behind")
        .map((l) => (
          <path
            class={l.role === "outline" ? "frame" : "d-hidden"}
            d={
              "M" +
              l.points
                .map((p) => `${x + k * (p[0] - s.min[0])} ${y + k * (p[1] - s.min[1])}`)
                .join("L") +
              (l.closed ? "Z" : "")
            }
          />
        ))}
    </>
  );
}

function Measure({ x, w: W, text }: { x: number; w: number; text: string }) {
  return (
    <g aria-hidden="true">
      <path class="d-thin" d={`M${x} 24V4M${x + W} 24V4M${x} 11H${x + W}`} />
      <path class="d-arrow" d={`M${x} 11l11-2v4zM${x + W} 11l-11-2v4z`} />
      <rect class="d-plaque" x={x + W / 2 - 26} y="2" width="52" height="18" />
      <text class="d-text" x={x + W / 2} y="11.5">
        {text}
      </text>
    </g>
  );
}

export function toPin(l: Location): PinLike {
  return {
    id: l.id,
    tag: l.tag,
    pin: l.pin,
    whole: l.whole,
    notRead: l.not_read,
    stage: l.stage,
  };
}
