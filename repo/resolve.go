package repo

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// minStart is the fewest digits that can stand for an id.
const minStart = 4

// Resolve finds the version that a user means by text:
//
//	first, last     of the current branch
//	N               that version on the branch's own line, else the only
//	                ancestor so numbered
//	BRANCH:N        the same on another branch; also BRANCH:first, BRANCH:last
//	fitting-N       the newest version made for the fitting that is N now
//	NAME            a version's name
//	BRANCH          the last version of another branch, or of this one
//	PLACE/BRANCH    the last version of a branch as it was received from a place;
//	                also PLACE/BRANCH:N, as for a branch here
//	at least four hexadecimal digits that one version's id alone begins with
//
// They are tried in this order. The error is a *NoVersionError, which says what
// there is, or an *AmbiguousError with the candidates.
func (r *Repo) Resolve(text string) (Version, error) {
	if branch, rest, ok := strings.Cut(text, ":"); ok {
		return r.resolveOnBranch(text, branch, rest)
	}
	branch, tip, err := r.tip()
	if err != nil {
		return Version{}, err
	}
	line := line{r: r, branch: branch, tip: tip}
	if v, ok, err := line.resolve(text); ok || err != nil {
		return v, err
	}
	names, err := r.nameIDs()
	if err != nil {
		return Version{}, err
	}
	if id, ok := names[text]; ok {
		return r.version(id)
	}
	heads, err := r.listRefs(headsPrefix)
	if err != nil {
		return Version{}, err
	}
	if tip, ok := heads[text]; ok {
		return r.version(tip)
	}
	if strings.Contains(text, "/") {
		there, err := r.tips(remotePrefix)
		if err != nil {
			return Version{}, err
		}
		if tip, ok := there[text]; ok {
			return r.version(tip)
		}
	}
	if v, ok, err := r.resolveStart(text, line); ok || err != nil {
		return v, err
	}
	return Version{}, r.unknown(text, line, names, heads)
}

// line is the history of one branch, as far as versions are addressed in it.
type line struct {
	r      *Repo
	branch string
	tip    plumbing.Hash // zero before the first version
}

func (r *Repo) resolveOnBranch(text, branch, rest string) (Version, error) {
	heads, err := r.listRefs(headsPrefix)
	if err != nil {
		return Version{}, err
	}
	there, err := r.tips(remotePrefix)
	if err != nil {
		return Version{}, err
	}
	tip, ok := heads[branch]
	if !ok {
		tip, ok = there[branch]
	}
	if !ok {
		return Version{}, noVersion(text, "there is no branch %q; there is %s", Printable(branch), orNone(append(keys(heads), keys(there)...)))
	}
	line := line{r: r, branch: branch, tip: tip}
	if v, ok, err := line.resolve(rest); ok || err != nil {
		return v, err
	}
	if n, ok := asNumber(rest); ok {
		return Version{}, line.noNumber(text, n)
	}
	return Version{}, noVersion(text, "%q is no version of a branch; type a number, first or last after the colon", Printable(rest))
}

func noVersion(text, format string, args ...any) error {
	return &NoVersionError{Text: text, Says: fmt.Sprintf(format, args...)}
}

// resolve finds what text means on this line, without names and ids. ok is
// false where it means nothing here but might elsewhere.
func (l line) resolve(text string) (v Version, ok bool, err error) {
	if m := fittingForm().FindStringSubmatch(text); m != nil {
		v, err = l.fitting(text, m[1])
		return v, err == nil, err
	}
	n, isNumber := asNumber(text)
	if !isNumber && text != "first" && text != "last" {
		return v, false, nil
	}
	if l.tip.IsZero() {
		return v, false, noVersion(text, "there is no version yet; the first commit makes version 1")
	}
	last, err := l.r.version(l.tip)
	switch {
	case err != nil:
		return v, false, err
	case text == "last":
		return last, true, nil
	case text == "first":
		n = 1
	case n < 1 || n > last.Number:
		return v, false, nil
	}
	v, err = l.numbered(text, n)
	return v, err == nil, err
}

func asNumber(text string) (int, bool) {
	for _, c := range []byte(text) {
		if c < '0' || c > '9' {
			return 0, false
		}
	}
	n, err := strconv.Atoi(text)
	return n, err == nil
}

// numbered finds version n: on the line of first parents, where numbers only
// fall, else among all ancestors.
func (l line) numbered(text string, n int) (Version, error) {
	for at := l.tip; ; {
		v, err := l.r.version(at)
		if err != nil || v.Number == n {
			return v, err
		}
		if v.Number < n || len(v.Parents) == 0 {
			break
		}
		at = plumbing.NewHash(v.Parents[0])
	}
	all, err := l.r.historyFrom(l.tip)
	if err != nil {
		return Version{}, err
	}
	found := slices.DeleteFunc(all, func(v Version) bool { return v.Number != n })
	switch len(found) {
	case 0:
		return Version{}, l.noNumber(text, n)
	case 1:
		return found[0], nil
	}
	return Version{}, l.r.ambiguous(text, found, l)
}

func (l line) noNumber(text string, n int) error {
	of := ""
	if strings.Contains(text, ":") {
		of = fmt.Sprintf(" on the branch %q", Printable(l.branch))
	}
	if l.tip.IsZero() {
		return noVersion(text, "there is no version %d%s; there is none yet", n, of)
	}
	last, err := l.r.version(l.tip)
	if err != nil {
		return err
	}
	return noVersion(text, "there is no version %d%s; the last%s is %d", n, of, map[bool]string{true: " there"}[of != ""], last.Number)
}

// resolveStart finds a version by the start of its id, among all versions that
// a branch or a name leads to.
func (r *Repo) resolveStart(text string, l line) (v Version, ok bool, err error) {
	start := strings.ToLower(text)
	if len(start) < minStart || len(start) > 40 || strings.Trim(start, "0123456789abcdef") != "" {
		return v, false, nil
	}
	all, err := r.allVersions()
	if err != nil {
		return v, false, err
	}
	found := slices.DeleteFunc(all, func(v Version) bool { return !strings.HasPrefix(v.ID, start) })
	switch len(found) {
	case 0:
		return v, false, nil
	case 1:
		return found[0], true, nil
	}
	return v, false, r.ambiguous(text, found, l)
}

// allVersions are those that any branch or name leads to, here or at a place,
// newest first.
func (r *Repo) allVersions() ([]Version, error) {
	heads, err := r.listRefs(headsPrefix)
	if err != nil {
		return nil, err
	}
	names, err := r.nameIDs()
	if err != nil {
		return nil, err
	}
	there, err := r.tips(remotePrefix)
	if err != nil {
		return nil, err
	}
	ids := slices.Concat(slices.Collect(maps.Values(heads)), slices.Collect(maps.Values(names)), slices.Collect(maps.Values(there)))
	return r.historyFrom(ids...)
}

func (r *Repo) ambiguous(text string, found []Version, l line) error {
	all, err := r.allVersions()
	if err != nil {
		return err
	}
	taken, err := r.nameIDs()
	if err != nil {
		return err
	}
	heads, err := r.listRefs(headsPrefix)
	if err != nil {
		return err
	}
	maps.Copy(taken, heads)
	e := &AmbiguousError{Text: text}
	for _, v := range found {
		e.Candidates = append(e.Candidates, Candidate{Version: v, Start: shortStart(v.ID, all, taken)})
	}
	return e
}

// shortStart is the shortest start of an id that Resolve takes for this version
// alone: no other id begins with it, it is no version number, and neither a
// version nor a branch is called so.
func shortStart(id string, all []Version, taken map[string]plumbing.Hash) string {
	for n := minStart; n < len(id); n++ {
		start := id[:n]
		if _, isName := taken[start]; isName {
			continue
		}
		if number, ok := asNumber(start); ok && number <= all[0].Number {
			continue
		}
		if !slices.ContainsFunc(all, func(v Version) bool { return v.ID != id && strings.HasPrefix(v.ID, start) }) {
			return start
		}
	}
	return id
}

func (r *Repo) unknown(text string, l line, names, heads map[string]plumbing.Hash) error {
	if n, ok := asNumber(text); ok && text != "" {
		return l.noNumber(text, n)
	}
	last := "there is none yet"
	if !l.tip.IsZero() {
		v, err := r.version(l.tip)
		if err != nil {
			return err
		}
		last = fmt.Sprintf("numbers go from 1 to %d", v.Number)
	}
	there, err := r.tips(remotePrefix)
	if err != nil {
		return err
	}
	return noVersion(text, "there is no version %q; %s; names: %s; branches: %s", Printable(text), last,
		orNone(keys(names)), orNone(append(keys(heads), keys(there)...)))
}

// keys are the names in a map, ready to show, ascending.
func keys[V any](m map[string]V) []string {
	var out []string
	for name := range m {
		out = append(out, Printable(name))
	}
	slices.Sort(out)
	return out
}

func orNone(names []string) string {
	if len(names) == 0 {
		return "none"
	}
	return strings.Join(names, ", ")
}
