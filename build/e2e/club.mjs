// Draws the invented club of which the tests of the page take copies.
import { drawnClub } from "./program.mjs";

await drawnClub();
