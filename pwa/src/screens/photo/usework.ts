// A draft with all that belongs to it: photo, part, document, judgements; measured when it opens.
import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import type {
  Document,
  Judged,
  MeasureOptions,
  MeasureStep,
  PartView,
  Placed,
} from "../../bridge/types";
import { measureDraft, measureKept } from "../../capture/snap";
import { book } from "../../data/book";
import { db, type DraftRow } from "../../data/db";
import { keepDraft } from "../../data/photos";
import { eye } from "../../eye";
import { useLive } from "../hooks";
import { memory, remember } from "../prefs";
import {
  assigned as assign,
  calibration,
  choices,
  handOf,
  named,
  optionsFor,
  placedAt,
  placingOf,
  plain,
  specFor,
  type Assigned,
  type Hand,
  type What,
} from "./hand";

export interface InWork {
  draft: DraftRow | undefined | null;
  view: PartView | undefined;
  doc: Document | undefined;
  hand: Hand;
  /** As what it is measured, or is being measured. */
  what: What;
  setHand: (h: Hand) => void;
  doing: { what: MeasureStep; fraction: number } | undefined;
  error: unknown;
  measure: (o?: { options?: MeasureOptions; what?: What }) => Promise<void>;
  /** Measures with marks on the move, for the eye alone: nothing is kept. Undefined while the last time still runs. */
  follow: (options: MeasureOptions) => Promise<Document | undefined>;
  cancel: () => void;
  assigned: Assigned[];
  /** What must be asked before all are known; undefined until that is told. */
  placed: Placed | undefined;
  /** Keeps the names as they are. */
  fix: () => void;
  judged: (Judged | undefined)[];
}

const steps: MeasureStep[] = ["decode", "card", "outlines", "edges"];

export function useWork(id: string): InWork {
  const [draft, setDraft] = useState<DraftRow | undefined | null>(undefined);
  const [doing, setDoing] = useState<InWork["doing"]>();
  const [error, setError] = useState<unknown>();
  const [hand, setHandNow] = useState<Hand>({ what: "shop-head", placed: [] });
  const [asWhat, setAsWhat] = useState<What>();
  const abort = useRef<AbortController | undefined>(undefined);
  const view = useLive("state.part", { id: draft?.part ?? "" }).value;
  const row = useRef<DraftRow | undefined>(undefined);

  useEffect(() => {
    void db()
      .then((d) => d.get("drafts", id))
      .then((d) => {
        row.current = d;
        setDraft(d ?? null);
      }, setError);
    return () => abort.current?.abort();
  }, [id]);

  const keep = (change: Partial<DraftRow>): void => {
    if (!row.current) return;
    row.current = { ...row.current, ...change };
    setDraft(row.current);
    void keepDraft(row.current).catch(setError);
  };
  const setHand = (h: Hand): void => {
    setHandNow(h);
    keep({ hand: h });
  };

  const measure: InWork["measure"] = async (o = {}) => {
    if (!row.current || !view?.spec) return;
    const what = o.what ?? hand.what;
    const cal = calibration(view.project, handOf(row.current, what).card);
    const asked = o.options ?? optionsFor(view, what, row.current.options, cal?.id);
    if (!asked) return;
    const options = { ...asked, ...(cal && { calibration: cal.data }) }; // the one that the shot will name
    abort.current?.abort();
    const mine = new AbortController();
    abort.current = mine;
    setError(undefined);
    setDoing({ what: "decode", fraction: 0.05 });
    setAsWhat(what);
    try {
      const now = await measureDraft(eye, row.current, options, {
        signal: mine.signal,
        progress: (s) => setDoing({ what: s, fraction: (steps.indexOf(s) + 0.6) / steps.length }),
      });
      row.current = { ...now.draft, hand: row.current.hand };
      const h: Hand = { ...handOf(row.current, what), what, ...(cal && { card: cal.id }) };
      setDraft(row.current);
      setHand(h);
    } catch (e) {
      if (!mine.signal.aborted) setError(e);
    } finally {
      if (abort.current === mine) {
        setDoing(undefined);
        setAsWhat(undefined);
      }
    }
  };

  const following = useRef(false);
  const follow: InWork["follow"] = async (options) => {
    if (following.current || !row.current || abort.current?.signal.aborted) return undefined;
    following.current = true;
    try {
      return await measureKept(eye, row.current.photo, options);
    } catch {
      return undefined; // the marks where they are dropped will tell
    } finally {
      following.current = false;
    }
  };

  // Opened for the first time: measured without being asked.
  const ready = !!draft && !!view;
  useEffect(() => {
    if (!draft || !view) return;
    const asked = memory.value?.lookAt?.[view.part.id];
    const allowed = view.spec ? choices(view.spec) : [];
    const h = handOf(
      draft,
      asked && allowed.includes(asked) ? asked : (view.spec?.kind ?? "shop-head"),
    );
    setHandNow(h);
    if (!draft.document && view.spec) {
      void measure({ what: h.what });
      // What stands at the one location that was chosen says nothing of the others.
      if (!h.wanted && memory.value?.lookAt?.[view.part.id] !== h.what)
        void remember({ lookAt: { ...memory.value?.lookAt, [view.part.id]: h.what } });
    }
  }, [ready]);

  const doc = draft?.document;
  const [found, setFound] = useState<{ placed: Placed; of: Document; asked: string }>();
  const asks =
    doc && view
      ? placingOf(
          doc,
          hand,
          view.part.id,
          hand.wanted ?? (draft?.location ? [draft.location] : undefined),
        )
      : undefined;
  const asked = JSON.stringify([asks, view?.places.map((p) => p.location.last_id)]);
  useEffect(() => {
    if (!doc || !asks) return;
    let gone = false;
    book.call("placing", asks).then(
      (placed) => {
        if (!gone) setFound({ placed, of: doc, asked });
      },
      (e: unknown) => {
        if (!gone) setError(e);
      },
    );
    return () => {
      gone = true;
    };
  }, [asked]);
  // Measured anew with the same outcome, the same is asked: the answer stands.
  const placed = found && (found.of === doc || found.asked === asked) ? found.placed : undefined;
  const assigned = useMemo(() => (placed && view ? assign(placed, view) : []), [placed, view]);
  const [told, setTold] = useState<{
    judged: (Judged | undefined)[];
    of: Document | undefined;
  }>({ judged: [], of: undefined });
  const key = JSON.stringify([
    doc?.locations.map((l) => l.readings.map((r) => r.value_mm)),
    assigned.map((a) => a.loc),
    hand.placed.map((p) => p.answers),
    view?.part.last_id,
  ]);
  useEffect(() => {
    if (!doc || !view || assigned.length !== doc.locations.length) return;
    let gone = false;
    void Promise.all(
      doc.locations.map(async (l, i) => {
        const place = view.places.find((p) => p.location.id === assigned[i]?.loc);
        const answers = placedAt(hand, l)?.answers ?? [];
        return l.ask
          ? undefined
          : book.call("judge", {
              spec: specFor(place?.spec ?? view.spec!, hand.what),
              readings: plain(l.readings),
              ...(place && {
                location: place.location.id,
                beside: assigned.map((a) => a.loc),
              }),
              ...(answers.length > 0 && { answers }),
            });
      }),
    ).then(
      (judged) => {
        if (!gone) setTold({ judged, of: doc });
      },
      (e: unknown) => {
        if (!gone) setError(e);
      },
    );
    return () => {
      gone = true;
    };
  }, [key, doc]);

  return {
    draft,
    view,
    doc,
    hand,
    what: asWhat ?? hand.what,
    setHand,
    doing,
    error,
    measure,
    follow,
    assigned,
    // A question that was answered is gone at once: the next tap is not for it.
    placed: found?.asked === asked ? placed : undefined,
    fix: () => {
      if (doc && assigned.length > 0) setHand(named(hand, doc, assigned));
    },
    judged: told.of === doc ? told.judged : [],
    cancel: () => {
      abort.current?.abort();
      setDoing(undefined);
      setAsWhat(undefined);
    },
  };
}
