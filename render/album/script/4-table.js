// The table: paper, tracing sheet, figures.

// boxWith makes a box hold the lines that changes add, which are straight or
// nearly so: their nodes and handles tell it.
function boxWith(box, told) {
  const at = told.flatMap((c) => c.x || []).flatMap((l) => l.d.match(/-?[\d.]+/g).map(Number));
  const xs = [box[0], box[2], ...at.filter((_, i) => i % 2 === 0)], ys = [box[1], box[3], ...at.filter((_, i) => i % 2 === 1)];
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}

// Table shows one piece in two versions. `told` is the list of the changes on the
// way, each with a place or none; `notes` are pins.
class Table {
  constructor() {
    this.paper = make('div', { class: 'layer ground-paper' });
    this.slip = make('div', { class: 'layer slip' });
    this.sheet = make('div', { class: 'layer sheet' });
    this.figures = draw('svg', { class: 'layer figures', 'aria-hidden': 'true', focusable: 'false' });
    this.scales = draw('svg', { class: 'layer scales', 'aria-hidden': 'true', focusable: 'false' });
    this.tags = make('div', { class: 'layer tags', role: 'group', 'aria-label': 'Figures and notes in the drawing' });
    this.tip = make('div', { class: 'tip', role: 'tooltip', id: 'tip-text', hidden: true });
    this.element = make('div', { class: 'table' }, this.paper, this.slip, this.sheet, this.scales, this.figures, this.tags, this.tip);
    this.room = make('p', { class: 'hint no-room', hidden: true });
    document.addEventListener('keydown', (e) => { if (e.key === 'Escape') this.hideTip(); });
    this.tip.addEventListener('mouseenter', () => clearTimeout(this.hiding));
    this.tip.addEventListener('mouseleave', () => this.hideSoon());
    this.element.addEventListener('click', (e) => { if (e.target === this.paper || e.target === this.tags) this.hideTip(); });
    this.turnTo(100);
    const again = () => { if (this.shown && this.element.clientWidth && this.element.clientWidth !== this.wide) this.showAgain(); };
    new ResizeObserver(() => requestAnimationFrame(again)).observe(this.element);
  }

  // turnTo lays the sheet: 0 turned back, 100 flat, 200 with paper under it.
  turnTo(value) {
    this.value = value;
    const turn = Math.min(1, value / 100), slip = Math.max(0, value / 100 - 1);
    this.element.style.setProperty('--turn', turn.toFixed(3));
    this.element.style.setProperty('--slip', slip.toFixed(3));
    this.tags.classList.toggle('away', turn < 0.9 || slip > 0.5);
  }

  show(p, told, notes) {
    this.shown = p; this.told = told; this.notes = notes;
    this.hideTip();
    this.fit(boxWith(boxOfPair(p), told));
    this.drawStates(p);
    this.drawFigures(p);
  }

  // inOther writes the figures in the unit of the two that the pattern is not in.
  inOther(on) { this.other = on; if (this.shown) this.showAgain(); }

  // showAgain keeps the focus at the figure or note that has it.
  showAgain() {
    const { change, note } = this.tags.contains(document.activeElement) ? document.activeElement.dataset : {};
    this.show(this.shown, this.told, this.notes);
    const again = change ? `[data-change="${change}"]` : note ? `[data-note="${note}"]` : '';
    const element = again && this.tags.querySelector(again);
    if (element) element.focus({ preventScroll: true });
  }

  // fit chooses the height and the scale so that the piece and its labels have
  // room.
  fit([x0, y0, x1, y1]) {
    const wide = this.element.clientWidth || 600, w = x1 - x0, h = y1 - y0;
    const across = Math.min(90, wide * 0.17), down = 52;
    const tall = h > 1.3 * w; // a tall piece may take nearly the whole height of the window
    const most = Math.max(tall ? 480 : 320, Math.min(tall ? 960 : 760, innerHeight * (tall ? 0.9 : 0.74)));
    const high = Math.min(most, Math.max(320, (wide - 2 * across) * h / w + 2 * down));
    this.scale = Math.min((wide - 2 * across) / w, (high - 2 * down - 22) / h);
    this.wide = wide; this.high = Math.round(high);
    this.origin = [(x0 + x1) / 2 - wide / 2 / this.scale, (y0 + y1) / 2 - (this.high - 22) / 2 / this.scale];
    this.view = [this.origin[0], this.origin[1], wide / this.scale, this.high / this.scale];
    this.element.style.height = this.high + 'px';
  }

  // px takes a point of the track's sheet to pixels of the table.
  px([x, y]) { return [(x - this.origin[0]) * this.scale, (y - this.origin[1]) * this.scale]; }

  drawStates(p) {
    const svg = (...children) => draw('svg', { viewBox: this.view.join(' '), 'aria-hidden': 'true', focusable: 'false' }, ...children);
    const details = (s) => (book.outlines[s[0]].d ? use(s, 'd', { class: 'detail' }) : null);
    const path = (s) => { const e = s && document.getElementById('d' + s[0]); return e ? e.getAttribute('d') + s[1] : ''; };
    const lines = p.old && p.now && path(p.old) && path(p.old) !== path(p.now) ? use(p.old, 'd', { class: 'detail detail-was' }) : null;
    clear(this.paper).append(p.old ? svg(details(p.old), lines, use(p.old, 'o', { class: 'line-old' }), p.changed ? use(p.old, 'o', { class: 'line-was' }) : null) : svg());
    const sheet = svg(hatching(p, this.view, 1 / this.scale), ...(p.now ? [details(p.now), use(p.now, 'o', { class: 'line-new' })] : []));
    sheet.style.width = this.wide + 'px'; sheet.style.height = this.high + 'px';
    clear(this.sheet).append(sheet);
  }

  drawFigures(p) {
    clear(this.figures); clear(this.tags); clear(this.scales);
    this.scales.setAttribute('viewBox', `0 0 ${this.wide} ${this.high}`);
    this.figures.setAttribute('viewBox', `0 0 ${this.wide} ${this.high}`);
    const at = `translate(${-this.origin[0] * this.scale} ${-this.origin[1] * this.scale}) scale(${this.scale})`;
    this.hits = draw('g', { transform: at });
    this.figures.append(this.hits);
    if (p.old && p.changed) this.hit(p.old, p, true);
    if (p.now) this.hit(p.now, p, false);
    const bar = this.scaleBar();
    this.changeLines(at);
    const labels = [...this.wasLabels(p), ...this.foldLabels(p), ...this.pins(), ...this.changeTags()];
    for (const l of labels) if (l.element) this.tags.append(l.element);
    for (const l of labels) if (l.element) { l.w = l.element.offsetWidth; l.h = l.element.offsetHeight; }
    const lines = [p.old, p.now].filter(Boolean).flatMap((s) => pointsOn(s, 240).map((q) => this.px(q)));
    const without = [];
    place(labels, this.wide, this.high, [bar], lines).forEach((spot, i) => {
      this.put(labels[i], spot);
      if (!spot && labels[i].name) without.push(labels[i].name);
    });
    this.room.hidden = !without.length;
    this.room.textContent = without.length ? `No room in the drawing for ${without.length > 12 ? without.slice(0, 12).join(', ') + ` and ${without.length - 12} more` : without.join(', ')}: the lists below have them.` : '';
  }

  put(label, spot) {
    if (!spot) { if (label.element) label.element.remove(); return; }
    if (label.word) {
      this.figures.append(draw('rect', { class: 'halo', x: spot.x, y: spot.y, width: spot.w, height: spot.h }),
        draw('text', { class: 'was-word', x: spot.x + 4, y: spot.y + 16 }, label.word));
      return;
    }
    label.element.style.transform = `translate(${Math.round(spot.x)}px, ${Math.round(spot.y)}px)`;
    label.element.style.width = Math.ceil(label.w) + 'px';
    const x = Math.max(spot.x, Math.min(label.x, spot.x + spot.w)), y = Math.max(spot.y, Math.min(label.y, spot.y + spot.h));
    if (Math.hypot(x - label.x, y - label.y) > 5) this.figures.append(draw('line', { class: 'lead', x1: label.x, y1: label.y, x2: x, y2: y }));
    this.figures.append(draw('circle', { class: 'dot', cx: label.x, cy: label.y, r: 3 }));
  }

  // wasLabels says 'was' where the old outline lies furthest from the new one.
  wasLabels(p) {
    if (!p.old || !p.now || !p.changed) return [];
    const now = pointsOn(p.now, 240).map((q) => this.px(q));
    let best = null, far = 7;
    for (const q of pointsOn(p.old, 240)) {
      const [x, y] = this.px(q);
      let d = Infinity;
      for (const n of now) d = Math.min(d, Math.hypot(n[0] - x, n[1] - y));
      if (d > far) { far = d; best = [x, y]; }
    }
    return best ? [{ word: 'was', x: best[0], y: best[1], w: 34, h: 22 }] : [];
  }

  // foldLabels names the folds of the later state, or of the only one.
  foldLabels(p) {
    const state = p.now || p.old, m = state[1] ? matrixOf(state[1]) : [1, 0, 0, 1, 0, 0];
    return (book.outlines[state[0]].fo || []).map((q) => {
      const [x, y] = this.px(apply(m, q[0], q[1]));
      return { word: 'on fold', x, y, w: 62, h: 22 };
    });
  }

  // changeLines draws what changes add: slashes and cutting lines.
  changeLines(at) {
    const lines = this.told.flatMap((c) => c.x || []);
    if (lines.length) this.figures.append(draw('g', { transform: at }, ...lines.map((l) => draw('path', { class: 'line-' + l.k, d: l.d }))));
  }

  pins() {
    return this.notes.filter((n) => n.at).map((n) => {
      const [x, y] = this.px(n.at);
      const element = make('button', { type: 'button', class: 'tag pin' + (n.answered ? '' : ' open-note'), 'data-note': n.i,
        'aria-label': `note ${n.k}: ${n.s}`, onclick: () => this.onnote(n) }, 'note ' + n.k);
      const name = 'note ' + n.k;
      this.tipped(element, x, y, () => [make('span', { class: 'of' }, `Note ${n.k}, ${n.answered ? 'answered by version ' + numberOf(n.by.filter((v) => n.there.has(v)).pop()) : 'open'}`), words(n.s)]);
      return { element, x, y, name };
    });
  }

  changeTags() {
    const tagged = this.told.filter((c) => c.at && !c.u);
    const many = tagged.length > (this.wide < 500 ? 8 : 26);
    return tagged.map((c) => {
      const [x, y] = this.px(c.at);
      this.arrow(c);
      const short = this.other ? c.i : c.a, says = short && !many && short.length < 30 ? short : '';
      const element = make('button', { type: 'button', class: 'tag', 'data-change': c.num, 'aria-label': `${c.num} ${says}: ${c.s}${c.f ? ', ' + c.f : ''}` },
        make('b', {}, String(c.num) + (says ? ':' : '')), says && ' ', says && make('span', {}, says));
      this.tipped(element, x, y, () => [c.of ? make('span', { class: 'of' }, c.of) : '', words(c.s), c.f ? make('span', { class: 'figure' }, c.f) : ''], c);
      return { element, x, y, name: String(c.num) };
    });
  }

  arrow(c) {
    if (!c.mv) return;
    const [x1, y1] = this.px(c.mv.slice(0, 2)), [x2, y2] = this.px(c.mv.slice(2));
    if (c.pv) {
      const [x, y] = this.px(c.pv);
      this.figures.append(draw('circle', { class: 'pivot', cx: x, cy: y, r: 4.5 }), draw('circle', { class: 'dot', cx: x, cy: y, r: 1.5 }));
    }
    if (Math.hypot(x2 - x1, y2 - y1) > 6) this.figures.append(draw('line', { class: 'arrow-edge', x1, y1, x2, y2 }), draw('line', { class: 'arrow', x1, y1, x2, y2, 'marker-end': 'url(#tip)' }));
  }

  // tipped shows a figure on hover, focus and tap.
  tipped(element, x, y, says, change) {
    const on = () => { this.showTip(x, y, says()); element.setAttribute('aria-describedby', 'tip-text'); this.light(change, true); };
    const off = () => { this.hideSoon(); element.removeAttribute('aria-describedby'); this.light(change, false); };
    element.addEventListener('mouseenter', on); element.addEventListener('focus', on); element.addEventListener('click', on);
    element.addEventListener('mouseleave', () => { if (document.activeElement !== element) off(); }); element.addEventListener('blur', off);
  }

  light(change, on) { if (change && change.row) change.row.classList.toggle('lit', on); }

  showTip(x, y, children) {
    clearTimeout(this.hiding);
    clear(this.tip).append(...children.filter(Boolean));
    this.tip.hidden = false;
    const w = this.tip.offsetWidth, h = this.tip.offsetHeight;
    let top = y + 34 + h < this.high ? y + 34 : Math.max(6, y - 34 - h);
    if (this.wide < 500) top = y < this.high - h - 50 ? this.high - h - 6 : 6; // out of the way of the other figures
    this.tip.style.left = Math.max(8, Math.min(this.wide - w - 8, x - w / 2)) + 'px';
    this.tip.style.top = top + 'px';
  }
  hideTip() { clearTimeout(this.hiding); this.tip.hidden = true; }
  // hideSoon leaves time to move onto the text.
  hideSoon() { clearTimeout(this.hiding); this.hiding = setTimeout(() => this.hideTip(), 180); }

  // hit makes the edges of a state say their lengths.
  hit(state, p, old) {
    for (const e of edgesOf(state[0])) {
      const path = draw('path', { class: 'hit', d: e.d, transform: state[1] || null, 'data-edge': e.name });
      const on = (event) => {
        const r = this.element.getBoundingClientRect();
        this.lightEdge(e.name, true);
        this.showTip(event.clientX - r.left, event.clientY - r.top, [words(e.name), make('span', { class: 'figure' }, this.lengthWords(p, e.name))]);
      };
      path.addEventListener('mousemove', on); path.addEventListener('click', on);
      path.addEventListener('mouseleave', () => { this.lightEdge(e.name, false); this.hideSoon(); });
      this.hits.append(path);
    }
  }
  lightEdge(name, on) {
    for (const path of this.hits.children) if (path.dataset.edge === name) path.classList.toggle('lit', on);
  }
  lengthWords(p, name) {
    const length = (s) => { const e = s && edgesOf(s[0]).find((one) => one.name === name); return e ? e.mm : null; };
    const was = length(p.old), is = length(p.now);
    if (is === null) return both(was) + ', gone';
    if (was === null || Math.abs(was - is) < 0.05) return both(is);
    return `${both(is)}, was ${both(was)}`;
  }

  // scaleBar draws a bar of a round length at the foot and returns its place.
  scaleBar() {
    const units = (book.unit === 'in') !== !!this.other ? [25.4, 50.8, 101.6, 203.2, 508] : [10, 20, 50, 100, 200, 500, 1000];
    const mm = units.filter((l) => l * this.scale <= Math.min(170, this.wide * 0.4)).pop() || units[0];
    const w = mm * this.scale, x = 18, y = this.high - 26;
    const word = both(mm);
    this.scales.append(draw('path', { class: 'scale-bar', d: `M${x} ${y - 5}v10m0-5h${w}m0-5v10` }), draw('text', { class: 'scale-word', x: x + w + 8, y: y + 5 }, word));
    return { x: 4, y: y - 10, w: w + 20 + word.length * 7.6, h: 24 };
  }
}
