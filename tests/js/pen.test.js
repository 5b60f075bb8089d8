import assert from "node:assert/strict";
import { test } from "node:test";
import { BEGIN_MS, PEN_NEAR_MS, SECOND_FINGER_MS, createPen } from "../../static/js/draw/pen.js";

/** A pen whose clock is moved by hand; `told` lists what it made of the events. */
function scene() {
  const told = [];
  let now = 0;
  let held = null;
  const say = (word) => (...rest) => told.push([word, ...rest]);
  const names = ["begin", "more", "end", "drop", "pinchBegin", "pinch", "pinchEnd", "pinchDrop", "penSeen"];
  const pen = createPen({
    on: Object.fromEntries(names.map((name) => [name, say(name)])),
    later: (call, ms) => (held = { call, at: now + ms }),
    never: (handle) => { if (held === handle) held = null; },
  });

  function wait(ms) {
    now += ms;
    if (held && held.at <= now) {
      const { call } = held;
      held = null;
      call();
    }
  }

  function event(type, id, x, y, more = {}) {
    const pressure = more.pressure ?? 0.5;
    return { id, type, button: 0, buttons: 1, time: now, eraser: false, points: [{ x, y, pressure, time: now }], ...more };
  }

  const finger = (id) => ({
    down: (x, y) => pen.down(event("touch", id, x, y)),
    move: (x, y) => pen.move(event("touch", id, x, y)),
    up: (x, y) => pen.up(event("touch", id, x, y, { buttons: 0 })),
    cancel: () => pen.cancel(event("touch", id, 0, 0)),
  });
  const tool = (type, id) => ({
    down: (x, y, more) => pen.down(event(type, id, x, y, more)),
    move: (x, y, more) => pen.move(event(type, id, x, y, more)),
    hover: (x, y) => pen.move(event(type, id, x, y, { buttons: 0, pressure: 0 })),
    up: (x, y) => pen.up(event(type, id, x, y, { buttons: 0, pressure: 0 })),
    cancel: () => pen.cancel(event(type, id, 0, 0)),
  });
  return { told, pen, wait, one: finger(1), two: finger(2), three: finger(3), stylus: tool("pen", 9), mouse: tool("mouse", 7) };
}

const words = (told) => told.map(([word]) => word).join(" ");
const lines = (told) => told.filter(([word]) => word === "end").length;
const placesOf = (told, word) => told.filter(([said]) => said === word).flatMap(([, points]) => points.map(({ x, y }) => [x, y]));

test("a mouse draws from the moment it is pressed", () => {
  const { told, mouse } = scene();
  mouse.down(10, 10);
  mouse.move(14, 10);
  mouse.up(18, 10);
  assert.equal(words(told), "begin more more end");
});

test("the other mouse buttons draw nothing", () => {
  const { told, mouse } = scene();
  mouse.down(10, 10, { button: 2, buttons: 2 });
  mouse.move(30, 10, { buttons: 2 });
  mouse.up(30, 10);
  assert.equal(words(told), "");
});

test("a mouse released outside the window ends its line when it comes back", () => {
  const { told, mouse } = scene();
  mouse.down(10, 10);
  mouse.move(40, 10, { buttons: 0 });
  assert.equal(words(told), "begin end");
});

test("a finger draws once it has moved, and nothing of the way is lost", () => {
  const { told, one } = scene();
  one.down(100, 100);
  one.move(104, 100);
  assert.equal(words(told), "");
  one.move(109, 100);
  one.move(120, 100);
  one.up(121, 100);
  assert.equal(words(told), "begin more more end");
  assert.deepEqual(placesOf(told, "begin"), [[100, 100], [104, 100], [109, 100]]);
});

test("a finger that stays draws after a moment", () => {
  const { told, one, wait } = scene();
  one.down(100, 100);
  wait(BEGIN_MS - 1);
  assert.equal(words(told), "");
  wait(1);
  assert.equal(words(told), "begin");
});

test("a quick tap is a dab", () => {
  const { told, one, wait } = scene();
  one.down(100, 100);
  wait(30);
  one.up(100, 100);
  assert.equal(words(told), "begin end");
});

test("short strokes one after the other are all kept", () => {
  const { told, one, two, wait } = scene();
  for (const finger of [one, two, one]) {
    finger.down(50, 50);
    wait(20);
    finger.move(62, 50);
    finger.up(62, 50);
    wait(15);
  }
  assert.equal(lines(told), 3);
});

test("two fingers pinch and leave no line", () => {
  const { told, one, two, wait } = scene();
  one.down(100, 100);
  wait(40);
  two.down(200, 100);
  one.move(80, 100);
  two.move(230, 100);
  one.up(80, 100);
  two.move(300, 300);
  two.up(300, 300);
  assert.equal(lines(told), 0);
  assert.ok(!words(told).includes("begin "));
  assert.equal(words(told), "pinchBegin pinch pinchEnd");
  assert.deepEqual(told[1].slice(1), [[[80, 100], [200, 100]], [[80, 100], [230, 100]]]);
});

test("a second finger just after a line has begun takes the line away and pinches", () => {
  const { told, one, two, wait } = scene();
  one.down(100, 100);
  one.move(110, 100);
  wait(SECOND_FINGER_MS);
  two.down(200, 100);
  one.move(60, 100);
  two.move(240, 100);
  assert.equal(words(told), "begin drop pinchBegin pinch");
});

test("a second finger late in a line is a resting hand and changes nothing", () => {
  const { told, one, two, wait } = scene();
  one.down(100, 100);
  one.move(110, 100);
  wait(SECOND_FINGER_MS + 1);
  two.down(200, 100);
  two.move(220, 130);
  one.move(130, 100);
  one.up(130, 100);
  assert.equal(words(told), "begin more more end");
});

test("a hand left resting does not stop the next line", () => {
  const { told, one, two, three, wait } = scene();
  one.down(100, 100);
  one.move(120, 100);
  wait(400);
  two.down(200, 200);
  one.up(120, 100);
  three.down(50, 50);
  three.move(70, 50);
  three.up(70, 50);
  assert.equal(lines(told), 2);
  assert.ok(!words(told).includes("pinch"));
});

test("after a pinch the finger that stays draws nothing", () => {
  const { told, one, two, wait } = scene();
  one.down(100, 100);
  two.down(200, 100);
  two.up(200, 100);
  one.move(180, 180);
  wait(500);
  one.up(180, 180);
  assert.equal(words(told), "pinchBegin pinchEnd");
});

test("a finger put down again beside the one that stayed pinches again", () => {
  const { told, one, two, three, wait } = scene();
  one.down(100, 100);
  two.down(200, 100);
  two.up(200, 100);
  wait(300);
  three.down(240, 100);
  one.move(60, 100);
  three.move(280, 100);
  assert.equal(words(told), "pinchBegin pinchEnd pinchBegin pinch");
});

test("a finger that touches while the mouse draws changes nothing", () => {
  const { told, one, mouse } = scene();
  mouse.down(10, 10);
  one.down(200, 200);
  one.move(240, 240);
  mouse.up(20, 10);
  assert.equal(words(told), "begin more end");
});

test("two fingers that hardly move do not shift the sheet", () => {
  const { told, one, two } = scene();
  one.down(100, 100);
  two.down(200, 100);
  one.move(104, 103);
  two.move(197, 102);
  assert.equal(words(told), "pinchBegin");
});

test("a hovering pen draws nothing", () => {
  const { told, stylus } = scene();
  stylus.hover(10, 10);
  stylus.hover(60, 60);
  stylus.down(60, 60, { buttons: 0, pressure: 0 });
  assert.equal(words(told), "penSeen");
});

test("a palm that lands before the pen leaves no mark", () => {
  const { told, one, stylus, wait } = scene();
  one.down(400, 400);
  wait(50);
  stylus.down(300, 300);
  stylus.move(320, 300);
  wait(200);
  one.move(410, 410);
  stylus.up(320, 300);
  one.up(410, 410);
  assert.equal(words(told), "penSeen begin more more end");
  assert.deepEqual(placesOf(told, "begin"), [[300, 300]]);
});

test("a palm that was already drawing is thrown away when the pen comes", () => {
  const { told, one, stylus, wait } = scene();
  one.down(400, 400);
  wait(BEGIN_MS);
  one.move(430, 400);
  stylus.down(300, 300);
  stylus.up(300, 300);
  one.move(480, 400);
  one.up(480, 400);
  assert.equal(words(told), "begin more penSeen drop begin more end");
  assert.equal(lines(told), 1);
});

test("a palm that lands while the pen writes does nothing", () => {
  const { told, one, two, stylus, wait } = scene();
  stylus.down(300, 300);
  one.down(400, 400);
  two.down(450, 420);
  wait(300);
  one.move(430, 440);
  two.move(500, 490);
  stylus.move(310, 300);
  stylus.up(310, 300);
  assert.equal(words(told), "penSeen begin more more end");
});

test("the hand that stays on the glass between two strokes of the pen does not pinch", () => {
  const { told, one, two, stylus, wait } = scene();
  stylus.down(300, 300);
  stylus.up(310, 300);
  wait(PEN_NEAR_MS - 1);
  one.down(400, 400);
  two.down(450, 420);
  one.move(430, 440);
  two.move(500, 490);
  assert.equal(words(told), "penSeen begin more end");
});

test("once a pen is seen one finger never draws, however long after", () => {
  const { told, one, stylus, wait } = scene();
  stylus.hover(10, 10);
  wait(60_000);
  one.down(100, 100);
  wait(500);
  one.move(200, 200);
  one.up(200, 200);
  assert.equal(words(told), "penSeen");
});

test("with the pen put aside two fingers still pinch", () => {
  const { told, one, two, stylus, wait } = scene();
  stylus.hover(10, 10);
  wait(PEN_NEAR_MS);
  one.down(100, 100);
  two.down(200, 100);
  one.move(60, 100);
  two.move(240, 100);
  assert.equal(words(told), "penSeen pinchBegin pinch");
});

test("two parts of the palm just before the pen are no pinch: the sheet goes back", () => {
  const { told, one, two, stylus, wait } = scene();
  one.down(400, 400);
  two.down(460, 420);
  one.move(380, 420);
  wait(60);
  stylus.down(300, 300);
  stylus.up(300, 300);
  assert.equal(words(told), "pinchBegin penSeen pinchDrop begin more end");
});

test("fingers draw again when the pen has been put away by the button", () => {
  const { told, pen, one, stylus } = scene();
  stylus.hover(10, 10);
  pen.leavePenMode();
  one.down(100, 100);
  one.move(120, 100);
  one.up(120, 100);
  assert.equal(words(told), "penSeen begin more end");
});

test("the rubber end of a pen rubs out", () => {
  const { told, stylus } = scene();
  stylus.down(300, 300, { buttons: 32, eraser: true });
  stylus.move(310, 300, { buttons: 32, eraser: true });
  stylus.up(310, 300);
  assert.deepEqual(told[1][2], { eraser: true });
  assert.equal(lines(told), 1);
});

test("the pressure of the lifted pen is not taken for a light touch", () => {
  const { told, stylus } = scene();
  stylus.down(300, 300, { pressure: 0.4 });
  stylus.move(310, 300, { pressure: 0.8 });
  stylus.up(312, 300);
  assert.equal(told.at(-2)[1][0].pressure, 0.8);
});

test("a line broken off by the system is kept when it looks finished", () => {
  const { told, one } = scene();
  one.down(100, 100);
  for (let x = 110; x <= 160; x += 10) one.move(x, 100);
  one.cancel();
  assert.equal(words(told).split(" ").at(-1), "end");
});

test("a line broken off at once is dropped", () => {
  const { told, one } = scene();
  one.down(100, 100);
  one.move(110, 100);
  one.cancel();
  assert.equal(words(told), "begin drop");
});

test("a finger taken away before it drew leaves nothing, not even later", () => {
  const { told, one, wait } = scene();
  one.down(100, 100);
  one.cancel();
  wait(1000);
  assert.equal(words(told), "");
});

test("a pinch taken away by the system ends, and the next finger draws", () => {
  const { told, pen, one, two, three } = scene();
  one.down(100, 100);
  two.down(200, 100);
  one.cancel();
  two.cancel();
  three.down(50, 50);
  three.move(70, 50);
  three.up(70, 50);
  assert.equal(words(told), "pinchBegin pinchEnd begin more end");
  assert.equal(pen.isBusy(), false);
});

test("the capture lost after a normal end changes nothing", () => {
  const { told, mouse } = scene();
  mouse.down(10, 10);
  mouse.up(10, 10);
  mouse.cancel();
  assert.equal(lines(told), 1);
});
