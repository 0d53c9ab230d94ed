package repo

import (
	"fmt"
	"net"
	"net/url"
	"path"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"sync"
	"unicode"
)

// way is how a place is reached.
type way int

const (
	byWeb   way = iota // https
	byShell            // ssh
	byFile             // a folder or a stick: one file
)

// bundleEnding is how the one file is called.
const bundleEnding = ".bundle"

// Address is where versions are sent to or come from.
type Address struct {
	way  way
	url  *url.URL // byWeb
	user string   // byShell; may be empty
	host string   // byShell, byWeb
	port string   // byShell; empty for the usual one
	path string   // byShell: as the server sees it; byFile: absolute
	text string   // as git's configuration holds it
}

// String is the address as it is remembered. It never holds a password.
func (a Address) String() string { return Printable(a.text) }

// IsFile tells that the place is a folder or a file on this machine.
func (a Address) IsFile() bool { return a.way == byFile }

// where names the place in a sentence.
func (a Address) where() string {
	if a.way == byFile {
		return a.String()
	}
	return Printable(a.host)
}

var (
	schemeForm = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^[A-Za-z][A-Za-z0-9+.-]*://`) })
	helperForm = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9+.-]*::`) })
	shellForm  = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`^(?:([^@/\\:]+)@)?(\[[0-9A-Fa-f:.]+\]|[^@/\\:]+):(.*)$`)
	})
	hostForm  = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^[A-Za-z0-9_]([A-Za-z0-9._-]*[A-Za-z0-9_])?$`) })
	userForm  = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^[A-Za-z0-9_][A-Za-z0-9._-]*$`) })
	tokenForm = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`(?i)^(gh[a-z]_|github_pat_|glpat-|x-token|oauth2$)|^.{32,}$`)
	})
)

// ParseAddress reads an address as people type it: https://HOST/PATH,
// ssh://[USER@]HOST[:PORT]/PATH, [USER@]HOST:PATH, or a folder or a file of this
// machine. One with a password in it is refused, and not repeated in the error.
func ParseAddress(text string) (Address, error) {
	switch {
	case text == "":
		return Address{}, fmt.Errorf("an address is needed: https://HOST/PATH, USER@HOST:PATH, or a folder")
	case strings.ContainsFunc(text, func(c rune) bool { return unicode.IsControl(c) || c == unicode.ReplacementChar }):
		return Address{}, fmt.Errorf("the address holds characters that do not show; type it again")
	case helperForm().MatchString(text):
		return Address{}, fmt.Errorf("addresses with :: make git run other programs and are not used here; use https://HOST/PATH, USER@HOST:PATH, or a folder")
	case schemeForm().MatchString(text):
		return parseURL(text)
	}
	if m := shellForm().FindStringSubmatch(text); m != nil && !isDrive(text) && !exists(text) {
		return shellAddress(m[1], m[2], "", m[3], text)
	}
	full, err := filepath.Abs(text)
	if err != nil {
		return Address{}, err
	}
	return Address{way: byFile, path: full, text: full}, nil
}

// isDrive tells a path such as C:\patterns from a host.
func isDrive(text string) bool {
	return runtime.GOOS == "windows" && len(text) > 1 && text[1] == ':'
}

func parseURL(text string) (Address, error) {
	u, err := url.Parse(text)
	if err != nil { // its message would repeat the address
		return Address{}, fmt.Errorf("the address cannot be read; it is written like https://HOST/PATH or ssh://USER@HOST/PATH")
	}
	host := Printable(u.Hostname())
	if err := checkHidden(u, host); err != nil {
		return Address{}, err
	}
	if err := checkSecrets(u, host); err != nil {
		return Address{}, err
	}
	switch u.Scheme {
	case "ssh":
		return shellAddress(u.User.Username(), u.Hostname(), u.Port(), u.Path, text)
	case "https":
	case "http":
		if !isLoopback(u.Hostname()) {
			return Address{}, fmt.Errorf("%s: http sends everything readable for others on the way; use https", host)
		}
	case "file":
		return Address{}, fmt.Errorf("a folder of this machine is named by its path alone, without file://")
	default:
		return Address{}, fmt.Errorf("addresses that begin with %s:// are not used here; use https://HOST/PATH, USER@HOST:PATH, or a folder", Printable(u.Scheme))
	}
	if !hostForm().MatchString(u.Hostname()) && net.ParseIP(u.Hostname()) == nil {
		return Address{}, fmt.Errorf("%q is no name of a server", host)
	}
	u.Path = strings.TrimRight(u.Path, "/")
	return Address{way: byWeb, url: u, user: u.User.Username(), host: u.Hostname(), path: u.Path, text: u.String()}, nil
}

// checkSecrets refuses addresses with something in them that lets others in.
func checkSecrets(u *url.URL, host string) error {
	_, secret := u.User.Password()
	switch {
	case secret:
		return fmt.Errorf("the address of %s holds a password; leave it out: git's own store of passwords or an ssh key is asked instead, and nothing of it gets into a file", host)
	case tokenForm().MatchString(u.User.Username()):
		return fmt.Errorf("the address of %s holds what looks like a key instead of a name; leave it out and keep it in git's own store of passwords", host)
	case u.RawQuery != "" || u.Fragment != "" || u.ForceQuery:
		return fmt.Errorf("the address of %s goes on after a ? or #; leave that out", host)
	}
	return nil
}

func isLoopback(host string) bool {
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback()
}

// secretForm is a name, a password and another server in a path.
var secretForm = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`(^|/)[^/@]*:[^/]*@`) })

// checkHidden refuses addresses that mean something else than they seem to.
func checkHidden(u *url.URL, host string) error {
	hidden := func(c rune) bool { return unicode.IsControl(c) || c == unicode.ReplacementChar }
	switch {
	case strings.ContainsFunc(u.Path+u.User.Username()+u.Host, hidden):
		return fmt.Errorf("the address holds characters that do not show, written with %%; leave them out")
	case secretForm().MatchString(u.Path):
		return fmt.Errorf("the address of %s has what looks like a name, a password and another server in its path; leave that out", host)
	}
	return nil
}

// checkShellSecrets refuses ssh addresses with something in them that lets others
// in.
func checkShellSecrets(user, host, at, text string) error {
	switch {
	case strings.Contains(at, "@") && !strings.Contains(text, "://"):
		return fmt.Errorf("the address has an @ after its colon, and what stands before an @ may be a password; it is written USER@HOST:PATH, without a password, and a path that does hold an @ as ssh://HOST/PATH")
	case tokenForm().MatchString(user):
		return fmt.Errorf("the address of %s holds what looks like a key instead of a name; leave it out and use an ssh key", Printable(host))
	}
	return nil
}

// shellAddress checks what the ssh program will be given: nothing in it can be
// taken for an option or for another command.
func shellAddress(user, host, port, at, text string) (Address, error) {
	host = strings.Trim(host, "[]")
	if err := checkShellSecrets(user, host, at, text); err != nil {
		return Address{}, err
	}
	switch {
	case !hostForm().MatchString(host) && net.ParseIP(host) == nil:
		return Address{}, fmt.Errorf("%q is no name of a server", Printable(host))
	case user != "" && strings.Contains(user, ":"):
		return Address{}, fmt.Errorf("the address of %s holds a password; leave it out and use an ssh key", Printable(host))
	case user != "" && !userForm().MatchString(user):
		return Address{}, fmt.Errorf("the name before the @ in the address of %s cannot be one", Printable(host))
	case strings.Trim(at, "/") == "" || strings.HasPrefix(at, "-"):
		return Address{}, fmt.Errorf("the address of %s lacks the path of the pattern there; it is written like %s:patterns/smock.git", Printable(host), Printable(host))
	}
	if strings.HasPrefix(at, "/~") { // ssh://host/~user/path means the home folder
		at = at[1:]
	}
	return Address{way: byShell, user: user, host: host, port: port, path: at, text: text}, nil
}

// shortName is what a place is called if nobody says: its server, or the last
// part of its path.
func (a Address) shortName() string {
	text := a.host
	if a.way == byFile {
		text = trimGit(strings.TrimSuffix(path.Base(filepath.ToSlash(a.path)), bundleEnding))
	} else if isLoopback(a.host) {
		text = "here"
	}
	var b strings.Builder
	for _, c := range strings.ToLower(text) {
		switch {
		case c >= 'a' && c <= 'z', c >= '0' && c <= '9' && b.Len() > 0:
			b.WriteRune(c)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	name := strings.Trim(b.String(), "-")
	if len(name) > maxName {
		name = strings.Trim(name[:maxName], "-")
	}
	if ValidName(name) != nil {
		return "place"
	}
	return name
}
