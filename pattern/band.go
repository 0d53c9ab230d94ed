package pattern

import (
	"fmt"
	"math"
)

// Band says that an edge of a piece (waistband, collar, binding) follows a
// chain of stretches in length alone, not in shape.
type Band struct {
	Piece, Edge string
	Along       Chain
	Differences []Difference // by how much the band is longer than the chain: overlap, ease
}

func (b Band) clone() Band {
	b.Along = append(Chain(nil), b.Along...)
	b.Differences = append([]Difference(nil), b.Differences...)
	return b
}

// String names the band as it is typed: PIECE/EDGE.
func (b *Band) String() string { return b.Piece + "/" + b.Edge }

// BandLength returns in mm how long a band is and how long it has to be, both
// as it is cut: an edge that ends at the fold counts twice. What it follows is
// counted round the garment, folded pieces and pairs twice, shared by two
// where the band is itself a pair. Dart mouths and pleat intakes are left out,
// on the band as on what it follows.
func (p *Pattern) BandLength(b *Band) (has, wants float64, err error) {
	q, i, err := p.bandEdge(b)
	if err != nil {
		return 0, 0, err
	}
	own, err := p.walkChain(Chain{{Piece: q.Name, Edge: q.Edges[i].Name}}, false)
	if err != nil {
		return 0, 0, err
	}
	has = own.length * float64(bandHalves(q, i))
	for _, st := range b.Along {
		w, err := p.walkChain(Chain{st}, false)
		if err != nil {
			return 0, 0, err
		}
		followed, err := p.Piece(st.Piece)
		if err != nil {
			return 0, 0, err
		}
		wants += w.length * float64(followed.Cut.Count())
	}
	if q.Cut == CutPair {
		wants /= 2
	}
	for _, d := range b.Differences {
		wants += d.By
	}
	return has, wants, nil
}

// bandHalves is how often edge i of a piece lies in the piece as it is cut:
// twice where it is cut on the fold.
func bandHalves(q *Piece, i int) int {
	if q.Cut == CutOnFold {
		return 2
	}
	return 1
}

func (p *Pattern) bandEdge(b *Band) (*Piece, int, error) {
	q, err := p.Piece(b.Piece)
	if err != nil {
		return nil, 0, err
	}
	i, ok := q.edgeNamed(b.Edge)
	if !ok {
		return nil, 0, fmt.Errorf("%s has no edge %q; its edges are %s", q.Name, b.Edge, quoteList(q.EdgeNames()))
	}
	if q.Edges[i].Fold {
		return nil, 0, fmt.Errorf("%s is a fold; a band is sewn on along another edge", b)
	}
	return q, i, nil
}

// ValidateBand checks that what a band names exists, that its stretches lie
// on their edges and are not its own, and that its differences leave it some
// length.
func (p *Pattern) ValidateBand(b *Band) error {
	_, err := p.bandProblem(b)
	return err
}

// bandProblem returns the first thing that is wrong with a band, and which key
// or entry of its file holds it.
func (p *Pattern) bandProblem(b *Band) (key string, err error) {
	if _, _, err := p.bandEdge(b); err != nil {
		return "piece", fmt.Errorf("band: %w", err)
	}
	if len(b.Along) == 0 {
		return "along", fmt.Errorf("band %s: it follows nothing; give at least one edge", b)
	}
	for k, st := range b.Along {
		if err := p.checkStretch(st); err != nil {
			return entry("along", k), fmt.Errorf("band %s: %w", b, err)
		}
		if st.Piece == b.Piece && st.Edge == b.Edge {
			return entry("along", k), fmt.Errorf("band %s: it cannot follow itself; name the edges it is sewn to", b)
		}
	}
	if _, wants, err := p.BandLength(b); err != nil || !(wants > 0) || math.IsInf(wants, 0) {
		return "differences", fmt.Errorf("band %s: its differences leave it a length of %s mm; they are by how much it is longer", b, number(wants))
	}
	return "", nil
}

// EachStretch visits every stretch of an edge that seams and bands name.
func (p *Pattern) EachStretch(visit func(*Stretch)) {
	each := func(c Chain) {
		for k := range c {
			visit(&c[k])
		}
	}
	for i := range p.Seams {
		each(p.Seams[i].First)
		each(p.Seams[i].Second)
	}
	for i := range p.Bands {
		each(p.Bands[i].Along)
	}
}
