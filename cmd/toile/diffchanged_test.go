package main

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/pattern"
	"toile/pattern/alter"
	"toile/repo"
)

// alteredGown makes one change to the gown, of the kinds that a diff tells of.
func alteredGown(t *testing.T, p *pattern.Pattern, kind, n int) {
	t.Helper()
	piece := func(name string) *pattern.Piece {
		q, err := p.Piece(name)
		require.NoError(t, err)
		return q
	}
	switch kind {
	case 0:
		res, err := alter.Make(p, alter.Recipe{Kind: "take-in", Piece: "front", Values: map[string]string{"edge": "side seam", "by": "3"}})
		require.NoError(t, err)
		*p = *res.Pattern
	case 1:
		piece("collar").Edges[0].Allowance = map[string]float64{pattern.ClothSet: 11 + float64(n)}
	case 2:
		piece("front").Marks[0].At.X -= 1
	case 3:
		p.Seams[0].Finish = fmt.Sprintf("felled %d", n)
	case 4:
		q := piece("collar").Clone()
		q.Name, q.ID = fmt.Sprintf("tab %d", len(p.Pieces)), ""
		q.Slug = p.NewSlug(q.Name)
		p.Put(q)
	case 5:
		p.Layers = []pattern.Layer{{Outer: "back", Inner: []string{"collar"}, Band: n%2 == 0}}
	case 6:
		piece("back").Notches[0].At += 1
	default:
		p.Name = fmt.Sprintf("gown %d", n)
	}
}

// What changed is told alike whether all of both versions is read or only what
// differs, whatever differs.
func TestChangedOnlyTellsTheSame(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 1))
	p := gown(t)
	files, err := p.Encode()
	require.NoError(t, err)
	r, err := repo.Start(filepath.Join(t.TempDir(), "gown"), files)
	require.NoError(t, err)
	defer r.Close()
	const versions = 14
	for n := range versions {
		for {
			files, err := p.Encode()
			require.NoError(t, err)
			_, err = r.Commit(files, repo.CommitOptions{Text: "change", Author: repo.Author{Name: "Picker"}})
			if !errors.Is(err, repo.ErrNothingChanged) {
				require.NoError(t, err)
				break
			}
			alteredGown(t, p, (n+random.IntN(2))%8, n)
		}
	}
	inPart := 0
	for range 60 {
		args := []string{fmt.Sprint(1 + random.IntN(versions)), fmt.Sprint(1 + random.IntN(versions))}
		var told [2]string
		for k, whole := range []bool{false, true} {
			o := &opened{repo: r, now: time.Now, reader: &pattern.Reader{}}
			c, err := o.compare(args, whole)
			require.NoError(t, err)
			if !whole && len(c.from.Pieces) < len(c.Pieces) {
				inPart++
			}
			o.sayDiff(c)
			told[k] = o.result.String()
		}
		assert.Equal(t, told[1], told[0], args)
	}
	assert.Positive(t, inPart, "some were read in part")
}
