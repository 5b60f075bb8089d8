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
    data: { strokes: [], withdrawals: [], answer: { intensities: {}, no_pain: false }, next_seq: 1, layer: "patient", ...data },
    newId: () => `id-${++next}`,
    send: (event) => sent.push(event),
    changed: (change) => changes.push(change.added),
  });
  return { record, sent, changes };
}

const types = (sent) => sent.map((event) => event.type).join(" ");

test("one number for each thing sent, whatever it is, going on from where the server is", () => {
  const { record, sent } = scene({ next_seq: 7 });
  record.setNoPain(true);
  record.keep(shade("ache"));
  record.undo();
  assert.equal(types(sent), "answer stroke answer withdraw");
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

test("a line or a tick taken away is one withdrawal, and Undo brings it back", () => {
  const { record, sent } = scene();
  const first = record.keep(shade("ache"));
  const second = record.keep(shade("burning"));
  record.takeAway([first, second]);
  assert.deepEqual(sent.at(-1).strokes, [first, second]);
  assert.equal(record.strokes().length, 0);
  record.undo();
  assert.deepEqual(record.strokes().map(({ id }) => id), [first, second]);
});

test("the layer is known to the server: it is not sent, but the board remembers it", () => {
  const { record, sent } = scene({ layer: "helper" });
  record.keep({ ...shade(null), mode: "spot" });
  assert.equal("layer" in sent[0], false);
  assert.equal(record.spots()[0].layer, "helper");
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

test("what was answered before the reload is not sent again", () => {
  const stored = { ...shade("ache"), id: "s", seq: 1, own: false, layer: "patient" };
  const { record, sent } = scene({ strokes: [stored], answer: { intensities: { ache: 5 }, no_pain: false }, next_seq: 3 });
  record.keep(shade("ache"));
  assert.equal(types(sent), "stroke");
});

test("what the clinician found is no pain: the patient can still say that there is none", () => {
  const found = { ...shade("tender_spot"), id: "s", seq: 1, own: false, layer: "clinician" };
  const { record } = scene({ strokes: [found] });
  assert.equal(record.hasPain(), false);
  assert.equal(record.setNoPain(true), true);
});

test("what the patient said of no pain stays when the clinician maps findings", () => {
  const { record, sent } = scene({ layer: "clinician", answer: { intensities: {}, no_pain: true } });
  record.keep(shade("tender_spot"));
  assert.equal(types(sent), "stroke");
  assert.equal(record.hasNoPain(), true);
});

test("what others drew is not one's own: not among the kinds in use, not to be cleared", () => {
  const theirs = { ...shade("ache"), id: "s", seq: 1, own: false, layer: "patient" };
  const { record } = scene({ strokes: [theirs], layer: "helper", next_seq: 2 });
  assert.deepEqual(record.kindsUsed(), []);
  assert.equal(record.clear(), false);
  assert.deepEqual(record.others().map(({ id }) => id), ["s"]);
});

test("a refused stroke leaves the board", () => {
  const { record } = scene();
  record.keep(shade("ache"));
  record.refuse(["id-1"]);
  assert.equal(record.strokes().length, 0);
});

test("adding a stroke needs no repainting, taking one back does", () => {
  const { record, changes } = scene();
  record.keep(shade("ache"));
  record.undo();
  record.keep(shade("ache"), { inked: false });
  assert.deepEqual(changes, [true, false, false]);
});

test("ids are version 4 UUIDs as the server demands them, made without https too", () => {
  const ids = Array.from({ length: 200 }, () => uuid4({ getRandomValues: (bytes) => webcrypto.getRandomValues(bytes) }));
  for (const id of ids) assert.match(id, /^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
  assert.equal(new Set(ids).size, 200);
});
