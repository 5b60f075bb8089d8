// Numbers stepped with a thumb, and needles that differ.
import assert from "node:assert/strict";
import { test } from "node:test";
import { clockOf, saidOfNeedles, stepped } from "../../static/js/treatment.js";

test("a number goes up and down and stays within its ends", () => {
  assert.equal(stepped("4", 1, 1, 120), 5);
  assert.equal(stepped("1", -1, 1, 120), 1);
  assert.equal(stepped("120", 1, 1, 120), 120);
});

test("an empty field begins at one, or at its least", () => {
  assert.equal(stepped("", 1, 1, 40), 1);
  assert.equal(stepped("", 1, 0, 40), 1);
  assert.equal(stepped("much", -1, 0, 40), 0);
});

test("needles differ only when both are counted", () => {
  assert.equal(saidOfNeedles("3", "").differ, false);
  assert.equal(saidOfNeedles("3", "03").differ, false);
  assert.equal(saidOfNeedles("3", "2").differ, true);
  assert.match(saidOfNeedles("3", "2").words, /3 in, 2 out\. They differ/);
  assert.match(saidOfNeedles("3", "3").words, /as many out as in/);
});

test("the clock has two figures each for hours and minutes", () => {
  assert.equal(clockOf(new Date(2026, 4, 4, 9, 5)), "09:05");
  assert.equal(clockOf(new Date(2026, 4, 4, 23, 59)), "23:59");
});
