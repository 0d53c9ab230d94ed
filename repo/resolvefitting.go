package repo

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// fitting finds the newest version that was made for the fitting which bears this
// number in the last version of the line. A merge may have numbered it anew since:
// it is known by the mark in its file's name, which stays.
func (l line) fitting(text, digits string) (Version, error) {
	var all []Version
	marks := map[string]int{} // of the fittings now, and their numbers
	if !l.tip.IsZero() {
		var err error
		if all, err = l.r.historyFrom(l.tip); err != nil {
			return Version{}, err
		}
		tip, err := l.r.version(l.tip)
		if err != nil {
			return Version{}, err
		}
		if marks, err = l.r.fittingMarks(tip); err != nil {
			return Version{}, err
		}
	}
	n, err := strconv.Atoi(digits)
	var others []string
	for _, v := range all { // newest first
		if v.Fitting == 0 {
			continue
		}
		number, readErr := l.r.fittingNow(v, marks)
		if readErr != nil {
			return Version{}, readErr
		}
		if err == nil && number == n {
			return v, nil
		}
		if name := fmt.Sprintf("fitting-%d", number); !slices.Contains(others, name) {
			others = append(others, name)
		}
	}
	slices.Reverse(others)
	return Version{}, noVersion(text, "no version was committed for fitting %s, as `toile commit --fitting` does; there is %s", digits, orNone(others))
}

// fittingNow is the number that the fitting of a version bears now, by its mark;
// the one that it bore then where it cannot be told.
func (r *Repo) fittingNow(v Version, now map[string]int) (int, error) {
	then, err := r.fittingMarks(v)
	if err != nil {
		return 0, err
	}
	for mark, number := range then {
		if is, there := now[mark]; there && number == v.Fitting {
			return is, nil
		}
	}
	return v.Fitting, nil
}

// fittingMarks are the numbers of a version's fittings by the marks in the names
// of their files, as in fittings/NUMBER-MARK.yaml.
func (r *Repo) fittingMarks(v Version) (map[string]int, error) {
	c, err := r.contentsOfVersion(v)
	if err != nil {
		return nil, err
	}
	marks := map[string]int{}
	for name := range c.files {
		file, in := strings.CutPrefix(name, FittingsFolder+"/")
		digits, mark, two := strings.Cut(strings.TrimSuffix(file, ".yaml"), "-")
		if number, err := strconv.Atoi(digits); in && two && err == nil {
			marks[mark] = number
		}
	}
	return marks, nil
}
