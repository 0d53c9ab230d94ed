package trace

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// othersScript has ezdxf write outlines in files of four releases, and tells the
// area of each: by its own chords within 0.0005 of a unit, or, where it draws
// circles less exactly than that, by π·r² and π·a·b.
const othersScript = `
import ezdxf, json, math, sys, os
from ezdxf import path as paths
from ezdxf.math import Vec3
out = {}
for release in ["R12", "R2000", "R2010", "R2018"]:
  doc = ezdxf.new(release)
  doc.header["$INSUNITS"] = 5
  doc.header["$MEASUREMENT"] = 1
  m = doc.modelspace()
  areas = {}
  def area(entities):
    p = []
    for path in paths.make_path(entities[0]), *[paths.make_path(e) for e in entities[1:]]:
      q = list(path.flattening(0.0005, segments=64))
      if p and p[-1].distance(q[0]) > 1e-6 and p[-1].distance(q[-1]) < 1e-6: q.reverse()
      p += q
    return abs(sum(a.x * b.y - b.x * a.y for a, b in zip(p, p[1:] + p[:1]))) / 2
  def layer(name):
    doc.layers.add(name)
    return {"layer": name}
  a = layer("bulged")
  points = [(0, 0, 0.2), (30, 0, 0), (32, 20, -0.7), (10, 25, 0), (0, 12, 0.05)]
  e = m.add_polyline2d(points, format="xyb", close=True, dxfattribs=a) if release == "R12" else m.add_lwpolyline(points, format="xyb", close=True, dxfattribs=a)
  areas["bulged"] = area([e])
  a = layer("lines and arc")
  es = [m.add_line((100, 0), (120, 0), dxfattribs=a), m.add_arc((120, 5), 5, 270, 0, dxfattribs=a),
    m.add_line((125, 5), (100, 40), dxfattribs=a), m.add_line((100, 40), (100, 0), dxfattribs=a)]
  areas["lines and arc"] = area(es)
  block = doc.blocks.new("shown", base_point=(1, 2))
  block.add_circle((4, 4), 9)
  m.add_blockref("shown", (0, 100), dxfattribs={"xscale": 2, "yscale": 1.5, "rotation": 30})
  areas["shown"] = math.pi * 81 * 3
  if release != "R12":
    a = layer("ellipse")
    m.add_ellipse((200, 0), (12, 5), 0.4, dxfattribs=a)
    areas["ellipse"] = math.pi * 13 * 13 * 0.4
    a = layer("spline")
    s = m.add_spline(degree=3, dxfattribs=a)
    s.set_open_uniform([(300, 0), (310, 20), (330, 30), (350, -10), (360, 5), (380, 0)])
    areas["spline"] = area([s, m.add_line((380, 0), (380, -50), dxfattribs=a), m.add_line((380, -50), (300, -50), dxfattribs=a), m.add_line((300, -50), (300, 0), dxfattribs=a)])
    a = layer("weighted")
    s = m.add_spline(degree=4, dxfattribs=a)
    s.set_open_rational([(400, 0), (410, 20), (430, 30), (450, 10), (460, 5), (480, 0)], [1, 2, 1, 0.5, 3, 1], degree=4)
    areas["weighted"] = area([s, m.add_line((480, 0), (440, -50), dxfattribs=a), m.add_line((440, -50), (400, 0), dxfattribs=a)])
  doc.saveas(os.path.join(sys.argv[1], release + ".dxf"))
  out[release] = areas
json.dump(out, sys.stdout)
`

// What another program writes is read as it reads it itself.
func TestDXFOfAnotherWriter(t *testing.T) {
	python := ""
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if python == "" && exec.Command(name, "-c", "import ezdxf").Run() == nil {
			python = name
		}
	}
	if python == "" {
		if os.Getenv("TOILE_ALL") == "1" {
			t.Fatal("no python3 with ezdxf is installed, and TOILE_ALL=1 demands it")
		}
		t.Skip("no python3 with ezdxf is installed")
	}
	dir := t.TempDir()
	cmd := exec.Command(python, "-c", othersScript, dir)
	cmd.Stderr = os.Stderr
	text, err := cmd.Output()
	require.NoError(t, err)
	var areas map[string]map[string]float64 // cm², by release and outline
	require.NoError(t, json.Unmarshal(text, &areas))
	require.Len(t, areas, 4)
	for release, outlines := range areas {
		file := filepath.Join(dir, release+".dxf")
		o := Options{}
		if release == "R12" { // it has no word for centimetres
			o.Scale = 10
		}
		d, err := Read(file, o, PointsOptions{})
		require.NoError(t, err, release)
		require.Len(t, d.Outlines, len(outlines), release)
		for name, area := range outlines {
			r := outlineOf(t, d, name).Ring
			assert.InDelta(t, 100*area, r.Area(), 0.005*r.Length(), "%s, %s", release, name)
		}
	}
}
