// How a part's sign-off stands to what is there now, in words.
import type { Part, SignOffStatus } from "../bridge/types";
import { w } from "../words";
import { dayLong } from "./dates";

/** How a part's latest sign-off stands to what is there now; nothing before that is worked out. */
export function signStands(
  part: Part,
  signs: Record<string, SignOffStatus> | undefined,
): { text: string; bad: string } | undefined {
  const last = part.sign_offs?.at(-1),
    bad = last && signTrouble(last, signs?.[last.entry]);
  return bad === undefined
    ? undefined
    : { text: w.sign.signedBy(last!.name, dayLong(last!.at)), bad };
}

/** What is wrong with a sign-off, in words; empty where nothing is, and not there while nobody knows. */
export function signTrouble(s: { at: string }, st: SignOffStatus | undefined): string | undefined {
  return (
    st &&
    (st.altered
      ? w.sign.altered
      : st.missing?.length
        ? w.sign.missing(st.missing.length)
        : st.against?.length
          ? w.sign.against(st.against.length)
          : st.since?.length
            ? w.sign.outdated(st.since.length, dayLong(s.at))
            : "")
  );
}
