import { render } from "svelte/server";
import { describe, expect, it, vi } from "vitest";
import PickList from "./PickList.svelte";

const rows = [
  { id: "a", name: "Ana" },
  { id: "b", name: "Ben" },
];

const nameOf = (r: { name: string }): string => r.name;

/** The attributes of the first element with a role. */
function element(html: string, role: string): Record<string, string> {
  const tag = new RegExp(`<[^>]*role="${role}"[^>]*>`).exec(html)?.[0] ?? "";
  return Object.fromEntries<string>([...tag.matchAll(/([\w-]+)="([^"]*)"/g)].map((m): [string, string] => [m[1] ?? "", m[2] ?? ""]));
}

function drawn(value: string, of = rows): string {
  return render(PickList<{ id: string; name: string }>, {
    props: { label: "Player", rows: of, value, text: nameOf, empty: "No players yet.", onpick: vi.fn() },
  }).body;
}

describe("a pick list", () => {
  it("is a combobox that controls its list and names the chosen option", () => {
    const html = drawn("b");
    const [box, list] = [element(html, "combobox"), element(html, "listbox")];
    expect(box).toMatchObject({ "aria-autocomplete": "list", "aria-expanded": "true", "aria-controls": list["id"] });
    const options = [...html.matchAll(/<button[^>]*role="option"[^>]*>/g)].map((m) => element(m[0], "option"));
    expect(options.map((o) => o["aria-selected"])).toEqual(["false", "true"]);
    expect(box["aria-activedescendant"]).toBe(options[1]?.["id"]);
  });

  it("names no option where none is chosen", () => {
    expect(element(drawn(""), "combobox")).not.toHaveProperty("aria-activedescendant");
  });

  it("is not expanded where there is nothing to choose, and says so", () => {
    const html = drawn("", []);
    expect(element(html, "combobox")["aria-expanded"]).toBe("false");
    expect(html).toContain("No players yet.");
  });
});
