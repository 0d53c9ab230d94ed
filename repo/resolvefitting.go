package repo

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// fitting finds the newest version that was made for the fitting which bears this
// number in the last version of the line. A merge may have numbered it anew since:
// it is known by its id. The number of one that was taken away since counts where
// no fitting bears it now; that of several is an *AmbiguousError.
func (l line) fitting(text, digits string) (Version, error) {
	n, err := strconv.Atoi(digits)
	if err != nil || l.tip.IsZero() {
		return Version{}, noFitting(text, digits, nil)
	}
	all, err := l.r.historyFrom(l.tip)
	if err != nil {
		return Version{}, err
	}
	tip, err := l.r.version(l.tip)
	if err != nil {
		return Version{}, err
	}
	known := &knownFittings{r: l.r, read: map[plumbing.Hash]string{}}
	now, err := known.of(tip)
	if err != nil {
		return Version{}, err
	}
	var found fittingVersions
	for _, v := range all { // newest first
		if v.Fitting == 0 {
			continue
		}
		then, err := known.of(v)
		if err != nil {
			return Version{}, err
		}
		found.add(v, n, then, now)
	}
	bears := slices.ContainsFunc(now, func(f knownFitting) bool { return f.number == n })
	switch {
	case len(found.sure) > 0:
		return found.sure[0], nil
	case len(found.untold) > 0:
		return found.untold[0], nil
	case len(found.gone) == 1 && !bears:
		return found.gone[0], nil
	case len(found.gone) > 1 && !bears:
		return Version{}, l.r.ambiguous(text, found.gone, l)
	}
	return Version{}, noFitting(text, digits, found.others)
}

func noFitting(text, digits string, others []string) error {
	slices.Reverse(others)
	return noVersion(text, "no version was committed for fitting %s, as `toile commit --fitting` does; there is %s", digits, orNone(others))
}

// fittingVersions are versions that were made for a fitting of one number, the
// newest first.
type fittingVersions struct {
	sure   []Version // for the one that bears it now
	untold []Version // for one of that number whose id the version does not hold
	gone   []Version // for one that bore it and was taken away since, the newest of each
	goneID map[string]bool
	others []string // how the other fittings are addressed
}

// add sorts in a version by the fittings that it has and those that there are now.
func (f *fittingVersions) add(v Version, n int, then, now []knownFitting) {
	number, id, there := v.Fitting, "", false
	for _, was := range then {
		if was.number == v.Fitting && id == "" {
			id = was.id
		}
	}
	for _, is := range now { // of several with one id the one of the same number
		if id != "" && is.id == id && (!there || is.number == v.Fitting) {
			number, there = is.number, true
		}
	}
	gone := id != "" && !there
	switch {
	case number != n:
		name := fmt.Sprintf("fitting-%d", number)
		borne := slices.ContainsFunc(now, func(is knownFitting) bool { return is.number == number })
		if !slices.Contains(f.others, name) && !(gone && borne) {
			f.others = append(f.others, name)
		}
	case there:
		f.sure = append(f.sure, v)
	case !gone:
		f.untold = append(f.untold, v)
	case !f.goneID[id]:
		if f.goneID == nil {
			f.goneID = map[string]bool{}
		}
		f.goneID[id] = true
		f.gone = append(f.gone, v)
	}
}

// knownFitting is a fitting of a version: its number, and what it is known by.
type knownFitting struct {
	number int
	id     string
}

// knownFittings reads which fittings versions have.
type knownFittings struct {
	r    *Repo
	read map[plumbing.Hash]string // ids in files that were read
}

// of lists the fittings of a version by their files, fittings/NUMBER-MARK.yaml. The
// mark is but the beginning of the id, which is in the file; where none is, the mark
// has to do.
func (k *knownFittings) of(v Version) ([]knownFitting, error) {
	c, err := k.r.contentsOfVersion(v)
	if err != nil {
		return nil, err
	}
	var all []knownFitting
	for _, name := range slices.Sorted(maps.Keys(c.files)) {
		file, in := strings.CutPrefix(name, FittingsFolder+"/")
		digits, mark, two := strings.Cut(strings.TrimSuffix(file, ".yaml"), "-")
		number, err := strconv.Atoi(digits)
		if !in || !two || err != nil {
			continue
		}
		id, err := k.id(c.files[name])
		if err != nil {
			return nil, fmt.Errorf("version %d, %s: %w", v.Number, Printable(name), err)
		}
		all = append(all, knownFitting{number, cmp.Or(id, "mark "+mark)})
	}
	return all, nil
}

// id is what stands behind "id:" at the beginning of a line, as fittings are
// printed; empty where nothing does.
func (k *knownFittings) id(file plumbing.Hash) (string, error) {
	if id, done := k.read[file]; done || k.r.tooLargeToRead(file) {
		return id, nil
	}
	content, err := k.r.object(plumbing.BlobObject, file)
	if err != nil {
		return "", err
	}
	for text := range strings.Lines(string(content)) {
		if id, is := strings.CutPrefix(text, "id:"); is {
			k.read[file] = strings.Trim(id, " \t\r\n'\"")
			return k.read[file], nil
		}
	}
	k.read[file] = ""
	return "", nil
}
