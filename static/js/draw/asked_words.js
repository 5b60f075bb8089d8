/** What the page after drawing says by itself. What is always there stands in the templates. */

export const ASKED = {
  ready: () => "Every answer is saved as you give it",
  parting: "The areas are made anew as soon as this is saved.",
  together: "Put together. The areas have new numbers.",
  apart: "Split. The areas have new numbers.",
  same: "The areas stayed as they were.",
  elsewhere: "The areas could not be shown anew. What you said is saved.",
  contradicts: "Look once more: the numbers for least and most do not fit the number for now.",
};

export function sinceSaid(words) {
  return `Since: ${words}.`;
}

export function freeCount(count) {
  return count === 1 ? "1 part is ticked." : `${count} parts are ticked.`;
}
