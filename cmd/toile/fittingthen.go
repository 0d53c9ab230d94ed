package main

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"toile/pattern"
	"toile/repo"
)

// A merge gives a fitting, or a note, another number where both sides numbered one
// alike. Versions before it go on saying the number that it bore then; fittings are
// known by their ids, so that what is told of those versions names it as it is
// called now.

// fittingsThen are the fittings of a version, and nothing else of it.
func (o *opened) fittingsThen(v repo.Version) (*pattern.Pattern, error) {
	files, err := o.repo.ReadFolder(v, repo.FittingsFolder)
	if err != nil {
		return nil, err
	}
	p := &pattern.Pattern{}
	for _, name := range slices.Sorted(maps.Keys(files)) {
		f, err := pattern.DecodeFitting(name, files[name])
		if err != nil {
			return nil, fmt.Errorf("version %d: %w", v.Number, err)
		}
		p.Fittings = append(p.Fittings, f)
	}
	slices.SortStableFunc(p.Fittings, func(a, b *pattern.Fitting) int { return cmp.Compare(a.Number, b.Number) })
	return p, nil
}

// fittingsNow are the fittings of the working pattern where that was read, else
// those of the last version.
func (o *opened) fittingsNow() (*pattern.Pattern, error) {
	if o.Pattern != nil {
		return o.Pattern, nil
	}
	last, err := o.repo.Last()
	if err != nil || last == nil {
		return &pattern.Pattern{}, err
	}
	return o.fittingsThen(*last)
}

// noteThen is a note, or with no note's number a fitting, as a version has it.
type noteThen struct {
	Fitting string `json:"fitting"` // its id
	Number  int    `json:"number"`  // of the fitting
	Note    int    `json:"note,omitempty"`
	Piece   string `json:"piece,omitempty"`
	Seen    string `json:"seen,omitempty"`
}

// noteOfThen finds a note of a version's fittings by its key; what is not there is
// known by its key alone.
func noteOfThen(then *pattern.Pattern, key string) noteThen {
	f, n, err := then.FindNote(key)
	if err != nil {
		t := noteThen{}
		_, _ = fmt.Sscanf(key, "%d.%d", &t.Number, &t.Note)
		return t
	}
	return noteThen{f.ID, f.Number, n.Number, n.Piece, n.Seen}
}

// key is the note as the version calls it.
func (t noteThen) key() string { return fmt.Sprintf("%d.%d", t.Number, t.Note) }

// now is the note as it is called now.
func (t noteThen) now(now *pattern.Pattern) string {
	f := now.FittingByID(t.Fitting)
	if f == nil || t.Fitting == "" {
		return t.key()
	}
	if n := f.NoteNow(pattern.Note{Number: t.Note, Piece: t.Piece, Seen: t.Seen}); n != nil {
		return f.Key(*n)
	}
	return fmt.Sprintf("%d.%d", f.Number, t.Note)
}

// fittingNow is the number that a version's fitting bears now.
func (t noteThen) fittingNow(now *pattern.Pattern) int {
	if f := now.FittingByID(t.Fitting); f != nil && t.Fitting != "" {
		return f.Number
	}
	return t.Number
}

// gone reports whether a version's fitting was taken away since.
func (t noteThen) gone(now *pattern.Pattern) bool {
	return t.Fitting != "" && now.FittingByID(t.Fitting) == nil
}

// renumberedWords is a number as it is now, with what it was where that is another.
func renumberedWords(now, then string) string {
	if now == then {
		return now
	}
	return fmt.Sprintf("%s (%s then)", now, then)
}

// fittingWordsNow names a fitting of a version's pattern as it is called now; empty
// for none.
func (o *opened) fittingWordsNow(then *pattern.Pattern, number int) (string, error) {
	f, err := then.Fitting(number)
	if err != nil {
		return fittingWords(then, number), nil
	}
	now, err := o.fittingsNow()
	if err != nil {
		return "", err
	}
	return fittingWords(&pattern.Pattern{Fittings: then.FittingsNumberedAs(now)}, noteThen{Fitting: f.ID, Number: number}.fittingNow(now)), nil
}

// answeredIn reports whether a version says that it answered a note of the present
// pattern.
func (o *opened) answeredIn(v repo.Version, key string) (bool, error) {
	if len(v.Answers) == 0 {
		return false, nil
	}
	then, err := o.fittingsThen(v)
	if err != nil {
		return false, err
	}
	return slices.ContainsFunc(v.Answers, func(k string) bool { return noteOfThen(then, k).now(o.Pattern) == key }), nil
}

// numberedVersions are the versions, among those that the last one builds on, that
// bear a number: several where branches were merged.
func (o *opened) numberedVersions(number int) ([]repo.Version, error) {
	all, err := o.repo.History()
	return slices.DeleteFunc(all, func(v repo.Version) bool { return v.Number != number }), err
}

// answering finds the version that answered a note: of several with the number the
// one that says so, else the one on the line where it was said first, else on the
// branch's own; nil where there is none.
func (o *opened) answering(f *pattern.Fitting, n pattern.Note) (v *repo.Version, several bool, err error) {
	found, err := o.numberedVersions(n.Answered)
	if err != nil || len(found) == 0 {
		return nil, false, err
	}
	if len(found) == 1 {
		return &found[0], false, nil
	}
	for _, v := range found {
		if is, err := o.answeredIn(v, f.Key(n)); is || err != nil {
			return &v, true, err
		}
	}
	if v := o.answeringThere(f, n); v != nil {
		return v, true, nil
	}
	own, err := o.repo.Resolve(fmt.Sprint(n.Answered))
	if err != nil {
		return nil, true, nil // none of them is on this line: which one it was is not known
	}
	return &own, true, nil
}

// answeringThere follows a note from the version that first had it answered, as
// `fitting answer --by` was meant there; nil where no version has it so.
func (o *opened) answeringThere(f *pattern.Fitting, n pattern.Note) *repo.Version {
	t, err := o.noteTrail(diffSide{Pattern: o.Pattern})
	if err != nil || t == nil {
		return nil
	}
	return t.answering(f, n, len(n.Again))
}

// answeredWords names the version that answered a note, with its text where several
// bear the number.
func (o *opened) answeredWords(f *pattern.Fitting, n pattern.Note) string {
	v, several, err := o.answering(f, n)
	if err != nil || v == nil || !several {
		return fmt.Sprintf("version %d", n.Answered)
	}
	return fmt.Sprintf("version %d (%s)", v.Number, oneLine(*v))
}

// versionSewn is the version that a fitting was of; nil where it says none. Of
// several with the number it is the one that the first version with the fitting
// builds on, on its own line if it can be.
func (o *opened) versionSewn(f *pattern.Fitting) (*repo.Version, error) {
	if f.Version == 0 {
		return nil, nil
	}
	found, err := o.numberedVersions(f.Version)
	if err == nil && len(found) > 1 {
		var holder *repo.Version
		if holder, err = o.firstWith(f); err == nil && holder != nil {
			line, lineErr := o.repo.Line(*holder)
			history, historyErr := o.repo.HistoryOf(*holder)
			err = cmp.Or(lineErr, historyErr)
			for _, v := range append(line, history...) {
				if v.Number == f.Version {
					return &v, err
				}
			}
		}
	}
	if err != nil {
		return nil, err
	}
	v, err := o.repo.Resolve(fmt.Sprint(f.Version))
	if err != nil {
		return nil, fmt.Errorf("fitting %d was of version %d: %w", f.Number, f.Version, err)
	}
	return &v, nil
}

// firstWith is the first version that has a fitting; nil where none has it.
func (o *opened) firstWith(f *pattern.Fitting) (*repo.Version, error) {
	all, err := o.repo.History()
	if err != nil {
		return nil, err
	}
	for _, v := range slices.Backward(all) {
		then, err := o.fittingsThen(v)
		if err != nil {
			return nil, err
		}
		if then.FittingByID(f.ID) != nil {
			return &v, nil
		}
	}
	return nil, nil
}

// sewnWords names the version that was sewn, with its text where several bear the
// number.
func (o *opened) sewnWords(f *pattern.Fitting) string {
	words := fmt.Sprintf("version %d", f.Version)
	found, err := o.numberedVersions(f.Version)
	if err != nil || len(found) < 2 {
		return words
	}
	if v, err := o.versionSewn(f); err == nil && v != nil {
		words += " (" + oneLine(*v) + ")"
	}
	return words
}
