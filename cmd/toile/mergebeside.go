package main

import (
	"toile/diff"
	"toile/diff/merge"
	"toile/pattern/change"
	"toile/repo"
)

// besideThem is what a merge makes of the files beside the pattern's own: the
// versions that it compares, and what came of it.
type besideThem struct {
	shared, there repo.Version

	files    *repo.Beside
	open     []change.Conflict
	answered []merge.Answered

	attributes []byte // what .gitattributes is to hold, nil where it stays
	joined     bool   // it is put together of both
}

// where names all that is, or was, to be decided.
func (b *besideThem) where() (all []string) {
	for _, c := range b.open {
		all = append(all, c.Where)
	}
	for _, a := range b.answered {
		all = append(all, a.Where)
	}
	return all
}

// merge brings these files together with those of the last version here, and
// returns the answers that are for the pattern.
func (b *besideThem) merge(o *opened, answers []merge.Answer) ([]merge.Answer, error) {
	here, err := o.lastVersion()
	if err != nil {
		return nil, err
	}
	decide := func(c repo.BesideConflict) (there, ok bool) {
		said := change.Conflict{Where: c.Path, Says: c.Says}
		a, ok := answerFor(answers, c.Path)
		if !ok {
			b.open = append(b.open, said)
			return false, false
		}
		b.answered = append(b.answered, merge.Answered{Conflict: said, Side: a.Side})
		return a.Side == merge.There, true
	}
	b.files, _, err = o.repo.MergeBeside(b.shared, here, b.there, repo.BesideMerge{Lines: diff.MergeLines, Decide: decide})
	if err != nil {
		return nil, err
	}
	if err := b.mergeAttributes(o, decide); err != nil {
		return nil, err
	}
	var others []merge.Answer
	for _, a := range answers {
		if !b.names(a.Where) {
			others = append(others, a)
		}
	}
	return others, nil
}

// mergeAttributes brings the lines of .gitattributes together. The file is one of
// the pattern's, and its lines but for one are somebody's own.
func (b *besideThem) mergeAttributes(o *opened, decide func(repo.BesideConflict) (there, ok bool)) error {
	var sides [2]string
	for i, v := range []repo.Version{b.shared, b.there} {
		text, _, err := o.repo.ReadFile(v, repo.AttributesFile)
		if err != nil {
			return err
		}
		sides[i] = string(repo.Attributes(text))
	}
	shared, there := sides[0], sides[1]
	here := string(repo.Attributes(o.files[repo.AttributesFile]))
	if here == there || there == shared {
		return nil
	}
	if here == shared {
		b.attributes = []byte(there)
		return nil
	}
	merged, ok := diff.MergeLines(shared, here, there)
	if b.joined = ok; ok {
		b.attributes = repo.Attributes([]byte(merged))
		return nil
	}
	if takeThere, ok := decide(repo.BesideConflict{Path: repo.AttributesFile, Says: repo.AttributesFile + ": both changed it, and not in the same way"}); ok && takeThere {
		b.attributes = []byte(there)
	}
	return nil
}

// put gives the pattern the lines of .gitattributes as they were put together.
func (b *besideThem) put(o *opened) {
	if b.attributes != nil {
		o.files[repo.AttributesFile] = b.attributes
	}
}

func (b *besideThem) names(where string) bool {
	for _, w := range b.where() {
		if w == where {
			return true
		}
	}
	return false
}

// answerFor finds the answer to what is called where: one that names it goes
// before one for everything.
func answerFor(answers []merge.Answer, where string) (found merge.Answer, ok bool) {
	for _, a := range answers {
		if a.Where == where {
			return a, true
		}
		if a.Where == "" && !ok {
			found, ok = a, true
		}
	}
	return found, ok
}

// say tells which of these files changed.
func (b *besideThem) say(o *opened, revert bool) {
	if b.files == nil {
		return
	}
	taken, joined := b.files.Taken, b.files.Joined
	switch {
	case b.joined:
		joined = append(joined, repo.AttributesFile)
	case b.attributes != nil:
		taken = append(taken, repo.AttributesFile)
	}
	from := "as there"
	if revert {
		from = "as before"
	}
	for _, f := range b.files.Renamed {
		if f.There {
			o.say("  %s: called %s, %s", f.From, f.To, from)
		} else {
			o.say("  %s: what was done to it there is in %s, as it is called here", f.From, f.To)
		}
	}
	for _, name := range b.files.Unsought {
		o.say("  %s: removed on both sides; whether one only gave it another name was not looked for, as too much came that it would be compared with", name)
	}
	for _, name := range taken {
		o.say("  %s: %s", name, from)
	}
	for _, name := range joined {
		o.say("  %s: lines of both put together", name)
	}
}
