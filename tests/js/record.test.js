import assert from "node:assert/strict";
import { webcrypto } from "node:crypto";
import { test } from "node:test";
import { createRecord, uuid4 } from "../../static/js/draw/record.js";

const shade = (kind) => ({ view: "front", kind, mode: "shade", nib_mm: 20, points: [[1, 1, 0.5, 0]] });

function scene(data = {}) {
  const sent = [];
  const changes = [];
  let next = 0;
  const record = createRecord({
    data: { strokes: [], withdrawals: [], answer: { intensities: {}, no_pain: false }, next_seq: 1, who: "patient", ...data },
    newId: () => `id-${++next}`,
    send: (event) => sent.push(event),
    changed: (change) => changes.push(change.added),
  });
  return { record, sent, changes };
}

const types = (sent) => sent.map((event) => event.type).join(" ");

test("one number for each thing sent, whatever it is, going on from where the server is", () => {
  const { record, sent } = scene({ next_seq: 7 });
  record.keep(shade("ache"));
  record.setStrength("ache", 6);
  record.undo();
  assert.equal(types(sent), "stroke answer withdraw answer");
  assert.deepEqual(sent.map((event) => event.seq), [7, 8, 9, 10]);
  assert.equal(new Set(sent.map((event) => event.id)).size, 4);
});

test("a stroke is sent with exactly what the record of a stroke has", () => {
  const { record, sent } = scene();
  record.keep(shade("ache"));
  assert.deepEqual(sent[0], { type: "stroke", id: "id-1", seq: 1, ...shade("ache") });
});

test("a withdrawal is sent with exactly what a withdrawal has", () => {
  const { record, sent } = scene();
  record.keep(shade("ache"));
  record.undo();
  assert.deepEqual(sent[1], { type: "withdraw", id: "id-2", seq: 2, strokes: ["id-1"], restores: false });
});

test("undo with nothing to undo sends nothing and uses no number", () => {
  const { record, sent } = scene();
  assert.equal(record.undo(), false);
  record.keep(shade("ache"));
  assert.equal(sent[0].seq, 1);
});

test("a strength goes with its ink: away on undo, back on redo", () => {
  const { record, sent } = scene();
  record.keep(shade("ache"));
  record.keep(shade("burning"));
  record.setStrength("burning", 4);
  record.undo();
  assert.deepEqual(sent.at(-1).intensities, {});
  record.redo();
  assert.deepEqual(sent.at(-1).intensities, { burning: 4 });
});

test("zero is a strength", () => {
  const { record, sent } = scene();
  record.keep(shade("ache"));
  record.setStrength("ache", 0);
  assert.deepEqual(sent.at(-1).intensities, { ache: 0 });
});

test("the same answer is not sent twice", () => {
  const { record, sent } = scene();
  record.keep(shade("ache"));
  record.setStrength("ache", 3);
  record.setStrength("ache", 3);
  record.keep(shade("ache"));
  assert.equal(types(sent), "stroke answer stroke");
});

test("no pain is not taken beside a drawing, and a stroke takes it back", () => {
  const { record, sent } = scene();
  assert.equal(record.setNoPain(true), true);
  assert.equal(sent.at(-1).no_pain, true);
  record.keep(shade("ache"));
  assert.equal(sent.at(-1).no_pain, false);
  assert.equal(record.setNoPain(true), false);
  assert.equal(record.hasNoPain(), false);
});

test("no pain can be taken back", () => {
  const { record, sent } = scene();
  record.setNoPain(true);
  record.setNoPain(false);
  assert.equal(sent.at(-1).no_pain, false);
});

test("what was answered before the reload stands and is not sent again", () => {
  const stored = { ...shade("ache"), id: "s", seq: 1, own: false };
  const { record, sent } = scene({ strokes: [stored], answer: { intensities: { ache: 5 }, no_pain: false }, next_seq: 3 });
  assert.equal(record.strengthOf("ache"), 5);
  record.keep(shade("ache"));
  assert.equal(types(sent), "stroke");
});

test("a refused stroke leaves the board, and its strength with it", () => {
  const { record, sent } = scene();
  record.keep(shade("ache"));
  record.setStrength("ache", 5);
  record.refuse(["id-1"]);
  assert.equal(record.strokes().length, 0);
  assert.deepEqual(sent.at(-1).intensities, {});
});

test("adding a stroke needs no repainting, taking one back does", () => {
  const { record, changes } = scene();
  record.keep(shade("ache"));
  record.undo();
  assert.deepEqual(changes, [true, false]);
});

test("ids are version 4 UUIDs as the server demands them, made without https too", () => {
  const ids = Array.from({ length: 200 }, () => uuid4({ getRandomValues: (bytes) => webcrypto.getRandomValues(bytes) }));
  for (const id of ids) assert.match(id, /^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
  assert.equal(new Set(ids).size, 200);
});
