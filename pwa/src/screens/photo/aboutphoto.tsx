// What is said of a measured photo as a whole.
import type { ComponentChildren } from "preact";
import type { Document } from "../../bridge/types";
import { w } from "../../words";
import { cameraTime } from "../dates";
import { sentence } from "../kit/bits";
import type { InWork } from "./usework";
import { WhatChoice } from "./whatchoice";

/** What a gauge study says of this phone with this card, or that there is none: no obstacle. */
function Proven({ p }: { p: Document["proven"] }) {
  if (!p) return null;
  const optics = p.kind === "printed-circles";
  return (
    <p class="note">
      {p.factor > 1 && `${w.result.provenWorse(p.factor.toFixed(2), optics)} `}
      {(!p.study || p.other || optics) && (
        <>
          {optics ? w.result.provenOptics : p.study ? w.result.provenOther : w.result.unproven}{" "}
          <a class="link" href="/prove">
            {w.result.prove}
          </a>
        </>
      )}
    </p>
  );
}

export function AboutPhoto({ k, children }: { k: InWork; children: ComponentChildren }) {
  const doc = k.doc!;
  const sheet = k.view?.project.cards?.find((c) => c.id === k.hand.card)?.sheet;
  return (
    <div class="pad stack">
      <WhatChoice k={k} />
      {doc.warnings.length > 0 && (
        <>
          <h3>{w.result.warnings}</h3>
          <ul>
            {doc.warnings.map((n) => (
              <li class="note">{sentence(n.text)}</li>
            ))}
          </ul>
        </>
      )}
      {doc.problems.map((n) => (
        <p class="note">
          {sentence(n.text)} {sentence(n.do)}
        </p>
      ))}
      {doc.scale && (
        <p class="note">
          {w.result.scaleFrom(
            doc.scale.layout ? w.result.byCard(doc.scale.layout, sheet) : doc.scale.from,
            `${doc.scale.tilt_deg.toFixed(0)}°`,
          )}
        </p>
      )}
      <Proven p={doc.proven} />
      {doc.taken && <p class="note">{w.result.takenAt(cameraTime(doc.taken))}</p>}
      <p class="note">{w.cautionPhoto}</p>
      {children}
    </div>
  );
}
