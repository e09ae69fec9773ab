import type { Framing } from "./framing.svelte";

/** Wheel clicks of a mouse make a picture a quarter larger or smaller; a touchpad's pinch comes as small steps with Ctrl. */
const PER_PIXEL = 0.0022;
const PER_PINCH = 0.01;
/** Pixels in a line of wheels that count lines. */
const LINE = 40;
/** A press that moves by less is a click, pixels. */
const CLICK = 3;

/** Zooms a picture with the wheel or two fingers, and moves it with the pointer; for {@attach}. */
export function gestures(framing: Framing): (el: HTMLElement) => () => void {
  return (el) => {
    const at = (e: MouseEvent) => {
      const box = el.getBoundingClientRect();
      return { x: e.clientX - box.left, y: e.clientY - box.top };
    };
    /** Pointers that are down, where each was last. */
    const down = new Map<number, { x: number; y: number }>();
    let moved = 0;

    const wheel = (e: WheelEvent) => {
      e.preventDefault();
      const by = e.deltaMode === WheelEvent.DOM_DELTA_LINE ? LINE * e.deltaY : e.deltaY;
      const { x, y } = at(e);
      framing.zoom(Math.exp(-by * (e.ctrlKey ? PER_PINCH : PER_PIXEL)), x, y);
    };
    const press = (e: PointerEvent) => {
      // A tool takes the first button where it works; the middle one moves the picture always.
      const tool = e.target instanceof Element && e.target.closest("[data-tool]") !== null;
      if (e.pointerType === "mouse" ? e.button !== 1 && (e.button !== 0 || tool || !framing.zoomed) : tool && down.size === 0) return;
      if (e.button === 1) e.preventDefault();
      down.set(e.pointerId, at(e));
      moved = 0;
    };
    const move = (e: PointerEvent) => {
      const before = down.get(e.pointerId);
      if (!before) return;
      const now = at(e);
      moved += Math.hypot(now.x - before.x, now.y - before.y);
      if (moved < CLICK) return;
      if (!el.hasPointerCapture(e.pointerId)) el.setPointerCapture(e.pointerId);
      down.set(e.pointerId, now);
      const other = [...down].find(([id]) => id !== e.pointerId)?.[1];
      if (other) {
        const apart = (p: { x: number; y: number }) => Math.max(10, Math.hypot(p.x - other.x, p.y - other.y));
        framing.zoom(apart(now) / apart(before), (now.x + other.x) / 2, (now.y + other.y) / 2);
        framing.pan((now.x - before.x) / 2, (now.y - before.y) / 2);
      } else framing.pan(now.x - before.x, now.y - before.y);
    };
    const up = (e: PointerEvent) => down.delete(e.pointerId);

    el.addEventListener("wheel", wheel, { passive: false });
    el.addEventListener("pointerdown", press);
    el.addEventListener("pointermove", move);
    el.addEventListener("pointerup", up);
    el.addEventListener("pointercancel", up);
    return () => {
      el.removeEventListener("wheel", wheel);
      el.removeEventListener("pointerdown", press);
      el.removeEventListener("pointermove", move);
      el.removeEventListener("pointerup", up);
      el.removeEventListener("pointercancel", up);
    };
  };
}
