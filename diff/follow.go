package diff

import (
	"math"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/match"
)

// EdgeThen names the edge of FROM that an edge of TO continues, in the diff of
// a piece that both sides have; for a part of an edge that was divided, the
// whole. It is empty for an edge that is new.
func EdgeThen(d change.PieceDiff, now string) string {
	f := follow(d)
	j := edgeNamed(d.New, now)
	if j < 0 {
		return ""
	}
	if f.old[j] >= 0 {
		return d.Old.Edges[f.old[j]].Name
	}
	for _, c := range d.Changes {
		if edgeRenamed(c) && c.After == now && edgeNamed(d.Old, c.Before) >= 0 {
			return c.Before
		}
	}
	if i := f.part[j]; i >= 0 {
		return d.Old.Edges[i].Name
	}
	return ""
}

// EdgeNow names the edge of TO that continues an edge of FROM; for one that
// became part of another, that other. It is empty for an edge that is gone.
func EdgeNow(d change.PieceDiff, then string) string {
	f := follow(d)
	i := edgeNamed(d.Old, then)
	if i < 0 {
		return ""
	}
	for j, k := range f.old {
		if k == i {
			return d.New.Edges[j].Name
		}
	}
	for _, c := range d.Changes {
		if edgeRenamed(c) && c.Before == then && edgeNamed(d.New, c.After) >= 0 {
			return c.After
		}
	}
	return ""
}

// following says for each edge of TO which edge of FROM it continues, and for
// one that continues none, whose part it is; −1 for none.
type following struct{ old, part []int }

// follow settles edges by their ids; where those were lost, by the names that
// the diff tells; by a name that somebody gave; and what is left by where the
// edges lie.
func follow(d change.PieceDiff) following {
	f := following{old: filled(len(d.New.Edges)), part: filled(len(d.New.Edges))}
	taken := make([]bool, len(d.Old.Edges))
	settle := func(i, j int) {
		if i >= 0 && j >= 0 && !taken[i] && f.old[j] < 0 {
			f.old[j], taken[i] = i, true
		}
	}
	for j, e := range d.New.Edges {
		if e.ID != "" {
			settle(d.Old.EdgeByID(e.ID), j)
		}
	}
	for _, c := range d.Changes {
		i, j := edgeNamed(d.Old, c.Before), edgeNamed(d.New, c.After)
		if edgeRenamed(c) && j >= 0 && pairedLength(d, c.Before, d.New.Length(j)) {
			settle(i, j)
		}
	}
	for j, e := range d.New.Edges {
		if !numberedName(e.Name) {
			settle(edgeNamed(d.Old, e.Name), j)
		}
	}
	for j, id := range match.Edges(edgePaths(d.Old), edgePaths(d.New), tolerance(d.Old, d.New)) {
		settle(id.Edge, j)
		f.part[j] = id.Part
	}
	return f
}

func filled(n int) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = -1
	}
	return list
}

// edgeRenamed reports whether a change tells of another name for an edge: it
// was renamed, divided, or became part of another.
func edgeRenamed(c change.Change) bool {
	return c.Kind == change.NameChanged && len(c.Edges) == 1 && c.Notch == ""
}

// lengthsAgree in mm: the diff rounds lengths to 1e-6.
const lengthsAgree = 2e-6

// pairedLength reports whether the diff pairs the edge of FROM with one of TO
// of that length, which tells a rename from a division.
func pairedLength(d change.PieceDiff, old string, length float64) bool {
	for _, l := range d.Edges {
		if l.Edge == old {
			return math.Abs(l.Length[1]-length) <= lengthsAgree
		}
	}
	return false
}

// edgeNamed is the index of the edge of that name, −1 where there is none.
func edgeNamed(p *pattern.Piece, name string) int {
	for i, e := range p.Edges {
		if e.Name == name {
			return i
		}
	}
	return -1
}

func edgePaths(p *pattern.Piece) []geom.Path {
	paths := make([]geom.Path, len(p.Edges))
	for i := range paths {
		paths[i] = p.EdgePath(i)
	}
	return paths
}
