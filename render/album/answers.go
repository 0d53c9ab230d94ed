package album

import (
	"fmt"
	"slices"
	"strings"
)

// noteWords is a note as it is read.
type noteWords struct {
	ID, Key, Piece, Place, Seen, Pinned, ToDo string
	Answers                                   []answerWords // what became of it, in order
	Answered                                  bool          // it is open nowhere
}

// answerWords is one thing that became of a note: a version that answered it, that
// it was seen again, or that it is open.
type answerWords struct {
	By   *answerLink
	Open bool
	Says string
}

type answerLink struct {
	versionLink
	On string // its branch, where it is another than the folder's and Number does not say it
}

func fittingID(i int) string { return fmt.Sprintf("fitting-%d", i) }

// noteID is the id of note k of a fitting in the page.
func noteID(fitting, k int, n Note) string {
	id := fmt.Sprintf("note-%d-%s", fitting, strings.ReplaceAll(plain(n.Key), ".", "-"))
	if n.On != "" {
		id += fmt.Sprintf("-%d", k) // several may bear the number
	}
	return id
}

// name is how the fitting is called, with its branch where that has to be said.
func (f Fitting) name() string { return onBranch(fmt.Sprintf("Fitting %d", f.Number), f.On) }

// name is the note's number, with its branch where that has to be said.
func (n Note) name() string { return onBranch(plain(n.Key), n.On) }

func onBranch(what, branch string) string {
	if branch == "" {
		return what
	}
	return what + " on " + plain(branch)
}

// link is a version to go to, nil where it is none of the book's.
func (b *Book) link(i int) *versionLink {
	if i < 0 || i >= len(b.Versions) {
		return nil
	}
	return &versionLink{i, numberOf(b, i), plain(firstLine(b.Versions[i].Text))}
}

// answers says what became of a note, in order.
func (b *Book) answers(n Note) []answerWords {
	var out []answerWords
	again := n.Again
	seen := func(before int) {
		for len(again) > 0 && again[0].Since <= before {
			out, again = append(out, answerWords{Says: b.againWords(again[0])}), again[1:]
		}
	}
	for _, by := range n.Answers {
		link := b.link(by)
		if link == nil {
			continue
		}
		seen(by)
		a := answerLink{versionLink: *link}
		if v := &b.Versions[by]; aside(b, v) && link.Number == fmt.Sprint(v.Number) {
			a.On = plain(v.Branch)
		}
		out = append(out, answerWords{By: &a})
	}
	seen(len(b.Versions))
	switch {
	case len(n.Open) == 0:
	case !n.OpenAll:
		out = append(out, answerWords{Open: true, Says: " on " + strings.Join(plainly(n.Open), ", ")})
	case len(out) == 0:
		out = append(out, answerWords{Open: true, Says: ", no version answers it yet"})
	default:
		out = append(out, answerWords{Open: true})
	}
	if len(out) == 0 {
		out = append(out, answerWords{Says: "a version that is not here"})
	}
	return out
}

// answered reports whether a note is open nowhere.
func (b *Book) answered(n Note) bool { return len(n.Open) == 0 }

// againWords says at which fitting a note was seen again, and what.
func (b *Book) againWords(a Again) string {
	says := "seen again"
	if a.Fitting >= 0 && a.Fitting < len(b.Fittings) {
		says += " at f" + strings.TrimPrefix(b.Fittings[a.Fitting].name(), "F")
	}
	if a.Seen != "" {
		says += ": " + plain(a.Seen)
	}
	return says
}

// seenBy is what was seen until a version was made.
func (b *Book) seenBy(n Note, version int) string {
	says := []string{n.Seen}
	for _, a := range n.Again {
		if a.Since <= version {
			says = append(says, b.againWords(a))
		}
	}
	return strings.Join(says, "; ")
}

// seenAgainAt are the notes of other fittings that were seen again at one.
func (b *Book) seenAgainAt(fitting int) []noteLink {
	var out []noteLink
	for i, f := range b.Fittings {
		for k, n := range f.Notes {
			at := slices.IndexFunc(n.Again, func(a Again) bool { return a.Fitting == fitting })
			if at < 0 {
				continue
			}
			seen := n.Again[at].Seen
			if seen == "" {
				seen = n.Seen
			}
			out = append(out, noteLink{noteID(i, k, n), n.name(), plain(n.Piece), plain(seen), plain(n.ToDo)})
		}
	}
	return out
}
