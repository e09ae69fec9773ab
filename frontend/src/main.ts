// Styles of a part come after those of all, which it may override.
import "./shared/tokens.css";
import "./shared/base.css";
import "@fontsource-variable/atkinson-hyperlegible-mono";
import "@fontsource-variable/atkinson-hyperlegible-next";
import { mount } from "svelte";
import Shell from "./frame/Shell.svelte";

const target = document.getElementById("app");
if (!target) throw new Error("index.html has no #app");

// A file dropped beside its target must not open in place of the page.
for (const name of ["dragover", "drop"]) window.addEventListener(name, (e) => e.preventDefault());

// A click on a button leaves the keys with the bench; fields and Tab still take
// the focus as usual.
window.addEventListener("mousedown", (e) => {
  if (!(e.target instanceof Element)) return;
  const button = e.target.closest("button");
  if (!button) return;
  e.preventDefault();
  const active = document.activeElement;
  if (active instanceof HTMLElement && !active.contains(button) && active.closest("form, dialog") !== button.closest("form, dialog"))
    active.blur();
  else if (active instanceof HTMLButtonElement && active !== button) active.blur();
});

export default mount(Shell, { target });
