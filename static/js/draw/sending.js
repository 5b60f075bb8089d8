/**
 * How a page of the board sends: the outbox over HTTP, with what is not acknowledged kept on the device.
 * Touches the browser: fetch, storage, events of the window.
 */
import { openKeep } from "./keep.js";
import { createOutbox, overHttp, tokenOfPage } from "./outbox.js";

const later = (call, ms) => setTimeout(call, ms);
const never = (handle) => clearTimeout(handle);

/** What an earlier page of this board left on the device: {keep, left: [events]}. */
export async function openDevice(data) {
  const keep = await openKeep({ indexedDB: window.indexedDB, crypto: window.crypto, device: data.device, later });
  const left = keep ? await keep.all().catch(() => []) : [];
  return { keep, left };
}

/**
 * The outbox of a page. dataIn(text of the page) -> its JSON, for a token renewed by signing in again elsewhere.
 * What was left on the device is sent first.
 */
export function startSending(data, { keep, left }, { dataIn, changed, refused }) {
  const fetchOnly = window.fetch.bind(window);
  const outbox = createOutbox({
    transport: overHttp({
      url: data.urls.save,
      csrf: data.csrf,
      fetch: fetchOnly,
      AbortController,
      later,
      never,
      renew: () => tokenOfPage(fetchOnly, window.location.href, dataIn),
    }),
    later,
    never,
    clock: () => new Date(),
    changed,
    refused,
    keep,
    left,
  });
  window.addEventListener("online", outbox.retry);
  window.addEventListener("pagehide", outbox.flush);
  // What is kept on the device outlives the page: only what is nowhere else is worth a warning.
  window.addEventListener("beforeunload", (event) => {
    if (outbox.onlyHere() > 0) event.preventDefault();
  });
  return outbox;
}

/** A plain page for when the server cannot be reached. Only over a connection the browser trusts. */
export function answerWithoutConnection() {
  if (!window.isSecureContext || !("serviceWorker" in navigator)) return;
  navigator.serviceWorker.register("/board/worker.js", { scope: "/board/" }).catch(() => {});
}
