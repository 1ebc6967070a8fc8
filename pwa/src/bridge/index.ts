export { Bridge, Crashed, Refused, warmUp, type CallOptions } from "./client";
export * from "./types";
