import type { Page } from "./page";
import FactsPage from "./FactsPage.svelte";

export default { name: "facts", title: "Facts", order: 8, verdict: false, view: FactsPage } satisfies Page;
