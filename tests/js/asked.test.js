import assert from "node:assert/strict";
import { test } from "node:test";
import { answersFrom, contradicts, countIn, createAsked, sinceWords } from "../../static/js/draw/asked.js";

function scene(nextSeq = 5) {
  const sent = [];
  let next = 0;
  const asked = createAsked({ nextSeq, newId: () => `id-${++next}`, send: (event) => sent.push(event) });
  return { asked, sent };
}

const one = (answer, value, kind) => ({ answer, value, kind });
const nothing = answersFrom([], {});

test("every change is the whole set, with the next number", () => {
  const { asked, sent } = scene();
  asked.area(["a", "b"], { ...nothing, least: 2 });
  asked.area(["a", "b"], { ...nothing, least: 2, most: 9 });
  assert.deepEqual(sent.map(({ type, seq, id }) => [type, seq, id]), [["area", 5, "id-1"], ["area", 6, "id-2"]]);
  assert.deepEqual(sent[1].answers, { ...nothing, least: 2, most: 9 });
  assert.deepEqual(sent[1].strokes, ["a", "b"]);
});

test("what is the same as before is not sent again", () => {
  const { asked, sent } = scene();
  asked.know(["a"], nothing);
  asked.area(["a"], nothing);
  asked.cleared([]);
  asked.cleared([]);
  asked.area(["a"], { ...nothing, depth: "deep" });
  asked.area(["a"], nothing);
  assert.deepEqual(sent.map(({ type }) => type), ["cleared", "area", "area"]);
});

test("an area that was made anew is told again: other strokes, another event", () => {
  const { asked, sent } = scene();
  asked.area(["a"], { ...nothing, depth: "deep" });
  asked.area(["a", "b"], { ...nothing, depth: "deep" });
  assert.equal(sent.length, 2);
});

test("a page shown anew never goes back to numbers that were used", () => {
  const { asked, sent } = scene(5);
  asked.group(["a"], false);
  asked.passSeq(20);
  asked.group(["a", "b"], true);
  asked.passSeq(3);
  asked.cleared(["neck"]);
  assert.deepEqual(sent.map(({ seq }) => seq), [5, 20, 21]);
});

test("answers from what is chosen, with nothing where nothing is", () => {
  const chosen = [one("now", "0", "ache"), one("now", "7", "burning"), one("most", "10"), one("since", " 3 weeks ")];
  assert.deepEqual(answersFrom(chosen, {}), {
    now: { ache: 0, burning: 7 }, least: null, most: 10, course: "", depth: "", since: "3 weeks", link: "", link_to: [],
  });
});

test("a link names the other area: the only one, or the one that was chosen", () => {
  const link = (chosen, others) => answersFrom(chosen, others).link_to;
  assert.deepEqual(link([one("link", "after")], { 2: ["x", "y"] }), ["x", "y"]);
  assert.deepEqual(link([one("link", "after")], { 2: ["x"], 3: ["z"] }), []);
  assert.deepEqual(link([one("link", "after"), one("which", "3")], { 2: ["x"], 3: ["z"] }), ["z"]);
  assert.deepEqual(link([one("link", "alone"), one("which", "3")], { 2: ["x"], 3: ["z"] }), []);
});

test("numbers that contradict each other", () => {
  const is = (least, now, most) => contradicts({ least, now, most });
  assert.equal(is(2, { ache: 6 }, 8), false);
  assert.equal(is(6, { ache: 6 }, 6), false);
  assert.equal(is(7, { ache: 6 }, 8), true);
  assert.equal(is(null, { ache: 9 }, 8), true);
  assert.equal(is(5, { ache: 2, burning: 6 }, null), false);
  assert.equal(is(7, {}, 3), true);
  assert.equal(is(null, {}, null), false);
});

test("since when, counted", () => {
  assert.equal(sinceWords(1, "week", "weeks"), "1 week");
  assert.equal(sinceWords(3, "week", "weeks"), "3 weeks");
  assert.deepEqual(["12 years", "about 3 days", "", "0 days"].map(countIn), [12, 1, 1, 1]);
});
