import assert from "node:assert/strict";
import { test } from "node:test";
import { setsOf } from "../../static/js/muscles.js";
import { RETRY_MS, createSender, waitingWords } from "../../static/js/muscles_sending.js";

/** A server that answers when it is told to; `form` is any object. */
function scene({ tell = () => "saved" } = {}) {
  const said = [];
  const asked = [];
  let timers = [];
  const sender = createSender({
    send: (form) => new Promise((answer, fail) => asked.push({ form, answer, fail })),
    tell,
    say: (words) => said.push(words),
    wait(call, ms) { const timer = { call, ms }; timers.push(timer); return timer; },
    drop(timer) { timers = timers.filter((each) => each !== timer); },
  });
  const run = (ms) => {
    const due = timers.filter((timer) => timer.ms === ms);
    timers = timers.filter((timer) => timer.ms !== ms);
    for (const { call } of due) call();
  };
  const settle = () => new Promise((done) => setImmediate(done));
  return { sender, said, asked, run, settle };
}

test("what changes while a muscle is on its way is sent after it, and nothing is left waiting", async () => {
  const { sender, asked, run, settle } = scene();
  sender.changed("one");
  run(0);
  sender.changed("one");
  sender.changed("two");
  run(0);
  asked[0].answer({ status: 200, said: {} });
  await settle();
  asked[1].answer({ status: 200, said: {} });
  await settle();
  asked[2].answer({ status: 200, said: {} });
  await settle();
  assert.deepEqual(asked.map(({ form }) => form), ["one", "one", "two"]);
  assert.equal(sender.isBusy, false);
});

test("without a connection everything stays and is tried again", async () => {
  const { sender, said, asked, run, settle } = scene();
  sender.changed("one");
  run(0);
  asked[0].fail(new Error("offline"));
  await settle();
  assert.equal(said.at(-1), waitingWords(1));
  assert.equal(sender.count, 1);
  run(RETRY_MS);
  asked[1].answer({ status: 200, said: {} });
  await settle();
  assert.equal(sender.isBusy, false);
});

test("flush waits for what is on its way and says whether everything is saved", async () => {
  const { sender, asked, run, settle } = scene();
  sender.changed("one");
  run(0);
  sender.changed("two");
  const flushed = sender.flush();
  asked[0].answer({ status: 200, said: {} });
  await settle();
  asked[1].fail(new Error("offline"));
  assert.equal(await flushed, false);
});

test("a muscle that waits for somebody to decide is not sent again by itself", async () => {
  const { sender, asked, run, settle } = scene({ tell: () => "stays" });
  sender.changed("one");
  run(0);
  asked[0].answer({ status: 409, said: {} });
  await settle();
  assert.equal(asked.length, 1);
  assert.equal(sender.isBusy, false);
});

test("a result of one tap is read sign by sign", () => {
  assert.deepEqual(setsOf("band=yes spot=no"), { band: "yes", spot: "no" });
});
