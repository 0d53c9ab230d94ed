// The bench: the thread, the pair of versions, the pieces, and the words under
// the table.

const bench = document.getElementById('worktable');
const table = new Table();
const chosen = { from: -1, to: book.here, onlyChanged: true, track: -1 };
const pairs = {}; // elements that are filled anew

function versionTitle(i) { return i < 0 ? 'nothing, before the first version' : `${numberOf(i)} · ${book.versions[i].x}`; }
function short(text, most) { return text.length > most ? [...text].slice(0, most - 1).join('') + '…' : text; }

// choose lays two versions over each other. The one that the other builds on is
// always the earlier one, whichever was chosen as what.
function choose(from, to, keepTurn) {
  if (from !== to && ancestors(from).has(to)) [from, to] = [to, from];
  chosen.from = from; chosen.to = to;
  if (!keepTurn) setTurn(100, false);
  showThread(); showPair(); showTold(); showPieces();
}

// The thread. Branches lie beside the first one.
const lanes = new Map();
function laneOf(branch) {
  if (!lanes.has(branch)) lanes.set(branch, lanes.size);
  return Math.min(3, lanes.get(branch));
}

// lanesIn says for each version which lanes pass it by, which part before it and
// which come in there. A lane reaches from the version where its branch parts to
// its last one, or to the one that takes it in.
function lanesIn() {
  const lane = book.versions.map((v) => laneOf(v.br)), reach = new Map();
  const out = book.versions.map(() => ({ past: [], forks: [], joins: [] }));
  const extend = (l, i) => {
    const [a, b] = reach.get(l) || [i, i];
    reach.set(l, [Math.min(a, i), Math.max(b, i)]);
  };
  book.versions.forEach((v, i) => {
    extend(lane[i], i);
    if (v.p >= 0 && lane[v.p] !== lane[i]) { extend(lane[i], v.p); out[v.p + 1].forks.push([lane[v.p], lane[i]]); }
    for (const k of v.m || []) if (lane[k] !== lane[i]) { extend(lane[k], i); out[i].joins.push([lane[k], lane[i]]); }
  });
  out.forEach((one, i) => { one.past = [...reach].filter(([l, [a, b]]) => l !== lane[i] && a < i && i < b).map(([l]) => l); });
  return out;
}

// laneLines draws what passes a version by and what parts or comes in there.
function laneLines({ past, forks, joins }) {
  const line = (cls, from, to) => {
    const e = make('span', { class: cls, 'aria-hidden': 'true' });
    e.style.setProperty('--from', Math.min(from, to));
    e.style.setProperty('--across', Math.abs(to - from));
    if (from > to) e.classList.add('leftward');
    return e;
  };
  const begun = new Set(forks.map(([, to]) => to));
  return [...past.map((l) => line(begun.has(l) ? 'past begun' : 'past', l, l)), ...[...forks, ...joins].map(([from, to]) => line('parts', from, to))];
}

function makeThread() {
  const list = make('ol', {});
  if (book.here >= 0) laneOf(book.versions[book.here].br);
  const knots = new Map();
  book.fittings.forEach((f) => { if (!knots.has(f.v)) knots.set(f.v, []); knots.get(f.v).push(f); });
  const here = book.here >= 0 ? book.versions[book.here].br : '';
  book.versions.forEach((v) => laneOf(v.br));
  const beside = lanesIn();
  list.style.setProperty('--lanes', Math.max(0, ...book.versions.map((v) => laneOf(v.br))));
  book.stitches = book.versions.map((v, i) => {
    const button = make('button', { type: 'button', class: 'stitch' + (knots.has(i) ? ' knot' : ''), 'data-v': i, tabindex: -1,
      onclick: (e) => pick(i, e.shiftKey) },
      make('span', { class: 'end to' }, 'later'), make('span', { class: 'end from' }, 'earlier'),
      make('span', { class: 'x' }, make('span', { class: 'n' }, v.n + ' '), words(v.x)),
      ...(knots.get(i) || []).map((f) => make('span', { class: 'fit' }, f.x)),
      v.br && v.br !== here ? make('span', { class: 'also' }, 'on the branch ', words(v.br), ', ' + v.t) : null,
      ...(v.m || []).map((k) => make('span', { class: 'also' }, 'takes in version ' + numberOf(k))),
      v.nm && v.nm.length ? make('span', { class: 'also' }, 'called ', words(v.nm.join(', '))) : null);
    const item = make('li', {}, ...laneLines(beside[i]), button);
    item.style.setProperty('--lane', laneOf(v.br));
    list.append(item);
    return button;
  });
  list.addEventListener('keydown', threadKey);
  return make('nav', { class: 'thread', 'aria-labelledby': 'thread-title' }, make('h2', { id: 'thread-title' }, 'The thread'),
    make('p', { class: 'hint', id: 'thread-hint' }, 'A stitch is a version, a knot a fitting. Choose one to see what it changed', make('span', { class: 'keys' }, '; with the shift key held, it becomes the earlier one'), '.'), list);
}

// pick shows what a version changed, or makes it the earlier one.
function pick(i, asEarlier) {
  if (asEarlier && i !== chosen.to) choose(i, chosen.to);
  else choose(book.versions[i].p, i);
}

function threadKey(e) {
  const i = book.stitches.indexOf(document.activeElement);
  const last = book.stitches.length - 1;
  const next = { ArrowDown: i + 1, ArrowUp: i - 1, ArrowRight: i + 1, ArrowLeft: i - 1, Home: 0, End: last }[e.key];
  if (i < 0 || next === undefined || next < 0 || next > last) return;
  e.preventDefault();
  book.stitches[next].focus();
  pick(next, e.shiftKey);
}

let marked = [];
function showThread() {
  for (const b of marked) { b.className = b.className.replace(/ (between|is-from|is-to)/g, ''); b.removeAttribute('aria-current'); b.tabIndex = -1; }
  const { back, on } = way(chosen.from, chosen.to);
  marked = [...back, ...on].map((i) => book.stitches[i]);
  for (const b of marked) b.className += ' between';
  const to = book.stitches[chosen.to], from = book.stitches[chosen.from];
  if (from) { from.className += ' is-from'; marked.push(from); }
  to.className += ' is-to'; to.setAttribute('aria-current', 'true'); to.tabIndex = 0; marked.push(to);
  const list = to.closest('ol'), top = to.parentElement.offsetTop - list.offsetTop;
  watchEnds(list);
  if (top < list.scrollTop || top + to.offsetHeight > list.scrollTop + list.clientHeight) list.scrollTop = top - list.clientHeight / 3;
}

// watchEnds lets a list fade out at the ends where it goes on.
const watched = new Set();
function watchEnds(list) {
  const look = () => {
    const ends = list.scrollWidth > list.clientWidth + 4 ? [list.scrollLeft, list.scrollWidth - list.clientWidth] : [list.scrollTop, list.scrollHeight - list.clientHeight];
    list.classList.toggle('more-before', ends[0] > 4);
    list.classList.toggle('more-after', ends[1] - ends[0] > 4);
  };
  if (!watched.has(list)) {
    watched.add(list);
    list.addEventListener('scroll', look, { passive: true });
    new ResizeObserver(look).observe(list);
  }
  requestAnimationFrame(look);
}

// The pair.
function makePair() {
  const select = (id, empty) => {
    const s = make('select', { id });
    if (empty) s.append(make('option', { value: -1 }, versionTitle(-1)));
    book.versions.forEach((v, i) => s.append(make('option', { value: i }, short(versionTitle(i), 80))));
    return s;
  };
  pairs.from = select('earlier', true); pairs.to = select('later', false);
  pairs.from.addEventListener('change', () => choose(Number(pairs.from.value), chosen.to));
  pairs.to.addEventListener('change', () => choose(chosen.from, Number(pairs.to.value)));
  pairs.only = make('input', { type: 'checkbox', id: 'only' });
  pairs.only.checked = true;
  pairs.only.addEventListener('change', () => { chosen.onlyChanged = pairs.only.checked; showPieces(); });
  return make('div', { class: 'pair' }, make('label', { class: 'pick' }, make('span', {}, 'Earlier'), pairs.from),
    make('label', { class: 'pick' }, make('span', {}, 'Later'), pairs.to), make('label', { class: 'check' }, pairs.only, 'only what changed'),
    make('label', { class: 'check' }, make('input', { type: 'checkbox', id: 'other', onchange: (e) => table.inOther(e.target.checked) }), book.unit === 'in' ? 'centimetres in the drawing' : 'inches in the drawing'));
}
function showPair() { pairs.from.value = chosen.from; pairs.to.value = chosen.to; }

// What is told of the pair.
function answersOf(i) { return book.notes.map((n, k) => ({ ...n, i: k, of: i })).filter((n) => n.by.includes(i)); }

function whyLine(n) {
  const again = (n.ag || [])[n.by.indexOf(n.of) - 1];
  return make('p', { class: 'why' }, 'Because of note ', noteLink(n), ': ', words(n.s), again ? words(`, seen again at ${again.x}${again.s ? ': ' + again.s : ''}`) : '', n.d ? make('span', { class: 'todo' }, ' (to do: ', words(n.d), ')') : '');
}
function noteLink(n) {
  const id = n.id;
  return make('a', { href: '#' + id, onclick: (e) => { const note = document.getElementById(id); flash(note); wayBack(note, e.currentTarget); } }, n.k);
}
function flash(e) {
  document.querySelectorAll('.shown').forEach((one) => one.classList.remove('shown'));
  if (e) { e.classList.add('shown'); e.focus({ preventScroll: true }); }
}

// wayBack adds a way back to the sheet to what was jumped to from there.
function wayBack(e, from) {
  document.querySelectorAll('.way-back').forEach((one) => one.remove());
  const go = () => { table.element.scrollIntoView({ block: 'center' }); if (from.isConnected) from.focus({ preventScroll: true }); };
  e.append(make('button', { type: 'button', class: 'link way-back', onclick: go }, 'Back to the sheet'));
}

function metaOf(v) {
  return [v.t, v.w, v.br !== book.versions[book.here].br ? 'on the branch ' + v.br : '', v.nm && v.nm.length ? 'called ' + v.nm.join(', ') : ''].filter(Boolean).join(' · ');
}

function showTold() {
  const told = clear(pairs.told), v = book.versions[chosen.to], { back, on } = way(chosen.from, chosen.to);
  if (!back.length && on.length === 1) {
    told.append(make('h2', {}, make('span', { class: 'number' }, numberOf(chosen.to) + ' '), words(v.x)), make('p', { class: 'meta' }, metaOf(v)), ...(v.l || []).map((line) => make('p', { dir: 'auto' }, line)),
      ...fittingsAt(chosen.to), ...answersOf(chosen.to).map(whyLine), ...actsOf(v), ...takenIn(chosen.to));
    if (v.r) told.append(make('ul', {}, ...v.r.map((s) => make('li', {}, words(s)))));
    return;
  }
  told.append(make('h2', {}, chosen.from < 0 ? 'From nothing' : 'From version ' + numberOf(chosen.from), ' to version ' + numberOf(chosen.to)));
  if (!back.length && !on.length) { told.append(make('p', {}, 'Both are the same version.')); return; }
  const item = (i, taken) => make('li', {}, make('button', { type: 'button', class: 'link', onclick: () => pick(i) }, 'version ' + numberOf(i), taken ? ' taken back' : ''), ': ', words(book.versions[i].x),
    ...(taken ? [] : [...fittingsAt(i), ...answersOf(i).map(whyLine), ...actsOf(book.versions[i]), ...takenIn(i)]));
  const list = make('ul', { class: 'way' }), steps = back.length + on.length;
  const unfold = () => { if (!list.firstChild) list.append(...back.map((i) => item(i, true)), ...on.map((i) => item(i, false))); };
  if (steps <= 3) unfold();
  told.append(make('details', { class: 'long', open: steps <= 3, ontoggle: unfold }, make('summary', {}, wayWords(back, on)), list));
}

// takenIn lists the versions of another branch that a version took in, with what
// they did and why.
function takenIn(i) {
  if (!(book.versions[i].m || []).length) return [];
  const before = ancestors(book.versions[i].p);
  const others = [...ancestors(i)].filter((v) => v !== i && !before.has(v)).sort((a, b) => a - b);
  if (!others.length) return [];
  const item = (v) => make('li', {}, versionButton(v), ': ', words(book.versions[v].x), ...fittingsAt(v), ...answersOf(v).map(whyLine), ...actsOf(book.versions[v]));
  return [make('p', { class: 'tied' }, 'It takes in:'), make('ul', { class: 'way' }, ...others.map(item))];
}

// actsOf says what a version did, each alteration in one sentence.
function actsOf(v) {
  return v.a ? [make('ul', { class: 'acts' }, ...v.a.map((a) => make('li', {}, words(a.s), ': ', words(a.p))))] : [];
}

// wayWords says how one gets there: straight on, or back to where both parted
// and on from there.
function wayWords(back, on) {
  const versions = (n) => `${n} version${n === 1 ? '' : 's'}`;
  if (!back.length) return `by way of ${versions(on.length)}, and why`;
  const parted = book.versions[back[back.length - 1]].p;
  const from = parted < 0 ? 'with no version in common' : `by way of version ${numberOf(parted)}, where they part`;
  return `${from}: ${versions(back.length)} taken back, ${versions(on.length)} made, and why`;
}
// fittingsAt are the fittings that a version has first, with what was seen and
// what became of it.
function fittingsAt(i) {
  return book.fittings.flatMap((f, k) => {
    if (f.v !== i) return [];
    const at = make('p', { class: 'tied' }, make('a', { href: '#fitting-' + k, onclick: () => flash(document.getElementById('fitting-' + k)) }, f.x));
    const line = (n, says) => make('li', {}, noteLink(n), pieceOf(n, i), words(says), ' – ', ...becameOf(n));
    const notes = [...book.notes.filter((n) => n.f === k).map((n) => line(n, n.s)),
      ...book.notes.flatMap((n) => (n.ag || []).filter((a) => a.k === k).map((a) => line(n, 'seen again: ' + (a.s || n.s))))];
    return [at, notes.length ? make('ul', { class: 'seen-there' }, ...notes) : null].filter(Boolean);
  });
}
// pieceOf is the piece that a note lies on in a version, as it is called there.
function pieceOf(n, v) {
  const { t } = lyingIn(n, v), state = states[v][t];
  return t < 0 ? ' ' : ` ${state ? book.outlines[state[0]].n : book.tracks[t]}: `;
}
function becameOf(n) {
  const answers = n.by.flatMap((v, i) => [i ? ' and ' : 'answered by ', versionButton(v)]);
  return n.o ? [...answers, answers.length ? ', ' : '', make('em', {}, words(n.o))] : answers;
}
function versionButton(v) {
  return make('button', { type: 'button', class: 'link', onclick: () => pick(v) }, 'version ' + numberOf(v));
}

// The pieces.
function showPieces() {
  const all = piecesOf(chosen.from, chosen.to), changed = all.filter((p) => p.changed);
  const noted = changed.length ? [] : all.filter((p) => noteTracks(chosen.to).has(p.track));
  const shown = !chosen.onlyChanged ? all : changed.length ? changed : noted;
  const same = all.length - shown.length;
  clear(pairs.pieces);
  pairs.buttons = shown.map((p) => {
    const b = make('button', { type: 'button', 'aria-pressed': 'false', 'data-track': p.track, onclick: () => showPiece(p) }, thumbnail(p), make('span', { class: 'name' }, words(p.name)),
      p.state ? make('span', { class: 'state' }, p.state) : null);
    pairs.pieces.append(make('li', {}, b));
    return b;
  });
  const others = all.filter((p) => !shown.includes(p)).map((p) => p.name);
  pairs.same.textContent = same > 0 && changed.length ? `The same in both: ${others.slice(0, 12).join(', ')}${same > 12 ? ` and ${same - 12} more` : ''}.` : '';
  pairs.swipe.textContent = `${shown.length} pieces, in a row that scrolls`;
  pairs.swipe.hidden = shown.length < 4;
  watchEnds(pairs.pieces);
  pairs.board.hidden = !shown.length;
  pairs.nothing.hidden = changed.length > 0;
  pairs.nothing.textContent = !all.length ? 'There is no piece here yet.' : noted.length ? 'No piece changed here. These have notes of the fitting:' : 'No piece changed here.';
  if (shown.length) showPiece(shown.find((p) => p.track === chosen.track) || shown[0]);
}

// noteTracks are the pieces with notes of the fittings that a version has first.
function noteTracks(v) {
  return new Set(book.notes.filter((n) => book.fittings[n.f].v === v).map((n) => lyingIn(n, v).t));
}

// stepsFor are the changes of a piece on the way, numbered.
function stepsFor(track) {
  const { back, on } = way(chosen.from, chosen.to), groups = [];
  let num = 0;
  const several = back.length + on.length > 1;
  const add = (i, taken) => {
    for (const s of book.versions[i].ch.filter((one) => one.t === track)) {
      const of = several ? `Version ${numberOf(i)}${taken ? ' taken back' : ''}` : '';
      const said = (text) => (taken ? 'taken back: ' + text : text);
      const changes = (s.c || []).map((c) => (taken ? takenBack(c) : c));
      groups.push({ i, taken, of, says: (s.s || []).map(said), changes: changes.map((c) => ({ ...c, num: c.u ? 0 : ++num, of })) });
    }
  };
  back.forEach((i) => add(i, true));
  on.forEach((i) => add(i, false));
  if (several) holdCutLines(groups, track);
  return groups;
}

// takenBack is a change told the other way about: what it moved goes back.
function takenBack(c) {
  const back = { ...c, s: 'taken back: ' + c.s, a: c.a && 'taken back: ' + c.a, i: c.i && 'taken back: ' + c.i };
  if (c.x) back.x = c.x.map((l) => ({ ...l, k: { cut: 'cut-was', 'cut-was': 'cut' }[l.k] || l.k }));
  if (c.mv) { back.mv = [...c.mv.slice(2), ...c.mv.slice(0, 2)]; back.at = c.mv.slice(0, 2); }
  return back;
}

function showPiece(p) {
  chosen.track = p.track;
  for (const b of pairs.buttons) b.setAttribute('aria-pressed', String(Number(b.dataset.track) === p.track));
  const groups = stepsFor(p.track), notes = notesFor(chosen.from, chosen.to).filter((n) => n.t === p.track);
  const o = book.outlines[(p.now || p.old)[0]];
  clear(pairs.head).append(make('h3', { id: 'piece-title' }, words(p.name)), make('span', { class: 'about' }, o.c));
  const drawn = numberedOf(groups);
  showChanges(groups, p, drawn);
  showEdges(p, groups);
  showNotes(notes);
  pairs.turning.hidden = !p.old || !p.now;
  table.sheet.classList.toggle('whole', !p.old);
  if (!p.now) setTurn(100, false);
  table.onnote = (n) => { const d = pairs.notes.querySelector(`[data-note="${n.i}"]`); if (d) { d.open = true; d.querySelector('summary').focus(); wayBack(d.querySelector('.inside'), table.tags.querySelector(`[data-note="${n.i}"]`)); } };
  const show = (those) => {
    table.show(p, those.flatMap((g) => g.changes), notes);
    showLegend(p, those);
    pairs.many.hidden = those.length === groups.length;
    pairs.many.textContent = those.length === groups.length ? '' : `${groups.flatMap((g) => g.changes).length} changes lie on the way. The drawing numbers those of ${those[0].of.toLowerCase()}; choose another version in the list below.`;
  };
  pairs.showOnly = (g) => show([g]);
  show(drawn);
}

// mostNumbered is how many changes one drawing numbers at once: with more, it has
// those of one version at a time, at first the last one's that has any with a place.
const mostNumbered = 60;
function numberedOf(groups) {
  const tagged = (g) => g.changes.filter((c) => c.at && !c.u).length;
  if (groups.reduce((sum, g) => sum + tagged(g), 0) <= mostNumbered) return groups;
  return [[...groups].reverse().find(tagged)];
}

function showChanges(groups, p, drawn) {
  const list = clear(pairs.changes);
  if (!groups.length) list.append(make('li', {}, p.changed ? 'It came another way: see the versions before.' : 'Nothing changed in this piece.'));
  for (const g of groups) {
    const only = drawn.length < groups.length && make('button', { type: 'button', class: 'link', onclick: () => pairs.showOnly(g) }, g.of);
    if (g.of) list.append(make('li', { class: 'of' }, only || g.of, ', ', words(short(book.versions[g.i].x, 90))));
    for (const s of g.says) list.append(make('li', { class: 'c' }, make('span', {}), words(s)));
    for (const c of g.changes.filter((one) => !one.u)) {
      c.row = make('li', { class: 'c' }, make('span', { class: 'num' }, String(c.num)), make('div', {}, ...saidOf(c)));
      list.append(c.row);
    }
    g.changes.forEach((c) => {
      if (!c.u) return;
      const under = g.changes[c.u - 1].row.lastChild;
      if (under.lastChild.className !== 'follows') under.append(make('ul', { class: 'follows' }));
      under.lastChild.append(make('li', {}, ...saidOf(c)));
    });
  }
}

function saidOf(c) { return [words(c.s), c.f ? make('span', { class: 'figure' }, c.f) : '']; }

function showEdges(p, groups) {
  const body = clear(pairs.edges), old = p.old ? edgesOf(p.old[0]) : [], now = p.now ? edgesOf(p.now[0]) : [];
  const names = [...new Set([...now, ...old].map((e) => e.name))];
  const cell = (mm, sign) => (mm === null ? make('td', {}, '–') : make('td', {}, signed(inCm(mm), sign ? mm : 0), make('span', { class: 'in' }, signed(inInches(mm), sign ? mm : 0))));
  pairs.whyLengths.textContent = whyLengths(groups.flatMap((g) => g.changes));
  for (const name of names) {
    const find = (list) => { const e = list.find((one) => one.name === name); return e ? e.mm : null; };
    const was = find(old), is = find(now), by = was === null || is === null ? null : is - was;
    const on = () => { table.lightEdge(name, true); }, off = () => table.lightEdge(name, false);
    const button = make('button', { type: 'button', class: 'link', onfocus: on, onblur: off, onmouseenter: on, onmouseleave: off, onclick: on }, words(name));
    body.append(make('tr', { class: by !== null && Math.abs(by) >= 0.05 ? 'changed' : null }, make('th', { scope: 'row' }, button), cell(was), cell(is), cell(by, true)));
  }
}

// whyLengths says why edges that no sentence tells of have other lengths.
function whyLengths(changes) {
  const why = [];
  if (changes.some((c) => c.rs)) why.push('An edge is measured along the sewing line to the middle of a rounded corner, so rounding a corner makes both its edges shorter.');
  if (changes.some((c) => (c.x || []).some((l) => l.k === 'slash'))) why.push('An edge that a slash meets aslant grows by less, or by more, than the slash opens.');
  return why.join(' ');
}

// showLegend shows how to read the lines that this drawing has.
function showLegend(p, groups) {
  const lines = new Set(groups.flatMap((g) => g.changes).flatMap((c) => [...(c.x || []).map((l) => l.k), ...(c.mv ? ['moved'] : [])]));
  const drawn = (selector) => table.element.querySelector(selector);
  const has = { new: p.now, was: p.old && p.changed, added: p.old && p.now && p.changed, removed: p.old && p.changed, moved: lines.has('moved'),
    slash: lines.has('slash'), cut: lines.has('cut'), 'cut-was': lines.has('cut-was'), marks: drawn('.detail-was'), pivot: drawn('.pivot'),
    note: drawn('.tag.pin:not(.open-note)'), open: drawn('.tag.open-note'), fold: book.outlines[(p.now || p.old)[0]].fo };
  for (const [key, e] of Object.entries(pairs.legend)) e.hidden = !has[key];
}

function showNotes(notes) {
  clear(pairs.notes);
  pairs.notesPart.hidden = !notes.length;
  for (const n of notes) {
    const answers = n.by.map((v) => make('p', {}, n.there.has(v) ? 'Answered by ' : 'Not yet here; answered by ', versionButton(v), ': ', words(book.versions[v].x)));
    const again = (n.ag || []).map((a) => make('p', {}, words(`Seen again at ${a.x}${a.s ? ': ' + a.s : ''}`)));
    pairs.notes.append(make('details', { 'data-note': n.i }, make('summary', {}, make('span', { class: 'key' }, n.k), words(short(n.s, 160))),
      make('div', { class: 'inside' }, n.s.length > 160 ? make('p', {}, words(n.s)) : null, make('p', { class: 'meta' }, book.fittings[n.f].x), n.w ? make('p', {}, 'Where: ', words(n.w)) : null, n.g ? make('p', {}, 'Pinned: ', n.g) : null, n.d ? make('p', {}, 'To do: ', words(n.d)) : null,
        ...answers, ...again, n.answered ? null : make('p', {}, n.by.length ? 'Open here.' : 'Open: no version answers it yet.'),
        make('p', {}, 'In full: note ', noteLink(n)))));
  }
}

// Turning the sheet.
const stops = [[0, 'earlier'], [100, 'both'], [200, 'later']];
function setTurn(value, swing) {
  table.element.classList.toggle('swing', !!swing);
  table.turnTo(value);
  if (!pairs.range) return;
  pairs.range.value = value;
  pairs.range.setAttribute('aria-valuetext', turnWords(value));
  pairs.stops.forEach((b, k) => b.setAttribute('aria-pressed', String(stops[k][0] === value)));
}
function turnWords(value) {
  if (value <= 5) return 'sheet turned back: the earlier version alone';
  if (value < 95) return 'sheet half turned';
  if (value <= 105) return 'sheet lying flat: the later version over the earlier one';
  return value < 195 ? 'white paper slipping in between' : 'white paper in between: the later version alone';
}

function makeTurning() {
  pairs.range = make('input', { type: 'range', id: 'turn', min: 0, max: 200, step: 5, value: 100, 'aria-label': 'Turn the tracing sheet' });
  pairs.range.addEventListener('input', () => setTurn(Number(pairs.range.value), false));
  pairs.stops = stops.map(([value, name]) => make('button', { type: 'button', 'aria-pressed': String(value === 100), onclick: () => setTurn(value, true) }, name));
  pairs.turning = make('div', { class: 'turning' }, make('div', { class: 'stops', role: 'group', 'aria-label': 'What is seen' }, ...pairs.stops),
    make('div', { class: 'range' }, make('span', { 'aria-hidden': 'true' }, 'turn the sheet'), pairs.range));
  return pairs.turning;
}

function makeLegend() {
  const shapes = { box: (a) => draw('rect', { x: 1, y: 1, width: 38, height: 12, ...a }), line: (a) => draw('path', { d: 'M2 7H38', ...a }),
    fold: (a) => draw('path', { d: 'M4 12V4H36V12M2 9 4 12 6 9M34 9 36 12 38 9', ...a }),
    ring: (a) => draw('rect', { x: 8, y: 1, width: 24, height: 12, rx: 6, ...a }), dot: (a) => draw('circle', { cx: 20, cy: 7, r: 4.5, ...a }), arrow: (a) => draw('line', { x1: 3, y1: 7, x2: 36, y2: 7, 'marker-end': 'url(#tip)', ...a }) };
  const entries = [['new', 'line', { class: 'line-new' }, 'later'], ['was', 'line', { class: 'line-was' }, 'earlier (was)'],
    ['added', 'box', { class: 'edge-added', fill: 'url(#ha3)' }, 'added'], ['removed', 'box', { class: 'edge-removed', fill: 'url(#hr3)' }, 'taken away'],
    ['moved', 'arrow', { class: 'arrow' }, 'moved'], ['slash', 'line', { class: 'line-slash' }, 'slashed here'],
    ['cut', 'line', { class: 'line-cut' }, 'cutting line'], ['cut-was', 'line', { class: 'line-cut-was' }, 'cutting line (was)'],
    ['marks', 'line', { class: 'detail detail-was' }, 'marks and lines (was)'], ['pivot', 'dot', { class: 'pivot' }, 'turned about here'],
    ['fold', 'fold', { class: 'detail' }, 'on fold'], ['note', 'ring', { class: 'note-ring' }, 'note, answered'], ['open', 'ring', { class: 'note-ring open-note' }, 'note, open']];
  pairs.legend = {};
  for (const [key, shape, attributes, text] of entries) pairs.legend[key] = make('li', {}, draw('svg', { viewBox: '0 0 40 14', 'aria-hidden': 'true' }, shapes[shape](attributes)), text);
  return make('ul', { class: 'legend', 'aria-label': 'How to read the drawing' }, ...Object.values(pairs.legend));
}

function makeDesk() {
  pairs.told = make('div', { class: 'told', 'aria-live': 'polite' });
  pairs.pieces = make('ul', { class: 'pieces', 'aria-label': 'Pieces' });
  pairs.same = make('p', { class: 'hint' });
  pairs.swipe = make('p', { class: 'hint swipe', hidden: true });
  pairs.nothing = make('p', { class: 'nothing', hidden: true });
  pairs.head = make('div', { class: 'sheet-head' });
  pairs.many = make('p', { class: 'hint', hidden: true });
  pairs.changes = make('ol', { class: 'changes' });
  pairs.edges = make('tbody', {});
  pairs.whyLengths = make('p', { class: 'hint' });
  pairs.notes = make('div', { class: 'pinned' });
  pairs.notesPart = make('div', {}, make('h3', {}, 'Notes on this piece'), pairs.notes);
  const head = (text) => make('th', { scope: 'col' }, text);
  const lengths = make('div', { class: 'wide' }, make('table', {}, make('caption', {}, 'Lengths along the sewing line'), make('thead', {}, make('tr', {}, head('edge'), head('earlier'), head('later'), head('by'))), pairs.edges));
  pairs.board = make('div', { class: 'board' }, pairs.head, pairs.many, table.element, table.room, makeTurning(), makeLegend(),
    make('div', { class: 'under' }, make('div', {}, make('h3', {}, 'What changed'), pairs.changes, pairs.notesPart), make('div', {}, make('h3', {}, 'Edges'), lengths, pairs.whyLengths)));
  return make('div', { class: 'desk' }, makePair(), pairs.told, pairs.nothing, pairs.swipe, pairs.pieces, pairs.same, pairs.board);
}

function start() {
  document.documentElement.classList.add('scripted');
  bench.hidden = false;
  bench.append(make('div', { class: 'bench' }, makeThread(), makeDesk()));
  const words = document.getElementById('book');
  const label = () => (document.documentElement.classList.contains('open-book') ? 'Put the list of versions away' : 'Show every version, one after the other');
  const toggle = make('button', { type: 'button', class: 'open-book-button', 'aria-expanded': 'false', 'aria-controls': 'book', onclick: () => {
    const open = document.documentElement.classList.toggle('open-book');
    toggle.textContent = label(); toggle.setAttribute('aria-expanded', String(open));
  } }, label());
  words.before(toggle);
  for (const a of document.querySelectorAll('a[data-version]')) {
    a.addEventListener('click', (e) => {
      if (document.documentElement.classList.contains('open-book')) return;
      e.preventDefault(); pick(Number(a.dataset.version)); book.stitches[chosen.to].focus(); bench.scrollIntoView();
    });
  }
  const asked = /^#v(\d+)$/.exec(location.hash), first = line(book.here).pop();
  if (asked && book.versions[asked[1]]) pick(Number(asked[1]));
  else choose(first === book.here ? -1 : first, book.here);
  if (!asked) bench.querySelector('.thread ol').scrollTop = 0;
}
start();
