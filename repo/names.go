package repo

import (
	"fmt"
	"regexp"
	"sync"
)

// FirstBranch is the branch that Start makes.
const FirstBranch = "working"

const maxName = 80

var (
	nameForm    = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^[a-z][a-z0-9-]*$`) })
	fittingForm = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^fitting-([0-9]+)$`) })
	// reserved words mean something where a version is typed.
	reserved = map[string]string{
		"first":     "the first version",
		"last":      "the last version",
		FirstBranch: "the working pattern and its first branch",
	}
)

// ValidName says why a new branch or a version cannot be called name, or nil.
// Names that look like the start of an id, such as 'bed', are allowed: Resolve
// looks for a name before it looks for an id.
func ValidName(name string) error {
	switch {
	case name == "":
		return fmt.Errorf("a name is needed: letters a to z, digits and hyphens, a letter first")
	case len(name) > maxName:
		return fmt.Errorf("the name %q is %d characters long; at most %d are allowed", Printable(name[:20])+"…", len(name), maxName)
	case !nameForm().MatchString(name):
		return fmt.Errorf("%q cannot be a name; use letters a to z, digits and hyphens, a letter first", Printable(name))
	case reserved[name] != "":
		return fmt.Errorf("%q cannot be a name because it means %s; choose another", name, reserved[name])
	case fittingForm().MatchString(name):
		return fmt.Errorf("%q cannot be a name because it means the version committed for that fitting; choose another", name)
	case windowsNames[name]:
		return fmt.Errorf("%q cannot be a name because Windows has no such files; choose another", name)
	}
	return nil
}
