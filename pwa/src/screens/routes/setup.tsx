// What is done once: pairing, the sample, cards.
import type { JSX } from "preact";
import { CardNew, CardsScreen } from "../other/cards";
import { PairScreen } from "../other/pair";
import { SampleScreen } from "../other/sample";

export function setup([a = "", b = ""]: string[]): JSX.Element | undefined {
  switch (a) {
    case "pair":
      return <PairScreen />;
    case "sample":
      return <SampleScreen leave={b === "leave"} />;
    case "cards":
      return b === "new" ? <CardNew /> : <CardsScreen />;
  }
  return undefined;
}
