// What is done once: pairing, the sample, cards.
import type { JSX } from "preact";
import { CardNew } from "../cards/cardnew";
import { CardsScreen } from "../cards/cards";
import { SampleScreen } from "../start/sample";
import { PairScreen } from "../workshop/pair";

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
