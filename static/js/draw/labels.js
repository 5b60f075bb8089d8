/** What stands on the stage beside the ink: the words of the sides (sides.js), and the marks of the worst spots. */
import { onSheet, toScreen } from "./coordinates.js";
import { wordsInSight } from "./sides.js";
import { SIDES, VIEW_NAMES } from "./words.js";

const SVG = "http://www.w3.org/2000/svg";
/** The mark of the worst spot, in its box of 40 by 40 px: a lozenge within a lozenge, clear of any ink. */
const LOZENGES = ["M20 3 L37 20 L20 37 L3 20 Z", "M20 14 L26 20 L20 26 L14 20 Z"];

/** layer: whose drawing this is; the patient reads YOUR, everybody else PATIENT'S. */
export function createLabels(stage, layer) {
  const sides = layer === "patient" ? SIDES.patient : SIDES.others;
  const words = ["front", "back"].flatMap((view) => ["", "left", "right"].map((side) => wordOf(view, side)));
  const spots = document.createElement("div");
  stage.append(...words.map(({ element }) => element), spots);
  let widths = { side: 124, full: 170, view: 60 };

  function wordOf(view, side) {
    const element = document.createElement("span");
    element.className = side === "" ? "board-view" : "board-side";
    element.textContent = side === "" ? VIEW_NAMES[view] : sides[side];
    element.hidden = true;
    if (side === "") return { view, side, element };
    const seen = document.createElement("span");
    seen.className = "board-seen";
    seen.textContent = VIEW_NAMES[view].toLowerCase();
    element.append(" ", seen);
    return { view, side, element, seen };
  }

  /** How wide the words are: again when the typeface has come, or the page is enlarged. */
  function measure() {
    const widest = (isSide, seenToo) => Math.max(...words.filter(({ side }) => isSide === (side !== "")).map((word) => {
      word.element.hidden = false;
      if (word.seen) word.seen.hidden = !seenToo;
      return word.element.offsetWidth;
    }));
    widths = { side: widest(true, false), full: widest(true, true), view: widest(false, false) };
  }

  function placeWords({ camera, sheet, stage: size }) {
    const shown = wordsInSight(camera, sheet, size, widths);
    for (const { view, side, element, seen } of words) {
      const word = shown.find((each) => each.view === view && each.side === side);
      element.hidden = !word;
      if (!word) continue;
      if (seen) seen.hidden = !word.alone;
      moveTo(element, word.x, word.y);
    }
  }

  /** The worst spot of each layer: the same size at every zoom. */
  function placeSpots(marked, { camera, sheet }) {
    while (spots.children.length > marked.length) spots.lastElementChild.remove();
    while (spots.children.length < marked.length) spots.append(lozenge());
    for (const [i, { view, points, own }] of marked.entries()) {
      const element = spots.children[i];
      element.classList.toggle("board-spot-of-others", own === false);
      moveTo(element, ...toScreen(camera, onSheet(sheet, view, points[0])));
    }
  }

  return { measure, placeWords, placeSpots };
}

function moveTo(element, x, y) {
  element.style.left = `${x}px`;
  element.style.top = `${y}px`;
}

function lozenge() {
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("class", "board-spot");
  svg.setAttribute("viewBox", "0 0 40 40");
  svg.setAttribute("aria-hidden", "true");
  for (const d of LOZENGES) {
    const path = document.createElementNS(SVG, "path");
    path.setAttribute("d", d);
    svg.append(path);
  }
  return svg;
}
