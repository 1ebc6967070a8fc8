// The sample: gussets and an angle of a baggage-hatch frame, in a record of its own that is sent
// nowhere. One part is still to be measured; one has been worked on, as pwa/build/sample.go tells.
import { useEffect, useState } from "preact/hooks";
import type { Draft, Pin } from "../../bridge/types";
import { book } from "../../data/book";
import { isSample, useSample } from "../../data/db";
import { save } from "../../data/entries";
import { joinSample } from "../../sync/join";
import { w } from "../../words";
import { Trouble, Waiting } from "../kit/bits";
import { Act, Sheet } from "../kit/sheet";
import { remember } from "../prefs";

const GUSSET = { width_mm: 96, height_mm: 84, step_mm: 7 };
/** Six along the top, five down the left side, three on the corner angle: mm from the top left. */
const places: [number, number][] = [
  ...[10, 23.7, 37.4, 51.1, 64.8, 78.5].map((x): [number, number] => [x, 10]),
  ...[23.7, 37.4, 51.1, 64.8].map((y): [number, number] => [10, y]),
  [28, 28],
  [42, 28],
  [28, 42],
  [28, 56],
];

interface Worked {
  card: object;
  drafts: Draft[];
  photos: { url: string; hash: string; width: number; height: number }[];
}

/** The part that has been worked on: told while the app was built, by what its photos show. */
async function readWorked(): Promise<Worked> {
  const r = await fetch("/sample/record.json");
  if (!r.ok) throw new Error(`the sample's record can't be read: ${r.status}`);
  return (await r.json()) as Worked;
}

async function saveWorked(d: Worked, project: string, card: string): Promise<void> {
  const known: Record<string, string> = { $project: project, $card: card };
  const drafts = JSON.parse(
    JSON.stringify(d.drafts, (_, v: unknown) => (typeof v === "string" ? (known[v] ?? v) : v)),
  ) as Draft[];
  const photos = await Promise.all(
    d.photos.map(async ({ url, ...p }) => ({
      ...p,
      media: "image/jpeg",
      blob: await (await fetch(url)).blob(),
    })),
  );
  await save(drafts, { photos });
}

export async function makeSample(): Promise<void> {
  await joinSample(w.sample.bar);
  if ((await book.call("state.projects", {})).length > 0) return;
  const worked = await readWorked();
  const size = await book.call("size", { text: "3/16" });
  const p = "@0",
    part = "@4";
  const drafts: Draft[] = [
    { kind: "project", data: { name: "Tarn 2", aircraft: "two-seat amphibian", mark: "build 07" } },
    { kind: "settings", project: p, data: { units: "mm", paper: "a4" } },
    { kind: "card", project: p, data: { ...worked.card, sheet: "2" } } as Draft,
    {
      kind: "card",
      project: p,
      data: {
        sheet: "1",
        paper: "a4",
        check_nominal_mm: 150,
        check_across_mm: 150,
        check_along_mm: 150,
        check_U_mm: 0.1,
        thickness_mm: 0.3,
        thickness_U_mm: 0.04,
        measured_with: w.cards.calipers,
      },
    },
    {
      kind: "part",
      project: p,
      data: {
        name: "Corner gusset, left",
        drawing: "BH-112 sheet 2",
        layers: [
          { name: "gusset", material: "2024-T3", thickness_mm: 0.81 },
          { name: "hatch frame", material: "2024-T3", thickness_mm: 1.02 },
        ],
        spec: { kind: "shop-head", nominal_mm: size.nominal_mm },
      },
    },
    { kind: "layout", project: p, part, data: GUSSET },
    ...places.map(([x, y], i): Draft => ({
      kind: "location",
      project: p,
      part,
      data: {
        tag: `R${i + 1}`,
        pin: { x: x / GUSSET.width_mm, y: y / GUSSET.height_mm } satisfies Pin,
      },
    })),
    {
      kind: "part",
      project: p,
      data: {
        name: "Corner angle",
        drawing: "BH-114",
        layers: [{ name: "angle", material: "2024-T3", thickness_mm: 1.02 }],
        spec: { kind: "shop-head", nominal_mm: size.nominal_mm },
      },
    },
  ];
  const made = await save(drafts);
  await saveWorked(worked, made[0]!.id, made[2]!.id);
  await remember({ project: made[0]!.id, part: made[4]!.id, card: made[3]!.id });
}

export function SampleScreen({ leave }: { leave: boolean }) {
  const [e, setE] = useState<unknown>();
  useEffect(() => {
    if (leave || !isSample()) {
      useSample(!leave);
      location.replace(leave ? "/" : "/sample");
      return;
    }
    makeSample().then(() => location.replace("/parts"), setE);
  }, [leave]);
  return (
    <Sheet
      title={w.sample.bar}
      strip={
        <Act
          act={() => {
            useSample(false);
            location.replace("/");
          }}
        >
          {w.sample.leave}
        </Act>
      }
    >
      {e ? <Trouble e={e} /> : <Waiting />}
    </Sheet>
  );
}
