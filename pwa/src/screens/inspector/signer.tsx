// Who decides and signs here, as it stands in decisions and sign-offs.
import type { OnPaper } from "../../bridge/types";
import { w } from "../../words";
import { dayLong } from "../dates";
import { Icon } from "../kit/shapes";
import { memory, type Inspector, type PaperPage } from "../prefs";
import { useRole } from "../role";

export const same = (a: Inspector, b: Inspector): boolean =>
  a.name === b.name && a.number === b.number;
export const whoText = (i: Inspector): string => (i.number ? `${i.name}, ${i.number}` : i.name);

/** Who decides now, and what stands in each entry of it. */
export interface Signer {
  who: Inspector | undefined;
  page: PaperPage | undefined;
  why: string | undefined;
  data: { name: string; number?: string; on_paper?: OnPaper };
}

export function useSigner(): Signer {
  const builder = useRole() !== "inspector",
    m = memory.value,
    who = m?.inspector;
  // A page is one inspector's: with another name it is another page.
  const page = builder && who && m?.page && same(m.page, who) ? m.page : undefined;
  return {
    who,
    page,
    why: !who ? w.inspect.needName : builder && !page ? w.inspect.needPaper : undefined,
    data: {
      name: who?.name ?? "",
      ...(who?.number && { number: who.number }),
      ...(page && {
        on_paper: {
          photo: page.photo,
          ...(page.date && { date: page.date }),
          ...(page.no && { page: page.no }),
        },
      }),
    },
  };
}

/** Who decides, and the page; the way to change it. */
export function SignerLine({ s }: { s: Signer }) {
  if (!s.who) return null;
  return (
    <a class="row" href="/inspect/who">
      <Icon i="sign" />
      <span class="what">
        {whoText(s.who)}
        {s.page && (
          <small>
            {w.inspect.paper}, {w.inspect.pageOf(s.page.date && dayLong(s.page.date), s.page.no)}
          </small>
        )}
      </span>
      <span class="link">{w.inspect.change}</span>
    </a>
  );
}
