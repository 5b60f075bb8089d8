/**
 * A board's page data with what still waits on the device: drawn before a reload, not yet on the server.
 * Pure: plain data in, plain data out.
 */

/** data: the page's JSON; events: those left on the device, in order. What the server has already is not doubled. */
export function withWaiting(data, events) {
  if (events.length === 0) return data;
  const own = events.map((event) => ({ ...event, layer: data.layer, own: true }));
  return {
    ...data,
    strokes: joined(data.strokes, own, "stroke"),
    withdrawals: joined(data.withdrawals, own, "withdraw"),
    answer: lastAnswer(events) ?? data.answer,
    next_seq: nextSeq(data, events),
  };
}

/** The first number that neither the server nor the device has used. */
export function nextSeq({ next_seq }, events) {
  return Math.max(next_seq, ...events.map(({ seq }) => seq + 1));
}

function joined(stored, waiting, type) {
  if (!stored) return stored;
  const known = new Set(stored.map(({ id }) => id));
  return [...stored, ...waiting.filter((event) => event.type === type && !known.has(event.id))];
}

function lastAnswer(events) {
  const said = events.filter(({ type }) => type === "answer").at(-1);
  return said && { intensities: said.intensities, no_pain: said.no_pain };
}
