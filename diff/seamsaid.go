package diff

import (
	"fmt"
	"slices"

	"toile/pattern"
	"toile/pattern/units"
)

// pieceNow is the present name of a piece of a, by its id; its own where b has
// no such piece.
func pieceNow(name string, a, b *pattern.Pattern) string {
	if q := pieceLater(name, a, b); q != nil {
		return q.Name
	}
	return name
}

// pieceLater is the piece of b that continues the one of a with that name, nil
// where there is none.
func pieceLater(name string, a, b *pattern.Pattern) *pattern.Piece {
	old, err := a.Piece(name)
	if err != nil {
		return nil
	}
	for _, q := range b.Pieces {
		if q.ID == old.ID && q.ID != "" {
			return q
		}
	}
	return nil
}

// seamNow is a seam of a in the present names of pieces and edges.
func seamNow(s pattern.Seam, a, b *pattern.Pattern) pattern.Seam {
	chain := func(c pattern.Chain) pattern.Chain {
		out := slices.Clone(c)
		for i := range out {
			st := &out[i]
			old, err := a.Piece(st.Piece)
			q := pieceLater(st.Piece, a, b)
			if err != nil || q == nil {
				continue
			}
			for _, e := range old.Edges {
				if k := q.EdgeByID(e.ID); e.Name == st.Edge && k >= 0 && e.ID != "" {
					st.Edge = q.Edges[k].Name
					break
				}
			}
			st.Piece = q.Name
		}
		return out
	}
	s.First, s.Second = chain(s.First), chain(s.Second)
	s.Sections = slices.Clone(s.Sections)
	for i := range s.Sections {
		for _, ref := range []*pattern.NotchRef{&s.Sections[i].First, &s.Sections[i].Second} {
			ref.Piece = pieceNow(ref.Piece, a, b)
		}
	}
	return s
}

// seamSaid says what differs between two states of a seam.
func seamSaid(a, b pattern.Seam, unit units.Unit) []string {
	says := chainSaid("first", a.First, b.First, unit)
	says = append(says, chainSaid("second", a.Second, b.Second, unit)...)
	if a.SameWay != b.SameWay {
		ways := map[bool]string{false: "opposite ways", true: "the same way"}
		says = append(says, fmt.Sprintf("its chains run %s (was %s)", ways[b.SameWay], ways[a.SameWay]))
	}
	says = append(says, sectionsSaid(a, b, unit)...)
	says = append(says, openingsSaid(a, b, unit)...)
	if a.Finish != b.Finish {
		says = append(says, fmt.Sprintf("its finish is %s (was %s)", orNone(b.Finish), orNone(a.Finish)))
	}
	return says
}

func chainSaid(which string, a, b pattern.Chain, unit units.Unit) []string {
	if a.String() != b.String() {
		return []string{fmt.Sprintf("its %s chain is %s (was %s)", which, b, a)}
	}
	var says []string
	for i := range b {
		if a[i].From != b[i].From {
			says = append(says, fmt.Sprintf("on %s, %q is sewn from %s (was from %s)", b[i].Piece, b[i].Edge, startWords(b[i].From, unit), startWords(a[i].From, unit)))
		}
		if a[i].To != b[i].To {
			says = append(says, fmt.Sprintf("on %s, %q is sewn up to %s (was up to %s)", b[i].Piece, b[i].Edge, endWords(b[i].To, unit), endWords(a[i].To, unit)))
		}
	}
	return says
}

// startWords is where a stretch starts on its edge.
func startWords(from float64, unit units.Unit) string {
	if from == 0 {
		return "its start"
	}
	return unit.Format(from)
}

// endWords is where a stretch ends on its edge.
func endWords(to float64, unit units.Unit) string {
	if to == 0 {
		return "its end"
	}
	return unit.Format(to)
}

// sectionsSaid compares the sections; none stands for one with nothing to say.
func sectionsSaid(a, b pattern.Seam, unit units.Unit) []string {
	was, is := sectionsOf(a), sectionsOf(b)
	if before, after := meetings(was), meetings(is); before != after {
		return []string{fmt.Sprintf("its notches meet %s (was %s)", after, before)}
	}
	var says []string
	for i := range is {
		section := ""
		if len(is) > 1 {
			section = fmt.Sprintf(" of section %d", i+1)
		}
		if was[i].Ease != is[i].Ease {
			says = append(says, fmt.Sprintf("the ease-in%s is %s (was %s)", section, unit.Format(is[i].Ease), unit.Format(was[i].Ease)))
		}
		if was[i].Gathered != is[i].Gathered {
			words := map[bool]string{false: "is not gathered any more", true: "is gathered now"}
			says = append(says, fmt.Sprintf("the longer side%s %s", section, words[is[i].Gathered]))
		}
	}
	return says
}

func sectionsOf(s pattern.Seam) []pattern.Section {
	if len(s.Sections) == 0 {
		return []pattern.Section{{}}
	}
	return s.Sections
}

// meetings lists the pairs of notches at which sections end.
func meetings(sections []pattern.Section) string {
	var pairs []string
	for _, c := range sections {
		if c.First.Piece != "" {
			pairs = append(pairs, fmt.Sprintf("%s:%s=%s:%s", c.First.Piece, c.First.Notch, c.Second.Piece, c.Second.Notch))
		}
	}
	if len(pairs) == 0 {
		return "nowhere"
	}
	return "at " + listed(pairs)
}

func openingsSaid(a, b pattern.Seam, unit units.Unit) []string {
	words := func(o pattern.Opening) string {
		text := unit.Format(o.From) + " to " + unit.Format(o.To)
		if o.Least > 0 {
			text += ", at least " + unit.Format(o.Least)
		}
		return text
	}
	then := map[string]pattern.Opening{}
	for _, o := range a.Openings {
		then[o.Name] = o
	}
	var says []string
	for _, o := range b.Openings {
		old, known := then[o.Name]
		delete(then, o.Name)
		switch {
		case !known:
			says = append(says, fmt.Sprintf("the opening %q is new, %s", o.Name, words(o)))
		case old != o:
			says = append(says, fmt.Sprintf("the opening %q is %s (was %s)", o.Name, words(o), words(old)))
		}
	}
	for _, o := range a.Openings {
		if _, gone := then[o.Name]; gone {
			says = append(says, fmt.Sprintf("the opening %q is removed", o.Name))
		}
	}
	return says
}
