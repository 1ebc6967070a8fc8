// What screens are made with: live answers, numbers in the chosen units, pictures by their hash.
import { signal } from "@preact/signals";
import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import { fraction, number, value, withU } from "../bridge/show";
import type { Ask, CallName, Crop, Handbook, Shown, Told } from "../bridge/types";
import { Refused } from "../bridge/client";
import { book } from "../data/book";
import { live, type Live } from "../data/live";
import { changed, diskChanged } from "../data/changes";
import { photo, picture } from "../data/photos";
import { piece } from "../data/pieces";
import { route } from "../router";
import { units } from "./prefs";

export function useLive<K extends CallName>(name: K, ask: Ask<K>): Live<Told<K>> {
  const key = name + JSON.stringify(ask);
  const l = useMemo(() => live(name, ask), [key]);
  useEffect(() => l.stop, [l]);
  const { error } = l.answer.value;
  useEffect(() => {
    const id = route.peek().path[1];
    if (
      error instanceof Refused &&
      error.refusal.code === "not-there" &&
      id &&
      JSON.stringify(ask).includes(id)
    )
      notHere.value = { id, at: changed.peek() };
  }, [error]);
  return l.answer.value;
}

/** What the address names and the record lacks, as far as it had come then. */
export const notHere = signal<{ id: string; at: number } | undefined>(undefined);

/** A length and its U as text, in the chosen units. */
export function shown(mm: number, u = 0): Shown {
  const un = units.value;
  return {
    number: number(un, mm),
    value: value(un, mm),
    with_u: withU(un, mm, u),
    fraction: fraction(mm),
  };
}

let handbookOnce: Promise<Handbook> | undefined;
const handbookNow = signal<Handbook | undefined>(undefined);
export function handbook(): Handbook | undefined {
  handbookOnce ??= book.call("handbook", {}).then((h) => (handbookNow.value = h));
  handbookOnce.catch(() => {
    handbookOnce = undefined;
  });
  return handbookNow.value;
}

/** An object URL of a picture; undefined while it is fetched, null where it can't be had now. */
export function usePicture(
  hash: string | undefined,
  want: "original" | "preview",
): string | null | undefined {
  return useBlob(hash && `${hash} ${want}`, () => picture(hash!, want));
}

/** An object URL of a sharp piece of a photo that is not on this device itself. */
export function usePiece(hash: string | undefined, c: Crop | undefined): string | null | undefined {
  return useBlob(hash && c && `${hash} ${c.x} ${c.y} ${c.w} ${c.h}`, async () =>
    (await photo(hash!))?.original ? undefined : piece(hash!, c!),
  );
}

function useBlob(
  key: string | undefined,
  read: () => Promise<Blob | undefined>,
): string | null | undefined {
  const [url, setUrl] = useState<string | null | undefined>(undefined);
  useEffect(() => {
    let made: string | undefined,
      gone = false,
      busy = false;
    setUrl(undefined);
    if (!key) return;
    const fetch = (): void => {
      if (made || busy) return;
      busy = true;
      void read()
        .catch(() => undefined)
        .then((b) => {
          busy = false;
          if (gone) return;
          made = b && URL.createObjectURL(b);
          setUrl(made ?? null);
        });
    };
    fetch();
    // What could not be had is asked for again when something came.
    const stop = diskChanged.subscribe(fetch);
    return () => {
      gone = true;
      stop();
      if (made) URL.revokeObjectURL(made);
    };
  }, [key]);
  return url;
}

/** The size of an element, px; 0 until it is laid out. */
export function useSize<T extends Element>(): [{ current: T | null }, { w: number; h: number }] {
  const ref = useRef<T>(null);
  const [size, set] = useState({ w: 0, h: 0 });
  useEffect(() => {
    const el = ref.current;
    if (!el) return;
    const o = new ResizeObserver(() => {
      const w = Math.round(el.clientWidth),
        h = Math.round(el.clientHeight);
      set((s) => (s.w === w && s.h === h ? s : { w, h }));
    });
    o.observe(el);
    return () => o.disconnect();
  }, []);
  return [ref, size];
}

/** Whether the window is laid out as on a laptop. */
const wideQuery = matchMedia("(min-width: 900px) and (min-height: 481px)");
export const wide = signal(wideQuery.matches);
wideQuery.addEventListener("change", () => {
  wide.value = wideQuery.matches;
});

export const megabytes = (bytes: number): string =>
  bytes >= 1e9
    ? `${(bytes / 1e9).toFixed(1)} GB`
    : bytes >= 1e6
      ? `${(bytes / 1e6).toFixed(1)} MB`
      : `${Math.ceil(bytes / 1e3)} kB`;
