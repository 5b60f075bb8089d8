import assert from "node:assert/strict";
import { test } from "node:test";
import { createPreferences } from "../../static/js/draw/preferences.js";
import { PAUSE_MS, SOON_MS, createTelling } from "../../static/js/draw/telling.js";
import { drawnSoFar } from "../../static/js/draw/words.js";

function scene(answers) {
  const told = [];
  let timers = [];
  let asked = 0;
  const telling = createTelling({
    fetchWords: () => answers[asked++](),
    later(call, ms) { const timer = { call, ms }; timers.push(timer); return timer; },
    never(timer) { timers = timers.filter((each) => each !== timer); },
    tell: (text) => told.push(text),
    own: () => "own words",
  });
  const run = async (ms) => {
    const due = timers.filter((timer) => timer.ms === ms);
    timers = timers.filter((timer) => timer.ms !== ms);
    for (const { call } of due) await call();
  };
  return { telling, told, soon: () => run(SOON_MS), pause: () => run(PAUSE_MS), asked: () => asked };
}

test("a change is told in the board's own words, once it is stored in the server's", async () => {
  const { telling, told, soon, pause } = scene([async () => ({ sentences: ["Ache: left hand (9 cm²)."] })]);
  telling.changed();
  await soon();
  telling.stored();
  await pause();
  assert.deepEqual(told, ["own words", "Ache: left hand (9 cm²)."]);
});

test("many lines one after the other are asked for once", async () => {
  const { telling, pause, asked } = scene([async () => ({ sentences: [] })]);
  for (let i = 0; i < 5; i += 1) telling.stored();
  await pause();
  assert.equal(asked(), 1);
});

test("an answer that comes after the drawing has changed again is not told", async () => {
  let answer;
  const { telling, told, pause } = scene([() => new Promise((done) => { answer = done; })]);
  telling.stored();
  const waiting = pause();
  telling.changed();
  answer({ sentences: ["of before"] });
  await waiting;
  assert.deepEqual(told, []);
});

test("while nothing gets through the board's own words stay", async () => {
  const { telling, told, soon, pause } = scene([async () => { throw new Error("offline"); }]);
  telling.changed();
  await soon();
  telling.stored();
  await pause();
  assert.deepEqual(told, ["own words"]);
});

const kinds = [{ id: "ache", label: "Ache" }, { id: "tingling", label: "Tingling" }];
const body = { parts: [{ regions: [{ id: "front:hip", side: "left", words: "front of left hip" }] }] };

test("the board's own words name regions and count lines, by kind and view", () => {
  const strokes = [
    { kind: "ache", view: "front", mode: "area", region: "front:hip left" },
    { kind: "ache", view: "front", mode: "shade" },
    { kind: "ache", view: "back", mode: "shade" },
    { kind: "ache", view: "back", mode: "shade" },
    { kind: null, view: "back", mode: "erase" },
    { kind: null, view: "front", mode: "spot" },
  ];
  assert.equal(
    drawnSoFar(strokes, kinds, body),
    "Drawn so far: Ache: front of left hip, 1 line on the front, 2 lines on the back. A worst spot is marked.",
  );
  assert.equal(drawnSoFar([], kinds, body), "Nothing is drawn yet.");
});

function storage(entries = {}) {
  return { entries, getItem: (name) => entries[name] ?? null, setItem(name, value) { entries[name] = value; } };
}

test("a preference is remembered in this browser, by a word that says nothing of anybody", () => {
  const kept = storage();
  const first = createPreferences(() => kept);
  assert.equal(first.isOther("hand"), false);
  assert.deepEqual(kept.entries, {});
  first.turn("hand");
  assert.deepEqual(kept.entries, { "board-hand": "left" });
  assert.equal(createPreferences(() => kept).isOther("hand"), true);
});

test("where nothing may be remembered the preference holds while the page is open", () => {
  const closed = createPreferences(() => { throw new Error("closed"); });
  closed.turn("finger");
  assert.equal(closed.isOther("finger"), true);
});
