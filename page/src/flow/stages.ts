// Which values belong beneath which stage of the flow. The files say a stage for each value;
// what names none stands with the stage that it serves.

import type { Field, Flow } from "../server/shapes";

/** Stages that the page shows: the socket only hands over. */
export function shownStages(flow: Flow): Flow {
  return { ...flow, stages: flow.stages.filter((stage) => stage.stage !== "socket") };
}

/** Stages of values shown with a stage: those without one of their own stand with the last. */
export function stagesOf(stage: string, flow: Flow, fields: Field[]): string[] {
  if (stage !== flow.stages.at(-1)?.stage) return [stage];
  const known = new Set([...flow.stages.map((one) => one.stage), "auxiliaries", ""]);
  return [stage, ...new Set(fields.map((field) => field.stage).filter((one) => !known.has(one)))];
}
