/**
 * The page after drawing: wiring only. Reads what is chosen in each [data-area], sends every change at once, and shows
 * the areas anew when some were put together or split.
 *
 * The JSON in #areas-data: {next_seq, urls: {save, areas, board, done}, device, csrf, who, layer}.
 * What it sends: draw/asked.js. What must come back: draw/outbox.js.
 */
import { ASKED, freeCount, sinceSaid } from "./draw/asked_words.js";
import { answersFrom, contradicts, countIn, createAsked, needsWhich, sinceWords } from "./draw/asked.js";
import { uuid4 } from "./draw/record.js";
import { openDevice, startSending } from "./draw/sending.js";
import { nextSeq } from "./draw/waiting.js";
import { SAVING, notKept, whyUnsaved } from "./draw/words.js";

/** Typed words are sent when the typing has rested this long, ms. */
const QUIET_MS = 900;

const body = document.querySelector("[data-areas]");
if (body) open(body, areasDataIn(document));

async function open(body, data) {
  start(body, data, await openDevice(data));
}

function areasDataIn(page) {
  const found = page.getElementById("areas-data");
  return found && JSON.parse(found.textContent);
}

function parsed(text) {
  return new DOMParser().parseFromString(text, "text/html");
}

function start(body, data, device) {
  const find = (name, from = document) => from.querySelector(`[data-${name}]`);
  const all = (name, from = document) => [...from.querySelectorAll(`[data-${name}]`)];
  const later = (call, ms) => setTimeout(call, ms);
  const never = (handle) => clearTimeout(handle);
  const fetchOnly = window.fetch.bind(window);
  /** What happens as soon as everything is stored: going on, or showing the areas anew. */
  // What an earlier page left on the device is not on this one yet: once it is stored the page is read anew.
  let afterwards = device.left.length > 0 ? () => window.location.reload() : null;
  let typing = null;

  const outbox = startSending(data, device, {
    dataIn: (text) => areasDataIn(parsed(text)),
    changed(status) {
      showSaving(status);
      goOnWhenStored();
    },
    refused: showRefused,
  });
  const asked = createAsked({ nextSeq: nextSeq(data, device.left), newId: () => uuid4(crypto), send: outbox.add });

  // ---- what is chosen

  const areas = () => all("area", body);
  const strokesOf = (area) => JSON.parse(area.dataset.strokes);

  function othersOf(area) {
    return Object.fromEntries(areas().filter((each) => each !== area).map((each) => [each.dataset.area, strokesOf(each)]));
  }

  function answersOf(area) {
    const inputs = all("answer", area).filter((input) => input.type === "text" || input.checked);
    const chosen = inputs.map((input) => ({ answer: input.dataset.answer, kind: input.dataset.kind, value: input.value }));
    return answersFrom(chosen, othersOf(area));
  }

  function areaChanged(area) {
    const answers = answersOf(area);
    asked.area(strokesOf(area), answers);
    showAnswered(area, answers);
  }

  function showAnswered(area, answers) {
    for (const group of all("asked", area)) {
      const button = find("clear", group);
      if (!button) continue;
      button.hidden = !group.querySelector("input:checked");
    }
    const remark = find("contradicts", area);
    remark.hidden = !contradicts(answers);
    const which = find("which", area);
    if (which) which.hidden = !needsWhich(answers.link);
    const count = find("count", area);
    if (answers.since) count.textContent = String(countIn(answers.since));
  }

  function takeBack(button) {
    const group = button.closest("[data-asked]");
    for (const input of group.querySelectorAll("input")) input.checked = false;
    areaChanged(button.closest("[data-area]"));
    group.querySelector("input").focus();
  }

  // ---- since when

  function sinceOf(element) {
    const group = element.closest("[data-since]");
    return { group, text: find("answer", group), count: find("count", group) };
  }

  function count(button, step) {
    const { text, count: shown } = sinceOf(button);
    const number = Math.max(1, Number(shown.textContent) + step);
    shown.textContent = String(number);
    const unit = unitIn(button, text.value);
    if (unit) sayNumber(text, number, unit);
  }

  /** The unit that stands in the words already, so that a tap on plus counts it up. */
  function unitIn(button, words) {
    return all("unit", sinceOf(button).group).find(({ dataset }) => new RegExp(`^\\d+ (${dataset.unit}|${dataset.units})$`).test(words.trim()));
  }

  function sayNumber(text, number, unit) {
    text.value = sinceWords(number, unit.dataset.unit, unit.dataset.units);
    areaChanged(text.closest("[data-area]"));
    say(sinceSaid(text.value));
  }

  function unitChosen(button) {
    const { text, count: shown } = sinceOf(button);
    sayNumber(text, Number(shown.textContent), button);
  }

  // ---- together, apart

  function regroup(strokes, together) {
    typedNow();
    asked.group(strokes, together);
    for (const button of [...all("apart", body), ...all("merge", body)]) button.disabled = true;
    say(ASKED.parting);
    afterwards = () => showAnew(together);
    goOnWhenStored();
  }

  const ticked = (host) => [...host.querySelectorAll("input:checked")];

  function merge() {
    const numbers = ticked(find("together", body)).map(({ value }) => value);
    regroup(numbers.flatMap((number) => strokesOf(body.querySelector(`[data-area="${number}"]`))), true);
  }

  function split(button) {
    regroup(ticked(button.closest("[data-split]")).flatMap(({ dataset }) => JSON.parse(dataset.piece)), false);
  }

  function choosable(host) {
    const chosen = ticked(host).length;
    const button = find("merge", host) ?? find("apart", host);
    button.disabled = find("merge", host) ? chosen < 2 : chosen === 0 || chosen === host.querySelectorAll("input").length;
  }

  /** The same page, fetched again: what the server makes of the areas now. */
  async function showAnew(together) {
    const before = areas().length;
    const page = await fetchOnly(window.location.href, { credentials: "same-origin" }).then((answer) => answer.text(), () => "");
    const fresh = parsed(page).querySelector("[data-areas]");
    if (!fresh) return say(ASKED.elsewhere);
    body.replaceChildren(...fresh.childNodes);
    asked.passSeq(areasDataIn(document).next_seq);
    ready();
    say(areas().length === before ? ASKED.same : together ? ASKED.together : ASKED.apart);
    body.querySelector(".area h2")?.focus();
  }

  // ---- nothing here

  function cleared() {
    const parts = all("part", body).filter((input) => input.checked).map(({ dataset }) => dataset.part);
    asked.cleared(parts);
    return parts.length;
  }

  function tickAll() {
    for (const input of all("part", body)) input.checked = true;
    say(freeCount(cleared()));
  }

  // ---- saving and leaving

  function say(words) {
    find("told").textContent = words;
  }

  function showSaving({ state, at, why }) {
    const time = at?.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
    find("saving").dataset.saving = state;
    find("saving-words").textContent = (ASKED[state] ?? SAVING[state])(time);
    const isUnsent = state === "unsaved" || state === "kept";
    find("why").textContent = isUnsent ? whyUnsaved(why, data.who) : "";
    for (const button of all("retry")) button.hidden = !isUnsent;
  }

  function showRefused(refusals) {
    find("refused-words").textContent = notKept(refusals.map(({ why }) => why));
    find("refused").hidden = false;
  }

  function goOnWhenStored() {
    if (!afterwards || outbox.waiting() > 0) return;
    const next = afterwards;
    afterwards = null;
    next();
  }

  function leave(url) {
    typedNow();
    afterwards = () => window.location.assign(url);
    if (outbox.waiting() > 0) {
      find("ask-wait").showModal();
      outbox.retry();
    }
    goOnWhenStored();
  }

  function stay() {
    afterwards = null;
    find("ask-wait").close();
  }

  /** What was typed a moment ago counts too. */
  function typedNow() {
    never(typing);
    for (const area of areas()) areaChanged(area);
  }

  // ---- wiring

  /** What stands on the page is known on the server: only what differs from it is sent. */
  function ready() {
    for (const area of areas()) {
      const answers = answersOf(area);
      asked.know(strokesOf(area), answers);
      showAnswered(area, answers);
    }
  }

  const presses = {
    clear: takeBack,
    fewer: (button) => count(button, -1),
    "one-more": (button) => count(button, 1),
    unit: unitChosen,
    merge,
    apart: split,
    "all-free": tickAll,
    go: (button) => leave(button.dataset.go),
    retry: outbox.retry,
    stay,
    "refused-seen": () => { find("refused").hidden = true; },
  };

  document.addEventListener("click", (event) => {
    for (const [name, press] of Object.entries(presses)) {
      const button = event.target.closest(`[data-${name}]`);
      if (button) press(button);
    }
  });
  body.addEventListener("change", ({ target }) => {
    if (target.matches("[data-part]")) cleared();
    else if (target.closest("[data-split], [data-together]")) choosable(target.closest("[data-split], [data-together]"));
    else if (target.matches("[data-answer]")) areaChanged(target.closest("[data-area]"));
  });
  body.addEventListener("input", ({ target }) => {
    if (target.type !== "text") return;
    never(typing);
    typing = later(() => areaChanged(target.closest("[data-area]")), QUIET_MS);
  });
  find("ask-wait").addEventListener("cancel", stay);
  // Before the outbox flushes: what was typed a moment ago goes along.
  window.addEventListener("pagehide", typedNow, { capture: true });
  ready();
}
