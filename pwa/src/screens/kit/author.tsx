// Who stands beside each entry: a person, asked for once on each device, where something is measured.
import type { ComponentChildren } from "preact";
import { useEffect, useState } from "preact/hooks";
import { isSample, setSetting, setting } from "../../data/db";
import { w } from "../../words";
import { Field } from "./bits";

export interface Author {
  /** The question, where it was not answered yet. */
  ask: ComponentChildren;
  /** Why nothing can be saved yet. */
  why: string | undefined;
  keep: () => Promise<void>;
}

export function useAuthor(): Author {
  const [known, setKnown] = useState(true),
    [name, setName] = useState("");
  useEffect(() => {
    void setting("by").then((by) => setKnown(!!by || isSample()));
  }, []);
  return {
    ask: !known && (
      <Field
        label={w.settings.by}
        hint={w.settings.byOnce}
        value={name}
        auto="name"
        set={setName}
      />
    ),
    why: known || name.trim() ? undefined : w.settings.byNeed,
    keep: async () => {
      if (!known) await setSetting("by", name.trim());
    },
  };
}
