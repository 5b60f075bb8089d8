// A place on the screen as whole figure millimetres: the screen matrix of the svg, turned round. An svg has no
// skew, so scale and shift are all there is.
export function pointOn(matrix, clientX, clientY) {
  return { x: Math.round((clientX - matrix.e) / matrix.a), y: Math.round((clientY - matrix.f) / matrix.d) };
}
