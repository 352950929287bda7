import type { Page } from "./page";
import JoulePage from "./JoulePage.svelte";

export default { name: "joule", title: "Follow the joule", order: 1, verdict: true, view: JoulePage } satisfies Page;
