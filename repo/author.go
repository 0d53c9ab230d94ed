package repo

import (
	"os/user"
	"strings"
	"unicode"

	"github.com/go-git/go-git/v5/config"
)

// Author is who makes a version. The address may be empty.
type Author struct{ Name, Email string }

// nobody signs where neither the configuration nor the system knows a name.
const nobody = "unknown"

// DefaultAuthor says who works here: who if given ("Name" or "Name <address>"),
// else git's configuration of this pattern, of the account, of the system, else
// the account's name. It never fails. It reads the account's files; this and
// the lock are all that the package takes from outside the pattern.
func (r *Repo) DefaultAuthor(who string) Author {
	configured := r.configuredAuthor()
	if given := parseAuthor(who); given.Name != "" {
		if given.Email == "" && given.Name == configured.Name {
			given.Email = configured.Email
		}
		return given
	}
	if configured.Name != "" {
		return configured
	}
	return Author{Name: accountName(), Email: configured.Email}
}

func (r *Repo) configuredAuthor() Author {
	var a Author
	take := func(c *config.Config) {
		if a.Name == "" {
			a.Name = cleanIdentity(c.User.Name)
		}
		if a.Email == "" {
			a.Email = cleanIdentity(c.User.Email)
		}
	}
	take(r.config)
	for _, scope := range []config.Scope{config.GlobalScope, config.SystemScope} {
		if c, err := config.LoadConfig(scope); err == nil {
			take(c)
		}
	}
	return a
}

func parseAuthor(who string) Author {
	name, rest, _ := strings.Cut(who, "<")
	email, _, _ := strings.Cut(rest, ">")
	return Author{Name: cleanIdentity(name), Email: cleanIdentity(email)}
}

func accountName() string {
	u, err := user.Current()
	if err != nil {
		return nobody
	}
	for _, name := range []string{u.Name, u.Username} {
		if name = cleanIdentity(name); name != "" {
			return name
		}
	}
	return nobody
}

// cleanIdentity makes a name or address fit git's author line, where < > and
// line ends are separators: those and other control characters go, and runs of
// blanks become one.
func cleanIdentity(s string) string {
	s = strings.Map(func(c rune) rune {
		switch {
		case c == '<' || c == '>':
			return -1
		case unicode.IsControl(c):
			return ' '
		}
		return c
	}, strings.ToValidUTF8(s, "\uFFFD"))
	return strings.Join(strings.Fields(s), " ")
}

// clean is the author as it is stored.
func (a Author) clean() Author {
	return Author{Name: cleanIdentity(a.Name), Email: cleanIdentity(a.Email)}
}
