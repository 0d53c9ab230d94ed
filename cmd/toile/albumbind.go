package main

import (
	"cmp"
	"fmt"
	"maps"
	"runtime"
	"slices"
	"sync"

	"toile/diff"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/check"
	"toile/render/album"
	"toile/repo"
)

// binder puts an album together. It reads the files that each version changed
// and no others, each content once, and compares each version with the one
// before it.
type binder struct {
	*opened
	historian *historian
	versions  []repo.Version // each after those it builds on
	at        map[string]int // by id
	here      int
	last      *pattern.Pattern // of the branch that the folder is on
	branches  []repo.BranchInfo
	there     []map[string]*fittingThere // by version: what it has of fittings, by their ids
	fittings  []boundFitting
	tips      []boundTip           // the last versions of the branches, that of the folder first
	built     map[int]map[int]bool // by last version, those that it builds on
	persons   albumPersons

	texts  map[string]int // contents of piece files, by file and text
	pieces []pieceText
}

// pieceText is one content of a piece file, and what it says.
type pieceText struct {
	file  string
	text  []byte
	piece *pattern.Piece
	err   error
}

// newBinder reads the versions of all branches and the fittings, and with them
// which persons are named.
func (o *opened) newBinder() (*binder, error) {
	last, err := o.lastVersion()
	if err != nil {
		return nil, err
	}
	b := &binder{opened: o, historian: newHistorian(o), at: map[string]int{}, texts: map[string]int{}}
	if b.branches, err = o.repo.Branches(); err != nil {
		return nil, err
	}
	tips, names := []repo.Version{last}, []string{last.Branch}
	for _, branch := range b.branches {
		switch {
		case branch.Current:
			names[0] = branch.Name
		case branch.Last != nil:
			tips, names = append(tips, *branch.Last), append(names, branch.Name)
		}
	}
	if err := b.readVersions(tips); err != nil {
		return nil, err
	}
	b.here = b.at[last.ID]
	if b.last, err = o.patternOf(last); err != nil {
		return nil, err
	}
	if err := b.readFittings(tips, names); err != nil {
		return nil, err
	}
	b.findPersons()
	return b, nil
}

// readVersions lists all that these versions build on, the earlier ones first.
func (b *binder) readVersions(tips []repo.Version) error {
	for _, tip := range tips {
		history, err := b.repo.HistoryOf(tip)
		if err != nil {
			return err
		}
		for _, v := range history {
			if _, known := b.at[v.ID]; !known {
				b.at[v.ID] = -1
				b.versions = append(b.versions, v)
			}
		}
	}
	slices.SortStableFunc(b.versions, func(v, w repo.Version) int {
		return cmp.Or(cmp.Compare(v.Number, w.Number), v.Time.Compare(w.Time), cmp.Compare(v.ID, w.ID))
	})
	for i, v := range b.versions {
		b.at[v.ID] = i
	}
	return nil
}

// findPersons lists who made the versions, and the wearers that are named.
func (b *binder) findPersons() {
	made := map[string]bool{}
	for _, v := range b.versions {
		made[v.Who] = true
	}
	delete(made, "")
	b.persons.made = slices.Sorted(maps.Keys(made))
	for _, f := range b.fittings {
		if w := repo.Printable(f.there.Wearer); w != "" && !slices.Contains(b.persons.wore, w) {
			b.persons.wore = append(b.persons.wore, w)
		}
	}
}

// stepFiles are the pieces that a version changed, by the numbers of their
// contents.
type stepFiles struct {
	then, now         []int
	headThen, headNow *pattern.Pattern
}

// bind makes the album's book.
func (b *binder) bind(opt albumOptions) (*album.Book, error) {
	book := &album.Book{Name: b.last.Name, Unit: b.last.Unit, Made: b.today(), Here: b.here}
	names, err := b.repo.Names()
	if err != nil {
		return nil, err
	}
	work := make([]stepFiles, len(b.versions))
	for i, v := range b.versions {
		version := album.Version{Number: v.Number, Branch: v.Branch, Parent: -1, Time: v.Time, Text: v.Text, Called: namesOf(v, names), Fitting: b.fittingMade(i)}
		if !opt.noPersons {
			version.Who = v.Who
		}
		for k, id := range v.Parents {
			if k == 0 {
				version.Parent = b.at[id]
			} else {
				version.Merged = append(version.Merged, b.at[id])
			}
		}
		if work[i], version.Says, err = b.stepsOf(v); err != nil {
			return nil, fmt.Errorf("version %d: %w", v.Number, err)
		}
		book.Versions = append(book.Versions, version)
	}
	checked, err := b.startCheck()
	if err != nil {
		return nil, err
	}
	if err := b.compareAll(book, work); err != nil {
		return nil, err
	}
	b.putFittings(book, opt)
	found := <-checked
	book.Findings, book.Checked = found.Findings.Findings, true
	book.Walked = count(len(b.last.Seams), "seam", "seams") + " and " + count(len(b.last.Layers), "layer", "layers") + " walked"
	return book, found.err
}

// stepsOf reads what a version changed.
func (b *binder) stepsOf(v repo.Version) (s stepFiles, says []string, err error) {
	altered, added, removed, err := b.repo.Changed(v)
	if err != nil {
		return s, nil, err
	}
	if s.now, err = b.contents(v, pieceFiles(altered, added)); err != nil {
		return s, nil, err
	}
	if s.headNow, err = b.historian.head(v); err != nil {
		return s, nil, err
	}
	s.headThen = s.headNow
	if len(v.Parents) == 0 {
		return s, nil, nil
	}
	parent := b.versions[b.at[v.Parents[0]]]
	if s.then, err = b.contents(parent, pieceFiles(altered, removed)); err != nil {
		return s, nil, err
	}
	if slices.Contains(altered, repo.PatternFile) {
		if s.headThen, err = b.historian.head(parent); err != nil {
			return s, nil, err
		}
		says, err = b.historian.settings(parent, v)
	}
	return s, says, err
}

// contents are the numbers of what piece files hold in a version.
func (b *binder) contents(v repo.Version, files []string) ([]int, error) {
	var out []int
	slices.Sort(files)
	for _, file := range files {
		text, found, err := b.repo.ReadFile(v, file)
		if err != nil {
			return nil, err
		}
		if !found {
			continue
		}
		key := file + "\n" + string(text)
		n, known := b.texts[key]
		if !known {
			n = len(b.pieces)
			b.texts[key] = n
			b.pieces = append(b.pieces, pieceText{file: file, text: text})
		}
		out = append(out, n)
	}
	return out, nil
}

// compareAll reads the pieces and compares the versions, as many at a time as
// there are processors.
func (b *binder) compareAll(book *album.Book, work []stepFiles) error {
	atOnce(len(b.pieces), func(i int) {
		p := &b.pieces[i]
		slug := p.file[len(pattern.PieceFolder) : len(p.file)-len(".yaml")]
		p.piece, p.err = pattern.DecodePiece(p.file, slug, p.text)
	})
	for _, p := range b.pieces {
		if p.err != nil {
			return p.err
		}
	}
	errs := make([]error, len(work))
	atOnce(len(work), func(i int) { book.Versions[i].Steps, errs[i] = b.compareOne(work[i]) })
	for i, err := range errs {
		if err != nil {
			return fmt.Errorf("version %d: %w", b.versions[i].Number, err)
		}
		if err := b.tellTypedAt(book.Versions[i].Steps, b.versions[i], work[i].headNow); err != nil {
			return fmt.Errorf("version %d: %w", b.versions[i].Number, err)
		}
	}
	return nil
}

// tellTypedAt says where lines lie that the outlines do not tell, as they were
// typed with the version, and tells several alterations of one piece apart.
func (b *binder) tellTypedAt(steps []album.Step, v repo.Version, head *pattern.Pattern) error {
	if err := b.tellApart(steps, v, head); err != nil {
		return err
	}
	var d change.Diff
	for _, s := range steps {
		d.Pieces = append(d.Pieces, s.Diff)
	}
	if err := b.tellTypedOf(&d, v); err != nil {
		return err
	}
	for i := range steps {
		steps[i].Diff = d.Pieces[i]
	}
	return nil
}

// compareOne compares the pieces that one version changed.
func (b *binder) compareOne(s stepFiles) ([]album.Step, error) {
	side := func(head *pattern.Pattern, numbers []int) (*pattern.Pattern, map[string]*pattern.Piece) {
		p := pattern.New(head.Name, head.Unit)
		p.Sets = head.Sets
		bySlug := map[string]*pattern.Piece{}
		for _, n := range numbers {
			q := b.pieces[n].piece
			p.Pieces = append(p.Pieces, q)
			bySlug[q.Slug] = q
		}
		return p, bySlug
	}
	then, old := side(s.headThen, s.then)
	now, new := side(s.headNow, s.now)
	d, err := diff.Patterns(then, now, change.Version{}, change.Version{})
	if err != nil {
		return nil, err
	}
	var steps []album.Step
	for _, p := range d.Pieces {
		step := album.Step{Diff: p, Laid: placed(p.Placement), Says: wholeSaid(p)}
		if p.Old != nil {
			step.Old = old[p.Old.Slug]
		}
		if p.New != nil {
			step.New = new[p.New.Slug]
		}
		steps = append(steps, step)
	}
	return steps, nil
}

// wholeSaid is what is said of a piece besides its changes.
func wholeSaid(p change.PieceDiff) []string {
	says := pieceSaid(p)
	return says[:max(0, len(says)-len(p.Changes))]
}

// atOnce calls do for 0 … n−1, on all processors.
func atOnce(n int, do func(i int)) {
	next := make(chan int)
	var all sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		all.Go(func() {
			for i := range next {
				do(i)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	all.Wait()
}

// checkedLast is what a check found, or why it found nothing.
type checkedLast struct {
	change.Findings
	err error
}

// startCheck checks the last version while the others are compared. Its open
// notes stand with the fittings.
func (b *binder) startCheck() (<-chan checkedLast, error) {
	var options check.Options
	if v := b.versions[b.here]; len(v.Parents) > 0 {
		before, err := b.patternOf(b.versions[b.at[v.Parents[0]]])
		if err != nil {
			return nil, err
		}
		options.Before = before
	}
	done := make(chan checkedLast, 1)
	go func() {
		found, err := check.Run(b.last, options)
		done <- checkedLast{found, err}
	}()
	return done, nil
}
