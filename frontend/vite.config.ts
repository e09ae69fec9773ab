import { svelte } from "@sveltejs/vite-plugin-svelte";
import { defineConfig } from "vitest/config";

// public/.gitkeep is copied into dist, so that the folder that the Go program
// embeds never becomes empty.
export default defineConfig({
  plugins: [svelte()],
  // Relative addresses: the page is served from the window's own scheme.
  base: "./",
  build: { outDir: "dist", emptyOutDir: true, target: "es2022", chunkSizeWarningLimit: 900 },
  server: { port: 5173, strictPort: true },
  test: { environment: "node", include: ["src/**/*.test.ts"] },
});
