package repo

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// Files is a pattern folder in memory: slash paths inside the folder, contents.
type Files map[string][]byte

// The files of a pattern. Everything else in the folder is left alone.
const (
	PatternFile    = "pattern.yaml"
	RecipesFile    = "recipes.yaml"
	AttributesFile = ".gitattributes"
	PiecesFolder   = "pieces"
	FittingsFolder = "fittings"
	extension      = ".yaml"

	// MaxFileSize is the greatest size of one file, in bytes. A piece of 500
	// curves takes about 60 KB; what is a megabyte is no piece.
	MaxFileSize = 1 << 20
	// maxFiles bounds one version against a tree made to exhaust memory.
	maxFiles = 10_000
	// maxSlug keeps names within what every file system takes.
	maxSlug = 100
)

// attributes keeps git from changing line ends on any machine.
var attributes = []byte("* -text\n")

// Attributes is what .gitattributes holds where it held text: the line of the
// store's own, which comes first where it is missing, and all lines of others.
func Attributes(text []byte) []byte {
	for line := range bytes.Lines(text) {
		if bytes.Equal(bytes.TrimSpace(line), bytes.TrimSpace(attributes)) {
			return text
		}
	}
	return slices.Concat(attributes, text)
}

// folders of the layout that hold files of their own.
var folders = []string{FittingsFolder, PiecesFolder}

// windowsNames cannot be file names there, whatever the extension.
var windowsNames = map[string]bool{
	"con": true, "prn": true, "aux": true, "nul": true,
	"com0": true, "com1": true, "com2": true, "com3": true, "com4": true,
	"com5": true, "com6": true, "com7": true, "com8": true, "com9": true,
	"lpt0": true, "lpt1": true, "lpt2": true, "lpt3": true, "lpt4": true,
	"lpt5": true, "lpt6": true, "lpt7": true, "lpt8": true, "lpt9": true,
}

// CheckPath says why a path cannot be a file of a pattern, or nil. Lower-case
// slugs in two folders one level deep leave no room for absolute paths, ".",
// backslashes or two names that differ in case alone.
func CheckPath(name string) error {
	switch name {
	case PatternFile, RecipesFile, AttributesFile:
		return nil
	}
	folder, file, nested := strings.Cut(name, "/")
	if !nested || !slices.Contains(folders, folder) {
		return fmt.Errorf("%q is not a file of a pattern; these are %s, %s, %s, %s/NAME.yaml and %s/NAME.yaml",
			name, PatternFile, RecipesFile, AttributesFile, PiecesFolder, FittingsFolder)
	}
	slug, ok := strings.CutSuffix(file, extension)
	if !ok || !isSlug(slug) {
		return fmt.Errorf("%q cannot be a file of a pattern; use lower-case letters, digits and hyphens, up to %d, and .yaml", name, maxSlug)
	}
	if windowsNames[slug] {
		return fmt.Errorf("%q cannot be a file name on Windows; choose another name", name)
	}
	return nil
}

func isSlug(s string) bool {
	if s == "" || len(s) > maxSlug || s[0] == '-' {
		return false
	}
	for _, c := range []byte(s) {
		if (c < 'a' || c > 'z') && (c < '0' || c > '9') && c != '-' {
			return false
		}
	}
	return true
}

// names returns the paths in ascending order.
func (f Files) names() []string {
	return slices.Sorted(maps.Keys(f))
}

// complete returns f with the files that every version has: .gitattributes is
// the store's own matter and need not be given.
func (f Files) complete() Files {
	if _, given := f[AttributesFile]; given {
		return f
	}
	full := maps.Clone(f)
	if full == nil {
		full = Files{}
	}
	full[AttributesFile] = attributes
	return full
}

// check refuses files that cannot be a version.
func (f Files) check() error { return f.checkWith(nil) }

// checkWith is check for files that are part of a version, with the names of the
// others.
func (f Files) checkWith(same []string) error {
	if _, ok := f[PatternFile]; !ok && !slices.Contains(same, PatternFile) {
		return fmt.Errorf("%s is missing; a version needs it", PatternFile)
	}
	if n := len(f) + len(same); n > maxFiles {
		return fmt.Errorf("%d files are too many for one pattern; at most %d are kept", n, maxFiles)
	}
	for _, name := range same {
		if _, both := f[name]; both {
			return fmt.Errorf("%s cannot stay and be written at once", name)
		}
	}
	return f.checkEach()
}

func (f Files) checkEach() error {
	for _, name := range f.names() {
		if err := CheckPath(name); err != nil {
			return err
		}
		if n := len(f[name]); n > MaxFileSize {
			return tooLarge(name, int64(n))
		}
	}
	return nil
}

func tooLarge(name string, size int64) error {
	return fmt.Errorf("%s: %d bytes are too many for a file of a pattern; at most %d are read", name, size, MaxFileSize)
}
