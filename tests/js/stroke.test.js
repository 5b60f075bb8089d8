import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { THIN_MM, curves, extend, isClosedLoop, newStroke, nibInMm, roomLeft } from "../../static/js/draw/stroke.js";

const limits = { strokes_per_visit: 400, points_per_stroke: 1000, points_per_visit: 20000, smallest_nib_mm: 1, largest_nib_mm: 60 };

/** The named strokes that the Python tests read too. */
function named(name) {
  return JSON.parse(readFileSync(new URL(`../strokes/${name}.json`, import.meta.url))).stroke;
}

function drawn(points) {
  const stroke = newStroke({ id: "a", seq: 1, view: "front", kind: "ache", mode: "shade", nib_mm: 20 });
  points.forEach(([x, y], index) => extend(stroke, [x, y], 0.5, index * 8));
  return stroke;
}

function filled(points) {
  return { points: Array.from({ length: points }, () => [0, 0, 0, 0]) };
}

test("points nearer than a millimetre to the last are left out", () => {
  const stroke = drawn([[0, 0], [0.6, 0], [0.99, 0], [1, 0], [1.9, 0], [2.4, 0]]);
  assert.deepEqual(stroke.points.map(([x]) => x), [0, 1, 2.4]);
});

test("a finished stroke has no two neighbours within a millimetre", () => {
  const stroke = drawn(named("scribble").points);
  for (let i = 1; i < stroke.points.length; i += 1) {
    const [a, b] = [stroke.points[i - 1], stroke.points[i]];
    // Rounding to a tenth may bring two points together by up to 0.15 mm.
    assert.ok(Math.hypot(a[0] - b[0], a[1] - b[1]) >= THIN_MM - 0.15);
  }
});

test("a tap is a stroke of one point, and so is the same place twice", () => {
  assert.equal(drawn(named("tap").points).points.length, 1);
  assert.equal(drawn(named("two-equal-points").points).points.length, 1);
});

test("a point is kept to a tenth of a millimetre, its pressure between 0 and 1, its time in whole ms", () => {
  const stroke = newStroke({ id: "a", seq: 1, view: "front", kind: "ache", mode: "shade", nib_mm: 20 });
  extend(stroke, [10.0449, 20.951], 1.7, 12.6);
  extend(stroke, [30, 20], undefined, 19);
  assert.deepEqual(stroke.points, [[10, 21, 1, 13], [30, 20, 0, 19]]);
});

test("the eraser takes away every kind, so it has none", () => {
  assert.equal(newStroke({ id: "a", seq: 1, view: "front", kind: "ache", mode: "erase", nib_mm: 20 }).kind, null);
});

test("the same nib covers less of the body the closer one looks", () => {
  assert.equal(nibInMm(12, 0.4, limits), 30);
  assert.equal(nibInMm(12, 1.6, limits), 7.5);
});

test("the nib stays within what a visit may hold", () => {
  assert.equal(nibInMm(24, 0.2, limits), 60);
  assert.equal(nibInMm(2, 4, limits), 1);
});

test("the preview runs from the first point to the last without a gap", () => {
  const points = named("line").points;
  const pieces = curves(points);
  assert.deepEqual(pieces[0].from.slice(0, 2), points[0].slice(0, 2));
  assert.deepEqual(pieces.at(-1).to.slice(0, 2), points.at(-1).slice(0, 2));
  for (let i = 1; i < pieces.length; i += 1) assert.deepEqual(pieces[i].from, pieces[i - 1].to);
});

test("ink already laid does not move when the line grows", () => {
  const points = named("scribble").points;
  const before = curves(points.slice(0, 100));
  const after = curves(points);
  assert.deepEqual(after.slice(0, 99), before.slice(0, 99));
});

test("a loop drawn round is closed, with its ends apart by a tremor too", () => {
  assert.equal(isClosedLoop(named("loop")), true);
  assert.equal(isClosedLoop({ points: named("loop").points.slice(0, 52) }), true);
});

test("a loop whose ends cross is closed, however long the ends are", () => {
  const points = [[0, 0], [200, 200], [230, 260], [170, 260], [200, 190], [420, -10]].map(([x, y]) => [x, y, 0.5, 0]);
  assert.equal(isClosedLoop({ points }), true);
});

test("a line, half a ring, a tap and a tiny curl are no loops", () => {
  assert.equal(isClosedLoop(named("line")), false);
  assert.equal(isClosedLoop(named("open-arc")), false);
  assert.equal(isClosedLoop(named("tap")), false);
  assert.equal(isClosedLoop({ points: [[0, 0], [3, 0], [3, 3], [0, 3], [0, 1]].map(([x, y]) => [x, y, 0, 0]) }), false);
});

test("there is room for a whole stroke until the visit is nearly full", () => {
  assert.equal(roomLeft([], limits), 1000);
  assert.equal(roomLeft([filled(19500)], limits), 500);
  assert.equal(roomLeft([filled(19999)], limits), 1);
});

test("at the limit of points or strokes there is no room", () => {
  assert.equal(roomLeft([filled(20000)], limits), 0);
  assert.equal(roomLeft(Array.from({ length: 399 }, () => filled(1)), limits), 1000);
  assert.equal(roomLeft(Array.from({ length: 400 }, () => filled(1)), limits), 0);
});
