import assert from "node:assert/strict";
import { test } from "node:test";
import { centreOf, keepInSight, layOut, toFigure, viewAt } from "../../static/js/draw/coordinates.js";
import { inSight, isOnLeftOfScreen, wordsInSight } from "../../static/js/draw/sides.js";

const frame = { width: 1000, height: 1700, midline_x: 500 };
const figure = { front: frame, back: frame };
const room = { top: 48, right: 12, bottom: 16, left: 12 };
const widths = { side: 150, full: 190, view: 60 };
const VIEWS = ["front", "back"];

/** A fixed generator, so that a failure can be looked at again. */
function generator(seed) {
  let state = seed;
  return (low, high) => {
    state = (state * 1664525 + 1013904223) % 4294967296;
    return low + (state / 4294967296) * (high - low);
  };
}

function scene(random) {
  const stage = { width: Math.round(random(200, 2000)), height: Math.round(random(200, 1400)), room };
  const sheet = layOut(figure, stage);
  const view = random(0, 1) < 0.5 ? "front" : "back";
  const scale = Math.exp(random(Math.log(0.08), Math.log(3.2)));
  const wild = { scale, x: random(-8000, 8000) * scale, y: random(-3000, 3000) * scale };
  return { stage, sheet, camera: keepInSight(wild, sheet.bounds[view], stage) };
}

const named = (words) => words.filter(({ side }) => side !== "").map(({ view, side }) => `${view} ${side}`);
const widthOf = ({ side, alone }) => (side === "" ? widths.view : alone ? widths.full : widths.side);

test("wherever the sheet is and however large: every side with a worthwhile strip in sight is named, and one always is", () => {
  const random = generator(20260301);
  for (let i = 0; i < 20_000; i += 1) {
    const { stage, sheet, camera } = scene(random);
    const words = named(wordsInSight(camera, sheet, stage, widths));
    assert.ok(words.length >= 1, JSON.stringify({ stage, camera }));
    for (const view of VIEWS) {
      for (const side of ["left", "right"]) {
        const [from, to] = inSight(view, side, camera, sheet, stage);
        if (to - from >= widths.side) assert.ok(words.includes(`${view} ${side}`), JSON.stringify({ view, side, stage, camera }));
      }
    }
  }
});

test("every word stands whole on the stage, over what it names, and none over another", () => {
  const random = generator(7);
  for (let i = 0; i < 20_000; i += 1) {
    const { stage, sheet, camera } = scene(random);
    const words = wordsInSight(camera, sheet, stage, widths);
    for (const word of words) {
      const half = widthOf(word) / 2;
      assert.ok(word.x - half >= -0.01 && word.x + half <= stage.width + 0.01, JSON.stringify({ word, stage, camera }));
      assert.ok(word.y >= 0 && word.y <= stage.height - 30, JSON.stringify({ word, stage, camera }));
    }
    const inOrder = [...words].sort((a, b) => a.x - b.x);
    for (let k = 1; k < inOrder.length; k += 1) {
      const [a, b] = [inOrder[k - 1], inOrder[k]];
      assert.ok(b.x - a.x >= (widthOf(a) + widthOf(b)) / 2 - 0.01, JSON.stringify({ a, b, stage, camera }));
    }
  }
});

test("a word never stands over the other side of the body, unless no side has room for one", () => {
  const random = generator(99);
  for (let i = 0; i < 20_000; i += 1) {
    const { stage, sheet, camera } = scene(random);
    const words = wordsInSight(camera, sheet, stage, widths).filter(({ side }) => side !== "");
    if (words.length === 1) continue;
    for (const { view, side, x } of words) {
      const [from, to] = inSight(view, side, camera, sheet, stage);
      assert.ok(x >= from && x <= to, JSON.stringify({ view, side, x, from, to }));
    }
  }
});

test("the side in the middle of the stage is the one that is named", () => {
  const random = generator(3);
  let tried = 0;
  for (let i = 0; i < 20_000; i += 1) {
    const { stage, sheet, camera } = scene(random);
    const centre = centreOf(camera, stage);
    const view = viewAt(sheet, centre);
    const [x] = toFigure(sheet, view, centre);
    const side = (view === "front") === (x < 500) ? "right" : "left";
    // Within a word's width of the midline either side may be the one that has room.
    if (Math.abs(x - 500) * camera.scale < widths.side || x < 0 || x > 1000) continue;
    tried += 1;
    assert.ok(named(wordsInSight(camera, sheet, stage, widths)).includes(`${view} ${side}`), JSON.stringify({ view, x, stage, camera }));
  }
  assert.ok(tried > 2000, `${tried} tried`);
});

test("the patient's right is on the screen's left in front and on its right from behind", () => {
  assert.equal(isOnLeftOfScreen("front", "right"), true);
  assert.equal(isOnLeftOfScreen("front", "left"), false);
  assert.equal(isOnLeftOfScreen("back", "right"), false);
  assert.equal(isOnLeftOfScreen("back", "left"), true);
});
