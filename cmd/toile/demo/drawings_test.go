package demo

import (
	"encoding/xml"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/diff"
	"toile/pattern"
	"toile/pattern/change"
	"toile/repo"
)

// Every drawing of the demo is well-formed XML, and the region paths of every
// overlay, measured here by the shoelace formula over many points a curve,
// have the areas that the diff says.
func TestDrawingsShowTheAreas(t *testing.T) {
	made, err := Write(filepath.Join(t.TempDir(), "demo"))
	require.NoError(t, err)
	r, err := repo.Open(made.Pattern)
	require.NoError(t, err)
	defer r.Close()
	overlays := 0
	for _, v := range made.Versions {
		if len(v.Parents) == 0 {
			continue
		}
		parent, err := r.Resolve(v.Parents[0])
		require.NoError(t, err)
		d, err := diff.Patterns(read(t, r, parent), read(t, r, v), change.Version{}, change.Version{})
		require.NoError(t, err)
		for _, p := range d.Pieces {
			if p.State == change.Same {
				continue
			}
			overlays++
			name := v.Branch + "-" + pad(v.Number) + "-" + slugOf(p) + ".svg"
			areas := regionAreas(t, filepath.Join(made.Drawings, name))
			require.InDelta(t, p.Added, areas["added"], 1e-2, name)
			require.InDelta(t, p.Removed, areas["removed"], 1e-2, name)
		}
	}
	require.Greater(t, overlays, 12)
	files, err := filepath.Glob(filepath.Join(made.Drawings, "*.svg"))
	require.NoError(t, err)
	require.Len(t, files, made.Files)
	for _, f := range files {
		regionAreas(t, f)
	}
}

func pad(n int) string { return ("0" + strconv.Itoa(n))[len(strconv.Itoa(n))-1:] }

func read(t *testing.T, r *repo.Repo, v repo.Version) *pattern.Pattern {
	files, err := r.Read(v)
	require.NoError(t, err)
	p, err := pattern.Decode(files)
	require.NoError(t, err)
	return p
}

// regionAreas reads a whole drawing and adds up the areas of its paths by
// class.
func regionAreas(t *testing.T, file string) map[string]float64 {
	f, err := os.Open(file)
	require.NoError(t, err)
	defer f.Close()
	areas := map[string]float64{}
	for d := xml.NewDecoder(f); ; {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return areas
		}
		require.NoError(t, err, file)
		e, ok := token.(xml.StartElement)
		if !ok || e.Name.Local != "path" {
			continue
		}
		attr := map[string]string{}
		for _, a := range e.Attr {
			attr[a.Name.Local] = a.Value
		}
		if c := attr["class"]; c == "added" || c == "removed" {
			areas[c] += math.Abs(shoelace(t, attr["d"]))
		}
	}
}

// shoelace measures a path of M, C, L and Z with absolute coordinates.
func shoelace(t *testing.T, d string) float64 {
	for _, letter := range "MCLZ" {
		d = strings.ReplaceAll(d, string(letter), " "+string(letter)+" ")
	}
	fields := strings.Fields(strings.ReplaceAll(d, ",", " "))
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		return v
	}
	const steps = 2000
	var sum, x, y, startX, startY float64
	line := func(u, v float64) { sum += (x*v - y*u) / 2; x, y = u, v }
	for i := 0; i < len(fields); {
		switch fields[i] {
		case "M":
			x, y = number(fields[i+1]), number(fields[i+2])
			startX, startY = x, y
			i += 3
		case "L":
			line(number(fields[i+1]), number(fields[i+2]))
			i += 3
		case "Z":
			line(startX, startY)
			i++
		case "C":
			var c [8]float64
			c[0], c[1] = x, y
			for k := range 6 {
				c[2+k] = number(fields[i+1+k])
			}
			for k := 1; k <= steps; k++ {
				s := float64(k) / steps
				b := [4]float64{(1 - s) * (1 - s) * (1 - s), 3 * s * (1 - s) * (1 - s), 3 * s * s * (1 - s), s * s * s}
				line(b[0]*c[0]+b[1]*c[2]+b[2]*c[4]+b[3]*c[6], b[0]*c[1]+b[1]*c[3]+b[2]*c[5]+b[3]*c[7])
			}
			i += 7
		default:
			t.Fatalf("a path holds %q", fields[i])
		}
	}
	return sum
}
