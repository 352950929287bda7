import type { Page } from "./page";
import FolderPage from "./FolderPage.svelte";

export default { name: "folder", title: "Rigs and jobs", order: 9, verdict: false, view: FolderPage } satisfies Page;
