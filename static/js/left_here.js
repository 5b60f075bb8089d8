/**
 * On the way in: says how much of a drawing still waits on this device, and tells the server how much it is.
 * Only counts: nothing can be read before somebody has signed in.
 */
import { openStore } from "./draw/keep.js";
import { LEFTOVER } from "./draw/words.js";

const place = document.querySelector("[data-left-here]");
const field = document.querySelector("[data-waiting]");
if (place && window.indexedDB) count().catch(() => {});

async function count() {
  const store = await openStore(window.indexedDB);
  const waiting = (await store.all()).length;
  if (field) field.value = String(waiting);
  place.hidden = waiting === 0;
  place.textContent = waiting === 0 ? "" : LEFTOVER.here(waiting);
}
