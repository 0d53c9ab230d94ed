// Labels: each gets a place where it overlaps no other and leaves the table
// nowhere. One that has no room stays out of the drawing; the words beside it
// have it too.

// place gives each label, {w, h, x, y} with x, y what it belongs to, its left
// and top, in pixels; null where there is no room. Places in `taken` are kept
// free; labels keep off the points in `lines` where they can.
function place(labels, wide, high, taken, lines) {
  const done = taken.slice();
  const grid = gridOf(lines);
  return labels.map((label) => {
    const spot = nearby(label, wide, high, done, grid) || anywhere(label, wide, high, done);
    if (spot) done.push(spot);
    return spot;
  });
}

const cellSize = 24; // pixels

function gridOf(points) {
  const cells = new Map();
  for (const [x, y] of points) {
    const key = Math.floor(x / cellSize) + ',' + Math.floor(y / cellSize);
    if (!cells.has(key)) cells.set(key, []);
    cells.get(key).push([x, y]);
  }
  return cells;
}

// covered counts the points of lines under a box.
function covered(grid, box) {
  let sum = 0;
  for (let i = Math.floor(box.x / cellSize); i <= Math.floor((box.x + box.w) / cellSize); i++) {
    for (let k = Math.floor(box.y / cellSize); k <= Math.floor((box.y + box.h) / cellSize); k++) {
      for (const [x, y] of grid.get(i + ',' + k) || []) {
        if (x > box.x - 2 && x < box.x + box.w + 2 && y > box.y - 2 && y < box.y + box.h + 2) sum++;
      }
    }
  }
  return sum;
}

const gap = 4; // pixels between labels
function overlaps(a, b) { return a.x < b.x + b.w + gap && b.x < a.x + a.w + gap && a.y < b.y + b.h + gap && b.y < a.y + a.h + gap; }
function fits(box, wide, high, done) {
  return box.x >= 2 && box.y >= 2 && box.x + box.w <= wide - 2 && box.y + box.h <= high - 2 && !done.some((d) => overlaps(box, d));
}

// nearby tries rings around the label's anchor; a place further off, or over
// lines of the drawing, costs more.
function nearby(label, wide, high, done, grid) {
  let best = null, cost = Infinity;
  for (let ring = 0; ring < 14; ring++) {
    const r = 12 + ring * 14;
    if (r - 12 >= cost) break;
    for (let k = 0; k < 20; k++) {
      const turn = (k / 20) * 2 * Math.PI, nx = Math.cos(turn), ny = Math.sin(turn);
      const reach = Math.abs(nx) * label.w / 2 + Math.abs(ny) * label.h / 2;
      const box = { x: label.x + nx * (r + reach) - label.w / 2, y: label.y + ny * (r + reach) - label.h / 2, w: label.w, h: label.h };
      if (!fits(box, wide, high, done)) continue;
      const c = r - 12 + covered(grid, box) * 14;
      if (c < cost) { best = box; cost = c; }
    }
  }
  return best;
}

// anywhere takes the free place nearest to the anchor.
function anywhere(label, wide, high, done) {
  let best = null, far = Infinity;
  for (let y = 2; y + label.h <= high - 2; y += label.h / 2 + gap) {
    for (let x = 2; x + label.w <= wide - 2; x += label.w / 2 + gap) {
      const box = { x, y, w: label.w, h: label.h };
      const d = Math.hypot(x + label.w / 2 - label.x, y + label.h / 2 - label.y);
      if (d < far && fits(box, wide, high, done)) { best = box; far = d; }
    }
  }
  return best;
}
