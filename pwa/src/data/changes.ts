// Who must look again: a counter that grows whenever the record or the outbox changed, here or in
// another tab.
import { signal } from "@preact/signals";

/** Grows with every change of the record. */
export const changed = signal(0);
/** Grows with every change of the outbox, the photos or the drafts. */
export const diskChanged = signal(0);

const channel =
  typeof BroadcastChannel === "undefined" ? undefined : new BroadcastChannel("bucktail");
let onOther: () => Promise<void> = async () => undefined;

/** What to do when another tab has written: bring the book up to date. */
export function whenOtherTabWrites(f: () => Promise<void>): void {
  onOther = f;
}

// In Node a channel would keep the process alive.
(channel as { unref?: () => void } | undefined)?.unref?.();

if (channel) {
  channel.onmessage = (): void => {
    void onOther().then(() => {
      changed.value++;
      diskChanged.value++;
    });
  };
}

export function tellChanged(o: { record: boolean }): void {
  if (o.record) changed.value++;
  diskChanged.value++;
  channel?.postMessage("changed");
}
