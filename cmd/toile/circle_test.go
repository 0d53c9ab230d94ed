package main

import (
	"bytes"
	"encoding/json"
	"math"
	"math/big"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.yaml.in/yaml/v4"

	"toile/pattern/change"
)

const (
	skirtBefore = `<svg xmlns="http://www.w3.org/2000/svg" width="700mm" height="700mm" viewBox="0 0 700 700">
<path id="skirt" d="M 0 120 A 120 120 0 0 0 120 0 H 600 A 600 600 0 0 1 0 600 Z"/></svg>`
	skirtAfter = `<svg xmlns="http://www.w3.org/2000/svg" width="700mm" height="700mm" viewBox="0 0 700 700">
<path id="skirt" d="M 0 120 A 120 120 0 0 0 120 0 H 550 A 550 550 0 0 1 0 550 Z"/></svg>`
)

// A quarter-circle skirt taken up by 50 at the hem. As stored, the strip is
// the difference of two areas by Green's theorem, ½∮ = (6P0×P1 + 3P0×P2 +
// P0×P3 + 3P1×P2 + 3P1×P3 + 6P2×P3)/20 a cubic, summed here in exact rational
// arithmetic from the decimals in the files. The drawn circles themselves
// enclose π/4·(600² − 550²); the stored arcs are within 0.001 mm of them.
func TestCircularSkirt(t *testing.T) {
	dir := t.TempDir()
	pattern := filepath.Join(dir, "smock")
	do := func(args ...string) []byte {
		var out, errors bytes.Buffer
		require.Zero(t, run(args, &out, &errors), "%v: %s", args, errors.String())
		return out.Bytes()
	}
	drawing := filepath.Join(dir, "skirt.svg")
	trace := func(text string) *big.Rat {
		require.NoError(t, os.WriteFile(drawing, []byte(text), 0o666))
		do("trace", drawing, "--place", "as-is", "--allowance", "1cm", "--pattern", pattern)
		do("commit", "traced", "--pattern", pattern)
		return storedArea(t, filepath.Join(pattern, "pieces", "skirt.yaml"))
	}
	do("start", pattern)
	before, after := trace(skirtBefore), trace(skirtAfter)
	var d change.Diff
	require.NoError(t, json.Unmarshal(do("diff", "1", "2", "--json", "--pattern", pattern), &d))
	require.Len(t, d.Pieces, 1)
	p := d.Pieces[0]
	strip, _ := new(big.Rat).Sub(before, after).Float64()
	assert.InDelta(t, strip, p.Removed, 1e-3)
	assert.Zero(t, p.Added)
	assert.InDelta(t, math.Pi/4*(600*600-550*550), p.Removed, 0.001*math.Pi/2*(600+550))
	require.NotEmpty(t, p.Changes)
	hem := p.Changes[0]
	assert.Equal(t, change.EdgeMoved, hem.Kind)
	assert.Equal(t, change.HowParallel, hem.How)
	require.NotNil(t, hem.By)
	assert.InDelta(t, -50, *hem.By, 0.01)
	for _, side := range p.Changes[1:] {
		assert.Equal(t, change.EdgeRun, side.Kind)
		assert.Equal(t, hem.Edges[0], side.CausedBy)
		assert.InDelta(t, -50, *side.By, 0.01)
	}
	assert.Len(t, p.Changes, 3)
}

// storedArea sums the closed form over a piece file's outline, read without
// any of the program's own code.
func storedArea(t *testing.T, file string) *big.Rat {
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	var piece struct {
		Outline []struct {
			Corner []string
			Edge   *struct {
				Path []struct{ Through, Handles []string }
			}
		}
	}
	require.NoError(t, yaml.Unmarshal(text, &piece))
	var points [][2]*big.Rat // node, two handles, node, two handles…
	add := func(numbers []string) {
		for i := 0; i+1 < len(numbers); i += 2 {
			x, okX := new(big.Rat).SetString(numbers[i])
			y, okY := new(big.Rat).SetString(numbers[i+1])
			require.True(t, okX && okY, numbers)
			points = append(points, [2]*big.Rat{x, y})
		}
	}
	ends := func() { // a straight stretch: handles on its start stand for none
		if len(points)%3 == 1 {
			points = append(points, points[len(points)-1], [2]*big.Rat{})
		}
	}
	for _, item := range piece.Outline {
		if item.Edge == nil {
			ends()
			add(item.Corner)
			continue
		}
		for _, step := range item.Edge.Path {
			if len(step.Through) > 0 {
				ends()
			}
			add(step.Handles)
			add(step.Through)
		}
	}
	ends()
	sum := new(big.Rat)
	for i := 0; i < len(points); i += 3 {
		p := [4][2]*big.Rat{points[i], points[i+1], points[i+2], points[(i+3)%len(points)]}
		if p[2][0] == nil { // straight: both handles fall on the ends
			p[1], p[2] = p[0], p[3]
		}
		for k, weight := range map[[2]int]int64{{0, 1}: 6, {0, 2}: 3, {0, 3}: 1, {1, 2}: 3, {1, 3}: 3, {2, 3}: 6} {
			a, b := p[k[0]], p[k[1]]
			cross := new(big.Rat).Sub(new(big.Rat).Mul(a[0], b[1]), new(big.Rat).Mul(a[1], b[0]))
			sum.Add(sum, cross.Mul(cross, big.NewRat(weight, 20)))
		}
	}
	return sum
}
