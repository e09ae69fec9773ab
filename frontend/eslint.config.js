import svelte from "eslint-plugin-svelte";
import ts from "typescript-eslint";

// Few rules, each for a mistake that costs data or an evening: a promise that
// nobody waits for, a value whose type nobody knows.
export default ts.config(
  { ignores: ["dist", "wailsjs", "node_modules"] },
  ...ts.configs.recommendedTypeChecked,
  ...svelte.configs.recommended,
  {
    languageOptions: {
      parserOptions: { projectService: true, extraFileExtensions: [".svelte"], tsconfigRootDir: import.meta.dirname },
    },
    rules: {
      "@typescript-eslint/no-explicit-any": "error",
      "@typescript-eslint/no-floating-promises": "error",
      // Sets and maps that nothing draws from need not be reactive.
      "svelte/prefer-svelte-reactivity": "off",
    },
  },
  {
    files: ["**/*.svelte", "**/*.svelte.ts"],
    languageOptions: { parserOptions: { parser: ts.parser } },
  },
  {
    // The linter does not see the types of component props; svelte-check does.
    files: ["**/*.svelte"],
    rules: Object.fromEntries(
      ["argument", "assignment", "call", "member-access", "return"].map((r) => [`@typescript-eslint/no-unsafe-${r}`, "off"]),
    ),
  },
);
