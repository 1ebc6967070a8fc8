// Texts as they stand alone: with a capital, and with a full stop.
export const upper = (s: string): string => s.charAt(0).toUpperCase() + s.slice(1);
export const sentence = (s: string): string => (s ? upper(s) + (/[.?:]$/.test(s) ? "" : ".") : "");
