package main

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/cmd/toile/demo"
	"toile/geom"
	"toile/pattern"
)

// everything is a pattern of one piece that bears all there is: darts, pleats,
// marks of every kind, reference lines, bias, a rounded corner, double notches.
const everything = `name: blouse-front
id: 11223344
cloth: linen
cut: a pair
side: left
grain: {from: [40, 80], to: [140, 380], one_way: true, bias: true}
outline:
- corner: [0, 0]
- edge:
    name: neckline
    id: aaaaaaa1
    allowance: {cloth: 6, toile: 15}
    path:
    - handles: [30, 60, 80, 70]
    - through: [110, 30]
    - handles: [120, 17, 128, 9]
- corner: [130, 0]
- edge:
    name: shoulder
    id: aaaaaaa2
    allowance: {cloth: 10, toile: 15}
- corner: {at: [300, 40], round: 18}
- edge:
    name: side seam
    id: aaaaaaa3
    allowance: {cloth: 15, toile: 15}
- corner: {at: [310, 450], round: 40}
- edge:
    name: hemline
    id: aaaaaaa4
    hem: true
    allowance: {cloth: 25, toile: 20}
- corner: [0, 460]
- edge:
    name: front edge
    id: aaaaaaa5
    allowance: {cloth: 12.5, toile: 15}
notches:
- {name: neck notch, edge: neckline, at: 60}
- {name: hip, edge: side seam, at: 120, from: end, count: 2}
- {name: "Pass-\u00E9", edge: shoulder, at: 70, count: 3}
marks:
- {kind: button, name: collar button, at: [20, 100], size: 18}
- {kind: button, name: second, at: [20, 180]}
- {kind: dot, name: pocket corner, at: [90, 200]}
- {kind: text, name: note, at: [60, 320], text: "cut: with nap, up"}
- kind: buttonhole
  name: buttonhole
  path:
  - at: [15, 250]
  - at: [30, 250]
- kind: slit
  name: vent
  path:
  - at: [200, 300]
  - at: [210, 380]
- kind: placement line
  name: pocket
  path:
  - at: [90, 210]
  - handles: [110, 230, 140, 230]
  - at: [170, 210]
- kind: fold line
  name: facing fold
  path:
  - at: [40, 60]
  - at: [40, 440]
- {kind: dart, name: bust dart, at: [200, 180], point: [200, 180], edge: side seam, from: 100, to: 130, towards: end}
- {kind: pleat, name: waist pleat, edge: hemline, from: 100, to: 130, towards: start}
lines:
- name: centre front
  path:
  - at: [20, 50]
  - at: [20, 455]
`

// blouse is a pattern of the piece above, in a folder.
func blouse(t *testing.T) (folder string, q *pattern.Piece) {
	t.Helper()
	text := strings.Replace(everything, "at: [200, 180], point", "point", 1)
	folder = filepath.Join(t.TempDir(), "blouse")
	mustRun(t, "start", folder)
	require.NoError(t, os.MkdirAll(filepath.Join(folder, "pieces"), 0o777))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "pieces", "blouse-front.yaml"), []byte(text), 0o666))
	return folder, storedPiece(t, folder, "blouse-front")
}

func mustRun(t *testing.T, args ...string) string {
	t.Helper()
	var out, errors bytes.Buffer
	require.Zero(t, run(args, &out, &errors), "%v: %s", args, errors.String())
	return out.String()
}

func storedPiece(t *testing.T, folder, slug string) *pattern.Piece {
	t.Helper()
	name := "pieces/" + slug + ".yaml"
	text, err := os.ReadFile(filepath.Join(folder, name))
	require.NoError(t, err)
	q, err := pattern.DecodePiece(name, slug, text)
	require.NoError(t, err)
	return q
}

// What is exported and traced again changes nothing, in any version of the demo
// and in a piece that bears everything, by SVG and by DXF, with either
// allowances.
func TestExportedAndTracedAgain(t *testing.T) {
	dir := t.TempDir()
	made, err := demo.Write(filepath.Join(dir, "demo"))
	require.NoError(t, err)
	folder, _ := blouse(t)
	again := func(folder, what string) {
		for _, file := range []string{"x.svg", "x.dxf"} {
			for _, set := range []string{"cloth", "toile"} {
				path := filepath.Join(dir, set+file)
				mustRun(t, "export", "-o", path, "--for", set, "--pattern", folder)
				said := mustRun(t, "trace", path, "--pattern", folder)
				for _, line := range strings.Split(strings.TrimSpace(said), "\n") {
					assert.True(t, strings.HasPrefix(line, "  ") || strings.Contains(line, ": nothing changed"), "%s, %s: %s", what, path, line)
				}
			}
		}
	}
	again(folder, "blouse")
	again(made.Pattern, "version 11")
	versions := []string{"5", "9"}
	for _, v := range versions {
		mustRun(t, "branch", "again-"+v, "--from", v, "--pattern", made.Pattern)
	}
	for _, v := range versions {
		mustRun(t, "use", "again-"+v, "--pattern", made.Pattern)
		again(made.Pattern, "version "+v)
	}
}

// sameAgain holds that a piece that was exported and traced into a pattern that
// had no such piece is the same within 0.05 mm, with its edges, notches, marks
// and lines.
func sameAgain(t *testing.T, a, b *pattern.Piece) {
	t.Helper()
	const within = 0.05
	assert.LessOrEqual(t, apartAtMost(t, outlineOf(t, a), outlineOf(t, b)), within)
	assert.LessOrEqual(t, apartAtMost(t, cuttingOf(t, a), cuttingOf(t, b)), within)
	assert.Equal(t, a.EdgeNames(), b.EdgeNames())
	assert.Equal(t, []string{a.Cloth, string(a.Cut), a.Side}, []string{b.Cloth, string(b.Cut), b.Side})
	for i := range min(len(a.Edges), len(b.Edges)) {
		e, f := a.Edges[i], b.Edges[i]
		assert.InDelta(t, bearingLength(t, a, i), b.Length(i), within, e.Name)
		assert.Equal(t, []any{e.Fold, e.Hem, e.AllowanceFor("cloth")}, []any{f.Fold, f.Hem, f.AllowanceFor("cloth")}, e.Name)
	}
	require.Len(t, b.Notches, len(a.Notches))
	for _, n := range a.Notches {
		k := b.NotchByName(n.Name)
		require.GreaterOrEqual(t, k, 0, n.Name)
		at, _, _, err := a.NotchPlace(n)
		require.NoError(t, err)
		there, _, _, err := b.NotchPlace(b.Notches[k])
		require.NoError(t, err)
		assert.LessOrEqual(t, at.Dist(there), within, n.Name)
		assert.Equal(t, n.Edge, b.Notches[k].Edge)
		assert.Equal(t, max(n.Count, 1), b.Notches[k].Count)
	}
	require.Len(t, b.Marks, len(a.Marks))
	for _, m := range a.Marks {
		k := slices.IndexFunc(b.Marks, func(o pattern.Mark) bool {
			return o.Kind == m.Kind && (o.Name == m.Name || o.Text == m.Text && m.Text != "")
		})
		require.GreaterOrEqual(t, k, 0, "%s %s", m.Kind, m.Name)
		o := b.Marks[k]
		assert.LessOrEqual(t, m.At.Dist(o.At), within, m.Name)
		assert.Equal(t, []any{m.Size, m.Edge, m.Direction}, []any{o.Size, o.Edge, o.Direction}, m.Name)
		if m.Edge != "" { // counted from a sharp corner here, from where an arc was halved there
			i, _ := a.EdgeIndex(m.Edge)
			k, _ := b.EdgeIndex(m.Edge)
			assert.LessOrEqual(t, a.EdgePath(i).PointAt(m.From).Dist(b.EdgePath(k).PointAt(o.From)), within, m.Name)
			assert.LessOrEqual(t, a.EdgePath(i).PointAt(m.To).Dist(b.EdgePath(k).PointAt(o.To)), within, m.Name)
		}
		samePlace(t, m.Path, o.Path, within, m.Name)
	}
	require.Len(t, b.Lines, len(a.Lines))
	for i, l := range a.Lines {
		assert.Equal(t, l.Name, b.Lines[i].Name)
		samePlace(t, l.Path, b.Lines[i].Path, within, l.Name)
	}
	assert.Equal(t, a.Grain, b.Grain)
}

func samePlace(t *testing.T, p, q geom.Path, within float64, what string) {
	t.Helper()
	require.Equal(t, len(p) == 0, len(q) == 0, what)
	for _, c := range p {
		for i := range 9 {
			_, d := q.Nearest(c.At(float64(i) / 8))
			assert.LessOrEqual(t, d, within, what)
		}
	}
}

// Traced into a pattern that has no such pieces, a DXF of toile's brings along
// all there is but the ids, the other allowances, and what roundings were made
// of.
func TestDXFIntoAnotherPattern(t *testing.T) {
	dir := t.TempDir()
	folder, q := blouse(t)
	file, other := filepath.Join(dir, "blouse.dxf"), filepath.Join(dir, "other")
	mustRun(t, "export", "-o", file, "--pattern", folder)
	mustRun(t, "start", other)
	mustRun(t, "trace", file, "--pattern", other)
	sameAgain(t, q, storedPiece(t, other, "blouse-front"))

	made, err := demo.Write(filepath.Join(dir, "demo"))
	require.NoError(t, err)
	file = filepath.Join(dir, "smock.dxf")
	mustRun(t, "export", "-o", file, "--pattern", made.Pattern)
	mustRun(t, "trace", file, "--pattern", other)
	for _, slug := range []string{"back", "cuff", "front", "front-facing", "front-lining", "pocket", "side-panel", "sleeve", "yoke"} {
		t.Run(slug, func(t *testing.T) {
			sameAgain(t, storedPiece(t, made.Pattern, slug), storedPiece(t, other, slug))
		})
	}
}

// pythonWith finds a Python that has a library, or skips, or fails where all is
// demanded.
func pythonWith(t *testing.T, library string) string {
	t.Helper()
	for _, python := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(python, "-c", "import "+library).Run() == nil {
			return python
		}
	}
	if demandAll() {
		t.Fatalf("no python3 with %s is installed, and TOILE_ALL=1 demands it", library)
	}
	t.Skipf("no python3 with %s is installed", library)
	return ""
}

// auditScript reads a DXF with ezdxf and tells what an audit finds, and of every
// block the lines, points and texts by layer, with areas and lengths. ezdxf
// 0.18 finds fault with the end of every polyline in a block of an R12 file,
// those it writes itself among them; the script writes one to know.
const auditScript = `
import ezdxf, json, sys, os, tempfile
doc = ezdxf.readfile(sys.argv[1])
audit = doc.audit()
own = ezdxf.new("R12")
own.blocks.new("B").add_polyline2d([(0, 0), (1, 0), (1, 1)], close=True)
path = os.path.join(tempfile.mkdtemp(), "own.dxf")
own.saveas(path)
known = {f.code for f in ezdxf.readfile(path).audit().fixes}
out = {"errors": [e.message for e in audit.errors], "fixes": [f.message for f in audit.fixes if f.code not in known],
  "layers": sorted(l.dxf.name for l in doc.layers), "units": doc.units, "shown": [], "texts": [], "blocks": {}}
for e in doc.modelspace():
  if e.dxftype() == "INSERT": out["shown"].append(e.dxf.name)
  elif e.dxftype() == "TEXT": out["texts"].append(e.dxf.text)
for b in doc.blocks:
  if b.name.startswith(("*", "$")): continue
  lines, points, texts = {}, {}, []
  for e in b:
    layer = e.dxf.layer
    if e.dxftype() == "POLYLINE":
      p = [v.dxf.location for v in e.vertices]
      n = len(p) if e.is_closed else len(p) - 1
      q = [p[(i + 1) % len(p)] for i in range(len(p))]
      lines.setdefault(layer, []).append({"closed": e.is_closed, "points": [[v.x, v.y] for v in p],
        "area": abs(sum(a.x * c.y - c.x * a.y for a, c in zip(p, q))) / 2,
        "length": sum(p[i].distance(q[i]) for i in range(n))})
    elif e.dxftype() == "LINE":
      lines.setdefault(layer, []).append({"closed": False, "length": e.dxf.start.distance(e.dxf.end), "area": 0,
        "points": [[e.dxf.start.x, e.dxf.start.y], [e.dxf.end.x, e.dxf.end.y]]})
    elif e.dxftype() == "POINT": points.setdefault(layer, []).append([e.dxf.location.x, e.dxf.location.y])
    elif e.dxftype() == "TEXT": texts.append(e.dxf.text)
  out["blocks"][b.name] = {"lines": lines, "points": points, "texts": texts}
json.dump(out, sys.stdout)
`

type auditLine struct {
	Closed       bool
	Points       [][2]float64
	Area, Length float64
}

type auditBlock struct {
	Lines  map[string][]auditLine
	Points map[string][][2]float64
	Texts  []string
}

// Another program finds nothing wrong with the DXF, and in it the layers,
// pieces, lines and points that the pattern has: lengths within 0.05 mm an edge,
// areas within 0.05 mm of the outline, and both of chords that lie within 0.05 mm
// of the curves.
func TestDXFInAnotherReader(t *testing.T) {
	python := pythonWith(t, "ezdxf")
	dir := t.TempDir()
	made, err := demo.Write(filepath.Join(dir, "demo"))
	require.NoError(t, err)
	folder, _ := blouse(t)
	for _, folder := range []string{made.Pattern, folder} {
		file := filepath.Join(dir, "x.dxf")
		mustRun(t, "export", "-o", file, "--pattern", folder)
		text, err := exec.Command(python, "-c", auditScript, file).Output()
		require.NoError(t, err)
		var said struct {
			Errors, Fixes, Layers, Shown, Texts []string
			Units                               int
			Blocks                              map[string]auditBlock
		}
		require.NoError(t, json.Unmarshal(text, &said))
		assert.Empty(t, said.Errors)
		assert.Empty(t, said.Fixes)
		for _, layer := range []string{"1", "2", "3", "4", "6", "7", "8", "13", "14", "15"} {
			assert.Contains(t, said.Layers, layer)
		}
		assert.Contains(t, said.Texts, "UNITS: METRIC")
		files, err := filepath.Glob(filepath.Join(folder, "pieces", "*.yaml"))
		require.NoError(t, err)
		assert.Len(t, said.Blocks, len(files))
		assert.Len(t, said.Shown, len(files))
		for _, f := range files {
			slug := strings.TrimSuffix(filepath.Base(f), ".yaml")
			q := storedPiece(t, folder, slug)
			b, ok := said.Blocks[strings.ToUpper(slug)]
			require.True(t, ok, slug)
			auditPiece(t, q, b)
		}
	}
}

// auditPiece holds what another program read of a block against the piece.
func auditPiece(t *testing.T, q *pattern.Piece, b auditBlock) {
	t.Helper()
	const within = 0.05
	assert.Contains(t, b.Texts, "PIECE NAME: "+q.Name)
	sewing, err := q.Outline()
	require.NoError(t, err)
	cutting, err := q.CuttingLine("cloth")
	require.NoError(t, err)
	vertices := 0
	for layer, ring := range map[string]geom.Ring{"14": sewing.Ring, "1": cutting.Ring} {
		require.Len(t, b.Lines[layer], 1)
		l := b.Lines[layer][0]
		assert.True(t, l.Closed)
		assert.InDelta(t, ring.Area(), l.Area, within*ring.Length(), q.Name)
		assert.InDelta(t, ring.Length(), l.Length, within*float64(len(q.Edges)), q.Name)
		assert.InDelta(t, 0, chordsOff(ring, l.Points), within, q.Name)
		vertices += len(l.Points)
	}
	for _, l := range b.Lines["8"] {
		if len(l.Points) > 2 {
			vertices += len(l.Points)
		}
	}
	assert.Len(t, append(slices.Clone(b.Points["2"]), b.Points["3"]...), vertices, "each vertex is a turn point or a curve point")
	assert.Len(t, b.Points["4"], len(q.Notches))
	assert.Len(t, b.Lines["7"], 1)
	folds, dots, lines := 0, 0, len(q.Lines)
	for _, e := range q.Edges {
		if e.Fold {
			folds++
		}
	}
	for _, m := range q.Marks {
		switch m.Kind {
		case pattern.MarkButton, pattern.MarkDot:
			dots++
		case pattern.MarkText:
		default:
			lines++
		}
	}
	assert.Len(t, b.Lines["6"], folds)
	assert.Len(t, b.Points["13"], dots)
	assert.Len(t, b.Lines["8"], lines)
}

// chordsOff is how far the true outline lies from a closed polyline, y up.
func chordsOff(ring geom.Ring, points [][2]float64) float64 {
	p := make([]geom.Point, len(points))
	for i, q := range points {
		p[i] = geom.Pt(q[0], -q[1])
	}
	polygon := geom.Path(geom.Polygon(p...))
	most := 0.0
	for _, c := range ring {
		for i := range 65 {
			_, d := polygon.Nearest(c.At(float64(i) / 64))
			most = math.Max(most, d)
		}
	}
	return most
}

// A drawing program that opens the SVG and saves it again, as its own file, as
// plain SVG, or moved on the sheet, changes nothing; it sees a piece as large as
// it is, in millimetres.
func TestSVGSavedAgain(t *testing.T) {
	needPrograms(t, "inkscape")
	dir := t.TempDir()
	made, err := demo.Write(filepath.Join(dir, "demo"))
	require.NoError(t, err)
	blouse, _ := blouse(t)
	for _, folder := range []string{made.Pattern, blouse} {
		file := filepath.Join(dir, "x.svg")
		mustRun(t, "export", "-o", file, "--pattern", folder)
		for name, args := range map[string][]string{
			"own.svg":   {"--export-type=svg"},
			"plain.svg": {"--export-plain-svg", "--export-type=svg"},
			"moved.svg": {"--actions=select-all:all;transform-translate:31.7,12.3", "--export-type=svg"},
		} {
			saved := filepath.Join(dir, name)
			said, err := exec.Command("inkscape", append(args, "--export-filename="+saved, file)...).CombinedOutput()
			require.NoError(t, err, "%s", said)
			for _, line := range strings.Split(strings.TrimSpace(mustRun(t, "trace", saved, "--pattern", folder)), "\n") {
				assert.True(t, strings.HasPrefix(line, "  ") || strings.Contains(line, ": nothing changed"), "%s: %s", name, line)
			}
			var out, errors bytes.Buffer
			assert.NotZero(t, run([]string{"export", "-o", saved, "--pattern", folder}, &out, &errors), "what was saved by another program is not written over")
		}
		require.NoError(t, os.Remove(file))
	}
	file := filepath.Join(dir, "front.svg")
	mustRun(t, "export", "-o", file, "--piece", "front", "--pattern", made.Pattern)
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	id := regexp.MustCompile(`id="(toile-front-\d+)" inkscape:label="front"`).FindSubmatch(text)
	require.NotNil(t, id)
	outline, err := storedPiece(t, made.Pattern, "front").Outline()
	require.NoError(t, err)
	size := outline.Ring.Box().Size()
	for flag, mm := range map[string]float64{"--query-width": size.X, "--query-height": size.Y} {
		said, err := exec.Command("inkscape", flag, "--query-id="+string(id[1]), file).Output()
		require.NoError(t, err)
		var px float64
		require.NoError(t, json.Unmarshal(bytes.TrimSpace(said), &px))
		assert.InDelta(t, mm, px*25.4/96-0.35, 0.02, "the width of the line is in it; 96 px to the inch")
	}
}
