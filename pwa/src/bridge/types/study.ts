// A gauge study of a phone: what was read of objects of known size, and what that comes to.

import type { Reading } from "./judging";
import type { Kind, Point, Refusal } from "./vocabulary";

/** What a photo was taken and read with, as far as a gauge study goes. */
export interface Setup {
  device: string;
  camera?: string;
  sheet?: string;
  layout?: string;
  kind: Kind | "printed-circles";
}
/** What a gauge study came to, as far as readings need it. */
export interface Proof extends Setup {
  study: string;
  light?: string;
  /** The project in which it was made, where that is another one. */
  elsewhere?: string;
  factor: number;
}
export interface GaugePhoto {
  camera: string;
  layout: string;
  /** Of printed circles, by how much the print is larger than its page. */
  stretch?: number;
  spots: {
    x_mm: number;
    y_mm: number;
    readings: Reading[] | null;
    /** Of a printed circle: on the page, and as read. */
    printed_mm?: number;
    value_mm?: number;
    U_mm?: number;
  }[];
}
/** The printed circles on a photo. */
export interface CirclesSeen extends GaugePhoto {
  width: number;
  height: number;
  method: string;
  rings_px: Point[][];
}
export interface GaugeObject {
  name: string;
  reference_mm: number;
  U_mm: number;
  /** By each photo; 0: not read. */
  read_mm: number[];
  read_U_mm: number[];
}
export interface GaugeResult {
  verdict: "holds" | "worse" | "too few";
  why: string;
  factor: number;
  objects: number;
  photos: number;
  outside: number;
  bias_mm: number;
  bias_U_mm: number;
  repeat_mm: number;
  objects_mm: number;
  mean_U_mm: number;
  errors_mm: number[];
  notes?: string[];
}
export interface StudyData extends Setup {
  size: string;
  light?: string;
  calibration?: string;
  instrument: string;
  objects: GaugeObject[];
  result: GaugeResult;
  method: string;
  photos: string[];
}

declare module "./calls" {
  interface Calls {
    /** The objects of a gauge study on each of its photos: spots of the base photo, and what was read. */
    "study.match": [
      GaugePhoto[],
      { base: number; spots: number[]; objects: GaugeObject[]; few?: Refusal },
    ];
    study: [{ objects: GaugeObject[] }, GaugeResult];
  }
}
