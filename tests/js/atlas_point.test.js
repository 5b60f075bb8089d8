import assert from "node:assert/strict";
import { test } from "node:test";
import { pointOn } from "../../static/js/atlas_point.js";

// What getScreenCTM gives for a figure drawn at 0.28 px to the mm, whose frame begins at -12 mm, 200 px down the page.
const matrix = { a: 0.28, d: 0.28, e: 40, f: 200 };

test("a tap becomes whole millimetres of the figure", () => {
  assert.deepEqual(pointOn(matrix, 40 + 0.28 * 290, 200 + 0.28 * 330), { x: 290, y: 330 });
  assert.deepEqual(pointOn(matrix, 40 + 0.28 * 290.4, 200 + 0.28 * 329.6), { x: 290, y: 330 });
});

test("a tap above or beside the frame keeps its sign", () => {
  assert.deepEqual(pointOn(matrix, 40 - 0.28 * 5, 200 - 0.28 * 7), { x: -5, y: -7 });
});
