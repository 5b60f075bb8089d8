import assert from "node:assert/strict";
import { test } from "node:test";
import { createAim } from "../../static/js/draw/aim.js";
import { lineUnder } from "../../static/js/draw/lines.js";
import { deepest, distanceTo, inward, isInside } from "../../static/js/draw/polygons.js";
import { keyOf, markedBy, regionAt, spotIn, strokeOf } from "../../static/js/draw/regions.js";

const square = (x, y, size) => [[x, y], [x + size, y], [x + size, y + size], [x, y + size]];
const chest = { id: "front:chest", side: "right", view: "front", words: "right chest", ring: square(100, 100, 100) };
const belly = { id: "front:belly", side: "right", view: "front", words: "right belly", ring: square(100, 200, 100) };
const back = { id: "back:chest", side: "left", view: "back", words: "left back", ring: square(100, 100, 100) };
const body = { parts: [{ key: "trunk", regions: [chest, belly, back] }] };
const limits = { smallest_nib_mm: 1, largest_nib_mm: 60 };

test("a ring knows what lies in it, doubled over or not", () => {
  assert.equal(isInside(chest.ring, [150, 150]), true);
  assert.equal(isInside(chest.ring, [150, 201]), false);
  assert.equal(isInside([...chest.ring, ...chest.ring], [150, 150]), true);
  assert.equal(isInside([...chest.ring].reverse(), [150, 150]), true);
});

test("the distance to a line is that to its nearest piece; a closed line has one more", () => {
  assert.equal(distanceTo([[0, 0], [10, 0]], [5, 3]), 3);
  assert.equal(distanceTo([[0, 0]], [3, 4]), 5);
  assert.equal(distanceTo(chest.ring, [90, 150], true), 10);
  assert.equal(distanceTo(chest.ring, [90, 150]) > 10, true);
});

test("the middle of a ring lies in it, of a crescent too", () => {
  const crescent = [[0, 0], [100, 0], [100, 100], [0, 100], [0, 90], [90, 90], [90, 10], [0, 10]];
  for (const ring of [chest.ring, crescent]) assert.equal(isInside(ring, deepest(ring)), true);
  assert.deepEqual(deepest(chest.ring), [150, 150]);
});

test("a place beside a ring is moved in by no more than needed", () => {
  assert.deepEqual(inward(chest.ring, [120, 130]), [120, 130]);
  const [x, y] = inward(chest.ring, [95, 150]);
  assert.ok(x > 100 && x < 105 && y === 150);
});

test("the region under a finger is found on its view only; beside the body the nearest within reach", () => {
  assert.equal(regionAt(body, "front", [150, 250]), belly);
  assert.equal(regionAt(body, "back", [150, 150]), back);
  assert.equal(regionAt(body, "front", [95, 150]), null);
  assert.equal(regionAt(body, "front", [95, 150], 6), chest);
});

test("a region that is chosen is an area with its ring as the line, known by region and side", () => {
  const stroke = strokeOf(chest, "ache");
  assert.deepEqual(stroke, {
    view: "front", kind: "ache", mode: "area", nib_mm: 1, region: "front:chest right",
    points: [[100, 100, 0, 0], [200, 100, 0, 0], [200, 200, 0, 0], [100, 200, 0, 0]],
  });
  const drawn = [{ id: "a", ...stroke }, { id: "b", ...strokeOf(belly, "ache") }, { id: "c", ...strokeOf(chest, "burning") }];
  assert.deepEqual(markedBy(drawn, chest, "ache"), ["a"]);
  assert.deepEqual(markedBy(drawn, chest), ["a", "c"]);
  assert.equal(keyOf(chest), "front:chest right");
});

test("the worst spot of a region lies in its middle and has no kind", () => {
  assert.deepEqual(spotIn(chest), { view: "front", kind: null, mode: "spot", nib_mm: 1, points: [[150, 150, 0, 0]] });
});

const line = (id, points, more = {}) => ({ id, view: "front", kind: "ache", mode: "shade", nib_mm: 10, points, ...more });

test("the line under a finger is the topmost in sight", () => {
  const low = line("low", [[0, 0], [100, 0]]);
  const top = line("top", [[50, -50], [50, 50]]);
  assert.equal(lineUnder([low, top], "front", [50, 0], 0).id, "top");
  assert.equal(lineUnder([low, top], "front", [20, 4], 0).id, "low");
  assert.equal(lineUnder([low, top], "back", [50, 0], 0), null);
});

test("beside the ink the nearest line within reach is meant", () => {
  const [one, two] = [line("one", [[0, 0], [100, 0]]), line("two", [[0, 40], [100, 40]])];
  assert.equal(lineUnder([one, two], "front", [50, 12], 10).id, "one");
  assert.equal(lineUnder([one, two], "front", [50, 20], 10), null);
});

test("an area is touched anywhere within it", () => {
  assert.equal(lineUnder([{ id: "a", ...strokeOf(chest, "ache") }], "front", [150, 150], 0).id, "a");
});

test("ink that was rubbed out here is not under the finger, what was drawn over it later is", () => {
  const first = line("first", [[0, 0], [100, 0]]);
  const rubbed = line("rubbed", [[50, -20], [50, 20]], { mode: "erase", kind: null });
  assert.equal(lineUnder([first, rubbed], "front", [50, 0], 0), null);
  assert.equal(lineUnder([first, rubbed], "front", [20, 0], 0).id, "first");
  assert.equal(lineUnder([first, rubbed, line("later", [[40, 0], [60, 0]])], "front", [50, 0], 0).id, "later");
});

test("the worst spot lies above all ink, and only the last one is there", () => {
  const spots = [[10, 0], [80, 0]].map((at, i) => line(`spot${i}`, [at], { mode: "spot", kind: null }));
  const strokes = [...spots, line("ink", [[0, 0], [100, 0]])];
  assert.equal(lineUnder(strokes, "front", [80, 3], 8).id, "spot1");
  assert.equal(lineUnder(strokes, "front", [10, 3], 8).id, "ink");
});

/** An aim on a sheet of 1 px a mm. */
function scene(own = []) {
  const kept = [];
  const taken = [];
  const said = [];
  const frame = { width: 1000, height: 1700, midline_x: 500 };
  const sheet = { frames: { front: frame, back: frame }, offsets: { front: 0, back: 1000 }, border: 1000 };
  const aim = createAim({
    viewport: { scale: () => 1, sheet: () => sheet, toSheet: (point) => point, lookAt() {} },
    record: { own: () => own, keep: (stroke) => kept.push(stroke), takeAway: (ids) => taken.push(ids) },
    body,
    limits,
    say: (word, detail) => said.push([word, detail?.region?.words]),
  });
  return { aim, kept, taken, said };
}

test("a tap marks the region under it once", () => {
  const { aim, kept, said } = scene();
  aim.do("region", [[150, 150]], { kind: "ache", room: 100 });
  assert.deepEqual(kept, [strokeOf(chest, "ache")]);
  assert.deepEqual(said, [["marked", "right chest"]]);
  const again = scene([{ id: "a", ...strokeOf(chest, "ache") }]);
  again.aim.do("region", [[150, 150]], { kind: "ache", room: 100 });
  assert.deepEqual([again.kept, again.said], [[], [["marked-already", "right chest"]]]);
});

test("a hand that shakes while it taps means where it came down", () => {
  const { aim, kept } = scene();
  aim.do("region", [[150, 190], [152, 204], [149, 212]], { kind: "ache", room: 100 });
  assert.equal(kept[0].region, "front:chest right");
});

test("a region has no room in a drawing that is nearly full", () => {
  const { aim, kept, said } = scene();
  aim.do("region", [[150, 150]], { kind: "ache", room: 3 });
  assert.deepEqual([kept, said[0][0]], [[], "full"]);
});

test("the worst spot is one point where the finger was lifted, on the body", () => {
  const { aim, kept, said } = scene();
  aim.do("spot", [[150, 150], [160.04, 155]], {});
  assert.deepEqual(kept, [{ view: "front", kind: null, mode: "spot", nib_mm: 12, points: [[160, 155, 0, 0]] }]);
  aim.do("spot", [[500, 800]], {});
  assert.deepEqual(said, [["spot", undefined], ["beside", undefined]]);
});

test("a tap takes the line under it, a finger drawn over several takes each, once", () => {
  const own = [line("a", [[0, 0], [200, 0]]), line("b", [[0, 60], [200, 60]])];
  const { aim, taken } = scene(own);
  aim.do("line", [[50, 2], [52, 6]], {});
  aim.do("line", [[50, -5], [50, 20], [50, 40], [50, 58], [50, 62]], {});
  assert.deepEqual(taken, [["a"], ["a", "b"]]);
});

test("taking the worst spot away takes those it replaced too", () => {
  const own = [10, 80].map((x, i) => line(`spot${i}`, [[x, 0]], { mode: "spot", kind: null }));
  const { aim, taken } = scene(own);
  aim.do("line", [[80, 0]], {});
  assert.deepEqual(taken.map((ids) => [...ids].sort()), [["spot0", "spot1"]]);
});

test("where there is no line, that is said", () => {
  const { aim, taken, said } = scene();
  aim.do("line", [[50, 50]], {});
  assert.deepEqual([taken, said], [[], [["nothing-there", undefined]]]);
});
