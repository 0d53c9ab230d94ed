// What lies where in each version, and the way from one version to another.

const book = JSON.parse(document.getElementById('data').textContent);

// states[v][track] is [outline, transform], or undefined where the piece is not
// there. states[-1] is the empty table before the first version.
const states = [];
states[-1] = [];
book.versions.forEach((v, i) => {
  const state = v.p < 0 ? [] : states[v.p].slice();
  for (const [track, outline, laid] of v.s) state[track] = outline < 0 ? undefined : [outline, laid || ''];
  states[i] = state;
});

// numberOf is how a version is named: by its number, with the branch where
// another branch has that number too.
const numbers = new Map();
for (const v of book.versions) numbers.set(v.n, (numbers.get(v.n) || 0) + 1);
function numberOf(i) {
  const v = book.versions[i];
  return numbers.get(v.n) > 1 && v.br ? `${v.n} on ${v.br}` : String(v.n);
}

// line is a version and those before it on its branch's own line.
function line(v) {
  const out = [];
  for (; v >= 0; v = book.versions[v].p) out.push(v);
  return out;
}

// way is how one gets from a version to another: those whose steps are taken
// back, the latest first, and those whose steps are made, the earliest first.
function way(from, to) {
  const there = line(to);
  const onLine = new Set(there);
  const back = [];
  let v = from;
  for (; v >= 0 && !onLine.has(v); v = book.versions[v].p) back.push(v);
  return { back, on: there.slice(0, v < 0 ? there.length : there.indexOf(v)).reverse() };
}

// ancestors are all versions that one builds on, itself included.
function ancestors(v) {
  const seen = new Set();
  const queue = v >= 0 ? [v] : [];
  while (queue.length) {
    const one = queue.pop();
    if (seen.has(one)) continue;
    seen.add(one);
    for (const next of [book.versions[one].p, ...(book.versions[one].m || [])]) if (next >= 0) queue.push(next);
  }
  return seen;
}

// piecesOf lists the tracks that lie in either version, each with both states.
function piecesOf(from, to) {
  const out = [];
  book.tracks.forEach((_, track) => {
    const old = states[from][track], now = states[to][track];
    if (!old && !now) return;
    const changed = !old || !now || old[0] !== now[0];
    const name = book.outlines[(now || old)[0]].n;
    out.push({ track, old, now, changed, name, state: !old ? 'new' : !now ? 'gone' : changed ? '' : 'the same' });
  });
  return out.sort((a, b) => b.changed - a.changed || a.name.localeCompare(b.name));
}

// answeredIn says whether a note is answered where there are these versions: each
// time it was seen again undoes one answer.
function answeredIn(n, there) {
  return n.by.filter((v) => there.has(v)).length > (n.ag || []).filter((a) => there.has(a.v)).length;
}

// lyingIn is a note at its place in a version: on the part that holds the place
// where its piece was split, on the whole where it was joined to another.
function lyingIn(n, version) {
  if (!n.pt) return n;
  for (const v of line(version)) {
    const lies = n.pt.find((p) => p.v === v);
    if (lies) return { ...n, t: lies.t, at: lies.at };
  }
  return n;
}

// notesFor are the notes that have to do with a pair of versions: those that
// were answered on the way, and those that are open in the later one.
function notesFor(from, to) {
  const then = ancestors(from), now = ancestors(to);
  const onTheWay = (v) => now.has(v) && !then.has(v);
  return book.notes.map((n, i) => ({ ...lyingIn(n, to), i, answered: answeredIn(n, now), there: now }))
    .filter((n) => now.has(n.v) && (!n.answered || !then.has(n.v) || n.by.some(onTheWay) || (n.ag || []).some((a) => onTheWay(a.v))));
}

// holdCutLines leaves of the cutting lines that a way of several versions tells of
// those that hold in the two versions shown: the latest of an edge that lies there
// yet, and the earliest of one that lay there already.
function holdCutLines(groups, track) {
  const shape = (v, name) => {
    const s = v >= 0 && states[v][track], e = s && edgesOf(s[0]).find((one) => one.name === name);
    return e ? e.d + s[1] : v;
  };
  const first = new Map(), last = new Map();
  const isCut = (l) => l.k === 'cut' || l.k === 'cut-was', key = (l) => `${l.e}/${l.w || ''}`;
  const all = groups.flatMap((g) => g.changes.map((c) => [g, c]));
  for (const [, c] of all) for (const l of (c.x || []).filter(isCut)) { if (!first.has(key(l))) first.set(key(l), c); last.set(key(l), c); }
  for (const [g, c] of all) {
    if (!c.x) continue;
    const before = g.taken ? g.i : book.versions[g.i].p, after = g.taken ? book.versions[g.i].p : g.i;
    c.x = c.x.filter((l) => !isCut(l) || (l.k === 'cut' ? last.get(key(l)) === c && shape(after, l.e) === shape(chosen.to, l.e)
      : first.get(key(l)) === c && shape(before, l.e) === shape(chosen.from, l.e)));
  }
}

// Lengths in centimetres and inches, as the sentences write them: inches as a
// tape has them, to the nearest sixteenth, below a quarter of an inch to a
// hundredth. A pattern in inches has its own figures: a sixteenth where it is
// one, else to a thousandth.
function trimmed(value, digits) { return value.toFixed(digits).replace(/\.?0+$/, '').replace(/^-0$/, '0').replace('-', '\u2212'); }
function inCm(mm) { return trimmed(mm / 10, 2) + '\u00a0cm'; }
function inInches(mm) {
  const count = Math.round(Math.abs(mm) / 25.4 * 16), own = book.unit === 'in';
  if (own ? Math.abs(count * 25.4 / 16 - Math.abs(mm)) > 0.005 : Math.abs(mm) < 25.4 / 4) return trimmed(mm / 25.4, own ? 3 : 2) + '\u00a0in';
  let above = count % 16, below = 16;
  while (above && above % 2 === 0) { above /= 2; below /= 2; }
  const parts = [Math.floor(count / 16) || (above ? '' : '0'), above ? `${above}/${below}` : ''];
  return (mm < 0 && count ? '\u2212' : '') + parts.filter(Boolean).join('\u00a0') + '\u00a0in';
}
function both(mm) { return inCm(mm) + ' · ' + inInches(mm); }
function signed(text, mm) { return mm > 0 && !/^0\s/.test(text) ? '+' + text : text; }
