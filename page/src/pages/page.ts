// A page of the bench. Adding one is adding one file here: NAME.page.ts with such a record as its default.

import type { Component } from "svelte";

export interface Page {
  name: string; // in the address: #/name
  title: string; // in the list of pages
  order: number;
  verdict: boolean; // whether the first line stands above it
  view: Component;
}

const found = import.meta.glob<{ default: Page }>("./*.page.ts", { eager: true });

export const pages: Page[] = Object.values(found)
  .map((file) => file.default)
  .sort((a, b) => a.order - b.order);
