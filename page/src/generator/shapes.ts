// What the server sends about generators, by our names; the types are generated from its OpenAPI document.

import type { components } from "../server/contract";

type All = components["schemas"];

export type Generator = All["Generator"];
export type View = All["GeneratorView"];
export type SceneView = All["SceneView"];
export type PartLoad = All["PartLoad"];
export type Found = All["Finding"];
export type Traces = All["TracesDrawing"];
export type WishField = All["WishField"];
export type Fault = All["WishFault"];
export type Sized = All["Sized"];
export type Candidate = All["Verified"];
export type Swept = All["Swept"];
export type Curve = All["SweepCurve"];
export type Chosen = All["Chosen"];
export type Axis = All["AxisCall"];
export type WorkMessage = All["WorkProgress"] | All["WorkDone"] | All["WorkRefused"] | All["WorkFault"];
export type Scene = "start-up" | "spark" | "short" | "standing-arc";
