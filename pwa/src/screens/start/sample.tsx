// The sample: gussets and an angle of a baggage-hatch frame, in a record of its own that is sent
// nowhere. One part is still to be measured; one has been worked on, as pwa/build/sample.go tells.
import { useEffect, useState } from "preact/hooks";
import type { Draft, Pin } from "../../bridge/types";
import { book } from "../../data/book";
import { db, isSample, setSetting, setting, useSample } from "../../data/db";
import { save } from "../../data/entries";
import { joinSample } from "../../sync/join";
import { w } from "../../words";
import { Trouble, Waiting } from "../kit/bits";
import { Act, Sheet } from "../kit/sheet";
import { remember } from "../prefs";

const GUSSET = { width_mm: 96, height_mm: 84, step_mm: 7 };
/**
 * As the sample photo shows the corner: up the right side, three heads and a hole, 13.7 apart and 9
 * from the edges; then along the lower side, and the corner angle. mm from the top left.
 */
const places: [number, number][] = [
  ...[76.5, 62.8, 49.1, 35.3].map((y): [number, number] => [86.9, y]),
  ...[70.9, 54.9, 38.9, 22.9].map((x): [number, number] => [x, 74]),
  [68, 56],
  [68, 38],
  [50, 56],
  [68, 20],
  [32, 56],
  [14, 56],
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
  await setSetting("sampleMade", await (await db()).count("entries"));
  await remember({ project: made[0]!.id, part: made[4]!.id, card: made[3]!.id });
}

/** How many entries somebody made in the sample, photos that wait among them. */
async function entered(): Promise<number> {
  const d = await db();
  const made = await setting("sampleMade");
  return (made ? (await d.count("entries")) - made : 0) + (await d.count("drafts"));
}

function goHome(): void {
  useSample(false);
  location.replace("/");
}

export function SampleScreen({ leave }: { leave: boolean }) {
  const [e, setE] = useState<unknown>();
  const [mine, setMine] = useState(0);
  useEffect(() => {
    if (leave && isSample()) {
      entered().then((k) => {
        if (k > 0) setMine(k);
        else goHome();
      }, setE);
      return;
    }
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
        <>
          <Act act={goHome}>{w.sample.leave}</Act>
          {mine > 0 && (
            <Act go to="/parts">
              {w.sample.stay}
            </Act>
          )}
        </>
      }
    >
      {mine > 0 ? (
        <div class="pad stack">
          <h2 class="message">{w.sample.entered(mine)}</h2>
          <p>{w.sample.enteredDo}</p>
        </div>
      ) : e ? (
        <Trouble e={e} />
      ) : (
        <Waiting />
      )}
    </Sheet>
  );
}
