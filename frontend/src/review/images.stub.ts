// Stand-ins for the page's elements, where tests have no page.
import { vi } from "vitest";

/** Images of 64 × 36 that are decoded once `arrive` answers for their address. */
export function stubImages(arrive: (address: string) => Promise<unknown> = () => Promise.resolve()): void {
  vi.stubGlobal("devicePixelRatio", 1);
  vi.stubGlobal(
    "ResizeObserver",
    class {
      observe() {}
      disconnect() {}
    },
  );
  vi.stubGlobal(
    "Image",
    class {
      src = "";
      naturalWidth = 64;
      naturalHeight = 36;
      parentElement: unknown = null;
      style: Record<string, string> = {};
      removeAttribute() {
        this.src = "";
      }
      async decode() {
        const address = this.src;
        await arrive(address);
        if (this.src !== address) await new Promise(() => {}); // as WebKit: it never answers
      }
    },
  );
}

/** A box of the page, 640 × 360, that knows what was put into it. */
export function stubBox(): HTMLElement & { children: HTMLImageElement[] } {
  const children: HTMLImageElement[] = [];
  return {
    children,
    getBoundingClientRect: () => ({ x: 0, y: 0, width: 640, height: 360 }),
    append: (e: HTMLImageElement) => children.push(e),
    replaceChildren: (...list: HTMLImageElement[]) => children.splice(0, children.length, ...list),
  } as unknown as HTMLElement & { children: HTMLImageElement[] };
}
