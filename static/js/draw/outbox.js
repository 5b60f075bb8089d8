/**
 * Sends every event as it is drawn, and keeps it until the server says by id that it is stored.
 * Events stay in memory only: nothing about a patient is written to the browser's storage.
 * An answer counts only if it is JSON with the event's id in `saved` (or in `refused`, with the reason);
 * a login page, a redirect or any other success does not. Resending is harmless by contract.
 * Pure: fetch, timers and the clock are handed in.
 */

/** Most bytes of one request body; well under the server's 256 KB. */
const MOST_BYTES = 150_000;
const MOST_EVENTS = 60;
/** Wait before the next try after 1, 2, ... failures in a row, ms. */
export const BACKOFF = [1000, 2000, 4000, 8000, 15000, 30000];
/** A request that takes longer than this is given up and sent again, ms. */
const PATIENCE = 20000;

/**
 * transport(events, {leaving}) -> Promise<{saved: [ids], refused: [{id, why}]}>, rejecting when not stored.
 * later(call, ms) -> handle; never(handle); clock() -> Date.
 * changed(status): {state: "ready" | "saving" | "saved" | "unsaved", at: Date | null, waiting, why}.
 * refused([{id, why}]): these events will never be stored.
 */
export function createOutbox({ transport, later, never, clock, changed, refused }) {
  let queue = [];
  let sending = false;
  let failures = 0;
  let timer = null;
  let status = { state: "ready", at: null, waiting: 0, why: "" };

  function tell(state, why = "", at = status.at) {
    status = { state, at, waiting: queue.length, why };
    changed(status);
  }

  async function send() {
    if (sending || queue.length === 0) return;
    never(timer);
    sending = true;
    if (failures === 0) tell("saving");
    const batch = firstBatch(queue);
    try {
      settle(batch, await transport(batch, { leaving: false }));
    } catch (error) {
      fail(error.message);
    }
  }

  function settle(batch, reply) {
    const answered = remove(reply);
    sending = false;
    if (answered < batch.length) return fail("unanswered");
    failures = 0;
    if (queue.length === 0) rest(reply.saved.length > 0);
    return send();
  }

  /** Nothing waits. Where all of it was refused, what was saved before is still the last that was. */
  function rest(anySaved) {
    if (anySaved) tell("saved", "", clock());
    else tell(status.at ? "saved" : "ready");
  }

  function remove({ saved, refused: turnedDown }) {
    const waiting = new Set(queue.map((event) => event.id));
    const refusals = turnedDown.filter(({ id }) => waiting.has(id));
    const gone = new Set([...saved, ...refusals.map(({ id }) => id)]);
    const before = queue.length;
    queue = queue.filter((event) => !gone.has(event.id));
    if (refusals.length > 0) refused(refusals);
    return before - queue.length;
  }

  function fail(why) {
    sending = false;
    const wait = BACKOFF[Math.min(failures, BACKOFF.length - 1)];
    failures += 1;
    tell("unsaved", why);
    timer = later(send, wait);
  }

  return {
    add(event) {
      queue = [...queue, event];
      if (failures > 0) tell("unsaved", status.why);
      else send();
    },
    /** Try at once, for instance when the network is back. */
    retry: send,
    /** Last chance as the page goes away; whatever is lost here was shown as not saved. */
    flush() {
      if (queue.length > 0) transport(firstBatch(queue), { leaving: true }).then(remove, () => {});
    },
    waiting: () => queue.length,
    status: () => status,
  };
}

/** The events to send together: in order, within the size of a request, never less than one. */
export function firstBatch(queue, most = MOST_BYTES) {
  let bytes = 0;
  const end = queue.findIndex((event, index) => {
    bytes += JSON.stringify(event).length + 1;
    return index > 0 && (bytes > most || index >= MOST_EVENTS);
  });
  return end === -1 ? queue : queue.slice(0, end);
}

/**
 * The transport over HTTP. Rejects with "signed out", "offline", "too slow" or "not stored".
 * renew() -> Promise of a fresh token, "" when there is none to be had: somebody who signed in again in another
 * window has a session whose token this page does not know yet.
 */
export function overHttp({ url, csrf, fetch, AbortController, later, never, renew = async () => "" }) {
  let token = csrf;

  async function post(events, leaving, signal) {
    return readReply(await fetch(url, request(events, token, leaving, signal)));
  }

  async function postAgain(events, signal, error) {
    const fresh = error.message === "signed out" ? await renew() : "";
    if (!fresh || fresh === token) throw error;
    token = fresh;
    return post(events, false, signal);
  }

  return async function transport(events, { leaving }) {
    const abort = new AbortController();
    const timer = later(() => abort.abort(), PATIENCE);
    try {
      return await post(events, leaving, abort.signal).catch((error) => postAgain(events, abort.signal, error));
    } catch (error) {
      if (error instanceof NotStored) throw error;
      throw new NotStored(abort.signal.aborted ? "too slow" : "offline");
    } finally {
      never(timer);
    }
  };
}

class NotStored extends Error {}

function request(events, csrf, leaving, signal) {
  return {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-CSRFToken": csrf, Accept: "application/json" },
    body: JSON.stringify({ events }),
    credentials: "same-origin",
    redirect: "manual",
    keepalive: leaving,
    signal,
  };
}

async function readReply(response) {
  if ([401, 403].includes(response.status) || response.type === "opaqueredirect") throw new NotStored("signed out");
  const isJson = (response.headers.get("Content-Type") ?? "").includes("application/json");
  if (!response.ok || !isJson) throw new NotStored("not stored");
  const body = await response.json().catch(() => ({}));
  if (!Array.isArray(body.saved)) throw new NotStored("not stored");
  return { saved: body.saved, refused: Array.isArray(body.refused) ? body.refused : [] };
}

/** The token in a board page fetched anew, "" when the server sends elsewhere or refuses. */
export async function tokenOfPage(fetch, address, parse) {
  const answer = await fetch(address, { credentials: "same-origin", redirect: "manual" });
  if (!answer.ok) return "";
  const data = parse(await answer.text());
  return data?.csrf ?? "";
}
