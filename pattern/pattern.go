package pattern

import (
	"fmt"
	"sort"
	"strings"

	"toile/geom"
	"toile/pattern/units"
)

// Format is the number of the file format this program writes.
const Format = 1

// ClothSet and ToileSet are the allowance sets every new pattern has.
const (
	ClothSet = "cloth"
	ToileSet = "toile"
)

// Pattern is everything kept together in one folder.
type Pattern struct {
	Name       string
	Unit       units.Unit
	Sets       []string // names of the allowance sets; the first is used where none is named
	Tolerances Tolerances
	Seams      []Seam
	Layers     []Layer
	Pieces     []*Piece   // by slug
	Fittings   []*Fitting // by number
}

// Tolerances are the pattern's settable limits.
type Tolerances struct {
	Section float64 // mm that a seam section may be out before it is a mismatch
	Corner  float64 // radians of turn above which a traced node is a corner
}

// DefaultTolerances are 1.5 mm a section and 20° for a corner.
func DefaultTolerances() Tolerances {
	return Tolerances{Section: 1.5, Corner: geom.Degrees(20)}
}

// New returns an empty pattern with the default sets and tolerances.
func New(name string, unit units.Unit) *Pattern {
	return &Pattern{Name: name, Unit: unit, Sets: []string{ClothSet, ToileSet}, Tolerances: DefaultTolerances()}
}

// Piece returns the piece of that name, or an error that lists the names.
func (p *Pattern) Piece(name string) (*Piece, error) {
	want, err := CleanName(name)
	if err == nil {
		for _, q := range p.Pieces {
			if q.Name == want {
				return q, nil
			}
		}
	}
	if len(p.Pieces) == 0 {
		return nil, fmt.Errorf("there is no piece %q: the pattern has no pieces yet; bring some in with `toile trace`", name)
	}
	for _, q := range p.Pieces {
		if err == nil && strings.EqualFold(q.Name, want) {
			return nil, fmt.Errorf("there is no piece %q, but one written %q", name, q.Name)
		}
	}
	return nil, fmt.Errorf("there is no piece %q; the pieces are %s", name, quoteList(p.PieceNames()))
}

// PieceNames lists the names of the pieces in order.
func (p *Pattern) PieceNames() []string {
	names := make([]string, len(p.Pieces))
	for i, q := range p.Pieces {
		names[i] = q.Name
	}
	return names
}

// Put adds the piece, or puts it in the place of the one with its slug.
func (p *Pattern) Put(q *Piece) {
	for i, old := range p.Pieces {
		if old.Slug == q.Slug {
			p.Pieces[i] = q
			return
		}
	}
	p.Pieces = append(p.Pieces, q)
	sort.Slice(p.Pieces, func(i, j int) bool { return p.Pieces[i].Slug < p.Pieces[j].Slug })
}

// Fitting returns the fitting with that number.
func (p *Pattern) Fitting(number int) (*Fitting, error) {
	for _, f := range p.Fittings {
		if f.Number == number {
			return f, nil
		}
	}
	if len(p.Fittings) == 0 {
		return nil, fmt.Errorf("there is no fitting %d: the pattern has none yet", number)
	}
	return nil, fmt.Errorf("there is no fitting %d; the last is %d", number, p.Fittings[len(p.Fittings)-1].Number)
}

// HasSet reports whether the pattern has an allowance set of that name.
func (p *Pattern) HasSet(name string) bool {
	for _, s := range p.Sets {
		if s == name {
			return true
		}
	}
	return false
}

// Clone returns a deep copy.
func (p *Pattern) Clone() *Pattern {
	c := *p
	c.Sets = append([]string(nil), p.Sets...)
	c.Seams, c.Layers = nil, nil
	for _, s := range p.Seams {
		c.Seams = append(c.Seams, s.clone())
	}
	for _, l := range p.Layers {
		c.Layers = append(c.Layers, l.clone())
	}
	c.Pieces, c.Fittings = nil, nil
	for _, q := range p.Pieces {
		c.Pieces = append(c.Pieces, q.Clone())
	}
	for _, f := range p.Fittings {
		c.Fittings = append(c.Fittings, f.clone())
	}
	return &c
}

// quoteList prints names as a list for a message.
func quoteList(names []string) string {
	q := make([]string, len(names))
	for i, n := range names {
		q[i] = fmt.Sprintf("%q", n)
	}
	return strings.Join(q, ", ")
}
