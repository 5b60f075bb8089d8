import assert from "node:assert/strict";
import test from "node:test";

import { difference, fillNormal, gradeFor, markUntested, neighbour, valueOf } from "../../static/js/neuro.js";

const grade = (value, { normal = false, checked = false } = {}) => ({
  value, checked, type: "radio", dataset: normal ? { normal: "" } : {},
});

function cell(side, ...grades) {
  const remark = { value: "" };
  const numbers = [];
  return {
    dataset: { side }, grades, remark, numbers,
    querySelectorAll: (wanted) => (wanted.includes("text") ? numbers : grades),
    querySelector: (wanted) => {
      if (wanted === ".remark") return remark;
      if (wanted.includes(":checked")) return grades.find((each) => each.checked) ?? null;
      if (wanted.includes('"NT"')) return grades.find((each) => each.value === "NT") ?? null;
      return null;
    },
  };
}

const strength = (side, chosen = "") => cell(
  side, ...["4", "5", "NT"].map((value) => grade(value, { normal: value === "5", checked: value === chosen })),
);

test("it says how the sides differ", () => {
  assert.equal(difference("4", "5"), "sides differ: right 4, left 5");
});

test("it compares only sides that were tested", () => {
  assert.equal(difference("5", "5"), "");
  assert.equal(difference("4", undefined), "");
  assert.equal(difference(undefined, "4"), "");
  assert.equal(difference("NT", "4"), "");
  assert.equal(difference("4", "NT"), "");
});

test("numbers differ only from a least difference on", () => {
  assert.equal(difference("58", "67", 10), "");
  assert.equal(difference("58", "68", 10), "sides differ: right 58, left 68");
  assert.equal(difference("58", "far", 10), "");
});

test("it fills in what is open and keeps what was chosen", () => {
  const cells = [strength("right", "4"), strength("left"), strength("left", "NT")];
  fillNormal(cells);
  assert.deepEqual(cells.map(valueOf), ["4", "5", "NT"]);
});

test("it never fills what has no normal grade", () => {
  const relief = cell("right", grade("none"), grade("relief"), grade("NT"));
  fillNormal([relief]);
  assert.equal(valueOf(relief), "");
});

test("one reason marks what is open as not tested", () => {
  const cells = [strength("right", "4"), strength("left")];
  markUntested(cells, "plaster");
  assert.deepEqual(cells.map(valueOf), ["4", "NT"]);
  assert.deepEqual(cells.map((each) => each.remark.value), ["", "plaster"]);
});

test("a number in any of its fields is no open cell", () => {
  const reading = strength("right");
  reading.numbers.push({ value: " " }, { value: "60" });
  assert.equal(valueOf(reading), "60");
  markUntested([reading], "plaster");
  assert.equal(reading.remark.value, "");
});

test("a key chooses a grade", () => {
  const grades = [grade("1+"), grade("2+", { normal: true }), grade("positive"), grade("NT")];
  assert.equal(gradeFor("1", grades).value, "1+");
  assert.equal(gradeFor("n", grades).value, "2+");
  assert.equal(gradeFor("P", grades).value, "positive");
  assert.equal(gradeFor("x", grades).value, "NT");
  assert.equal(gradeFor("7", grades), null);
  assert.equal(gradeFor("Tab", grades), null);
});

test("up and down stay on one side, and a test without sides lies below both", () => {
  const [c5r, c5l, c6r, c6l, middle] = [strength("right"), strength("left"), strength("right"), strength("left"), strength("")];
  const cells = [c5r, c5l, c6r, c6l, middle];
  assert.equal(neighbour(cells, c5r, 1), c6r);
  assert.equal(neighbour(cells, c6l, -1), c5l);
  assert.equal(neighbour(cells, c6l, 1), middle);
  assert.equal(neighbour(cells, c5r, -1), null);
});
