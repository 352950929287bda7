import type { Page } from "./page";
import CapturesPage from "./CapturesPage.svelte";

export default { name: "captures", title: "Captures", order: 4, verdict: false, view: CapturesPage } satisfies Page;
