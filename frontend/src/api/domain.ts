// The words of the club as the program sends them, and the choices that a coach has
// among them. Frames count from 0; seconds are clip time.
import type { Ball, Hand, Measure, Method, Phase, Placement, Sides } from "./types";

export type * from "./types";

export const METHODS: readonly Method[] = ["regular", "irregular", "free"];
export const SIDES: readonly Sides[] = ["forehand", "backhand", "both"];
export const PLACEMENTS: readonly Placement[] = ["diagonal", "parallel", "free"];
export const BALLS: readonly Ball[] = ["passive block", "active block", "multiball", "open rally"];
export const PHASES: readonly Phase[] = ["ready", "footwork", "backswing", "contact", "follow-through", "recovery"];
export const MEASURES: readonly Measure[] = ["feet", "elbow", "hand", "ready"];
export const FAULT_MEASURES: readonly Measure[] = ["feet", "elbow", "hand"];
export const HANDS: readonly Hand[] = ["right", "left"];
