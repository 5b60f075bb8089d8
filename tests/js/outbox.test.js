import assert from "node:assert/strict";
import { test } from "node:test";
import { BACKOFF, createOutbox, firstBatch, overHttp, tokenOfPage } from "../../static/js/draw/outbox.js";

/** A server that answers when told to, and a clock that stands still. */
function scene() {
  const calls = [];
  const timers = [];
  const states = [];
  const refusals = [];
  const outbox = createOutbox({
    transport: (events, how) => new Promise((resolve, reject) => calls.push({ events, how, resolve, reject })),
    later: (call, ms) => timers.push({ call, ms }),
    never: () => {},
    clock: () => new Date("2026-03-03T14:32:00"),
    changed: (status) => states.push(status.state),
    refused: (list) => refusals.push(...list),
  });
  return { outbox, calls, timers, states, refusals };
}

const settled = () => new Promise((resolve) => setImmediate(resolve));
const event = (id) => ({ type: "stroke", id });
const sentIds = (call) => call.events.map((each) => each.id);

async function save(call) {
  call.resolve({ saved: sentIds(call), refused: [] });
  await settled();
}

async function lose(call, why = "offline") {
  call.reject(new Error(why));
  await settled();
}

test("a stroke is sent as soon as it is drawn, and called saved only when the server names it", async () => {
  const { outbox, calls, states } = scene();
  outbox.add(event("a"));
  assert.deepEqual(sentIds(calls[0]), ["a"]);
  assert.deepEqual(states, ["saving"]);
  await save(calls[0]);
  assert.deepEqual(states, ["saving", "saved"]);
  assert.equal(outbox.status().at.getHours(), 14);
  assert.equal(outbox.waiting(), 0);
});

test("what is drawn meanwhile goes together in the next request, in order", async () => {
  const { outbox, calls, states } = scene();
  ["a", "b", "c"].forEach((id) => outbox.add(event(id)));
  assert.equal(calls.length, 1);
  await save(calls[0]);
  assert.deepEqual(sentIds(calls[1]), ["b", "c"]);
  assert.ok(!states.includes("saved"));
  await save(calls[1]);
  assert.equal(states.at(-1), "saved");
});

test("a failure is shown at once and tried again, later and later", async () => {
  const { outbox, calls, timers, states } = scene();
  outbox.add(event("a"));
  for (const wait of BACKOFF) {
    await lose(calls.at(-1));
    assert.equal(states.at(-1), "unsaved");
    assert.equal(timers.at(-1).ms, wait);
    timers.at(-1).call();
  }
  await lose(calls.at(-1));
  assert.equal(timers.at(-1).ms, BACKOFF.at(-1));
});

test("while nothing gets through, a new stroke waits in line and stays unsaved", async () => {
  const { outbox, calls, timers, states } = scene();
  outbox.add(event("a"));
  await lose(calls[0]);
  outbox.add(event("b"));
  assert.equal(calls.length, 1);
  assert.equal(states.at(-1), "unsaved");
  timers.at(-1).call();
  assert.deepEqual(sentIds(calls[1]), ["a", "b"]);
  await save(calls[1]);
  assert.equal(states.at(-1), "saved");
});

test("a retry by hand does not wait, and does not send twice at the same time", async () => {
  const { outbox, calls } = scene();
  outbox.add(event("a"));
  outbox.retry();
  assert.equal(calls.length, 1);
  await lose(calls[0]);
  outbox.retry();
  assert.equal(calls.length, 2);
});

test("an event the server does not mention stays in line", async () => {
  const { outbox, calls, states } = scene();
  outbox.add(event("a"));
  outbox.add(event("b"));
  await save(calls[0]);
  calls[1].resolve({ saved: [], refused: [] });
  await settled();
  assert.equal(outbox.waiting(), 1);
  assert.equal(states.at(-1), "unsaved");
});

test("a refused event is not sent again, and its reason is told", async () => {
  const { outbox, calls, refusals, states } = scene();
  outbox.add(event("a"));
  calls[0].resolve({ saved: [], refused: [{ id: "a", why: "This visit is signed." }] });
  await settled();
  assert.deepEqual(refusals, [{ id: "a", why: "This visit is signed." }]);
  assert.equal(outbox.waiting(), 0);
  assert.equal(states.at(-1), "ready");
});

test("a refusal does not move the time of what was saved before", async () => {
  const { outbox, calls, states } = scene();
  outbox.add(event("a"));
  await save(calls[0]);
  const before = outbox.status().at;
  outbox.add(event("b"));
  calls[1].resolve({ saved: [], refused: [{ id: "b", why: "This visit is signed." }] });
  await settled();
  assert.equal(states.at(-1), "saved");
  assert.equal(outbox.status().at, before);
});

test("the reason of a failure is passed on", async () => {
  const { outbox, calls } = scene();
  outbox.add(event("a"));
  await lose(calls[0], "signed out");
  assert.equal(outbox.status().why, "signed out");
});

test("as the page goes away the rest is sent once more, in a way that outlives the page", () => {
  const { outbox, calls } = scene();
  outbox.add(event("a"));
  outbox.flush();
  assert.equal(calls[1].how.leaving, true);
  assert.deepEqual(sentIds(calls[1]), ["a"]);
});

test("a request stays within the size of a request, and never starves", () => {
  const big = (id) => ({ id, points: "x".repeat(60_000) });
  assert.deepEqual(firstBatch(["a", "b", "c", "d"].map(big)).map(({ id }) => id), ["a", "b"]);
  assert.equal(firstBatch([{ id: "huge", points: "x".repeat(400_000) }]).length, 1);
  const many = Array.from({ length: 500 }, (_, index) => event(String(index)));
  assert.ok(firstBatch(many).length <= 60);
});

function answer({ status = 200, type = "basic", kind = "application/json", body = {} }) {
  return { status, type, ok: status >= 200 && status < 300, headers: { get: () => kind }, json: async () => body };
}

function http(reply) {
  const asked = [];
  const fetch = async (url, options) => {
    asked.push({ url, options });
    if (reply instanceof Error) throw reply;
    return answer(reply);
  };
  return { asked, transport: overHttp({ url: "/save/", csrf: "token", fetch, AbortController, later: () => 1, never: () => {} }) };
}

test("events are posted as JSON with the token, and redirects are not followed", async () => {
  const { asked, transport } = http({ body: { saved: ["a"], refused: [] } });
  assert.deepEqual(await transport([event("a")], { leaving: false }), { saved: ["a"], refused: [] });
  const { url, options } = asked[0];
  assert.equal(url, "/save/");
  assert.equal(options.headers["X-CSRFToken"], "token");
  assert.equal(options.redirect, "manual");
  assert.deepEqual(JSON.parse(options.body), { events: [event("a")] });
});

test("who signed in again elsewhere goes on with the fresh token, tried once", async () => {
  const tokens = [];
  const fetch = async (url, { headers }) => {
    tokens.push(headers["X-CSRFToken"]);
    return answer(tokens.length === 1 ? { status: 403 } : { body: { saved: ["a"], refused: [] } });
  };
  const http = { url: "/save/", csrf: "old", fetch, AbortController, later: () => 1, never: () => {} };
  const transport = overHttp({ ...http, renew: async () => "fresh" });
  assert.deepEqual((await transport([event("a")], { leaving: false })).saved, ["a"]);
  await transport([event("a")], { leaving: false });
  assert.deepEqual(tokens, ["old", "fresh", "fresh"]);
});

test("without a fresh token, or refused with it too, it is signed out", async () => {
  for (const fresh of ["", "fresh"]) {
    let asked = 0;
    const fetch = async () => { asked += 1; return answer({ status: 403 }); };
    const http = { url: "/save/", csrf: "old", fetch, AbortController, later: () => 1, never: () => {} };
    const transport = overHttp({ ...http, renew: async () => fresh });
    await assert.rejects(transport([event("a")], { leaving: false }), { message: "signed out" });
    assert.equal(asked, fresh ? 2 : 1);
  }
});

test("a token is read from a board page only", async () => {
  const page = (reply) => async () => ({ ok: reply.ok, text: async () => reply.text });
  const parse = (text) => (text === "board" ? { csrf: "fresh" } : null);
  assert.equal(await tokenOfPage(page({ ok: true, text: "board" }), "/board/", parse), "fresh");
  assert.equal(await tokenOfPage(page({ ok: true, text: "sign in" }), "/board/", parse), "");
  assert.equal(await tokenOfPage(page({ ok: false, text: "board" }), "/board/", parse), "");
});

const lost = [
  ["a login page that looks like success", { kind: "text/html; charset=utf-8", body: { saved: ["a"] } }, "not stored"],
  ["a redirect to the login page", { status: 0, type: "opaqueredirect", kind: null }, "signed out"],
  ["a refusal of the person", { status: 403 }, "signed out"],
  ["a server error", { status: 500 }, "not stored"],
  ["JSON without a list of what is saved", { body: { ok: true } }, "not stored"],
  ["no network", new TypeError("Failed to fetch"), "offline"],
];

for (const [what, reply, why] of lost) {
  test(`${what} is not taken for saved`, async () => {
    await assert.rejects(http(reply).transport([event("a")], { leaving: false }), { message: why });
  });
}

test("a request that never ends is given up", async () => {
  const fetch = (url, { signal }) => new Promise((_, reject) => signal.addEventListener("abort", () => reject(new Error("aborted"))));
  const transport = overHttp({ url: "/save/", csrf: "", fetch, AbortController, later: (call) => setImmediate(call), never: () => {} });
  await assert.rejects(transport([event("a")], { leaving: false }), { message: "too slow" });
});
