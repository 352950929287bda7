import type { Page } from "./page";
import HolePage from "./HolePage.svelte";

export default { name: "hole", title: "The hole", order: 2, verdict: true, view: HolePage } satisfies Page;
