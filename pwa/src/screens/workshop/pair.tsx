// Pairing by typing the code: scanning it opens the laptop's own page, which comes back here.
import { useEffect, useState } from "preact/hooks";
import { isSample, setSetting, useSample } from "../../data/db";
import { go } from "../../router";
import { OutOfReach } from "../../sync/api";
import { pair } from "../../sync/join";
import { sync } from "../../sync/sync";
import { w } from "../../words";
import { Field, Steps, Trouble } from "../kit/bits";
import { say } from "../kit/say";
import { Act, Sheet } from "../kit/sheet";

export function PairScreen() {
  const p = w.pair;
  const [code, setCode] = useState(""),
    [name, setName] = useState<string>(p.nameUsual),
    [you, setYou] = useState(""),
    [busy, setBusy] = useState(false),
    [e, setE] = useState<unknown>();
  // Whoever joins leaves the sample: this device's own record is opened for it.
  useEffect(() => {
    if (!isSample()) return;
    useSample(false);
    location.reload();
  }, []);
  const run = async (): Promise<void> => {
    setBusy(true);
    setE(undefined);
    try {
      if (you.trim()) await setSetting("by", you.trim());
      const me = await pair(code.trim(), name.trim() || p.nameUsual);
      say(p.done(me.name));
      void sync();
      go(me.role === "inspector" ? "/inspect" : "/start", { replace: true });
    } catch (x) {
      setE(x);
    } finally {
      setBusy(false);
    }
  };
  return (
    <Sheet
      title={p.title}
      facts={p.facts}
      back="/start"
      as="column"
      doing={busy ? { what: p.working, fraction: 0.5 } : undefined}
      strip={
        <Act go why={code.trim() ? undefined : p.needCode} act={() => void run()}>
          {p.go}
        </Act>
      }
    >
      <Steps of={p.steps} />
      <div class="pad stack">
        <h2>{p.typed}</h2>
        {e instanceof OutOfReach ? (
          <div class="said bad" role="alert">
            {p.noReach}
          </div>
        ) : (
          <Trouble e={e} />
        )}
        <Field label={p.code} hint={p.codeHint} value={code} set={setCode} />
        <Field label={p.name} value={name} set={setName} />
        <Field
          label={w.settings.by}
          hint={w.settings.byHint}
          value={you}
          auto="name"
          set={setYou}
        />
        <p class="note">{p.offline}</p>
      </div>
    </Sheet>
  );
}
