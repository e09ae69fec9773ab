// One way to lay out the page's files, so that nobody has to think of it and a
// change shows only what it changes.
export default {
  printWidth: 140,
  useTabs: false,
  tabWidth: 2,
  plugins: ["prettier-plugin-svelte"],
  overrides: [{ files: "*.svelte", options: { parser: "svelte" } }],
};
