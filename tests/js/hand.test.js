import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { createHand } from "../../static/js/draw/hand.js";

const limits = { strokes_per_visit: 400, points_per_stroke: 1000, points_per_visit: 20000, smallest_nib_mm: 1, largest_nib_mm: 60 };
const frame = { width: 1000, height: 1700, midline_x: 500 };
const sheet = { frames: { front: frame, back: frame }, offsets: { front: 0, back: 1000 }, border: 1000 };

/** A hand over a sheet at half size: 2 mm a pixel. */
function scene({ tools = {}, everDrawn = [], onBody = () => true, lastIs = true } = {}) {
  const kept = [];
  const inked = [];
  const said = [];
  const looked = [];
  const aimed = [];
  const scale = 0.5;
  const hand = createHand({
    tools: () => ({ kind: "ache", mode: "shade", nib: "medium", ...tools }),
    viewport: { sheet: () => sheet, scale: () => scale, toSheet: ([x, y]) => [x / scale, y / scale], lookAt: (view, place) => looked.push([view, place]) },
    record: { everDrawn: () => [...everDrawn, ...kept], keep: (stroke) => kept.push(stroke), wasLast: () => lastIs, undo: () => kept.pop() },
    ink: { follow: () => inked.push("follow"), keep: () => inked.push("keep"), drop: () => inked.push("drop") },
    aim: { do: (deed, path, how) => aimed.push([deed, path, how]) },
    limits,
    touchesBody: onBody,
    say: (word) => word && said.push(word),
    wantsFrame: () => {},
  });
  return { hand, kept, inked, said, looked, aimed };
}

const at = (x, y, time = 0, pressure = 0.5) => ({ x, y, time, pressure });

function draw(hand, points, how = { eraser: false }) {
  hand.begin([points[0]], how);
  hand.more(points.slice(1));
  hand.end();
}

function named(name) {
  const { points } = JSON.parse(readFileSync(new URL(`../strokes/${name}.json`, import.meta.url))).stroke;
  return points.map(([x, y, pressure, time]) => at(x / 2, y / 2, time, pressure));
}

test("a line on the screen is kept in millimetres of its view, with pressure and time since pen-down", () => {
  const { hand, kept } = scene();
  draw(hand, [at(100, 150, 5000, 0.25), at(110, 150, 5016, 0.75)]);
  assert.deepEqual(kept, [{ view: "front", kind: "ache", mode: "shade", nib_mm: 24, points: [[200, 300, 0.25, 0], [220, 300, 0.75, 16]] }]);
});

test("a line belongs to the view where it began, wherever it runs", () => {
  const { hand, kept } = scene();
  draw(hand, [at(520, 150), at(480, 150)]);
  assert.equal(kept[0].view, "back");
  assert.deepEqual(kept[0].points.map(([x]) => x), [40, -40]);
});

test("before a kind is chosen nothing is drawn, and the patient is told to choose", () => {
  const { hand, kept, said } = scene({ tools: { kind: null } });
  draw(hand, [at(100, 100), at(120, 100)]);
  assert.deepEqual(kept, []);
  assert.deepEqual(said, ["choose"]);
});

test("rubbing out needs no kind and has none", () => {
  const { hand, kept } = scene({ tools: { kind: null, mode: "erase" } });
  draw(hand, [at(100, 100), at(120, 100)]);
  assert.equal(kept[0].kind, null);
  assert.equal(kept[0].mode, "erase");
});

test("the rubber end of a pen rubs out whatever tool is chosen", () => {
  const { hand, kept } = scene({ tools: { mode: "area" } });
  draw(hand, [at(100, 100), at(120, 100)], { eraser: true });
  assert.equal(kept[0].mode, "erase");
});

test("the line round an area is thin whatever nib is chosen", () => {
  const { hand, kept } = scene({ tools: { mode: "area", nib: "large" } });
  draw(hand, named("loop"));
  assert.equal(kept[0].nib_mm, 8);
});

test("a loop that is not closed is not kept, and the patient is told", () => {
  const { hand, kept, said, inked } = scene({ tools: { mode: "area" } });
  draw(hand, named("open-arc"));
  assert.deepEqual(kept, []);
  assert.deepEqual(said, ["open"]);
  assert.equal(inked.at(-1), "drop");
});

test("a line beside the body is not kept, and the patient is told", () => {
  const { hand, kept, said } = scene({ onBody: () => false });
  draw(hand, named("off-the-body"));
  assert.deepEqual(kept, []);
  assert.deepEqual(said, ["beside"]);
});

test("a line dropped for a pinch is not kept", () => {
  const { hand, kept, inked } = scene();
  hand.begin([at(100, 100)], { eraser: false });
  hand.drop();
  hand.end();
  assert.deepEqual(kept, []);
  assert.deepEqual(inked, ["drop"]);
});

test("shading longer than a stroke may be goes on in the next stroke from the same place", () => {
  const { hand, kept } = scene();
  draw(hand, Array.from({ length: 1500 }, (_, i) => at(100 + (i % 200), 100 + i * 0.5)));
  assert.deepEqual(kept.map(({ points }) => points.length), [1000, 501]);
  assert.deepEqual(kept[1].points[0], kept[0].points[999]);
});

test("a full drawing takes no further stroke, and the patient is told", () => {
  const full = Array.from({ length: 400 }, () => ({ points: [[0, 0, 0, 0]] }));
  const { hand, kept, said } = scene({ everDrawn: full });
  draw(hand, [at(100, 100), at(120, 100)]);
  assert.deepEqual(kept, []);
  assert.deepEqual(said, ["full"]);
});

test("a stroke that reaches the visit's last point ends there and is kept", () => {
  const nearly = [{ points: Array.from({ length: 19995 }, () => [0, 0, 0, 0]) }];
  const { hand, kept, said } = scene({ everDrawn: nearly });
  draw(hand, Array.from({ length: 20 }, (_, i) => at(100 + i * 5, 100)));
  assert.deepEqual(kept.map(({ points }) => points.length), [5]);
  assert.deepEqual(said, ["full"]);
});

test("the place of the last stroke is remembered for looking closer", () => {
  const { hand, looked } = scene();
  draw(hand, [at(100, 100), at(130, 140)]);
  assert.deepEqual(looked, [["front", [260, 280]]]);
});

test("the tools a tap is enough for leave no ink and act when the finger is lifted", () => {
  for (const mode of ["region", "spot", "line"]) {
    const { hand, kept, inked, aimed } = scene({ tools: { mode } });
    hand.begin([at(100, 100)], { eraser: false });
    assert.deepEqual(aimed, []);
    hand.more([at(104, 101)]);
    hand.end();
    assert.deepEqual(aimed, [[mode, [[100, 100], [104, 101]], { kind: "ache", room: 1000 }]]);
    assert.deepEqual([kept, inked], [[], []]);
  }
});

test("a tap that turned out to be a pinch does nothing", () => {
  const { hand, aimed } = scene({ tools: { mode: "spot" } });
  hand.begin([at(100, 100)], { eraser: false });
  hand.drop();
  hand.end();
  assert.deepEqual(aimed, []);
});

test("a whole region needs a kind; the worst spot and taking away need none", () => {
  for (const [mode, count] of [["region", 0], ["spot", 1], ["line", 1]]) {
    const { hand, aimed } = scene({ tools: { mode, kind: null } });
    draw(hand, [at(100, 100)]);
    assert.equal(aimed.length, count);
  }
});

test("in a full drawing a line can still be taken away", () => {
  const full = Array.from({ length: 400 }, () => ({ points: [[0, 0, 0, 0]] }));
  const { hand, aimed } = scene({ everDrawn: full, tools: { mode: "line" } });
  draw(hand, [at(100, 100)]);
  assert.equal(aimed.length, 1);
});

test("the dab of a palm is taken back when the pen comes, unless something else was done since", () => {
  for (const [lastIs, left] of [[true, 0], [false, 1]]) {
    const { hand, kept } = scene({ lastIs });
    draw(hand, [at(100, 100)]);
    hand.takeBack();
    hand.takeBack();
    assert.equal(kept.length, left);
  }
});
