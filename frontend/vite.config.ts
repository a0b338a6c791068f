import { svelte } from "@sveltejs/vite-plugin-svelte";
import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";

import { drawingCss } from "./build/drawing-css.ts";

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url));

export default defineConfig({
  plugins: [svelte(), drawingCss(here("../src/seatfield/drawing/style.json"))],
  build: {
    outDir: here("../src/seatfield/web/assets"),
    emptyOutDir: true,
    modulePreload: { polyfill: false },
    assetsInlineLimit: 0,
    chunkSizeWarningLimit: 700,
  },
  server: { proxy: { "/api": "http://127.0.0.1:8437", "/live": { target: "ws://127.0.0.1:8437", ws: true } } },
  test: { include: ["src/**/*.test.ts"] },
});
