/**
 * The page shown when the server can't be reached: tries again by itself, and says how much waits on this device.
 * Only counts: what waits can't be read without the server.
 */
import { openStore } from "./draw/keep.js";
import { OFFLINE } from "./draw/words.js";

const AGAIN_MS = 4000;
const find = (name) => document.querySelector(`[data-${name}]`);

/** Any answer, even a refusal, says that the server is there again. */
async function tryAgain() {
  find("trying").textContent = OFFLINE.trying;
  try {
    await fetch("/healthz", { cache: "no-store" });
  } catch {
    find("trying").textContent = OFFLINE.again;
    return;
  }
  const here = window.location.pathname;
  window.location.replace(here.startsWith("/board/") && here !== "/board/offline/" ? here : "/board/on/");
}

async function tellKept() {
  const waiting = (await (await openStore(window.indexedDB)).all()).length;
  find("kept").textContent = waiting > 0 ? OFFLINE.kept(waiting) : OFFLINE.nothing;
}

if (window.indexedDB) tellKept().catch(() => {});
find("try").addEventListener("click", tryAgain);
window.addEventListener("online", tryAgain);
setInterval(tryAgain, AGAIN_MS);
