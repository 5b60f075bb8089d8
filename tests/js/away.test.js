import assert from "node:assert/strict";
import test from "node:test";

import { createClock, holdsWords, inWords, readLeft } from "../../static/js/away.js";

const MINUTE = 60_000;

/** A page whose time passes by hand, and a server that keeps the clock: `idle` seconds from the last sign of life. */
function page({ idle = 900, atAll = 43_200 } = {}) {
  let time = 0;
  let seen = 0;
  const told = { asked: 0, stayed: 0, shown: [], left: 0 };
  const server = { isThere: true, isOver: false };
  const clock = createClock({
    left: Math.min(idle, atAll), atAll, now: () => time,
    async ask(isPost) {
      if (!server.isThere) return null;
      told[isPost ? "stayed" : "asked"] += 1;
      if (isPost) seen = time;
      const atEnd = atAll - time / 1000;
      const left = server.isOver ? 0 : Math.min(idle - (time - seen) / 1000, atEnd);
      return left > 0 ? { left, at_all: atEnd } : { left: 0 };
    },
    show: (state) => told.shown.push(state),
    leave: () => { told.left += 1; },
  });
  return {
    clock, told, server,
    elsewhere() { seen = time; },
    async pass(ms) {
      for (const end = time + ms; time < end;) {
        time += 1000;
        await clock.look();
      }
    },
    get shown() { return told.shown.at(-1) ?? ""; },
  };
}

test("it warns two minutes before the end, not earlier, and leaves at the end", async () => {
  const { pass, told, ...at } = page();
  await pass(13 * MINUTE - 1000);
  assert.deepEqual(told.shown, []);
  await pass(1000);
  assert.equal(told.shown.at(-1), "warn");
  await pass(2 * MINUTE - 1000);
  assert.equal(told.left, 0);
  await pass(1000);
  assert.equal(told.left, 1);
  assert.equal(told.shown.at(-1), "over");
  assert.ok(at.clock.isOver);
});

test("going on takes a word to the server, and the clock begins anew", async () => {
  const { pass, told, clock } = page();
  await pass(14 * MINUTE);
  await clock.stay();
  assert.equal(told.stayed, 1);
  assert.equal(told.shown.at(-1), "");
  await pass(12 * MINUTE);
  assert.equal(told.shown.at(-1), "");
  await pass(4 * MINUTE);
  assert.equal(told.left, 1);
});

test("keys and taps are a sign of life, told once a minute at most", async () => {
  const { pass, told, clock } = page();
  for (let second = 0; second < 20 * 60; second += 1) {
    clock.life();
    await pass(1000);
  }
  assert.equal(told.left, 0);
  assert.deepEqual(told.shown.filter(Boolean), []);
  assert.ok(told.stayed >= 19 && told.stayed <= 20, `${told.stayed}`);
});

test("a busy window beside this one keeps it from warning", async () => {
  const { pass, told, elsewhere } = page();
  await pass(12 * MINUTE);
  elsewhere();
  await pass(3 * MINUTE);
  assert.deepEqual(told.shown.filter(Boolean), []);
  assert.equal(told.stayed, 0);
});

test("a session that was ended from elsewhere is noticed at the next question", async () => {
  const { pass, told, server } = page();
  server.isOver = true;
  await pass(13 * MINUTE);
  assert.equal(told.left, 1);
});

test("without a connection the page is left when its time is over, no later", async () => {
  const { pass, told, server } = page();
  server.isThere = false;
  await pass(15 * MINUTE - 1000);
  assert.equal(told.left, 0);
  await pass(1000);
  assert.equal(told.left, 1);
});

test("nobody stays past the end of the day, whatever they press", async () => {
  const { pass, told, clock } = page({ atAll: 600 });
  await pass(9 * MINUTE);
  assert.equal(told.shown.at(-1), "last");
  await clock.stay();
  await pass(30_000);
  assert.equal(told.shown.at(-1), "");
  await pass(MINUTE);
  assert.equal(told.left, 1);
});

// What counts as an answer: nothing but the server's own words.

const json = (said, more = {}) => ({
  ok: true, status: 200, headers: new Headers({ "Content-Type": "application/json" }), json: async () => said, ...more,
});

test("only the server's own words say that a session goes on", async () => {
  assert.deepEqual(await readLeft(json({ left: 5, at_all: 9 })), { left: 5, at_all: 9 });
  assert.deepEqual(await readLeft({ ok: false, status: 0, type: "opaqueredirect", headers: new Headers() }), { left: 0 });
  const signIn = { ok: true, status: 200, redirected: true, headers: new Headers({ "Content-Type": "text/html" }) };
  assert.deepEqual(await readLeft(signIn), { left: 0 });
  assert.deepEqual(await readLeft(json({}, { ok: false, status: 403 })), { left: 0 });
  assert.deepEqual(await readLeft(json({ kept: "x" })), { left: 0 });
});

test("a server that is away says nothing about a session", async () => {
  assert.equal(await readLeft(null), null);
  assert.equal(await readLeft({ ok: false, status: 503, headers: new Headers() }), null);
});

// What is never left behind: words that are kept nowhere.

const form = (elements, dataset = {}, failed = false) => ({ dataset, elements, querySelector: () => (failed ? {} : null) });
const field = (more) => ({ type: "text", value: "", defaultValue: "", closest: () => null, ...more });
const options = (...each) => each.map(([selected, defaultSelected]) => ({ selected, defaultSelected }));

test("it finds what was typed, ticked or chosen", () => {
  assert.ok(!holdsWords([form([field({}), field({ type: "hidden", value: "1", defaultValue: "2" })])]));
  assert.ok(holdsWords([form([field({}), field({ value: "Sore since" })])]));
  assert.ok(holdsWords([form([field({ type: "checkbox", checked: true, defaultChecked: false })])]));
  assert.ok(!holdsWords([form([field({ type: "select-one", options: options([true, false], [false, false]) })])]));
  assert.ok(holdsWords([form([field({ type: "select-one", options: options([false, false], [true, false]) })])]));
  assert.ok(holdsWords([form([field({ type: "select-one", options: options([true, false], [false, true]) })])]));
});

test("words that the server keeps as a draft can be left, unless it said it could not", () => {
  const words = [field({ value: "Six weeks" })];
  assert.ok(!holdsWords([form(words, { draft: "story:1" })]));
  assert.ok(holdsWords([form(words, { draft: "story:1" }, true)]));
});

test("it counts in words", () => {
  assert.equal(inWords(120), "2 minutes");
  assert.equal(inWords(61), "2 minutes");
  assert.equal(inWords(45), "45 seconds");
  assert.equal(inWords(1), "1 second");
});
