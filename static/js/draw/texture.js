/**
 * How each kind looks: a pale tint and a tile of its texture over it, from kinds data:
 *   {id, label, patient_words, colour: "#rrggbb", ink: "#rrggbb",
 *    texture: {tile: [w, h], lines: [[[x, y], ...], ...], width, dots: [[x, y, r], ...]}}
 * Tile, lines, width and dots are in mm and repeat in both directions; `ink` draws them, `colour` gives the tint.
 */

/** Share of white in the tint, so that the relief and a second kind stay readable through it. */
const WHITE = 0.62;
/** On the screen a tile is kept between this height and twice this, CSS px: finer would read as grey. */
const LEAST_TILE_PX = 11;

/** "#rrggbb" mixed with white: the flat colour under a texture. */
function tintOf(colour) {
  const parts = [1, 3, 5].map((at) => parseInt(colour.slice(at, at + 2), 16));
  return `rgb(${parts.map((part) => Math.round(part + (255 - part) * WHITE)).join(",")})`;
}

/**
 * By how much to stretch the tile's millimetres at this zoom: whole octaves, so that the texture
 * moves with the figure and changes only when the zoom has doubled.
 */
export function stretchAt(kind, scale) {
  const height = kind.texture.tile[1] * scale;
  return 2 ** Math.ceil(Math.log2(LEAST_TILE_PX / height));
}

/**
 * A canvas pattern of the kind's tint and texture in mm, for a context of `pixels` device px per mm.
 * It lets nothing through, so laying it twice over the same place with "darken" changes nothing.
 */
export function patternFor(context, kind, pixels, stretch) {
  const [width, height] = kind.texture.tile;
  const [across, down] = [width, height].map((length) => Math.max(1, Math.round(length * stretch * pixels)));
  const tile = canvasOf(across, down);
  drawTile(tile.getContext("2d"), kind, tile.width / width, tile.height / height);
  const pattern = context.createPattern(tile, "repeat");
  pattern.setTransform(new DOMMatrix().scale((width * stretch) / tile.width, (height * stretch) / tile.height));
  return pattern;
}

/** Fill a small canvas with the kind as it looks on the figure. */
export function paintSwatch(canvas, kind, ratio) {
  const size = canvas.clientWidth;
  canvas.width = canvas.height = Math.round(size * ratio);
  const context = canvas.getContext("2d");
  const scale = ratio * stretchAt(kind, 1);
  context.scale(scale, scale);
  context.fillStyle = patternFor(context, kind, scale, 1);
  context.fillRect(0, 0, canvas.width / scale, canvas.height / scale);
}

/** Draw the tile and its eight neighbours, so that lines crossing an edge meet on the other side. */
function drawTile(context, kind, across, down) {
  const { tile, lines, width, dots } = kind.texture;
  context.fillStyle = tintOf(kind.colour);
  context.fillRect(0, 0, context.canvas.width, context.canvas.height);
  context.scale(across, down);
  context.lineWidth = width;
  context.lineJoin = context.lineCap = "round";
  context.strokeStyle = context.fillStyle = kind.ink ?? kind.colour;
  for (const dx of [-1, 0, 1]) {
    for (const dy of [-1, 0, 1]) {
      context.save();
      context.translate(dx * tile[0], dy * tile[1]);
      context.stroke(linesOf(lines));
      context.fill(dotsOf(dots ?? []));
      context.restore();
    }
  }
}

function linesOf(lines) {
  const path = new Path2D();
  for (const [start, ...rest] of lines) {
    path.moveTo(...start);
    for (const point of rest) path.lineTo(...point);
  }
  return path;
}

function dotsOf(dots) {
  const path = new Path2D();
  for (const [x, y, radius] of dots) {
    path.moveTo(x + radius, y);
    path.arc(x, y, radius, 0, 2 * Math.PI);
  }
  return path;
}

function canvasOf(width, height) {
  const canvas = document.createElement("canvas");
  canvas.width = width;
  canvas.height = height;
  return canvas;
}
