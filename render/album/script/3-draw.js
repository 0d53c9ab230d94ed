// Elements and drawings.

const svgNames = 'http://www.w3.org/2000/svg';

// make makes an element. Texts are set as text, so that nothing in them is ever
// markup.
function make(name, attributes, ...children) {
  const e = document.createElement(name);
  return fill(e, attributes, children);
}
function draw(name, attributes, ...children) {
  return fill(document.createElementNS(svgNames, name), attributes, children);
}
function fill(e, attributes, children) {
  for (const [k, v] of Object.entries(attributes || {})) {
    if (v === null || v === undefined || v === false) continue;
    if (k.startsWith('on')) e.addEventListener(k.slice(2), v);
    else e.setAttribute(k, v === true ? '' : v);
  }
  e.append(...children.filter((c) => c !== null && c !== undefined && c !== ''));
  return e;
}
function words(text) { return make('bdi', {}, text); }
function clear(e) { while (e.firstChild) e.firstChild.remove(); return e; }

let drawings = 0; // for ids

function use(state, part, attributes) {
  return draw('use', { href: '#' + part + state[0], transform: state[1] || null, ...attributes });
}

// boxOf bounds a state on the track's sheet.
function boxOf(state) {
  const [x0, y0, x1, y1] = book.outlines[state[0]].b;
  if (!state[1]) return [x0, y0, x1, y1];
  const m = matrixOf(state[1]);
  const xs = [], ys = [];
  for (const [x, y] of [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]) { const q = apply(m, x, y); xs.push(q[0]); ys.push(q[1]); }
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}
function matrixOf(text) { return text.slice(7, -1).split(' ').map(Number); }
function apply(m, x, y) { return [m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5]]; }

function boxOfPair(p) {
  const boxes = [p.old, p.now].filter(Boolean).map(boxOf);
  return [Math.min(...boxes.map((b) => b[0])), Math.min(...boxes.map((b) => b[1])), Math.max(...boxes.map((b) => b[2])), Math.max(...boxes.map((b) => b[3]))];
}

// hatchSteps are the distances of the page's hatches in mm.
const hatchSteps = [0.5, 1, 2, 4, 8, 16, 32, 64, 128];
function hatchFor(mmPerPixel) {
  let best = 0;
  hatchSteps.forEach((s, i) => { if (Math.abs(Math.log(s / (6.5 * mmPerPixel))) < Math.abs(Math.log(hatchSteps[best] / (6.5 * mmPerPixel)))) best = i; });
  return best;
}

// hatching is what was added and removed between two states, within a view
// [x, y, wide, high].
function hatching(p, view, mmPerPixel) {
  const n = hatchFor(mmPerPixel), g = draw('g', { class: 'hatching' });
  if (!p.old || !p.now) {
    if (!p.now) g.append(use(p.old, 'o', { fill: `url(#hr${n})` }));
    return g;
  }
  if (p.old[0] === p.now[0] && p.old[1] === p.now[1]) return g;
  const id = ++drawings, [x, y, width, height] = view;
  const all = { x: x - width / 10, y: y - height / 10, width: width * 1.2, height: height * 1.2 };
  const region = (name, over, less, hatch) => {
    const clip = draw('clipPath', { id: 'c' + name + id }, use(over, 'o'));
    const mask = draw('mask', { id: 'm' + name + id, maskUnits: 'userSpaceOnUse', ...all }, draw('rect', { ...all, fill: '#fff' }), use(less, 'o', { fill: '#000' }));
    g.append(clip, mask, draw('rect', { x, y, width, height, fill: `url(#${hatch}${n})`, 'clip-path': `url(#c${name}${id})`, mask: `url(#m${name}${id})` }));
  };
  region('new', p.now, p.old, 'ha');
  region('old', p.old, p.now, 'hr');
  return g;
}

// thumbnail is a small overlay.
function thumbnail(p) {
  const [x0, y0, x1, y1] = boxOfPair(p), size = Math.max(x1 - x0, y1 - y0), edge = size * 0.05;
  const view = [x0 - edge, y0 - edge, x1 - x0 + 2 * edge, y1 - y0 + 2 * edge];
  const svg = draw('svg', { viewBox: view.join(' '), 'aria-hidden': 'true', focusable: 'false' }, hatching(p, view, size / 85));
  if (p.old && p.changed) svg.append(use(p.old, 'o', { class: 'line-was' }));
  if (p.now) svg.append(use(p.now, 'o', { class: 'line-new' }));
  return svg;
}

// edgesOf divides the path of a state at its edges: [{name, mm, d}].
const edgeCache = new Map();
function edgesOf(outline) {
  if (edgeCache.has(outline)) return edgeCache.get(outline);
  const o = book.outlines[outline];
  const commands = document.getElementById('o' + outline).getAttribute('d').match(/[MLC][^MLCZ]*/g);
  const end = (c) => c.slice(1).trim().split(' ').slice(-2).join(' ');
  let at = end(commands[0]), i = 1;
  const edges = o.e.map((name, k) => {
    const own = commands.slice(i, i + o.k[k]);
    const d = 'M' + at + own.join('');
    i += o.k[k];
    if (own.length) at = end(own[own.length - 1]);
    return { name, mm: o.l[k], d };
  });
  edgeCache.set(outline, edges);
  return edges;
}

// pointsOn samples an outline on the track's sheet.
const sampleCache = new Map();
function pointsOn(state, count) {
  const key = state[0] + state[1];
  if (sampleCache.has(key)) return sampleCache.get(key);
  const path = document.getElementById('o' + state[0]), length = path.getTotalLength(), m = state[1] ? matrixOf(state[1]) : [1, 0, 0, 1, 0, 0];
  const out = [];
  for (let k = 0; k < count; k++) {
    const q = path.getPointAtLength(length * k / count);
    out.push(apply(m, q.x, q.y));
  }
  if (sampleCache.size > 200) sampleCache.clear();
  sampleCache.set(key, out);
  return out;
}
