/**
 * On the staff's pages: what a board could not send before it was closed still waits on this device. It is opened with
 * the key that the server makes again for staff, sent, wiped once acknowledged, and what became of it is said in
 * [data-leftover]. Nothing of the page waits for this.
 */
import { importKey, openStore, opened } from "./draw/keep.js";
import { firstBatch } from "./draw/outbox.js";
import { LEFTOVER } from "./draw/words.js";

const place = document.querySelector("[data-leftover]");
if (place && window.indexedDB && window.crypto?.subtle) look().catch(() => {});

async function look() {
  const store = await openStore(window.indexedDB);
  const entries = await store.all();
  const results = [];
  for (const waiting of byHolder(entries)) results.push(await sendOne(store, waiting));
  const words = results.flatMap(wordsOf);
  place.replaceChildren(...words.map(paragraph));
  place.hidden = words.length === 0;
}

function byHolder(entries) {
  const holders = [...new Set(entries.map(({ holder }) => holder))];
  return holders.map((holder) => entries.filter((entry) => entry.holder === holder));
}

/** What became of the entries of one board: {sent, refused: [why], left}. */
async function sendOne(store, entries) {
  const outcome = { sent: 0, refused: [], left: entries.length };
  const [{ key_url, save_url }] = entries;
  try {
    const { key } = await asJson(await fetch(key_url, { credentials: "same-origin", redirect: "manual", headers: { Accept: "application/json" } }));
    let queue = await opened(window.crypto, await importKey(window.crypto, key), entries);
    while (queue.length > 0) {
      const gone = await sendBatch(save_url, queue, outcome);
      if (gone.size === 0) break;
      await store.remove([...gone]);
      queue = queue.filter(({ id }) => !gone.has(id));
    }
  } catch {
    // No connection, or not this practice's: it stays where it is, and the next page tries again.
  }
  return outcome;
}

async function sendBatch(url, queue, outcome) {
  const batch = firstBatch(queue);
  const answer = await fetch(url, {
    method: "POST",
    credentials: "same-origin",
    redirect: "manual",
    headers: { "Content-Type": "application/json", Accept: "application/json", ...JSON.parse(document.body.getAttribute("hx-headers") ?? "{}") },
    body: JSON.stringify({ events: batch, waiting: queue.length }),
  });
  const { saved, refused } = await asJson(answer);
  const mine = new Set(batch.map(({ id }) => id));
  const turnedDown = refused.filter(({ id }) => mine.has(id));
  const gone = new Set([...saved.filter((id) => mine.has(id)), ...turnedDown.map(({ id }) => id)]);
  outcome.sent += saved.length;
  outcome.refused.push(...turnedDown.map(({ why }) => why));
  outcome.left -= gone.size;
  return gone;
}

async function asJson(answer) {
  const isJson = (answer.headers.get("Content-Type") ?? "").includes("application/json");
  if (!answer.ok || !isJson) throw new Error("not answered");
  return answer.json();
}

function wordsOf({ sent, refused, left }) {
  return [
    ...(sent > 0 ? [["info", LEFTOVER.sent(sent)]] : []),
    ...(refused.length > 0 ? [["danger", LEFTOVER.refused(refused)]] : []),
    ...(left > 0 ? [["warn", LEFTOVER.left(left)]] : []),
  ];
}

function paragraph([tone, words]) {
  const element = document.createElement("p");
  element.className = `notice ${tone}`;
  element.textContent = words;
  return element;
}
