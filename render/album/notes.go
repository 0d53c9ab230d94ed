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
	w := noteWords{ID: noteID(i, k), Key: plain(n.Key), Piece: plain(n.Piece), Where: t.where(f, n), Seen: plain(n.Seen),
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
	behind := b.behind(b.Here)
	if open := len(n.By) == 0; open || behind[n.Since] && !n.answeredIn(behind) {
		w.Open = "yes"
		if !open && len(n.Again) == 0 {
			w.Open = plain(b.Versions[b.Here].Branch)
		}
	}
	return w
}

// answeredIn says whether a note is answered where there are these versions.
func (n *Note) answeredIn(there map[int]bool) bool {
	answers := 0
	for _, by := range n.By {
		if there[by] {
			answers++
		}
	}
	for _, a := range n.Again {
		if there[a.Since] {
			answers--
		}
	}
	return answers > 0
}

// behind are the versions that one builds on, and itself.
func (b *Book) behind(version int) map[int]bool {
	seen := map[int]bool{}
	queue := []int{version}
	for len(queue) > 0 {
		i := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		if i < 0 || i >= len(b.Versions) || seen[i] {
			continue
		}
		seen[i] = true
		queue = append(append(queue, b.Versions[i].Parent), b.Versions[i].Merged...)
	}
	return seen
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
