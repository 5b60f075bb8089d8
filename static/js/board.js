/**
 * The drawing board: wiring only. Finds [data-board], reads the page's JSON, connects the parts.
 *
 * The JSON in #board-data (lengths in figure mm, 1,000 x 1,700 a view, y down):
 *   figure      {front: {width, height, midline_x, outline: "M..Z", relief: url}, back: {...}}
 *   kinds       what this layer can show; all_kinds: what any can: [{id, label, patient_words, colour, ink,
 *               texture: {tile: [w, h], lines, width, dots}}]
 *   strokes     every stored stroke, withdrawn ones too: {id, seq, view, kind, mode, nib_mm, points, region, layer, own}
 *   withdrawals [{id, seq, strokes: [ids], restores, own}]
 *   answer      {intensities: {kind: 0..10}, no_pain}
 *   next_seq    the first free number
 *   limits      {strokes_per_visit, points_per_stroke, points_per_visit, smallest_nib_mm, largest_nib_mm}
 *   body        {parts: as regions.js has them, places: [{id, label, boxes: {view: [left, top, right, bottom]}}]}
 *   urls        {save, areas, board, done, words, ...}; device: what may be kept on it
 *   csrf, who ("patient" or "staff"), layer ("patient", "helper" or "clinician"), heading
 *   words?       {hint: text}: hints in other words than those of words.js
 * What it sends to urls.save: {"events": [...]} as record.js lists them; what must come back: outbox.js.
 */
import { createAim } from "./draw/aim.js";
import { connectButtons } from "./draw/buttons.js";
import { createControls } from "./draw/controls.js";
import { createFigure } from "./draw/figure.js";
import { createFinish } from "./draw/finish.js";
import { createHand } from "./draw/hand.js";
import { createInk } from "./draw/ink.js";
import { createLabels } from "./draw/labels.js";
import { createList } from "./draw/list.js";
import { createPen } from "./draw/pen.js";
import { createPreferences } from "./draw/preferences.js";
import { createRecord, uuid4 } from "./draw/record.js";
import { answerWithoutConnection, openDevice, startSending } from "./draw/sending.js";
import { createTelling } from "./draw/telling.js";
import { createViewport } from "./draw/viewport.js";
import { withWaiting } from "./draw/waiting.js";
import { onSheet, toScreen } from "./draw/coordinates.js";
import { listen, listenToWheel } from "./draw/surface.js";
import { listenToKeys } from "./draw/keys.js";

/** Paper kept free around the figures: the words stand in the top strip, hints in the bottom one. */
const ROOM = { top: 48, right: 12, bottom: 16, left: 12 };
/** More device pixels than this per CSS pixel cost time and are not seen. */
const MOST_PIXELS = 2;
/** Ink is painted sharp again this long after the sheet has come to rest, ms. */
const SHARPEN_MS = 120;

const root = document.querySelector("[data-board]");
if (root) openBoard(root, JSON.parse(document.getElementById("board-data").textContent));

/** What an earlier page of this board left on the device is drawn and sent with the rest. */
async function openBoard(root, data) {
  if (data.who === "patient") answerWithoutConnection();
  const device = await openDevice(data);
  startBoard(root, withWaiting(data, device.left), device);
}

/** The data in the text of a board page; nothing when it is another page. */
function boardDataIn(text) {
  const found = new DOMParser().parseFromString(text, "text/html").getElementById("board-data");
  return found && JSON.parse(found.textContent);
}

function startBoard(root, data, device) {
  const stage = root.querySelector("[data-stage]");
  const layer = (name) => root.querySelector(`[data-layer=${name}]`);
  const later = (call, ms) => setTimeout(call, ms);
  const never = (handle) => clearTimeout(handle);
  const colours = coloursOf(root);
  const fetchOnly = window.fetch.bind(window);
  let looking = null;

  const outbox = startSending(data, device, {
    dataIn: boardDataIn,
    changed: savingChanged,
    refused(refusals) {
      controls.showRefused(refusals);
      record.refuse(refusals.map(({ id }) => id));
    },
  });
  const record = createRecord({ data, newId: () => uuid4(crypto), send: outbox.add, changed: recordChanged });
  const preferences = createPreferences(() => window.sessionStorage);
  const controls = createControls(root, { data, record, preferences });
  const telling = createTelling({
    fetchWords: () => jsonAt(data.urls.words, fetchOnly), later, never, tell: controls.tell, own: controls.summary,
  });
  const finish = createFinish(controls, { isEmpty, outbox, go: () => window.location.assign(whereNext(data, record)) });
  const list = createList(controls.find("list"), { controls, record, body: data.body, kinds: data.kinds, limits: data.limits });
  const ink = createInk({
    canvas: layer("ink"), below: layer("others"), overlay: layer("loop"), kinds: data.all_kinds, others: record.others(), colours,
  });
  const figure = createFigure({ below: layer("body"), above: layer("paper"), figure: data.figure, colours, loaded: repaint });
  const labels = createLabels(stage, data.layer);
  const viewport = createViewport({ figure: data.figure, changed: look });
  const aim = createAim({ viewport, record, body: data.body, limits: data.limits, say: controls.say });
  const hand = createHand({
    tools: controls.tools,
    viewport,
    record,
    ink,
    aim,
    limits: data.limits,
    touchesBody: figure.touchesBody,
    say: controls.say,
    wantsFrame: oncePerFrame(() => hand.paint()),
  });
  const pen = createPen({
    later,
    never,
    fingerMoves: () => preferences.isOther("finger"),
    on: {
      begin(points, how) {
        sharpen.now();
        hand.begin(points, how);
      },
      more: hand.more,
      end: hand.end,
      drop: hand.drop,
      pinchBegin: viewport.pinchBegin,
      pinch: viewport.pinch,
      pinchEnd: viewport.pinchEnd,
      pinchDrop: viewport.pinchDrop,
      palmBefore: hand.takeBack,
      twoFingerTap: () => record.undo() && controls.say("two-fingers"),
      penSeen() {
        controls.find("pen-mode").toggleAttribute("data-off", false);
        controls.say("pen");
      },
    },
  });

  /** Nothing that the next page could ask about, and nobody said that there is no pain. */
  function isEmpty() {
    return data.layer === "clinician" ? record.kindsUsed().length === 0 : !record.hasPain() && !record.hasNoPain();
  }

  function savingChanged(status) {
    controls.showSaving(status);
    finish.stored();
    if (status.state === "saved" && status.waiting === 0) telling.stored();
  }

  function recordChanged({ added }) {
    if (!added) repaint();
    if (looking) labels.placeSpots(record.spots(), looking);
    controls.refresh();
    list.refresh();
    telling.changed();
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
  const sharpen = afterRest(() => ink.repaint(record.own(), looking.camera, looking.sheet), SHARPEN_MS);

  function paint(now) {
    figure.paint(now.camera, now.sheet);
    labels.placeWords(now);
    labels.placeSpots(record.spots(), now);
    tellPlace(stage, now.camera, now.sheet);
    if (now.settled) return ink.repaint(record.own(), now.camera, now.sheet);
    ink.move(now.camera);
    sharpen.soon();
  }

  function resize() {
    const { clientWidth: width, clientHeight: height } = stage;
    if (width === 0 || height === 0) return;
    const ratio = Math.min(MOST_PIXELS, window.devicePixelRatio);
    figure.resize(width, height, ratio);
    ink.resize(width, height, ratio);
    labels.measure();
    viewport.resize({ width, height, room: ROOM });
    controls.paintSwatches();
    controls.refresh();
  }

  connectButtons(controls, { record, viewport, outbox, finish, pen, list, preferences, places: data.body.places });
  controls.showPreferences();
  controls.tell(controls.summary());
  root.addEventListener("change", controls.chosen);
  listen(stage, pen);
  listenToWheel(stage, { zoom: viewport.zoomAt, pan: viewport.pan });
  listenToKeys(root, stage, { viewport, record });
  new ResizeObserver(resize).observe(stage);
  document.fonts.ready.then(resize);
}

/** After drawing: what each area is like, where there is any; else straight out. */
function whereNext({ layer, urls }, record) {
  return layer !== "clinician" && record.hasPain() ? urls.areas : urls.done;
}

async function jsonAt(url, fetch) {
  const answer = await fetch(url, { credentials: "same-origin", redirect: "manual", headers: { Accept: "application/json" } });
  if (!answer.ok) throw new Error(`no words: ${answer.status}`);
  return answer.json();
}

function coloursOf(root) {
  const style = getComputedStyle(root);
  const read = (name) => style.getPropertyValue(name).trim();
  return { paper: read("--paper"), body: read("--sheet"), ink: read("--ink"), soft: read("--ink-soft"), outline: read("--line-strong") };
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

/** Call once `ms` after the last time it was asked for; now() does not wait where it is due. */
function afterRest(call, ms) {
  let timer = null;
  function now() {
    if (timer === null) return;
    clearTimeout(timer);
    timer = null;
    call();
  }
  return {
    now,
    soon() {
      clearTimeout(timer);
      timer = setTimeout(now, ms);
    },
  };
}
