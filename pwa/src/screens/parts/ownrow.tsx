// One limit of the drawing's own, as it is typed.
import type { Kind } from "../../bridge/types";
import { w } from "../../words";
import { Field, Select } from "../kit/bits";
import { notDecimal } from "../kit/decimal";
import type { RowDraft } from "./ownlimits";

export function OwnRow({
  r,
  kind,
  put,
  remove,
}: {
  r: RowDraft;
  kind: Kind | undefined;
  put: (c: Partial<RowDraft>) => void;
  remove: () => void;
}) {
  return (
    <div class="stack">
      <div class="two">
        <Select
          label={w.limitsScreen.quantity}
          value={r.quantity}
          set={(quantity) => put({ quantity })}
          of={Object.entries(w.limitsScreen.quantities)
            .filter(([value]) => applies(value, kind))
            .map(([value, text]) => ({ value, text }))}
        />
        <Select<RowDraft["unit"]>
          label={w.limitsScreen.unit}
          value={r.unit}
          set={(unit) => put({ unit })}
          of={[
            { value: "mm", text: "mm" },
            { value: "in", text: "in" },
            { value: "d", text: "D" },
          ]}
        />
      </div>
      <div class="two">
        <Field
          label={w.limitsScreen.least}
          mode="decimal"
          value={r.least}
          set={(least) => put({ least })}
          wrong={notDecimal(r.least)}
        />
        <Field
          label={w.limitsScreen.greatest}
          mode="decimal"
          value={r.greatest}
          set={(greatest) => put({ greatest })}
          wrong={notDecimal(r.greatest)}
        />
        <Field label={w.limitsScreen.note} value={r.reference} set={(x) => put({ reference: x })} />
      </div>
      <div class="two">
        <Field
          label={w.limitsScreen.rowEdition}
          value={r.edition}
          set={(edition) => put({ edition })}
        />
        <Field label={w.limitsScreen.rowPage} value={r.page} set={(page) => put({ page })} />
      </div>
      <button class="link" type="button" onClick={remove}>
        {w.limitsScreen.remove}
      </button>
    </div>
  );
}

/** A plain hole has no head, a flush head no height, and only a pulled rivet a mandrel. */
const applies = (quantity: string, kind: string | undefined): boolean =>
  quantity === "mandrel_off"
    ? kind === "pulled-head"
    : quantity === "head_height"
      ? kind !== "hole" && kind !== "flush-head"
      : quantity !== "head_d" || kind !== "hole";
