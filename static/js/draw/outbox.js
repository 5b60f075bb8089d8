/**
 * Sends every event as it is drawn, and keeps it until the server says by id that it is stored.
 * Where there is a place on the device (keep.js), an event waits there too, encrypted, until then.
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
 * transport(events, {leaving, waiting}) -> Promise<{saved: [ids], refused: [{id, why}]}>, rejecting when not stored;
 *   waiting: how many events the device holds, these included.
 * later(call, ms) -> handle; never(handle); clock() -> Date.
 * changed(status): {state: "ready" | "saving" | "saved" | "kept" | "unsaved", at: Date | null, waiting, why};
 *   kept: not sent, but every event is on the device for good; unsaved: some are in memory only.
 * refused([{id, why}]): these events will never be stored.
 * keep: {put(event), remove(ids)} -> promises, or null; left: events that an earlier page left there.
 */
export function createOutbox({ transport, later, never, clock, changed, refused, keep = null, left = [] }) {
  let queue = [...left];
  const kept = new Set(left.map(({ id }) => id));
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
      settle(batch, await transport(batch, { leaving: false, waiting: queue.length }));
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
    forgetKept([...gone]);
    if (refusals.length > 0) refused(refusals);
    return before - queue.length;
  }

  /** Wiped from the device; one that could not be is sent once more later, which is harmless. */
  function forgetKept(ids) {
    if (!keep || ids.length === 0) return;
    for (const id of ids) kept.delete(id);
    keep.remove(ids).catch(() => {});
  }

  async function keepOnDevice(event) {
    if (!keep) return;
    try {
      await keep.put(event);
    } catch {
      return;
    }
    if (!queue.includes(event)) return forgetKept([event.id]);
    kept.add(event.id);
    if (failures > 0) tellWaiting();
  }

  const onlyHere = () => queue.filter(({ id }) => !kept.has(id)).length;

  function tellWaiting(why = status.why) {
    tell(onlyHere() > 0 ? "unsaved" : "kept", why);
  }

  function fail(why) {
    sending = false;
    const wait = BACKOFF[Math.min(failures, BACKOFF.length - 1)];
    failures += 1;
    tellWaiting(why);
    timer = later(send, wait);
  }

  if (queue.length > 0) later(send, 0);

  return {
    add(event) {
      queue = [...queue, event];
      keepOnDevice(event);
      if (failures > 0) tellWaiting();
      else send();
    },
    /** Try at once, for instance when the network is back. */
    retry: send,
    /** Last chance as the page goes away; whatever is lost here was shown as not saved. */
    flush() {
      if (queue.length > 0) transport(firstBatch(queue), { leaving: true, waiting: queue.length }).then(remove, () => {});
    },
    waiting: () => queue.length,
    /** How many events would be gone with this page. */
    onlyHere,
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

  async function post(events, how, signal) {
    return readReply(await fetch(url, request(events, token, how, signal)));
  }

  async function postAgain(events, how, signal, error) {
    const fresh = error.message === "signed out" ? await renew() : "";
    if (!fresh || fresh === token) throw error;
    token = fresh;
    return post(events, how, signal);
  }

  return async function transport(events, how) {
    const abort = new AbortController();
    const timer = later(() => abort.abort(), PATIENCE);
    try {
      return await post(events, how, abort.signal).catch((error) => postAgain(events, how, abort.signal, error));
    } catch (error) {
      if (error instanceof NotStored) throw error;
      throw new NotStored(abort.signal.aborted ? "too slow" : "offline");
    } finally {
      never(timer);
    }
  };
}

class NotStored extends Error {}

function request(events, csrf, { leaving, waiting }, signal) {
  return {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-CSRFToken": csrf, Accept: "application/json" },
    body: JSON.stringify({ events, waiting }),
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
