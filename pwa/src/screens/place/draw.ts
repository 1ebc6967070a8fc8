// The plot itself, in uPlot's own hooks. Loaded when a plot is shown.
import uPlot from "uplot";
import { digitsOf, type PlotPoint } from "./points";

/** Room for a limit's figure at the right, CSS px. */
const LIMIT_PX = 76;

interface How {
  by: "time" | "order" | "place";
  width: number;
  mark: string | undefined;
  scale: number;
  colour: (name: string) => string;
  words: { min: string; max: string };
  figure: (mm: number) => string;
}

export function draw(el: HTMLElement, ps: PlotPoint[], how: How): uPlot {
  const k = how.scale,
    xs = how.by === "time" ? ps.map((p) => p.at / 1000) : ps.map((_, i) => i);
  const ys = ps.map((p) => p.mm * k);
  const min = ps.find((p) => p.min_mm)?.min_mm,
    max = ps.find((p) => p.max_mm)?.max_mm;
  const all = [
    ...ps.flatMap((p) => [(p.mm - p.U_mm) * k, (p.mm + p.U_mm) * k]),
    ...(min ? [min * k] : []),
    ...(max ? [max * k] : []),
  ];
  const lo = Math.min(...all),
    hi = Math.max(...all),
    room = Math.max((hi - lo) * 0.14, 0.05 * k);
  const ink = how.colour("--ink"),
    grey = how.colour("--ink-2"),
    soft = how.colour("--rule-soft");
  const verdict = {
    within: how.colour("--within"),
    unread: how.colour("--within"),
    out: how.colour("--out"),
    "too close": how.colour("--close"),
  };
  const font = "13px system-ui, sans-serif";
  const limits = (u: uPlot): void => {
    const c = u.ctx,
      b = u.bbox,
      r = devicePixelRatio;
    c.save();
    for (const [mm, up] of [
      [min, false],
      [max, true],
    ] as const) {
      if (!mm) continue;
      const y = u.valToPos(mm * k, "y", true),
        y0 = up ? b.top : y,
        h = up ? y - b.top : b.top + b.height - y;
      c.strokeStyle = how.colour("--hatch");
      c.lineWidth = r;
      c.save();
      c.beginPath();
      c.rect(b.left, y0, b.width, h);
      c.clip();
      c.beginPath();
      for (let x = b.left - h; x < b.left + b.width; x += 9 * r) {
        c.moveTo(x, y0 + h);
        c.lineTo(x + h, y0);
      }
      c.stroke();
      c.restore();
      c.strokeStyle = ink;
      c.lineWidth = 2.5 * r;
      c.beginPath();
      c.moveTo(b.left, y);
      c.lineTo(b.left + b.width, y);
      c.stroke();
      c.font = `700 ${13 * r}px system-ui, sans-serif`;
      c.fillStyle = ink;
      c.textBaseline = "middle";
      c.textAlign = "left";
      c.fillText(
        `${up ? how.words.max : how.words.min} ${how.figure(mm)}`,
        b.left + b.width + 6 * r,
        y,
        (LIMIT_PX - 8) * r,
      ); // beside the field: no reading stands there
    }
    c.restore();
  };
  const marks = (u: uPlot): void => {
    const c = u.ctx,
      r = devicePixelRatio;
    c.save();
    let lastMarked: [number, number] | undefined;
    ps.forEach((p, i) => {
      const x = u.valToPos(xs[i]!, "x", true),
        y = u.valToPos(ys[i]!, "y", true),
        a = u.valToPos((p.mm - p.U_mm) * k, "y", true),
        b = u.valToPos((p.mm + p.U_mm) * k, "y", true);
      c.strokeStyle = c.fillStyle = p.verdict ? verdict[p.verdict] : grey;
      c.lineWidth = 2 * r;
      c.beginPath();
      c.moveTo(x, a);
      c.lineTo(x, b);
      c.moveTo(x - 4 * r, a);
      c.lineTo(x + 4 * r, a);
      c.moveTo(x - 4 * r, b);
      c.lineTo(x + 4 * r, b);
      c.stroke();
      const s = 5 * r;
      c.beginPath();
      if (p.verdict === "out") {
        c.moveTo(x - s, y - s);
        c.lineTo(x + s, y + s);
        c.moveTo(x + s, y - s);
        c.lineTo(x - s, y + s);
        c.stroke();
      } else if (p.verdict === "too close") {
        c.arc(x, y, s, 0, 7);
        c.fillStyle = how.colour("--sheet");
        c.fill();
        c.stroke();
        c.beginPath();
        c.arc(x, y, s, Math.PI / 2, -Math.PI / 2);
        c.fillStyle = how.colour("--close-fill");
        c.fill();
      } else {
        c.arc(x, y, s, 0, 7);
        if (p.verdict === "unread") {
          c.fillStyle = how.colour("--sheet");
          c.fill();
          c.stroke();
        } else c.fill();
      }
      if (how.mark === p.tag) {
        c.strokeStyle = how.colour("--pencil");
        c.beginPath();
        c.arc(x, y, 11 * r, 0, 7);
        c.stroke();
        if (lastMarked) {
          c.setLineDash([4 * r, 4 * r]);
          c.beginPath();
          c.moveTo(...lastMarked);
          c.lineTo(x, y);
          c.stroke();
          c.setLineDash([]);
        }
        lastMarked = [x, y];
      }
    });
    c.restore();
  };
  const step = Math.max(1, Math.ceil(ps.length / Math.max(3, Math.floor(how.width / 46))));
  return new uPlot(
    {
      width: how.width,
      height: Math.round(Math.min(260, Math.max(180, how.width * 0.5))),
      legend: { show: false },
      cursor: { show: false },
      padding: [10, min || max ? LIMIT_PX : 14, 0, 0],
      scales: {
        x: {
          time: how.by === "time",
          ...(how.by !== "time" && { range: [-0.6, ps.length - 0.4] as [number, number] }),
        },
        y: { range: [lo - room, hi + room] },
      },
      axes: [
        {
          stroke: grey,
          font,
          grid: { show: false },
          ticks: { show: false },
          ...(how.by !== "time" && {
            splits: () => ps.map((_, i) => i).filter((i) => i % step === 0),
            values: (_: uPlot, v: number[]) => v.map((i) => ps[i]?.tag ?? ""),
          }),
        },
        {
          stroke: grey,
          font,
          size: 52,
          grid: { stroke: soft, width: 1 },
          ticks: { show: false },
          values: (_, v, _axis, _space, incr) => v.map((x) => x.toFixed(digitsOf(incr))),
        },
      ],
      series: [{}, { show: true, stroke: "transparent", points: { show: false } }],
      hooks: { drawAxes: [limits], draw: [marks] },
    },
    [xs, ys],
    el,
  );
}
