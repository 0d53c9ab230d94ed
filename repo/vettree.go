package repo

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// harmlessGit are the names beginning with .git that mean nothing to what runs
// here: .git itself, .gitmodules and the unfinished folder of a start or a copy,
// which becomes .git, are not among them.
var harmlessGit = []string{".gitattributes", ".gitignore", ".gitkeep", ".github", ".gitlab", ".gitlab-ci.yml"}

// shortGit are the short names that Windows may give to a file beginning with
// .git (path.c of git, is_ntfs_dot_generic).
var shortGit = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^gi[^~]{0,4}~[0-9]`) })

// maxForeignName bounds a name of a file that is not the pattern's.
const maxForeignName = 200

// vetTree reads a stored folder that somebody else made, more strictly than
// decodeTree reads our own: regular files only, folders at the top only, no name
// that any system would read as another one. top says that it is the pattern's
// folder itself.
func vetTree(content []byte, top bool) ([]treeEntry, error) {
	return (&vettedNames{}).tree(content, top)
}

// vettedNames remembers what was found of names: most are in every version.
type vettedNames struct {
	twins map[string]string // what a harmless name is the same as on some machines
	fold  cases.Caser
}

// maxNames bounds how many names are remembered.
const maxNames = 20_000

// twin is the form that all names have which some machines take for the same; an
// error if the name is not taken from others.
func (n *vettedNames) twin(name string) (string, error) {
	if twin, known := n.twins[name]; known {
		return twin, nil
	}
	if err := vetName(name); err != nil {
		return "", err
	}
	if n.twins == nil || len(n.twins) >= maxNames {
		n.twins, n.fold = map[string]string{}, cases.Fold()
	}
	twin := norm.NFC.String(n.fold.String(norm.NFC.String(name)))
	n.twins[name] = twin
	return twin, nil
}

// tree is vetTree.
func (n *vettedNames) tree(content []byte, top bool) ([]treeEntry, error) {
	entries, err := decodeTree(content)
	if err != nil {
		return nil, err
	}
	seen := make(map[string]string, len(entries))
	for _, e := range entries {
		twin, err := n.twin(e.name)
		if err != nil {
			return nil, err
		}
		if other, taken := seen[twin]; taken {
			return nil, fmt.Errorf("%q and %q are one name on some machines", other, e.name)
		}
		seen[twin] = e.name
		if err := vetMode(e, top); err != nil {
			return nil, err
		}
	}
	return entries, nil
}

// vetMode says why an entry is not of a kind that is taken.
func vetMode(e treeEntry, top bool) error {
	switch {
	case e.mode == modeFolder && top:
		return nil
	case e.isFolder():
		return fmt.Errorf("%q is a folder within a folder, or written in a way git does not write", e.name)
	case e.mode == "120000":
		return fmt.Errorf("%q is a link, not a file", e.name)
	case e.mode == "160000":
		return fmt.Errorf("%q stands for versions of something else", e.name)
	case !e.isFile():
		return fmt.Errorf("%q is not a regular file", e.name)
	case e.id.IsZero():
		return fmt.Errorf("%q has no content", e.name)
	}
	return nil
}

// vetName says why a name of a file or folder is not taken from others: names
// that lead out of the folder, into .git, or mean something else on Windows or
// macOS ("Naming Files, Paths, and Namespaces", Microsoft; path.c of git on
// disguises of .git).
func vetName(name string) error {
	bad := func(why string) error { return fmt.Errorf("the name %q %s", Printable(name), why) }
	switch {
	case !utf8.ValidString(name):
		return bad("is not UTF-8")
	case name == "" || name == "." || name == "..":
		return bad("is no name")
	case len(name) > maxForeignName:
		return bad(fmt.Sprintf("has more than %d characters", maxForeignName))
	case strings.ContainsAny(name, `/\:*?"<>|`):
		return bad(`holds one of / \ : * ? " < > |`)
	case strings.ContainsFunc(name, func(c rune) bool { return c != ' ' && !unicode.IsPrint(c) }):
		return bad("holds characters that do not show")
	case strings.HasSuffix(name, ".") || strings.HasSuffix(name, " ") || strings.HasPrefix(name, " "):
		return bad("begins or ends with a blank or ends with a full stop")
	}
	plain := strings.ToLower(norm.NFKC.String(name))
	if strings.HasPrefix(plain, ".git") && !slices.Contains(harmlessGit, plain) || shortGit().MatchString(plain) {
		return bad("is one that git or toile keeps for itself")
	}
	stem, _, _ := strings.Cut(plain, ".")
	if windowsNames[strings.TrimRight(stem, " ")] || plain == "conin$" || plain == "conout$" {
		return bad("cannot be a file on Windows")
	}
	return nil
}
