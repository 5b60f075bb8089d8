/** The scripted sequences of tests/strokes/sequences.json against pen.js; tests/browser/test_pointers.py runs the same in a browser. */
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { createPen } from "../../static/js/draw/pen.js";

const { sequences } = JSON.parse(readFileSync(new URL("../strokes/sequences.json", import.meta.url)));
const RUBS_OUT = 2 | 32;

/** Plays events by their own clock; gives what pen.js made of them. */
function play(events) {
  const kept = [];
  let line = null;
  let takenBack = 0;
  let zoomed = false;
  let timers = [];
  const pen = createPen({
    on: {
      begin: (points, { eraser }) => { line = { erases: eraser, points: [...points] }; },
      more: (points) => line.points.push(...points),
      end() { kept.push(line); line = null; },
      drop() { line = null; },
      pinchBegin() {},
      pinch() { zoomed = true; },
      pinchEnd() {},
      pinchDrop() { zoomed = false; },
      twoFingerTap: () => { takenBack += 1; },
      palmBefore: () => { takenBack += 1; },
      penSeen() {},
    },
    later(call, ms) {
      const timer = { call, at: now + ms };
      timers.push(timer);
      return timer;
    },
    never(timer) { timers = timers.filter((each) => each !== timer); },
  });
  let now = 0;
  for (const event of events) {
    for (const timer of timers.filter(({ at }) => at <= event.t)) {
      now = timer.at;
      timers = timers.filter((each) => each !== timer);
      timer.call();
    }
    now = event.t;
    tell(pen, event);
  }
  for (const { call } of timers) call();
  return { kept, takenBack, zoomed };
}

function tell(pen, event) {
  if (event.on === "leave pen mode") return pen.leavePenMode();
  const { id, type, button = 0, buttons, t: time, pressure } = event;
  const points = (event.coalesced ?? [event.at]).map(([x, y]) => ({ x, y, pressure, time }));
  const deed = { down: "down", move: "move", up: "up", cancel: "cancel", lost: "cancel" }[event.on];
  pen[deed]({ id, type, button, buttons, time, eraser: type === "pen" && (buttons & RUBS_OUT) !== 0, points });
}

const at = ({ x, y }) => [x, y];

for (const { name, events, yields } of sequences) {
  test(`${name}`, () => {
    const { kept, takenBack, zoomed } = play(events);
    assert.equal(kept.length, yields.lines.length, "lines kept");
    for (const [i, { points, erases }] of kept.entries()) {
      const wanted = yields.lines[i];
      assert.deepEqual(at(points[0]), wanted.from);
      assert.deepEqual(at(points.at(-1)), wanted.to);
      assert.equal(erases, wanted.erases);
      for (const place of wanted.through ?? []) assert.ok(points.some((point) => point.x === place[0] && point.y === place[1]), `through ${place}`);
    }
    assert.equal(takenBack, yields.taken_back, "taken back");
    assert.equal(zoomed, yields.zooms, "the sheet has moved");
  });
}

test("there are at least twelve of them, each with a name of its own", () => {
  assert.ok(sequences.length >= 12);
  assert.equal(new Set(sequences.map(({ name }) => name)).size, sequences.length);
});
