package merge

import (
	"fmt"
	"slices"
	"strings"

	"toile/pattern"
)

// Two things that both sides brought in, or renamed, under one name are two
// things all the same. Both stay, and one of them gets the next free name.

// free is a name that is not taken, made of another as alterations make it.
func free(name string, taken func(string) bool) string {
	try := name
	for k := 2; taken(try); k++ {
		try = fmt.Sprintf("%s %d", name, k)
	}
	return try
}

// automatic reports whether a name is one that was given because somebody gave
// none: that of the kind, with or without a number.
func automatic(name, kind string) bool {
	rest, ok := strings.CutPrefix(name, kind)
	return ok && strings.Trim(rest, " 0123456789") == ""
}

// keepBothNotches gives another name to one of two notches that both sides set
// and called alike: on different edges, or where nobody named them.
func (w *pieceWork) keepBothNotches() {
	here, there := w.sides[Here].Notches, w.sides[There].Notches
	for i := range here {
		k := slices.IndexFunc(there, func(n pattern.Notch) bool { return n.Name == here[i].Name })
		if k < 0 || here[i] == there[k] || slices.ContainsFunc(w.was.Notches, func(n pattern.Notch) bool { return n.Name == here[i].Name }) {
			continue
		}
		if here[i].Edge == there[k].Edge && !automatic(here[i].Name, "notch") {
			continue
		}
		side, n := There, &there[k]
		if fmt.Sprint(there[k]) < fmt.Sprint(here[i]) {
			side, n = Here, &here[i]
		}
		was := n.Name
		n.Name = free(was, func(try string) bool {
			is := func(n pattern.Notch) bool { return n.Name == try }
			return slices.ContainsFunc(here, is) || slices.ContainsFunc(there, is) || slices.ContainsFunc(w.was.Notches, is)
		})
		w.renameNotch(side, was, n.Name)
		w.merging.says = append(w.merging.says, fmt.Sprintf("%s: both sides set a notch %q: the one on %q is %q now", w.was.Name, was, n.Edge, n.Name))
	}
}

// renameNotch lets a side's seams follow.
func (w *pieceWork) renameNotch(side Side, was, now string) {
	for _, s := range w.merging.sides[side].Seams {
		for k := range s.Sections {
			for _, ref := range []*pattern.NotchRef{&s.Sections[k].First, &s.Sections[k].Second} {
				if ref.Piece == w.was.Name && ref.Notch == was {
					ref.Notch = now
				}
			}
		}
	}
}

// keepBothMarks is keepBothNotches for marks that nobody named.
func (w *pieceWork) keepBothMarks() {
	here, there := w.sides[Here].Marks, w.sides[There].Marks
	for i := range here {
		is := func(k pattern.Mark) bool { return k.Name == here[i].Name }
		k := slices.IndexFunc(there, is)
		if k < 0 || alike(here[i], there[k]) || slices.ContainsFunc(w.was.Marks, is) || !automatic(here[i].Name, string(here[i].Kind)) {
			continue
		}
		n := &there[k]
		if fmt.Sprint(there[k]) < fmt.Sprint(here[i]) {
			n = &here[i]
		}
		was := n.Name
		n.Name = free(was, func(try string) bool {
			for _, q := range []*pattern.Piece{w.was, w.sides[Here], w.sides[There]} {
				if slices.ContainsFunc(q.Marks, func(k pattern.Mark) bool { return k.Name == try }) ||
					slices.ContainsFunc(q.Lines, func(l pattern.ReferenceLine) bool { return l.Name == try }) {
					return true
				}
			}
			return false
		})
		w.merging.says = append(w.merging.says, fmt.Sprintf("%s: both sides marked a %q: one of them is %q now", w.was.Name, was, n.Name))
	}
}

// naming is what one piece or edge of the shared version is to be called.
type naming struct {
	was, now string
	of       [3]int // where it is on each side (shared, here, there), for edges
}

// distinct gives another name to those that one side's renaming called as
// another one is called, the one that kept its name going first.
func distinct(all []naming, say func(was, now string)) {
	taken := map[string]int{}
	for _, n := range all {
		taken[n.now]++
	}
	for _, renamed := range []bool{true, false} {
		for i := range all {
			n := &all[i]
			if taken[n.now] < 2 || (n.was != n.now) != renamed {
				continue
			}
			taken[n.now]--
			was := n.now
			n.now = free(was, func(try string) bool { return taken[try] > 0 })
			taken[n.now]++
			say(was, n.now)
		}
	}
}
