package alter

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"toile/pattern"
	"toile/pattern/units"
)

var _ = register(&Kind{Name: "allowance", Does: "sets the allowance of one edge, or of all but folds and hems",
	Keys: []Key{
		{Name: "edge", What: Text, Needed: true, Typed: true, Means: `the edge, or "all" for every edge that is no fold and no hem`},
		{Name: "to", What: Length, Needed: true, Typed: true, Means: "how wide"},
		{Name: "set", What: Name, Means: "the allowance set, such as cloth or toile; without it the first"},
	}, Alike: []string{"allowance"}, Typed: `back "side seam" 1.5cm`, make: (*making).allowance})

// allEdges stands for every edge but folds and hems.
const allEdges = "all"

func (m *making) allowance() error {
	to, err := m.notNegative("to")
	if err != nil {
		return err
	}
	set := m.pattern.Sets[0]
	if m.has("set") {
		set = m.text("set")
	}
	if !m.pattern.HasSet(set) {
		return fmt.Errorf("%s: there is no allowance set %q; the sets are %s", m.piece.Name, set, strings.Join(m.pattern.Sets, ", "))
	}
	edges, err := m.edgesForAllowance()
	if err != nil {
		return err
	}
	for _, i := range edges {
		e := &m.piece.Edges[i]
		if e.Fold {
			return fmt.Errorf("%s, %q: a fold has no allowance; name another edge, or unfold the piece first", m.piece.Name, e.Name)
		}
		e.Allowance = maps.Clone(e.Allowance)
		if e.Allowance == nil {
			e.Allowance = map[string]float64{}
		}
		e.Allowance[set] = to
	}
	if err := m.piece.Validate(); err != nil {
		return err
	}
	if _, err := m.piece.CuttingLine(set); err != nil {
		return fmt.Errorf("an allowance of %s does not work: %w; the pattern is as it was", m.format(to), err)
	}
	return nil
}

func (m *making) edgesForAllowance() ([]int, error) {
	text := m.text("edge")
	if text != allEdges || slices.Contains(m.piece.EdgeNames(), allEdges) {
		i, err := m.edge("edge")
		return []int{i}, err
	}
	hem := m.piece.HemEdge()
	var all []int
	for i, e := range m.piece.Edges {
		if !e.Fold && !e.Hem && !(i == hem && m.namedHem(i)) {
			all = append(all, i)
		}
	}
	return all, nil
}

// namedHem says that an edge is called a hem.
func (m *making) namedHem(i int) bool {
	return strings.Contains(strings.ToLower(m.piece.Edges[i].Name), "hem")
}

// notNegative reads a length of 0 or more.
func (m *making) notNegative(key string) (float64, error) {
	v, err := units.ParseLength(m.text(key), m.pattern.Unit)
	if err == nil && v < 0 {
		err = fmt.Errorf("%s is less than nothing; give a length of 0 or more", m.text(key))
	}
	if err != nil {
		return 0, fmt.Errorf("%s: %w", key, err)
	}
	return v, nil
}

// newName reads a name that is to be given.
func (m *making) newName(key string) (string, error) {
	name, err := pattern.CleanName(m.text(key))
	if err != nil {
		return "", fmt.Errorf("%s: %w", key, err)
	}
	return name, nil
}
