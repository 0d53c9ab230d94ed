package album

import (
	"cmp"
	"slices"
)

// noteInWords is the note k of fitting i as it is read; to makes links to
// versions.
func (t *tracks) noteInWords(i, k int, to func(int) *versionLink) noteWords {
	b, f := t.book, t.book.Fittings[i]
	n := f.Notes[k]
	w := noteWords{ID: noteID(i, k), Key: plain(n.Key), Piece: plain(n.Piece), Where: t.where(i, k), Seen: plain(n.Seen),
		Pinned: lengths{b.Unit}.said(plain(n.Pinned)), ToDo: plain(n.ToDo)}
	for _, by := range n.By {
		if v := to(by); v != nil {
			w.Became = append(w.Became, becameWords{Since: by, By: v})
		}
	}
	for _, a := range n.Again {
		says := "seen again at " + b.againAt(a)
		if a.Seen != "" {
			says += ": " + plain(a.Seen)
		}
		w.Became = append(w.Became, becameWords{Since: a.Since, Again: says})
	}
	slices.SortStableFunc(w.Became, func(a, b becameWords) int { return cmp.Compare(a.Since, b.Since) })
	w.Open = n.openWords()
	return w
}

// openWords say on which branches a note is open, where it is not on all that have
// it; empty where it is on none.
func (n *Note) openWords() string {
	switch {
	case len(n.Open) == 0:
		return ""
	case n.Everywhere:
		return "open"
	}
	return "open on " + listed(plainly(n.Open))
}

// seenAgainAt are the notes of other fittings that were seen again at one.
func (b *Book) seenAgainAt(fitting int) []noteLink {
	var out []noteLink
	for i, f := range b.Fittings {
		for k, n := range f.Notes {
			for _, a := range n.Again {
				if a.Fitting != fitting {
					continue
				}
				seen := n.Seen
				if a.Seen != "" {
					seen = a.Seen
				}
				out = append(out, noteLink{ID: noteID(i, k), Key: plain(n.Key), Piece: plain(n.Piece), Seen: plain(seen)})
			}
		}
	}
	return out
}
