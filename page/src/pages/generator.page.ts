import GeneratorPage from "../generator/GeneratorPage.svelte";
import type { Page } from "./page";

export default { name: "generator", title: "Generator", order: 2, verdict: false, view: GeneratorPage } satisfies Page;
