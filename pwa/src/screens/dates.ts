// Days and times as people read them: with their year, and a zone where devices differ.

const dayFormat = new Intl.DateTimeFormat("en-GB", {
  day: "numeric",
  month: "short",
  year: "numeric",
});
const timeFormat = new Intl.DateTimeFormat("en-GB", {
  day: "numeric",
  month: "short",
  year: "numeric",
  hour: "2-digit",
  minute: "2-digit",
});
const longDay = new Intl.DateTimeFormat("en-GB", {
  day: "numeric",
  month: "long",
  year: "numeric",
});
export const day = (at: string | number): string => dayFormat.format(new Date(at));
export const dayLong = (at: string | number): string => longDay.format(new Date(at));
/** As a camera wrote it: its own clock, without a zone. */
export const cameraTime = (taken: string): string => {
  const at = new Date(taken.replace(/^(\d{4}):(\d\d):(\d\d) /, "$1-$2-$3T"));
  return Number.isNaN(at.getTime()) ? taken : timeFormat.format(at);
};
/** With this device's zone where what was written elsewhere stands in another one. */
export const time = (at: string | number): string => {
  const d = new Date(at),
    here = -d.getTimezoneOffset();
  const [, sign, h, m] = /([+-])(\d\d):(\d\d)$/.exec(String(at)) ?? [];
  const there = sign ? (sign === "-" ? -1 : 1) * (60 * Number(h) + Number(m)) : 0;
  return timeFormat.format(d) + (typeof at === "string" && there !== here ? ` ${zone(here)}` : "");
};

const zone = (minutes: number): string => {
  const a = Math.abs(minutes),
    rest = a % 60;
  return `UTC${minutes < 0 ? "−" : "+"}${Math.floor(a / 60)}${rest ? `:${String(rest).padStart(2, "0")}` : ""}`;
};
