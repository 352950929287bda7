import { svelte } from "@sveltejs/vite-plugin-svelte";
import { defineConfig } from "vite";

// Names without a hash of time or place: the same sources give the same bytes on every machine.
export default defineConfig({
  plugins: [svelte({ compilerOptions: { cssHash: ({ hash, css, name }) => `g${hash(name + css)}` } })],
  base: "/",
  build: {
    outDir: "../src/gapwright/web/static",
    emptyOutDir: true,
    target: "es2024",
    modulePreload: { polyfill: false },
    assetsInlineLimit: 0,
    sourcemap: false,
  },
});
