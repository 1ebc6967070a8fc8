// The Go side's JSON, by hand: one interface for each Go type, members spelled as there. Lengths
// are millimetres, places in a photo are [u, v] in upright pixels with (0, 0) the centre of the
// first one. The unit tests hold these against testdata/wire and a measured document.
export * from "./bench";
export * from "./calls";
export * from "./document";
export * from "./drawing";
export * from "./entries";
export * from "./entrydata";
export * from "./handbook";
export * from "./judging";
export * from "./measuring";
export * from "./placing";
export * from "./rework";
export * from "./show";
export * from "./state";
export * from "./study";
export * from "./view";
export * from "./vocabulary";
