import assert from "node:assert/strict";
import { test } from "node:test";
import { addStroke, clearAll, everDrawn, forget, kindsUsed, rebuild, redo, spots, standing, takeOut, undo } from "../../static/js/draw/history.js";

const stroke = (id, seq, more = {}) => ({ id, seq, view: "front", kind: "ache", mode: "shade", nib_mm: 20, points: [[1, 1, 0, 0]], ...more });
const stamp = (id, seq) => ({ id, seq });
const ids = (history) => standing(history).map((each) => each.id).join("");

function withStrokes(...names) {
  return names.reduce((history, id, index) => addStroke(history, stroke(id, index + 1)), rebuild([], [], "patient"));
}

/** What the server would give back after the page has been loaded again. */
function reloaded(history) {
  return rebuild(everDrawn(history), history.log.filter((event) => event.type === "withdraw"));
}

test("undo takes the last stroke back and redo puts it in again", () => {
  const first = undo(withStrokes("a", "b"), stamp("u", 3));
  assert.deepEqual(first.event, { id: "u", seq: 3, strokes: ["b"], restores: false });
  assert.equal(ids(first.history), "a");
  const second = redo(first.history, stamp("r", 4));
  assert.deepEqual(second.event, { id: "r", seq: 4, strokes: ["b"], restores: true });
  assert.equal(ids(second.history), "ab");
});

test("with nothing to undo or redo nothing is sent", () => {
  assert.equal(undo(withStrokes(), stamp("u", 1)), null);
  assert.equal(redo(withStrokes("a"), stamp("r", 2)), null);
});

test("clear is one event for everything, and one undo brings it all back", () => {
  const cleared = clearAll(withStrokes("a", "b", "c"), stamp("c", 4));
  assert.deepEqual(cleared.event.strokes, ["a", "b", "c"]);
  assert.equal(ids(cleared.history), "");
  const back = undo(cleared.history, stamp("u", 5));
  assert.equal(back.event.restores, true);
  assert.equal(ids(back.history), "abc");
});

test("clearing a single stroke can be undone too", () => {
  const cleared = clearAll(withStrokes("a"), stamp("c", 2));
  assert.equal(ids(undo(cleared.history, stamp("u", 3)).history), "a");
});

test("clearing an empty drawing is nothing", () => {
  assert.equal(clearAll(withStrokes(), stamp("c", 1)), null);
});

test("a new stroke ends what could be redone", () => {
  const back = undo(withStrokes("a", "b"), stamp("u", 3)).history;
  assert.equal(redo(addStroke(back, stroke("c", 4)), stamp("r", 5)), null);
});

test("a reload keeps the drawing and what can be undone, twenty steps deep", () => {
  const names = [..."abcdefghijklmnopqrstuvwxyz"];
  let history = reloaded(withStrokes(...names));
  for (let i = 0; i < 20; i += 1) history = undo(history, stamp(`u${i}`, 100 + i)).history;
  assert.equal(ids(history), "abcdef");
});

test("a reload keeps what can be redone", () => {
  const once = undo(withStrokes("a", "b", "c"), stamp("u1", 4)).history;
  const twice = reloaded(undo(once, stamp("u2", 5)).history);
  assert.equal(ids(twice), "a");
  const again = redo(twice, stamp("r1", 6)).history;
  assert.equal(ids(redo(again, stamp("r2", 7)).history), "abc");
});

test("a reload after clear still lets undo bring everything back", () => {
  const history = reloaded(clearAll(withStrokes("a", "b"), stamp("c", 3)).history);
  assert.equal(ids(undo(history, stamp("u", 4)).history), "ab");
});

test("a withdrawal of another stroke than the last is a step of its own after a reload", () => {
  const history = rebuild([stroke("a", 1), stroke("b", 2)], [{ id: "w", seq: 3, strokes: ["a"], restores: false }], "patient");
  assert.equal(ids(history), "b");
  assert.equal(ids(undo(history, stamp("u", 4)).history), "ab");
});

test("rows arriving in any order give the same drawing, in painting order", () => {
  const rows = [stroke("b", 2), stroke("d", 5), stroke("a", 1), stroke("c", 2)];
  const withdrawals = [{ id: "x", seq: 4, strokes: ["b"], restores: true }, { id: "w", seq: 3, strokes: ["b", "a"], restores: false }];
  assert.equal(ids(rebuild(rows, withdrawals, "patient")), "bcd");
});

test("strokes with one number are painted in the order of their ids", () => {
  assert.equal(ids(rebuild([stroke("z", 1), stroke("y", 1)], [])), "yz");
});

test("a clinician's undo and clear leave what the patient drew", () => {
  const patients = stroke("p", 1, { own: false });
  const history = rebuild([patients, stroke("k", 2, { own: true })], []);
  const cleared = clearAll(history, stamp("c", 3));
  assert.deepEqual([...new Set(cleared.event.strokes)], ["k"]);
  assert.equal(ids(cleared.history), "p");
  const undone = undo(history, stamp("u", 3)).history;
  assert.equal(undo(undone, stamp("v", 4)), null);
});

test("a refused stroke is no longer shown and cannot be undone", () => {
  const history = forget(withStrokes("a", "b"), "b");
  assert.equal(ids(history), "a");
  assert.equal(undo(undo(history, stamp("u", 3)).history, stamp("v", 4)), null);
});

test("a refused withdrawal leaves the stroke standing", () => {
  const history = undo(withStrokes("a"), stamp("u", 2)).history;
  assert.equal(ids(forget(history, "u")), "a");
});

test("withdrawn strokes still count as drawn", () => {
  assert.equal(everDrawn(undo(withStrokes("a", "b"), stamp("u", 3)).history).length, 2);
});

test("only kinds that stand are in use; the eraser has none", () => {
  let history = addStroke(withStrokes("a"), stroke("b", 2, { kind: "burning" }));
  history = addStroke(history, stroke("e", 3, { kind: null, mode: "erase" }));
  assert.deepEqual(kindsUsed(history), ["ache", "burning"]);
  assert.deepEqual(kindsUsed(undo(undo(history, stamp("u", 4)).history, stamp("v", 5)).history), ["ache"]);
});

test("no function changes the history it was given", () => {
  const history = withStrokes("a", "b");
  const before = JSON.stringify(history);
  undo(history, stamp("u", 3));
  clearAll(history, stamp("c", 3));
  addStroke(history, stroke("c", 3));
  forget(history, "a");
  assert.equal(JSON.stringify(history), before);
});

test("a line taken away comes back with one Undo, and its place in the drawing with it", () => {
  const taken = takeOut(withStrokes("a", "b", "c"), ["b"], stamp("t", 4));
  assert.deepEqual(taken.event, { id: "t", seq: 4, strokes: ["b"], restores: false });
  assert.equal(ids(taken.history), "ac");
  assert.equal(ids(undo(taken.history, stamp("u", 5)).history), "abc");
});

test("taking nothing away is nothing", () => {
  assert.equal(takeOut(withStrokes("a"), [], stamp("t", 2)), null);
});

test("the last line taken away is still an action of its own after a reload: Undo brings it back, no other goes", () => {
  const taken = takeOut(withStrokes("a", "b"), ["b"], stamp("t", 3)).history;
  for (const history of [taken, reloaded(taken)]) {
    assert.equal(ids(history), "a");
    assert.equal(ids(undo(history, stamp("u", 4)).history), "ab");
    assert.equal(redo(history, stamp("r", 4)), null);
  }
});

test("so is clearing away the only line", () => {
  const cleared = clearAll(withStrokes("a"), stamp("c", 2)).history;
  assert.equal(ids(undo(reloaded(cleared), stamp("u", 3)).history), "a");
});

test("the stacks are the same after a reload, thirty deep, whatever was done", () => {
  let history = withStrokes();
  let seq = 0;
  // A small fixed generator: the same "random" hand every time.
  let state = 7;
  const random = (most) => (state = (state * 1103515245 + 12345) % 2147483648) % most;
  const step = (result) => { history = result?.history ?? history; };
  for (let i = 0; i < 400; i += 1) {
    const next = stamp(`e${seq}`, (seq += 1));
    const standingIds = standing(history).map(({ id }) => id);
    const deed = random(8);
    if (deed < 4) history = addStroke(history, stroke(`s${seq}`, seq));
    else if (deed === 4) step(undo(history, next));
    else if (deed === 5) step(redo(history, next));
    else if (deed === 6 && standingIds.length > 0) step(takeOut(history, [standingIds[random(standingIds.length)]], next));
    else if (random(20) === 0) step(clearAll(history, next));
  }
  const again = reloaded(history);
  assert.ok(history.done.length >= 30, `${history.done.length} deep`);
  assert.deepEqual(again.done, history.done);
  assert.deepEqual(again.undone, history.undone);
  let [live, loaded] = [history, again];
  for (let i = 0; i < 30; i += 1) {
    live = undo(live, stamp(`u${i}`, seq + i + 1)).history;
    loaded = undo(loaded, stamp(`u${i}`, seq + i + 1)).history;
    assert.equal(ids(loaded), ids(live));
  }
});

test("the worst spot that counts is the last one of each layer that stands", () => {
  const spot = (id, seq, layer) => stroke(id, seq, { mode: "spot", kind: null, layer });
  const history = rebuild([spot("a", 1, "patient"), spot("b", 2, "helper"), spot("c", 3, "patient")], []);
  assert.deepEqual(spots(history).map(({ id }) => id).sort(), ["b", "c"]);
  assert.deepEqual(spots(undo(history, stamp("u", 4)).history).map(({ id }) => id).sort(), ["a", "b"]);
});
