package repo

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
)

// Version is one kept state of the pattern. Texts are ready to show.
type Version struct {
	Number  int      // 1 + the greatest number of its parents, for ever
	ID      string   // 40 hexadecimal digits
	Parents []string // ids; none for a first version, more than one for a merge
	Time    time.Time
	Who     string
	Text    string
	Fitting int      // the fitting it was sewn for, 0 if none
	Answers []string // the notes it answers, such as 2.1
	// Branch is the branch it was committed on, empty if another program made
	// it and did not say.
	Branch string
}

// Last is the last version of the branch that the folder is on, nil before the
// first commit. A branch that cannot be read is an error, never a new history.
func (r *Repo) Last() (*Version, error) {
	_, tip, err := r.tip()
	if err != nil || tip.IsZero() {
		return nil, err
	}
	if _, err := r.commit(tip); err != nil {
		return nil, err // whatever the version table says of it
	}
	v, err := r.version(tip)
	if err != nil {
		return nil, err
	}
	return &v, nil
}

// History returns every version that the last one builds on, itself included,
// the highest number first, equal numbers by time, the newer first.
func (r *Repo) History() ([]Version, error) {
	last, err := r.Last()
	if err != nil || last == nil {
		return nil, err
	}
	return r.HistoryOf(*last)
}

// HistoryOf is History for any version.
func (r *Repo) HistoryOf(v Version) ([]Version, error) {
	id, err := r.idOf(v)
	if err != nil {
		return nil, err
	}
	return r.historyFrom(id)
}

// tip is the current branch and its last version, the zero id before the first.
func (r *Repo) tip() (branch string, tip plumbing.Hash, err error) {
	branch, err = r.Branch()
	if err != nil {
		return "", tip, err
	}
	tip, found, err := r.readRef(headsPrefix + branch)
	if err == nil && !found {
		err = r.checkUnborn(branch)
	}
	return branch, tip, err
}

// checkUnborn tells a pattern before its first version from one whose branch
// has been lost: there, other branches exist or versions were numbered.
func (r *Repo) checkUnborn(branch string) error {
	heads, err := r.listRefs(headsPrefix)
	if err != nil {
		return err
	}
	if len(heads) > 0 {
		return fmt.Errorf("the branch %q has no versions, but %s; `git switch %s` goes there", Printable(branch),
			listed(keys(heads), "does", "do"), r.someBranch())
	}
	r.table.load(r.own(tableFile))
	if r.table.divide(); len(r.table.rows)+len(r.table.lines) > 0 {
		return &DamagedError{What: fmt.Sprintf("the branch %q has lost its versions", Printable(branch)), Err: errMissing}
	}
	return nil
}

// idOf is the id in a Version, which need not have come from us.
func (r *Repo) idOf(v Version) (plumbing.Hash, error) {
	id, err := parseID([]byte(v.ID))
	if err != nil {
		return id, &NoVersionError{Text: v.ID, Says: fmt.Sprintf("%q is not the id of a version", Printable(v.ID))}
	}
	return id, nil
}

func (r *Repo) version(id plumbing.Hash) (Version, error) {
	if _, err := r.number(id); err != nil {
		return Version{}, err
	}
	return newVersion(id, r.table.rows[id]), nil
}

func newVersion(id plumbing.Hash, one *row) Version {
	v := Version{
		Number: one.number, Time: one.when, Who: Printable(one.who),
		Text: Printable(one.note.text), Fitting: one.note.fitting, Answers: one.note.answers, Branch: Printable(one.note.branch),
	}
	if one.idText != "" {
		v.ID, v.Parents = one.idText, one.parentTexts
		return v
	}
	v.ID = id.String()
	for _, p := range one.parents {
		v.Parents = append(v.Parents, p.String())
	}
	return v
}

// historyFrom collects all ancestors of the given versions, those included.
func (r *Repo) historyFrom(ids ...plumbing.Hash) ([]Version, error) {
	found := map[plumbing.Hash]*row{}
	todo := slices.Clone(ids)
	for len(todo) > 0 {
		id := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if found[id] != nil {
			continue
		}
		one, err := r.row(id)
		if err != nil {
			return nil, err
		}
		found[id] = one
		todo = append(todo, one.parents...)
	}
	r.table.renumber(found)
	versions := make([]Version, 0, len(found))
	for id, one := range found {
		versions = append(versions, newVersion(id, one))
	}
	slices.SortFunc(versions, newestFirst)
	return versions, nil
}

func newestFirst(a, b Version) int {
	return cmp.Or(cmp.Compare(b.Number, a.Number), b.Time.Compare(a.Time), strings.Compare(a.ID, b.ID))
}

// Read returns the files of a version. Every stored part is checked against its
// id; one that is missing or damaged is an error that names the file.
func (r *Repo) Read(v Version) (Files, error) {
	return r.ReadSome(v, func(string) bool { return true })
}

// FileIDs lists the files of a version with the ids of their contents: files of
// one id are the same, byte by byte.
func (r *Repo) FileIDs(v Version) (map[string]string, error) {
	c, err := r.contentsOfVersion(v)
	if err != nil {
		return nil, err
	}
	return hexIDs(c.files), nil
}

// FileIDs is what Repo.FileIDs would say of a version with these files.
func (files Files) FileIDs() map[string]string { return hexIDs(idsOf(files)) }

// ReadSome is Read for the files of which it is wanted.
func (r *Repo) ReadSome(v Version, wanted func(name string) bool) (Files, error) {
	c, err := r.contentsOfVersion(v)
	if err != nil {
		return nil, err
	}
	if len(c.files) > maxFiles {
		return nil, fmt.Errorf("version %d: %d files are too many for one pattern", v.Number, len(c.files))
	}
	files := Files{}
	for name, id := range c.files {
		if !wanted(name) {
			continue
		}
		content, err := r.object(plumbing.BlobObject, id)
		if err != nil {
			return nil, fmt.Errorf("version %d, %s: %w", v.Number, name, err)
		}
		if len(content) > MaxFileSize {
			return nil, fmt.Errorf("version %d: %w", v.Number, tooLarge(name, int64(len(content))))
		}
		files[name] = content
	}
	return files, nil
}

func (r *Repo) contentsOfVersion(v Version) (*contents, error) {
	id, err := r.idOf(v)
	if err != nil {
		return nil, err
	}
	c, err := r.contentsOfCommit(id)
	if err != nil {
		return nil, fmt.Errorf("version %d: %w", v.Number, err)
	}
	return c, nil
}

// contentsOfCommit lists a version's files; the zero id stands for nothing.
func (r *Repo) contentsOfCommit(id plumbing.Hash) (*contents, error) {
	if id.IsZero() {
		return newContents(), nil
	}
	one, err := r.row(id)
	if err != nil {
		return nil, err
	}
	return r.contentsOf(one.tree)
}

// Changed names the files that a version changed, added and removed against its
// first parent, the first version against nothing; each list ascending.
func (r *Repo) Changed(v Version) (changed, came, went []string, err error) {
	id, err := r.idOf(v)
	if err != nil {
		return nil, nil, nil, err
	}
	changes, err := r.changesOf(id)
	if err != nil {
		return nil, nil, nil, err
	}
	for _, c := range changes {
		switch c.how {
		case altered:
			changed = append(changed, c.name)
		case added:
			came = append(came, c.name)
		case removed:
			went = append(went, c.name)
		}
	}
	return changed, came, went, nil
}

// Dirty names the files, ascending, at which the given ones differ from the last
// version: all of them before the first.
func (r *Repo) Dirty(files Files) ([]string, error) { return r.DirtyBeside(files, nil) }

// DirtyBeside is Dirty where further files are known to be as the last version has
// them.
func (r *Repo) DirtyBeside(files Files, same []string) ([]string, error) {
	_, tip, err := r.tip()
	if err != nil {
		return nil, err
	}
	last, err := r.contentsOfCommit(tip)
	if err != nil {
		return nil, err
	}
	now := newContents()
	now.files = idsOf(files.complete())
	for _, name := range same {
		now.files[name] = last.files[name]
	}
	return dirty(now, last), nil
}

func dirty(now, last *contents) []string {
	changed, added, removed := now.compare(last)
	names := slices.Concat(changed, added, removed)
	slices.Sort(names)
	return names
}
