/**
 * The list of regions: the same marks as drawing makes, by taps, keys or ears. A tick marks a region with the kind
 * chosen, an unticked box takes the mark away; ticks follow the record, so Undo unticks too. Made when first opened.
 */
import { keyOf, markedBy, regionAt, regionsOf, spotIn, strokeOf } from "./regions.js";
import { roomLeft } from "./stroke.js";
import { VIEW_NAMES, countMarked, marked, unmarked, worstAt } from "./words.js";

/** A worst spot this near to a region is in it, mm. */
const NEAR_MM = 12;

/** controls: find, tools, chooseKind; kinds: data; body, limits: of the page. */
export function createList(dialog, { controls, record, body, kinds, limits }) {
  const find = (name) => dialog.querySelector(`[data-${name}]`);
  const labelOf = (id) => kinds.find((kind) => kind.id === id).label;
  const regions = regionsOf(body);
  const radios = [...dialog.querySelectorAll("input[name=list-kind]")];
  const worst = find("list-worst");
  let rows = null;
  let parts = null;

  const kind = () => controls.tools().kind;
  const say = (text) => { find("list-said").textContent = text; };

  function open() {
    if (!rows) make();
    say("");
    dialog.showModal();
    refresh();
  }

  function make() {
    const made = body.parts.map(makePart);
    find("list-parts").append(...made.map(({ element }) => element));
    parts = made;
    rows = made.flatMap((part) => part.rows);
  }

  function makePart(part) {
    const element = document.createElement("details");
    element.dataset.part = part.key;
    const count = textOf("span", "", "list-count");
    const summary = document.createElement("summary");
    summary.append(textOf("span", part.label), " ", count);
    element.append(summary);
    const groups = ["front", "back"].map((view) => makeView(part, view)).filter(Boolean);
    element.append(...groups.map((group) => group.element));
    return { part, element, count, rows: groups.flatMap((group) => group.rows) };
  }

  function makeView(part, view) {
    const here = part.regions.filter((region) => region.view === view);
    if (here.length === 0) return null;
    const element = document.createElement("fieldset");
    element.append(textOf("legend", VIEW_NAMES[view]));
    const made = here.map(makeRow);
    element.append(...made.map((row) => row.element));
    return { element, rows: made };
  }

  function makeRow(region) {
    const element = document.createElement("label");
    element.className = "list-row";
    const input = document.createElement("input");
    input.type = "checkbox";
    input.autocomplete = "off";
    input.value = keyOf(region);
    input.addEventListener("change", () => tick(region, input));
    const others = textOf("span", "", "soft");
    const words = textOf("span", region.words);
    words.append(" ", others);
    element.append(input, words);
    return { region, element, input, others };
  }

  function tick(region, input) {
    if (!kind()) {
      input.checked = false;
      return say(controls.hintText("choose"));
    }
    if (input.checked) mark(region);
    else if (record.takeAway(markedBy(record.own(), region, kind()))) say(unmarked(labelOf(kind()), region.words));
    refresh();
  }

  function mark(region) {
    if (region.ring.length > roomLeft(record.everDrawn(), limits)) return say(controls.hintText("full"));
    record.keep(strokeOf(region, kind()), { inked: false });
    say(marked(labelOf(kind()), region.words));
  }

  /** Bring ticks, counts and the worst spot in line with the record. */
  function refresh() {
    if (!dialog.open) return;
    const own = record.own();
    for (const radio of radios) radio.checked = radio.value === kind();
    for (const row of rows) showRow(row, own);
    for (const part of parts) part.count.textContent = countMarked(part.rows.filter(({ region }) => markedBy(own, region).length > 0).length);
    if (worst) showWorst(own);
  }

  function showRow({ region, input, others }, own) {
    const found = [...new Set(own.filter((stroke) => stroke.region === keyOf(region)).map((stroke) => stroke.kind))];
    input.checked = found.includes(kind());
    others.textContent = found.filter((id) => id !== kind()).map(labelOf).join(", ");
  }

  function showWorst(own) {
    const spot = ownSpot();
    const there = spot && regionAt(body, spot.view, spot.points[0], NEAR_MM);
    const choices = regions.filter((region) => region === there || markedBy(own, region).length > 0);
    worst.replaceChildren(option("", "not said"), ...choices.map((region) => option(keyOf(region), region.words)));
    worst.value = there ? keyOf(there) : "";
    worst.disabled = choices.length === 0;
  }

  const ownSpot = () => record.spots().find((spot) => spot.own !== false);

  function chooseWorst() {
    const region = regions.find((each) => keyOf(each) === worst.value);
    if (region) record.keep(spotIn(region));
    else record.takeAway(record.own().filter(({ mode }) => mode === "spot").map(({ id }) => id));
    say(worstAt(region?.words));
  }

  /** Only the parts in whose words it is found; opened when one of their regions is meant. */
  function seek(text) {
    const wanted = text.trim().toLowerCase();
    for (const { part, element, rows: own } of parts) {
      const inside = wanted !== "" && own.filter(({ region }) => region.words.toLowerCase().includes(wanted)).length > 0;
      element.hidden = wanted !== "" && !inside && !part.label.toLowerCase().includes(wanted);
      if (wanted !== "") element.open = inside;
    }
    find("list-none").hidden = parts.some(({ element }) => !element.hidden);
  }

  for (const radio of radios) radio.addEventListener("change", () => { controls.chooseKind(radio.value); say(""); refresh(); });
  worst?.addEventListener("change", chooseWorst);
  find("list-find").addEventListener("input", (event) => seek(event.target.value));
  find("list-close").addEventListener("click", () => dialog.close());

  return { open, refresh };
}

function textOf(tag, text, className = "") {
  const element = document.createElement(tag);
  element.textContent = text;
  if (className) element.className = className;
  return element;
}

function option(value, text) {
  const element = textOf("option", text);
  element.value = value;
  return element;
}
