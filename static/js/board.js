/**
 * The drawing board: wiring only. Finds [data-board], reads the page's JSON, connects the parts.
 *
 * The JSON in #board-data (lengths in figure mm, 1,000 x 1,700 a view, y down):
 *   figure      {front: {width, height, midline_x, outline: "M..Z", relief: url}, back: {...}}
 *   kinds       [{id, label, patient_words, colour, ink, texture: {tile: [w, h], lines, width, dots}}]
 *   strokes     every stored stroke, withdrawn ones too: {id, seq, view, kind, mode, nib_mm, points, drawn_by}
 *   withdrawals [{id, seq, strokes: [ids], restores}]
 *   answer      {intensities: {kind: 0..10}, no_pain}
 *   next_seq    the first free number
 *   limits      {strokes_per_visit, points_per_stroke, points_per_visit, smallest_nib_mm, largest_nib_mm}
 *   urls        {save, done}
 *   csrf, who ("patient", "helper" or "clinician"), heading
 * What it sends to urls.save: {"events": [...]} as record.js lists them; what must come back: outbox.js.
 */
import { createControls } from "./draw/controls.js";
import { createFigure, placeWords } from "./draw/figure.js";
import { createFinish } from "./draw/finish.js";
import { createHand } from "./draw/hand.js";
import { createInk } from "./draw/ink.js";
import { createOutbox, overHttp, tokenOfPage } from "./draw/outbox.js";
import { createPen } from "./draw/pen.js";
import { createRecord, uuid4 } from "./draw/record.js";
import { createViewport } from "./draw/viewport.js";
import { onSheet, toScreen } from "./draw/coordinates.js";
import { listen, listenToWheel } from "./draw/surface.js";
import { listenToKeys } from "./draw/keys.js";
import { SIDES, VIEW_NAMES } from "./draw/words.js";

/** Paper kept free around the figures: the words stand in the top strip, hints in the bottom one. */
const ROOM = { top: 48, right: 12, bottom: 16, left: 12 };
/** More device pixels than this per CSS pixel cost time and are not seen. */
const MOST_PIXELS = 2;
/** Ink is painted sharp again this long after the sheet has come to rest, ms. */
const SHARPEN_MS = 120;

const root = document.querySelector("[data-board]");
if (root) startBoard(root, JSON.parse(document.getElementById("board-data").textContent));

/** The data in the text of a board page; nothing when it is another page. */
function boardDataIn(text) {
  const found = new DOMParser().parseFromString(text, "text/html").getElementById("board-data");
  return found && JSON.parse(found.textContent);
}

function startBoard(root, data) {
  const stage = root.querySelector("[data-stage]");
  const layer = (name) => root.querySelector(`[data-layer=${name}]`);
  const later = (call, ms) => setTimeout(call, ms);
  const never = (handle) => clearTimeout(handle);
  const colours = coloursOf(root);
  const words = makeWords(stage, data.who);
  const fetchOnly = window.fetch.bind(window);
  let looking = null;

  const outbox = createOutbox({
    transport: overHttp({
      url: data.urls.save,
      csrf: data.csrf,
      fetch: fetchOnly,
      AbortController,
      later,
      never,
      renew: () => tokenOfPage(fetchOnly, window.location.pathname, boardDataIn),
    }),
    later,
    never,
    clock: () => new Date(),
    changed(status) {
      controls.showSaving(status);
      finish.stored();
    },
    refused(refusals) {
      controls.showRefused(refusals);
      record.refuse(refusals.map(({ id }) => id));
    },
  });
  const record = createRecord({ data, newId: () => uuid4(crypto), send: outbox.add, changed: recordChanged });
  const controls = createControls(root, { kinds: data.kinds, record, who: data.who });
  const finish = createFinish(controls, { record, outbox, go: () => window.location.assign(data.urls.done) });
  const ink = createInk({ canvas: layer("ink"), overlay: layer("loop"), kinds: data.kinds, colours });
  const figure = createFigure({ below: layer("body"), above: layer("paper"), figure: data.figure, colours, loaded: repaint });
  const viewport = createViewport({ figure: data.figure, changed: look });
  const hand = createHand({
    tools: controls.tools,
    viewport,
    record,
    ink,
    limits: data.limits,
    touchesBody: figure.touchesBody,
    say: controls.say,
    wantsFrame: oncePerFrame(() => hand.paint()),
  });
  const pen = createPen({
    later,
    never,
    on: {
      begin: hand.begin,
      more: hand.more,
      end: hand.end,
      drop: hand.drop,
      pinchBegin: viewport.pinchBegin,
      pinch: viewport.pinch,
      pinchEnd: viewport.pinchEnd,
      pinchDrop: viewport.pinchDrop,
      penSeen() {
        controls.find("finger").hidden = false;
        controls.say("pen");
      },
    },
  });

  function recordChanged({ added }) {
    if (!added) repaint();
    controls.refresh();
  }

  function repaint() {
    if (looking) paint(looking);
  }

  function look(next) {
    looking = next;
    paintSoon();
  }

  const paintSoon = oncePerFrame(() => {
    paint(looking);
    controls.showLooking(looking);
  });
  const sharpenSoon = afterRest(() => ink.repaint(record.strokes(), looking.camera, looking.sheet), SHARPEN_MS);

  function paint({ camera, sheet, stage: size, settled }) {
    figure.paint(camera, sheet);
    placeWords(words, camera, sheet, size);
    tellPlace(stage, camera, sheet);
    if (settled) return ink.repaint(record.strokes(), camera, sheet);
    ink.move(camera);
    sharpenSoon();
  }

  function resize() {
    const { clientWidth: width, clientHeight: height } = stage;
    if (width === 0 || height === 0) return;
    const ratio = Math.min(MOST_PIXELS, window.devicePixelRatio);
    figure.resize(width, height, ratio);
    ink.resize(width, height, ratio);
    viewport.resize({ width, height, room: ROOM });
    controls.paintSwatches();
    controls.refresh();
  }

  connectButtons(controls, { record, viewport, outbox, finish, pen });
  root.addEventListener("change", controls.chosen);
  listen(stage, pen);
  listenToWheel(stage, { zoom: viewport.zoomAt, pan: viewport.pan });
  listenToKeys(root, stage, { viewport, record });
  window.addEventListener("online", outbox.retry);
  window.addEventListener("pagehide", outbox.flush);
  window.addEventListener("beforeunload", (event) => {
    if (outbox.waiting() > 0) event.preventDefault();
  });
  new ResizeObserver(resize).observe(stage);
}

/** What each button of the templates does. */
function connectButtons(controls, { record, viewport, outbox, finish, pen }) {
  function press(name, action) {
    for (const button of controls.all(name)) button.addEventListener("click", () => action(button));
  }

  press("undo", () => { controls.say(""); record.undo(); });
  press("redo", () => { controls.say(""); record.redo(); });
  press("clear", () => record.clear() && controls.say("cleared"));
  press("closer-button", viewport.closer);
  press("farther", viewport.farther);
  press("whole", viewport.whole);
  press("turn", (button) => viewport.turnTo(button.dataset.turn));
  press("step", (button) => viewport.step(button.dataset.step));
  press("retry", outbox.retry);
  press("done", finish.ask);
  press("refused-seen", () => { controls.find("refused").hidden = true; });
  press("no-pain", () => {
    if (!record.setNoPain(!record.hasNoPain())) controls.find("ask-no-pain").showModal();
  });
  press("clear-no-pain", () => {
    controls.find("ask-no-pain").close();
    record.clear();
    if (!record.setNoPain(true)) controls.say("others");
  });
  press("keep-drawing", () => controls.find("ask-no-pain").close());
  press("finger", (button) => {
    pen.leavePenMode();
    button.hidden = true;
    controls.say("finger");
  });
}

function coloursOf(root) {
  const style = getComputedStyle(root);
  const read = (name) => style.getPropertyValue(name).trim();
  return { paper: read("--paper"), body: read("--sheet"), ink: read("--ink"), soft: read("--ink-soft"), outline: read("--line-strong") };
}

function makeWords(stage, who) {
  const sides = who === "patient" ? SIDES.patient : SIDES.others;
  return ["front", "back"].flatMap((view) => ["", "left", "right"].map((side) => {
    const element = document.createElement("span");
    element.className = side === "" ? "board-view" : "board-side";
    element.textContent = side === "" ? VIEW_NAMES[view] : sides[side];
    stage.append(element);
    return { view, side, element };
  }));
}

/** Where the figures are, for anyone who must point at them: px = mm * scale + [x, y], from the stage's corner. */
function tellPlace(stage, camera, sheet) {
  for (const view of ["front", "back"]) {
    const [x, y] = toScreen(camera, onSheet(sheet, view, [0, 0]));
    stage.dataset[view] = [camera.scale, x, y].map((value) => value.toFixed(4)).join(" ");
  }
}

function oncePerFrame(call) {
  let asked = false;
  return () => {
    if (asked) return;
    asked = true;
    requestAnimationFrame(() => {
      asked = false;
      call();
    });
  };
}

function afterRest(call, ms) {
  let timer = null;
  return () => {
    clearTimeout(timer);
    timer = setTimeout(call, ms);
  };
}
