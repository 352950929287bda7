// What the server sends, by our names; the types themselves are generated from its OpenAPI document.

import type { components } from "./contract";

type All = components["schemas"];

export type Kind = "rig" | "job";
export type Changes = Record<string, string>;
export type About = All["About"];
export type Prepared = All["Prepared"];
export type Folder = All["Folder"];
export type FolderFile = All["Listed"];
export type Field = All["Field"];
export type Sheet = All["Sheet"];
export type Dropped = All["Dropped"];
export type Packed = All["Array"];
export type Line = All["FlowLine"];
export type Stage = All["FlowStage"];
export type Flow = All["FlowDrawing"];
export type Waveforms = All["WaveDrawing"];
export type Finding = All["StageFinding"];
export type Caution = All["Caution"];
export type Measure = All["Measure"];
export type RowSight = All["RowSight"];
export type Frame = All["SectionFrame"];
export type Outline = All["Outline"];
export type Section = All["SectionDrawing"];
export type Drilling = All["DrillingDrawing"];
export type DrillingFrame = All["DrillingFrame"];
export type Margin = All["Margin"];
export type Difference = All["Difference"];
export type Words = All["Words"];
export type FactTable = All["gapwright__app__facts__Table"];
export type Facts = All["Rows"];
export type Ask = Omit<All["Ask"], "ask">;

export type GlanceMessage = All["LiveGlance"];
export type ForecastMessage = All["LiveForecast"];
export type Message =
  | GlanceMessage
  | ForecastMessage
  | All["LivePreparing"]
  | All["LiveDifferences"]
  | All["LiveProgress"]
  | All["LiveRefused"]
  | All["LiveFault"];

export type CaptureListed = All["CaptureListed"];
export type Captures = All["Captures"];
export type Taken = All["Taken"];
export type KeptWords = All["KeptSaid"];
export type Farness = All["Farness"];
export type SaidField = All["SaidField"];
export type SaidForm = All["SaidForm"];
export type CaptureSight = All["CaptureSight"];
export type ReadAnswer = All["ReadAnswer"];
export type ClassTimeline = All["ClassTimeline"];
export type SparkSight = All["SparkSight"];
export type EnergySight = All["EnergySight"];
export type DelaySight = All["DelaySight"];
export type LedgerSight = All["LedgerSight"];
export type Beside = All["Beside"];
export type SetupAnswer = All["SetupAnswer"];
